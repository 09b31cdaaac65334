"""A part of the page on two looks: which second looks would teach most, and the sheet to make them by."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.filters import Filters
from dashboard.measures.cases import case
from dashboard.measures.look_sheet import sheet_of
from dashboard.measures.looks import looks_gain, looks_to_make
from dashboard.measures.rows import each
from dashboard.notes import looks_wording as told
from dashboard.views import parts
from dashboard.views.case import show_case


def show_looks(filtered: Filters) -> None:
    """What is on the list and what it would tell, the sheet to fill in, the list, and what looks at each topic tell."""
    st.divider()
    parts.section("Which second looks would teach most")
    with st.spinner("Drawing the looks …"):
        gain, looks = store.measured(looks_gain, filtered), store.measured(looks_to_make, filtered)
    if looks.empty:
        st.markdown(told.NOTHING_OPEN)
        return
    titles, within = controls.topic_titles(), controls.within(filtered)
    drawn = looks[looks["how"] == "random"]
    if len(drawn):
        st.markdown(_what_they_would_tell(gain, drawn, filtered))
    st.markdown(told.what_is_drawn(looks, titles).markdown)
    parts.caption(told.SAME_LIST)
    parts.download("Save the list to fill in", sheet_of(looks), told.STEM, "Second looks to make", within)
    parts.hint(told.HOW_TO_LOAD)
    _list(looks, within)
    if len(gain):
        _gain(gain, within)


def _what_they_would_tell(gain: pd.DataFrame, drawn: pd.DataFrame, filtered: Filters) -> str:
    topic = drawn["topic"].iloc[0]
    few = store.measured(looks_gain, replace(filtered, topics=(topic,)), int((drawn["topic"] == topic).sum()))
    many = gain[gain["topic"] == topic].iloc[0]
    return told.what_they_would_tell(many, few.iloc[0], controls.topic_titles()).markdown


def _list(looks: pd.DataFrame, within: str) -> None:
    """The looks as a table, and the case behind one of them."""
    titles = controls.topic_titles()
    with st.expander(labels.escape_markdown(f"The list: {labels.plural(len(looks), 'look')}")):
        columns = told.list_columns(looks, titles)
        first = {"observation_id": "Case", "inspected_on": "Day"}
        parts.table(looks.assign(**columns), first | {name: name for name in columns})
        parts.download("Save the list with chances", looks, "looks-to-make", "Second looks to make, and why", within)
        lines = {row.observation_id: told.look_line(row, titles) for row in each(looks)}
        opened = controls.pick(
            "Open the case of a look", list(lines), state.MAKE_LOOK, lines.__getitem__, index=None, width=420
        )
        if opened:
            show_case(store.measured(case, opened))


def _gain(gain: pd.DataFrame, within: str) -> None:
    titles = controls.topic_titles()
    with st.expander(told.GAIN_TITLE):
        columns = told.gain_columns(gain, titles)
        counts = {"unjudged": "Not judged"}
        topic = {"Topic": "Topic"}
        rest = {name: name for name in columns if name != "Topic"}
        parts.table(gain.assign(**columns), topic | counts | rest)
        parts.caption(told.GAIN_CAPTION)
        parts.download(
            "Save what they would tell", gain, "looks-gain", "What second looks would tell, by topic", within
        )
