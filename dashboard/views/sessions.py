"""The sessions that were held, as a part of a page, and the form that enters another one."""

from __future__ import annotations

from datetime import date

import pandas as pd
import streamlit as st

from dashboard import controls, state, store
from dashboard.filters import Filters
from dashboard.measures.catalog import topics
from dashboard.measures.choices import choices
from dashboard.notes import session_wording as words
from dashboard.session_entry import Entered, NotEntered, Session, enter, held, joined, session_id
from dashboard.views import links, parts

_COLUMNS = {"held_on": "Day", "title": "Topic", "attended": "Attended", "long": "Hours each", "session_id": "Session"}
#: So many topics get a link; a firm that trains more of them finds the rest on the page itself.
_MOST_LINKS = 4


def show_sessions(filtered: Filters) -> None:
    """What was entered just now, the sessions held, where their effect is seen, and the form."""
    st.divider()
    parts.section("Sessions held")
    known, titles = store.measured(held), controls.topic_titles()
    just_now = _just_entered()
    if just_now is not None:
        st.markdown(words.entered(just_now, titles).markdown)
    if known.empty:
        parts.caption(words.NONE_HELD)
    else:
        parts.table(words.shown(known, titles), _COLUMNS)
        with st.container(horizontal=True):
            for topic in list(dict.fromkeys(known["topic"]))[:_MOST_LINKS]:
                links.to_time(filtered, words.over_time(titles[topic]), topic)
        parts.caption(words.EFFECT)
    with st.expander("Enter a session that was held", expanded=known.empty, key=state.SESSION_FORM, on_change="ignore"):
        _form(known, titles)


def _form(known: pd.DataFrame, titles: dict[str, str]) -> None:
    """The session to be entered: day, topic, who attended, hours; what will be entered, and the button that does it."""
    with st.grid(4, min_column_width=200):
        with st.container():
            day = st.date_input("Day", value=None, key=state.SESSION_DAY, format="YYYY-MM-DD")
        with st.container():
            topic = st.selectbox(
                "Topic of the session",
                list(store.measured(topics)["topic"]),
                index=None,
                key=state.SESSION_TOPIC,
                format_func=titles.__getitem__,
                placeholder="Choose a topic",
            )
        with st.container():
            who = st.multiselect(
                "Who attended", store.measured(choices).inspectors, key=state.SESSION_WHO, placeholder="Choose"
            )
        with st.container():
            hours = st.number_input(
                "Hours each", value=None, min_value=0.0, step=0.5, key=state.SESSION_HOURS, placeholder="not known"
            )
    if not isinstance(day, date) or topic is None or not who:
        parts.hint(words.TO_CHOOSE)
    else:
        _confirm(known, Session(session_id(known, day, topic), day, topic, tuple(who), hours), titles)
    parts.hint(words.HOW_IT_IS_ENTERED)


def _confirm(known: pd.DataFrame, session: Session, titles: dict[str, str]) -> None:
    """What will be entered, and the button; where the load refuses it, the load's own sentence."""
    there = joined(known, session)
    if there.same:
        parts.hint(words.THERE_ALREADY)
        return
    st.markdown(words.will_be_entered(session, there, titles).markdown)
    if not st.button("Enter this session", type="primary", key="enter_session"):
        return
    state.forget(state.SESSION_ENTERED)
    try:
        with st.spinner("Loading the session …"):
            found = enter(store.snapshot(), session)
    except NotEntered as error:
        parts.refusal(error.sentence, error.next_step)
        return
    state.choose(state.SESSION_ENTERED, found)
    st.rerun()


def _just_entered() -> Entered | None:
    """What was entered last, as long as the form still shows it."""
    last: Entered | None = state.chosen(state.SESSION_ENTERED)
    shown = (state.chosen(state.SESSION_DAY), state.chosen(state.SESSION_TOPIC))
    return last if last is not None and shown == (last.session.held_on, last.session.topic) else None
