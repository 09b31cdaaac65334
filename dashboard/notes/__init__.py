"""Calibration notes: what we see, what the rule says, what to do next time; for a topic or a pattern.

``write(snapshot, path, topic=…)`` or ``write(snapshot, path, pattern=…)`` is all that a caller needs.
"""

from dashboard.notes.errors import FormatNotThere, NoteError, UnknownPattern, UnknownTopic
from dashboard.notes.writing import html, markdown, write

__all__ = ["FormatNotThere", "NoteError", "UnknownPattern", "UnknownTopic", "html", "markdown", "write"]
