"""Calibration notes: what we see, what the rule says, what to do next time; for a topic or a pattern.

``note_on(snapshot, topic=…)`` or ``note_on(snapshot, pattern=…)`` is the note, ``render(note, ".pdf")`` its file;
``write(snapshot, path, topic=…)`` does both. ``pack_on(snapshot, topic)`` is a case pack on a topic.
"""

from dashboard.notes.case_pack import pack_on
from dashboard.notes.compose import kinds, note_on
from dashboard.notes.errors import FormatNotThere, NoCases, NoteError, UnknownPattern, UnknownTopic
from dashboard.notes.model import CasePack, Note
from dashboard.notes.writing import FORMATS, html, markdown, render, write

__all__ = [
    "FORMATS",
    "CasePack",
    "FormatNotThere",
    "NoCases",
    "Note",
    "NoteError",
    "UnknownPattern",
    "UnknownTopic",
    "html",
    "kinds",
    "markdown",
    "note_on",
    "pack_on",
    "render",
    "write",
]
