"""Stock sentences: which sentence stands in report after report though its write-ups do not hold, and its cases."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts import pattern_list
from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.catalog import topics
from dashboard.measures.rows import each
from dashboard.measures.stock_sentences import stock_sentences
from dashboard.measures.summary import Summary
from dashboard.notes import sentences_wording
from dashboard.views import links, parts
from dashboard.views.case import show_cases

_DRAWN = 8


def show_sentences(top: Any, pictures: Any, filtered: Filters, found: Summary) -> None:
    """Answer, picture, and the cases of a sentence."""
    rows = store.measured(stock_sentences, filtered)
    with top:
        parts.answer(sentences_wording.stock_sentences(rows, found.overcalled.count))
    if rows.empty:
        return
    with pictures:
        _picture(rows)
        lines = {row.sentence_id: sentences_wording.line(row) for row in each(rows)}
        chosen = controls.pick("Show the cases of", list(lines), state.SENTENCE, lines.__getitem__, width=560)
        _figures(rows, filtered)
    _cases(rows[rows["sentence_id"] == chosen].iloc[0], filtered)


def _picture(rows: pd.DataFrame) -> None:
    parts.section("Sentences whose write-ups fail")
    failing = rows[rows["overcalled"] > 0]
    if failing.empty:
        st.markdown("There is none within these filters.")
        return
    drawn = failing.head(_DRAWN).assign(
        pattern_id=lambda some: some["sentence_id"],
        name=[f"“{text}”" for text in failing["text"].head(_DRAWN)],
        wrong=lambda some: some["overcalled"],
    )
    parts.key_of_glyphs(pattern_list.key())
    parts.chart(
        store.drawn(pattern_list.pattern_list, drawn, None, parts.colors()),
        key=state.SENTENCES_CHART,
        on_select=state.clicked(state.SENTENCES_CHART, pattern_list.SELECTION, _choose),
    )
    parts.caption(pattern_list.how_to_read(len(drawn), len(failing), "sentence"), sentences_wording.CAPTION)


def _choose(fields: Mapping[str, Any]) -> None:
    state.choose(state.SENTENCE, fields["pattern_id"])


def _figures(rows: pd.DataFrame, filtered: Filters) -> None:
    with st.expander(f"All figures: {labels.plural(len(rows), 'sentence')}"):
        titles = controls.topic_titles()
        shown = rows.assign(
            title=[titles[topic] for topic in rows["topic"]],
            fails=[
                labels.percent_with_interval(row.share, row.share_low, row.share_high) if row.judged else "none judged"
                for row in each(rows)
            ],
        )
        columns = {"text": "Sentence", "title": "Topic", "uses": "Write-ups", "inspectors": "Inspectors"}
        parts.table(shown, columns | {"judged": "Judged", "overcalled": "Do not hold", "fails": "Share"})
        parts.download(
            "Save this table", rows, "stock-sentences", "Sentences in many reports", controls.within(filtered)
        )


def _cases(sentence: pd.Series, filtered: Filters) -> None:
    st.divider()
    behind = partial(
        store.measured,
        cases,
        filtered,
        topic=sentence["topic"],
        calls=("written_up",),
        sentence=sentence["sentence_id"],
        first=("overcalled",),
    )
    people = labels.plural(sentence["inspectors"], "inspector")
    about = f"By {people}, {labels.period(sentence['first_seen'], sentence['last_seen'])}."
    show_cases(behind, state.HOLDS_CASE, f"“{sentence['text']}”", about, controls.within(filtered))
    title = controls.topic_titles()[sentence["topic"]]
    known = store.measured(topics).set_index("topic")
    with st.container(horizontal=True):
        if known["has_rule"][sentence["topic"]]:
            links.to_note_on_sentence(filtered, "The note on this sentence", sentence["sentence_id"])
        links.to_rule(filtered, f"The rules on {title.lower()}", sentence["topic"])
