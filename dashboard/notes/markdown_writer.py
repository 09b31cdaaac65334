"""A note as Markdown, its picture told in words."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader

from dashboard.labels import escape_markdown
from dashboard.notes.model import Note

#: Every value is escaped for Markdown as it is put in.
_TEXTS = Environment(
    loader=PackageLoader("dashboard", "notes"),
    autoescape=False,
    trim_blocks=True,
    lstrip_blocks=True,
    finalize=lambda value: escape_markdown(str(value)),
)


def write(note: Note) -> bytes:
    """The note as Markdown in UTF-8."""
    return _TEXTS.get_template("note.md.j2").render(note=note).encode()
