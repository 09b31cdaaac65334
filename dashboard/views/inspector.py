"""One inspector: own calls beside those that peers would have made on the same decks; what is worth a look; cases.

Colleagues are never named here: peers are a number and a band.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, notes, state, store
from dashboard.charts import own_bands
from dashboard.filters import Filters
from dashboard.measures import comparisons
from dashboard.measures.cases import cases
from dashboard.measures.catalog import topics
from dashboard.measures.choices import choices
from dashboard.measures.funnel import luck_bands
from dashboard.measures.ground import alone, decks_seen
from dashboard.measures.inspectors import chosen, inspectors
from dashboard.measures.summary import extent
from dashboard.measures.write_ups import ALL
from dashboard.notes import inspectors_wording as told
from dashboard.notes import wording
from dashboard.views import links, parts
from dashboard.views.case import show_cases
from dashboard.views.difference_parts import show_parts
from dashboard.views.inspectors_figures import show_own_figures
from dashboard.views.second_look import ask_for_a_second_look

_SHOWN = {state.WRITE_UPS: "Write-ups that do not hold", state.PASSED_OVER: "Defects passed over"}
_OUTCOMES = {state.WRITE_UPS: ("overcalled",), state.PASSED_OVER: ("missed", "understated")}
_MOST_TOPICS = 14


def show() -> None:
    """Title, answer, picture and what is worth a look; whose page it is; own cases."""
    top, pictures, below = st.container(), st.container(), st.container()
    with below:
        picking = st.container(width=260)
        filtered = controls.filters()
    with picking:
        person = controls.person(store.measured(choices).inspectors)
    found = store.measured(extent, filtered)
    with top:
        parts.head("One inspector", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
        if not found.calls:
            parts.nothing_within()
            return
        if person is None:
            parts.message(*told.WHOSE_CALLS)
            return
        filtered = replace(filtered, inspectors=(person,))
        table = _compared(filtered)
    own = chosen(table, filtered)
    if own.empty:
        with top:
            parts.nothing_within()
        return
    titles, only = controls.topic_titles(), store.measured(alone, _everyone(filtered))
    decks = store.measured(decks_seen, filtered).get(person, 0)
    with top:
        parts.answer(told.own_calls(own, table["inspector_id"].nunique(), decks, titles, only))
    with pictures:
        _pictures(own, filtered)
        _save_note(person, table, filtered)
    topic = _cases(own, filtered)
    show_parts(topic, own, table, _everyone(filtered))
    show_own_figures(own, controls.within(filtered))


def _everyone(filtered: Filters) -> Filters:
    return replace(filtered, inspectors=(), topics=())


def _compared(filtered: Filters) -> pd.DataFrame:
    """Rows of ``inspectors`` of everybody."""
    with st.spinner("Comparing with peers on the same decks. The first time this takes a few seconds …"):
        return store.measured(inspectors, _everyone(filtered))


# ---- the picture, and what is worth a look ---------------------------------------------------------------------------


def _pictures(own: pd.DataFrame, filtered: Filters) -> None:
    compared = own[own["signal"].isin(comparisons.MADE) & (own["topic"] != ALL)]
    everything = own[own["topic"] == ALL].iloc[0]
    if compared.empty:
        _worth_a_look(own, filtered)
        parts.caption(told.not_seen(everything))
        return
    drawn = comparisons.drawn_topics(own, _MOST_TOPICS, state.chosen(state.OWN_TOPIC))
    titles = controls.topic_titles()
    rows = luck_bands(drawn).assign(title=drawn["topic"].map(titles).fillna(drawn["topic"]))
    left, right = parts.picture_beside()
    with left:
        parts.section("What was written up, and what peers would have")
        parts.chart(
            store.drawn(own_bands.own_bands, rows, parts.colors()),
            key=state.OWN_CHART,
            on_select=state.clicked(state.OWN_CHART, own_bands.SELECTION, _choose_topic),
        )
        parts.caption(
            told.how_to_read_the_bands(own, len(drawn), len(compared)),
            told.not_seen(everything),
        )
    with right:
        _worth_a_look(own, filtered)


def _save_note(person: str, table: pd.DataFrame, filtered: Filters) -> None:
    """A button a format; the note is made when one is pressed."""
    with parts.saving("own_note"):
        for suffix, form in notes.FORMATS.items():
            st.download_button(
                f"Save as a note, {form.name}",
                partial(_note, person, table, filtered, suffix),
                file_name=f"note-{labels.slug(person)}{suffix}",
                mime=form.mime,
                on_click="ignore",
                key=f"save_own_note_{form.name}",
                type="tertiary",
            )


def _note(person: str, table: pd.DataFrame, filtered: Filters, suffix: str) -> bytes:
    return notes.render(notes.note_of_inspector(store.snapshot(), person, filtered, table), suffix)


def _choose_topic(fields: Mapping[str, Any]) -> None:
    state.choose(state.OWN_TOPIC, fields["topic"])
    state.forget(state.OWN_SHOW)


def _worth_a_look(own: pd.DataFrame, filtered: Filters) -> None:
    worth = comparisons.worth_a_look(own)
    known = store.measured(topics).set_index("topic")
    if not worth and not comparisons.any_made(own):
        return
    parts.section("Worth a look")
    if not worth:
        st.markdown(told.ONLY_LUCK)
    for each in worth:
        title, habit = str(known["title"].get(each.topic, each.topic)), known["habit"].get(each.topic)
        for sentence in told.why_worth_a_look(each, title):
            st.markdown(sentence.markdown)
        if labels.is_known(habit):
            st.markdown(f"*Next time:* {labels.escape_markdown(str(habit))}")
        missed = each.differs[0] == comparisons.MISSED
        links.to_own_cases(
            filtered,
            f"Read the cases of {labels.in_sentence(title)}",
            each.topic,
            state.PASSED_OVER if missed else state.WRITE_UPS,
        )
    differ = comparisons.that_differ(own)["topic"].nunique()
    parts.caption(told.nothing_else(len(worth), differ), told.NOT_A_GRADE, told.NOT_FOR_PAY)


# ---- own cases -------------------------------------------------------------------------------------------------------


def _cases(own: pd.DataFrame, filtered: Filters) -> str:
    """Own cases of a topic, or of all; which it is."""
    st.divider()
    with st.container(horizontal=True, vertical_alignment="top"):
        picking, showing = st.container(width=340), st.container(width="content")
    with picking:
        topic = _pick_topic(own)
    with showing:
        shown = controls.switch("Show", _sides(own, topic), state.OWN_SHOW, _SHOWN.__getitem__)
    title = f"{_SHOWN[shown].lower()}{f': {labels.in_sentence(_title(topic))}' if topic != ALL else ''}"
    behind = partial(store.measured, cases, filtered, topic=None if topic == ALL else topic, outcomes=_OUTCOMES[shown])
    about = labels.MISSES_CAUTION if shown == state.PASSED_OVER else ""
    show_cases(behind, state.OWN_CASE, title, about, controls.within(filtered))
    if len(behind(most=1)):
        ask_for_a_second_look(state.chosen(state.OWN_CASE))
    return topic


def _pick_topic(own: pd.DataFrame) -> str:
    """A topic with wrong calls, or one that the page names; the first that is worth a look where there is one."""
    worth = comparisons.worth_a_look(own)
    first = worth[0].topic if worth else ALL
    named = {ALL, first, state.chosen(state.OWN_TOPIC)}
    wrong = own.loc[own["overcalled"] + own["missed_found"] > 0, "topic"]
    offered = [topic for topic in own["topic"] if topic in named or topic in set(wrong)]
    return str(controls.pick("Topic", offered, state.OWN_TOPIC, _title, index=offered.index(first)))


def _sides(own: pd.DataFrame, topic: str) -> list[str]:
    """The two sides of the calls, first the one with more cases of the topic."""
    row = own[own["topic"] == topic].iloc[0]
    more_missed = topic != ALL and row["missed_found"] > row["overcalled"]
    return sorted(_SHOWN, key=lambda side: (side == state.PASSED_OVER) != more_missed)


def _title(topic: str) -> str:
    return (controls.topic_titles() | {ALL: "All topics"}).get(topic, topic)


show()
