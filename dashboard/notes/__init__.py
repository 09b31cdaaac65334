"""Calibration notes: what we see, what the rule says, what to do next time; for a topic or a pattern.

``note_on(snapshot, topic=…)`` or ``note_on(snapshot, pattern=…)`` is the note, ``render(note, ".pdf")`` its file;
``write(snapshot, path, topic=…)`` does both.
"""

from dashboard.notes.compose import kinds, note_on
from dashboard.notes.errors import FormatNotThere, NoteError, UnknownPattern, UnknownTopic
from dashboard.notes.model import Note
from dashboard.notes.writing import FORMATS, html, markdown, render, write

__all__ = [
    "FORMATS",
    "FormatNotThere",
    "Note",
    "NoteError",
    "UnknownPattern",
    "UnknownTopic",
    "html",
    "kinds",
    "markdown",
    "note_on",
    "render",
    "write",
]
