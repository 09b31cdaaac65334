"""A note as one HTML file: it prints on one page, carries its fonts, and forbids that anything be fetched or run."""

from __future__ import annotations

import re

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from dashboard.notes import fonts, pictures
from dashboard.notes.model import Note

#: Every value is escaped for HTML, and there is no other way into the page but the picture.
_PAGES = Environment(loader=PackageLoader("dashboard", "notes"), autoescape=True, trim_blocks=True, lstrip_blocks=True)
#: Within HTML a picture needs no name spaces, and a page without an address in it is easily seen to fetch nothing.
_NAME_SPACE = re.compile(r' xmlns(:\w+)?="[^"]*"')


def write(note: Note) -> bytes:
    """The note as HTML in UTF-8."""
    drawn = Markup(_NAME_SPACE.sub("", pictures.svg(note.picture, fonts.PRINT))) if note.picture else None
    return _PAGES.get_template("note.html.j2").render(note=note, drawn=drawn, faces=fonts.faces()).encode()
