"""A part of the page on two looks: how often calls are right, where the truth is known."""

from __future__ import annotations

from dataclasses import replace

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import accuracy_dots
from dashboard.filters import Filters
from dashboard.measures.accuracy import accuracy
from dashboard.measures.known_truths import known_truths
from dashboard.measures.rows import each
from dashboard.measures.truth_lacking import with_lacking
from dashboard.notes import truth_wording as told
from dashboard.views import parts


def show_truth(filtered: Filters) -> None:
    """The answer for a topic, inspectors by name, what cannot be told, and the figures."""
    st.divider()
    parts.section("How often are calls right, where the truth is known?")
    titles = controls.topic_titles()
    found = store.measured(known_truths, replace(filtered, inspectors=()))
    found = found.assign(name=found["topic"].map(titles).fillna(found["topic"]))
    known = found[found["known_decks"] > 0]
    if known.empty:
        st.markdown(told.nothing_known(not filtered.is_empty))
        return
    answer, picture = st.container(), st.container()
    topic = _pick_topic(known)
    row = known[known["topic"] == topic].iloc[0]
    with answer:
        st.markdown(told.how_right(row).markdown)
        parts.caption(told.NOT_CORRECTNESS)
    with picture, st.spinner("Weighing the calls by what is known of them …"):
        rows = store.measured(accuracy, replace(filtered, topics=(topic,)))
    if rows.empty:
        return
    rows = with_lacking(rows, row["defects"] / row["known_decks"])
    with picture:
        _picture(rows, row)
    for sentence in (told.what_cannot_be_told(rows), told.known_and_unknown(row)):
        if sentence:
            st.markdown(sentence.markdown)
    _figures(rows, row, controls.within(filtered))
    parts.caption(told.left_out(len(found) - len(known)))


def _pick_topic(known: pd.DataFrame) -> str:
    """A topic with a deck of known truth; first the one with most of them."""
    lines = {row.topic: told.topic_line(row) for row in each(known)}
    offered = list(lines)
    first = int(known["known_decks"].to_numpy().argmax())
    return str(
        controls.pick("Topic of known truth", offered, state.TRUTH_TOPIC, lines.__getitem__, index=first, width=420)
    )


def _picture(rows: pd.DataFrame, row: pd.Series) -> None:
    firm = {name: float(row[name]) for name in accuracy_dots.FIGURES}
    parts.chart(store.drawn(accuracy_dots.accuracy_dots, rows, firm, row["name"], parts.colors()), key="truth_chart")
    parts.caption(told.how_to_read(rows))


def _figures(rows: pd.DataFrame, row: pd.Series, within: str) -> None:
    with st.expander(labels.escape_markdown(f"{row['name']}: {told.in_figures(rows)}")):
        columns = told.numbers(rows)
        named = {"inspector_id": "Inspector", "trials": "Looks", "known": "Known"}
        parts.table(rows.assign(**columns), named | {name: name for name in columns})
        parts.caption(told.LEGEND)
        parts.download("Save these figures", rows, "accuracy", f"Finds and false calls: {row['name']}", within)
