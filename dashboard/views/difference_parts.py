"""A part of the page of one inspector: what the difference from peers is made of. Nobody else is named in it."""

from __future__ import annotations

import pandas as pd
import streamlit as st

from dashboard import controls, labels, store
from dashboard.filters import Filters
from dashboard.measures.differences import differences_of, in_parts
from dashboard.measures.write_ups import ALL
from dashboard.notes import differences_wording as told
from dashboard.views import parts


def show_parts(topic: str, own: pd.DataFrame, everybody: pd.DataFrame, filtered: Filters) -> None:
    """The parts of an inspector's difference in a topic, or over all of them, in words with their numbers.

    Parameters
    ----------
    topic
        A topic of ``own``, or all of them together.
    own, everybody
        Rows of ``inspectors`` of the one inspector, and of everybody within the same filters.
    filtered
        The filters, those for inspectors and topics left out.
    """
    person = str(own["inspector_id"].iloc[0])
    title = (controls.topic_titles() | {ALL: "All topics"}).get(topic, topic)
    with st.expander(labels.escape_markdown(f"What makes up the difference: {labels.in_sentence(title)}")):
        found = store.measured(differences_of, everybody, filtered)
        mine = found[found["inspector_id"] == person]
        rows = mine if topic == ALL else mine[mine["topic"] == topic]
        if rows.empty:
            st.markdown(labels.escape_markdown(told.not_compared(title)))
            return
        signal = str(own.loc[own["topic"] == topic, "signal"].iloc[0])
        summed = in_parts(rows)
        st.markdown(told.whole(summed, person).markdown)
        parts.explained(told.parts(summed))
        parts.caption(told.how_far(signal) if topic == ALL else told.what_it_rests_on(rows.iloc[0], signal))
        parts.download(
            "Save the parts of all topics",
            mine,
            "own-difference",
            "What the difference from peers is made of",
            controls.within(filtered),
        )
