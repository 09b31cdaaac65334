"""Calibration notes: what we see, what the rule says, what to do next time; on a topic, pattern, inspector or month.

``note_on(snapshot, topic=…)`` or ``note_on(snapshot, pattern=…)`` is the note, ``note_of_inspector(snapshot, code)``
that of an inspector, ``note_of_month(snapshot, "2026-10")`` that of a month, ``note_on_sentence(snapshot, id)`` that on
a stock sentence, ``render(note, ".pdf")`` its file;
``write(snapshot, path, topic=…)`` does both. ``pack_on(snapshot, topic)`` is a case pack on a topic.
"""

from dashboard.notes.case_pack import pack_on
from dashboard.notes.compose import kinds, note_on
from dashboard.notes.errors import (
    FormatNotThere,
    NoCases,
    NoteError,
    UnknownInspector,
    UnknownMonth,
    UnknownPattern,
    UnknownSentence,
    UnknownTopic,
)
from dashboard.notes.inspector_note import note_of_inspector
from dashboard.notes.model import CasePack, Note
from dashboard.notes.month_note import note_of_month
from dashboard.notes.sentence_note import note_on_sentence
from dashboard.notes.writing import FORMATS, html, markdown, render, write

__all__ = [
    "FORMATS",
    "CasePack",
    "FormatNotThere",
    "NoCases",
    "Note",
    "NoteError",
    "UnknownInspector",
    "UnknownMonth",
    "UnknownPattern",
    "UnknownSentence",
    "UnknownTopic",
    "html",
    "kinds",
    "markdown",
    "note_of_inspector",
    "note_of_month",
    "note_on",
    "note_on_sentence",
    "pack_on",
    "render",
    "write",
]
