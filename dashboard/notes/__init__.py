"""Calibration notes: what we see, what the rule says, what to do next time; for a topic, a pattern or an inspector.

``note_on(snapshot, topic=…)`` or ``note_on(snapshot, pattern=…)`` is the note, ``note_of_inspector(snapshot, code)``
that of an inspector, ``render(note, ".pdf")`` its file; ``write(snapshot, path, topic=…)`` does both.
``pack_on(snapshot, topic)`` is a case pack on a topic.
"""

from dashboard.notes.case_pack import pack_on
from dashboard.notes.compose import kinds, note_on
from dashboard.notes.errors import (
    FormatNotThere,
    NoCases,
    NoteError,
    UnknownInspector,
    UnknownPattern,
    UnknownTopic,
)
from dashboard.notes.inspector_note import note_of_inspector
from dashboard.notes.model import CasePack, Note
from dashboard.notes.writing import FORMATS, html, markdown, render, write

__all__ = [
    "FORMATS",
    "CasePack",
    "FormatNotThere",
    "NoCases",
    "Note",
    "NoteError",
    "UnknownInspector",
    "UnknownPattern",
    "UnknownTopic",
    "html",
    "kinds",
    "markdown",
    "note_of_inspector",
    "note_on",
    "pack_on",
    "render",
    "write",
]
