"""Notes: the one that goes to staff, on a topic or on a kind of call, as it will look, to be saved."""

from __future__ import annotations

from functools import partial
from typing import Any

import streamlit as st

from dashboard import controls, labels, notes, state, store
from dashboard.filters import Filters
from dashboard.measures.catalog import topics
from dashboard.measures.summary import Summary, summary
from dashboard.notes import wording
from dashboard.notes.html_writer import heights
from dashboard.views import parts

_SHOWN = {state.ON_TOPIC: "All calls on a topic", state.ON_KIND: "A kind of call that does not hold"}
#: A sheet is as wide as letter paper where there is room.
_SHEET = """<style>
.st-key-paper iframe {{ height: {wide}px; max-width: 816px;
  border: 1px solid color-mix(in srgb, currentColor 22%, transparent); }}
@media (max-width: 640px) {{ .st-key-paper iframe {{ height: {narrow}px; }} }}
</style>"""


def show() -> None:
    """Title, the answer of the chosen note, the choice, the ways to save it, and the note."""
    top, choosing = st.container(), st.container()
    filtered = controls.filters()
    found = store.measured(summary, filtered)
    with top:
        parts.head("Notes", wording.scope(found.first_day, found.last_day, controls.chosen(filtered)))
    if not found.calls:
        with top:
            parts.message("No deck was looked at within these filters.", "Widen the days, or clear a filter below.")
        return
    with choosing:
        about = _choose(filtered, found)
    if about is None:
        with top:
            parts.message(
                "No call within these filters fails its rule, so that there is no kind to write a note on.",
                "Choose a topic, or widen the filters.",
            )
        return
    note = store.measured(notes.note_on, filters=filtered, **about)
    with top:
        parts.answer(note.sentence)
    _save(note, labels.slug("-".join(about.values())))
    _paper(note)


def _choose(filtered: Filters, found: Summary) -> dict[str, str] | None:
    """What the note is on, as ``notes.note_on`` takes it; None where there is nothing to choose."""
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
        kinds = store.measured(notes.kinds, filtered)
        return _picked("Kind", dict(zip(kinds["pattern_id"], kinds["name"], strict=True)), state.NOTE_KIND, "pattern")


def _picked(label: str, names: dict[str, str], key: str, argument: str, first: int = 0) -> dict[str, str] | None:
    return {argument: controls.pick(label, list(names), key, names.__getitem__, first)} if names else None


def _save(note: notes.Note, name: str) -> None:
    """A button a format; the file is made when it is pressed."""
    with st.container(horizontal=True):
        for suffix, form in notes.FORMATS.items():
            made: Any = partial(notes.render, note, suffix)
            st.download_button(
                f"Save as {form.name}",
                made,
                file_name=f"note-{name}{suffix}",
                mime=form.mime,
                on_click="ignore",
                key=f"save_note_{form.name}",
            )


def _paper(note: notes.Note) -> None:
    """The note as a sheet of paper, white in the dark theme too, as high as it needs."""
    wide, narrow = heights(note)
    st.html(_SHEET.format(wide=wide, narrow=narrow))
    with st.container(key="paper"):
        st.iframe(notes.render(note, ".html").decode(), alt=f"The note as it will look: {note.title}")


show()
