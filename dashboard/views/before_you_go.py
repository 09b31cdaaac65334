"""Before you go: what was found on past decks like the one to be looked at, and what was passed over, on one page."""

from __future__ import annotations

from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, state, store
from dashboard.charts.found_dots import found_dots
from dashboard.measures.brief import HIGHEST_IN, OLDEST, Deck, brief, deck, passed_over_most
from dashboard.measures.catalog import topics
from dashboard.measures.choices import choices
from dashboard.measures.rows import each
from dashboard.notes import FORMATS, brief_note, render, wording
from dashboard.notes import brief_wording as words
from dashboard.views import links, parts

_PASSED = 6


def show() -> None:
    """Title, answer, what is known of the deck, picture, what to measure, all topics in figures."""
    # Unlike elsewhere what is asked for stands above the picture: here it is the question.
    top, asking, picture = st.container(), st.container(), st.container()
    known = store.measured(choices)
    with asking:
        like = _deck(list(known.regions), list(known.builders))
    with top:
        parts.head(words.TITLE, wording.scope(known.first_day, known.last_day, []))
    table = store.measured(brief, like)
    if table.empty:
        with top:
            parts.message(*words.nothing_alike(like))
        return
    names, passed = controls.topic_titles(), passed_over_most(table)
    with top:
        parts.answer(words.answer(like, table, passed, names))
        parts.caption(words.PAST_DECKS)
    with picture:
        _picture(table, passed, names, like)
    _save(like)
    _figures(table, names, words.deck_in_words(like))


def _deck(regions: list[str], builders: list[str]) -> Deck:
    """What the reader knows of the deck; what is left blank is no matter."""
    with st.grid(4, min_column_width=200):
        with st.container():
            age = controls.number("Deck age, years", state.BRIEF_AGE, OLDEST, placeholder="not known")
        with st.container():
            height = controls.number("Height, inches", state.BRIEF_HEIGHT, HIGHEST_IN, placeholder="not known")
        with st.container():
            region = _named("Region", regions, state.BRIEF_REGION)
        with st.container():
            builder = _named("Builder", builders, state.BRIEF_BUILDER)
    return store.measured(deck, age, region, height, builder)


def _named(label: str, names: list[str], key: str) -> str | None:
    offered = [name for name in names if name != labels.UNKNOWN]
    picked = controls.pick(label, offered, key, str, index=None, placeholder="any")
    return str(picked) if picked is not None else None


def _picture(table: pd.DataFrame, passed: pd.DataFrame, names: dict[str, str], like: Deck) -> None:
    rows = brief_note.drawn(table, names)
    dots, beside = parts.picture_beside()
    with dots:
        parts.section(words.FOUND)
        if rows.empty:
            parts.caption(words.NOTHING_FOUND)
        else:
            parts.chart(store.drawn(found_dots, rows, parts.colors()))
        parts.caption(words.FOUND_CAPTION, words.alike(table, like))
    with beside:
        parts.section(words.PASSED_OVER)
        if passed.empty:
            parts.caption(words.NOTHING_PASSED)
        parts.explained(words.passed_lines(passed.head(_PASSED), names))
        parts.caption(words.FEW_LAST, labels.MISSES_CAUTION)
    known = store.measured(topics)
    habits = dict(zip(known["topic"], known["habit"], strict=True))
    parts.section(words.TO_MEASURE)
    parts.explained(words.habit_lines(words.wanted(table, passed), names, habits))


def _save(like: Deck) -> None:
    """A button a format; the page is made when it is pressed."""
    with parts.saving("brief"):
        for suffix, form in FORMATS.items():
            made: Any = partial(_page, like, suffix)
            st.download_button(
                f"Save one page as {form.name}",
                made,
                file_name=f"before-you-go{suffix}",
                mime=form.mime,
                on_click="ignore",
                key=f"save_brief_{form.name}",
                type="tertiary",
            )


def _page(like: Deck, suffix: str) -> bytes:
    return render(store.measured(brief_note.brief_on, like), suffix)


def _figures(table: pd.DataFrame, names: dict[str, str], about: str) -> None:
    with st.expander(f"All {labels.plural(len(table), 'topic')} in figures"):
        shown = table.assign(
            title=table["topic"].map(names),
            like=table["alike"].map(words.traits),
            told=[
                labels.percent_with_interval(row.found_share, row.found_share_low, row.found_share_high)
                for row in each(table)
            ],
            missed=[labels.part_of(row.passed_over, row.defects) for row in each(table)],
        )
        columns = {"title": "Topic", "trials": "Looks", "written_up": "Written up", "judged": "Judged"}
        columns |= {"found": "Found", "told": "Share", "missed": "Passed over", "like": "Decks alike in"}
        parts.table(shown, columns)
        parts.download("Save these figures", table, "before-you-go", words.TITLE, about)
    with st.container(horizontal=True):
        links.to_passed_over(state.filters(), "Defects passed over, with their cases")


show()
