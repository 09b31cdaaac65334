"""Notes: the one that goes to staff, on a topic, a kind of call, a stock sentence or a month, as it will look."""

from __future__ import annotations

from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import controls, labels, notes, state, store
from dashboard.filters import Filters
from dashboard.measures.catalog import topics
from dashboard.measures.one_month import known_months, one_month
from dashboard.measures.over_time import OverTime, over_time
from dashboard.measures.rows import each
from dashboard.measures.stock_sentences import stock_sentences
from dashboard.measures.summary import Summary, summary
from dashboard.notes import html_height, sentences_wording, wording
from dashboard.views import parts
from dashboard.views.cases_to_call import show_cases_to_call

_SHOWN = {
    state.ON_TOPIC: "All calls on a topic",
    state.ON_KIND: "A kind of call",
    state.ON_SENTENCE: "A stock sentence",
    state.ON_MONTH: "A month",
}
#: A sheet is as wide as letter paper where there is room.
_SHEET = """.st-key-paper { container-type: inline-size; }
.st-key-paper iframe { max-width: 816px; border: 1px solid color-mix(in srgb, currentColor 22%, transparent); }"""
_BORDER_PX = 2
#: From the narrowest telephone on, the height of the sheet is told anew every so many pixels.
_NARROWEST_PX, _STEP_PX = 280, 8


def show() -> None:
    """Title, the answer of the chosen note; the choice and the ways to save it, and beside them the note."""
    top = st.container()
    column, sheet = parts.column_beside()
    with column:
        choosing = st.container()
        filtered = controls.filters()
    found = store.measured(summary, filtered)
    with top:
        parts.head("Notes", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if not found.calls:
        with top:
            parts.nothing_within()
        return
    with choosing:
        about = _choose(filtered, found)
    if about is None:
        with top:
            parts.message(
                "There is nothing of this sort within these filters to write a note on.",
                "Choose a topic, or widen the filters.",
            )
        return
    note = _note(about, filtered)
    with top:
        parts.answer(note.short)
    with column:
        _save(note, labels.slug("-".join(about.values())))
        if topic := _topic(about, filtered):
            show_cases_to_call(filtered, topic, about.get("pattern"))
    with sheet:
        _paper(note)


def _note(about: dict[str, str], filtered: Filters) -> notes.Note:
    if month := about.get("month"):
        return _of_month(month, filtered)
    if sentence := about.get("sentence"):
        return store.measured(notes.note_on_sentence, sentence, filtered)
    return store.measured(notes.note_on, filters=filtered, **about)


def _topic(about: dict[str, str], filtered: Filters) -> str | None:
    """Whose cases may be called: the topic that the note is on, or that stands out in it."""
    if month := about.get("month"):
        return _topic_of_month(month, filtered)
    if sentence := about.get("sentence"):
        rows = store.measured(stock_sentences, filtered).set_index("sentence_id")
        return str(rows.loc[sentence, "topic"])
    return about.get("topic") or about["pattern"].partition(":")[0]


def _choose(filtered: Filters, found: Summary) -> dict[str, str] | None:
    """What the note is on: the ``topic``, ``pattern``, ``sentence`` or ``month``; None where there is nothing."""
    with st.container(horizontal=True, vertical_alignment="top"):
        switching, picking = st.container(width="content"), st.container(width=420)
    with switching:
        on = controls.switch("Write a note on", list(_SHOWN), state.NOTE_ABOUT, _SHOWN.__getitem__)
    with picking:
        if on == state.ON_TOPIC:
            known = store.measured(topics)
            offered = known[known["has_rule"] & known["topic"].isin(filtered.topics or known["topic"])]
            # The topic of which most write-ups fail, where one does, is the one that a note is wanted on first.
            first = list(offered["topic"]).index(found.patterns["topic"].iloc[0]) if len(found.patterns) else 0
            names = dict(zip(offered["topic"], offered["title"], strict=True))
            return _picked("Topic", names, state.NOTE_TOPIC, on, first)
        if on == state.ON_MONTH:
            days = {month.strftime("%Y-%m"): labels.month(month) for month in known_months(_moved(filtered))}
            return _picked("Month", days, state.NOTE_MONTH, on)
        if on == state.ON_SENTENCE:
            known = store.measured(topics)
            rows = store.measured(stock_sentences, filtered)
            rows = rows[rows["topic"].isin(known.loc[known["has_rule"], "topic"])]
            lines = {row.sentence_id: sentences_wording.line(row) for row in each(rows)}
            return _picked("Sentence", lines, state.NOTE_SENTENCE, on)
        kinds = store.measured(notes.kinds, filtered)
        return _picked(
            "Kind that does not hold",
            dict(zip(kinds["pattern_id"], kinds["name"], strict=True)),
            state.NOTE_KIND,
            "pattern",
        )


def _picked(label: str, names: dict[str, str], key: str, argument: str, first: int = 0) -> dict[str, str] | None:
    return {argument: controls.pick(label, list(names), key, names.__getitem__, first)} if names else None


def _moved(filtered: Filters) -> OverTime:
    with st.spinner("Counting the months and following each colleague …"):
        return store.measured(over_time, filtered)


def _of_month(month: str, filtered: Filters) -> notes.Note:
    return store.measured(notes.note_of_month, month, filtered, _moved(filtered))


def _topic_of_month(month: str, filtered: Filters) -> str | None:
    """The topic that stands out in a month, whose cases may be called."""
    known = store.measured(topics)
    found = one_month(_moved(filtered), pd.Timestamp(f"{month}-01"))
    return found.topic(known.loc[known["has_rule"], "topic"])


def _save(note: notes.Note, name: str) -> None:
    """A button a format; the file is made when it is pressed."""
    with parts.saving("note"):
        for suffix, form in notes.FORMATS.items():
            made: Any = partial(notes.render, note, suffix)
            st.download_button(
                f"Save as {form.name}",
                made,
                file_name=f"note-{name}{suffix}",
                mime=form.mime,
                on_click="ignore",
                key=f"save_note_{form.name}",
                type="tertiary",
            )


def _paper(note: notes.Note) -> None:
    """The note as a sheet of paper, white in the dark theme too, as high as it needs at each width."""
    page = notes.render(note, ".html").decode()
    with st.container(key="paper"):
        st.html(f"<style>{_SHEET}\n{_heights(note, page)}</style>")
        st.iframe(page, alt=f"The note as it will look: {note.title}")


def _heights(note: notes.Note, page: str) -> str:
    """A rule of style for each step of width: the height at its narrow end, where the note is highest."""
    steps = range(html_height.WIDEST_PX + _STEP_PX, _NARROWEST_PX, -_STEP_PX)
    high = [html_height.height(note, page, step - _STEP_PX - _BORDER_PX) + _BORDER_PX for step in steps]
    rules = [
        f"@container (max-width: {step}px) {{ .st-key-paper iframe {{ height: {px}px; }} }}"
        for step, px in zip(steps, high, strict=True)
    ]
    return "\n".join([f".st-key-paper iframe {{ height: {high[0]}px; }}", *rules])


show()
