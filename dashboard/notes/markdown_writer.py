"""A note or a case pack as Markdown, a picture told in words."""

from __future__ import annotations

from jinja2 import Environment, PackageLoader

from dashboard.labels import escape_markdown
from dashboard.notes.model import CasePack, Note

#: Every value is escaped for Markdown as it is put in.
_TEXTS = Environment(
    loader=PackageLoader("dashboard", "notes"),
    autoescape=False,
    trim_blocks=True,
    lstrip_blocks=True,
    finalize=lambda value: escape_markdown(str(value)),
)


def write(told: Note | CasePack) -> bytes:
    """The note or the pack as Markdown in UTF-8."""
    return _TEXTS.get_template(f"{told.layout}.md.j2").render(note=told).encode()
