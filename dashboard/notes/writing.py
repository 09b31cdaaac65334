"""A note as a file: HTML that prints on one page and fetches nothing, or Markdown."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from dashboard.filters import EVERYTHING, Filters
from dashboard.labels import escape_markdown
from dashboard.notes.compose import note_on_pattern, note_on_topic
from dashboard.notes.errors import FormatNotThere
from dashboard.notes.model import Note
from dashboard.warehouse import Snapshot

FORMATS = (".html", ".md")

_LOADER = PackageLoader("dashboard", "notes")
#: Every value is escaped for HTML, and there is no other way into the page but the picture.
_HTML = Environment(loader=_LOADER, autoescape=True, trim_blocks=True, lstrip_blocks=True)
#: Every value is escaped for Markdown as it is put in.
_MARKDOWN = Environment(
    loader=_LOADER,
    autoescape=False,
    trim_blocks=True,
    lstrip_blocks=True,
    finalize=lambda value: escape_markdown(str(value)),
)


def write(
    snapshot: Snapshot,
    path: Path,
    topic: str | None = None,
    pattern: str | None = None,
    filters: Filters = EVERYTHING,
) -> None:
    """Write the note on a topic or on a pattern; the same snapshot gives the same text.

    Parameters
    ----------
    path
        Where to; its ending (``.html``, ``.md``) says the format.
    topic, pattern
        One of them: a topic's id, or a ``pattern_id`` of the tables patterns and misses.

    Raises
    ------
    UnknownTopic, UnknownPattern, FormatNotThere
        With what there is instead.
    ValueError
        Neither or both of topic and pattern are given.
    """
    suffix = path.suffix.lower()
    if suffix not in FORMATS:
        raise FormatNotThere(path.suffix, FORMATS)
    render = html if suffix == ".html" else markdown
    path.write_text(render(snapshot, topic=topic, pattern=pattern, filters=filters), encoding="utf-8")


def html(
    snapshot: Snapshot, topic: str | None = None, pattern: str | None = None, filters: Filters = EVERYTHING
) -> str:
    """The note as one HTML file with its picture in it."""
    note = _compose(snapshot, topic, pattern, filters)
    return _HTML.get_template("note.html.j2").render(note=note, picture=_picture(note))


def markdown(
    snapshot: Snapshot, topic: str | None = None, pattern: str | None = None, filters: Filters = EVERYTHING
) -> str:
    """The note as Markdown; the picture is told in words."""
    return _MARKDOWN.get_template("note.md.j2").render(note=_compose(snapshot, topic, pattern, filters))


def _compose(snapshot: Snapshot, topic: str | None, pattern: str | None, filters: Filters) -> Note:
    if (topic is None) == (pattern is None):
        raise ValueError("a note is on a topic or on a pattern: name one of them")
    if topic is not None:
        return note_on_topic(snapshot, topic, filters)
    return note_on_pattern(snapshot, str(pattern), filters)


def _picture(note: Note) -> Markup | None:
    """The picture as SVG; text in it was escaped by the renderer."""
    if note.picture is None:
        return None
    import vl_convert

    spec: dict[str, Any] = note.picture
    return Markup(vl_convert.vegalite_to_svg(spec))
