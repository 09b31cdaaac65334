"""A note as one HTML file: it prints on one page, and forbids that anything in it be fetched or run."""

from __future__ import annotations

import re

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from dashboard.notes import fonts, pictures
from dashboard.notes.model import Note

#: Every value is escaped for HTML, and there is no other way into the page but the picture.
_PAGES = Environment(loader=PackageLoader("dashboard", "notes"), autoescape=True, trim_blocks=True, lstrip_blocks=True)
#: The highest of the pictures.
_DRAWN_PX = 265
#: Within HTML a picture needs no name spaces, and a page without an address in it is easily seen to fetch nothing.
_NAME_SPACE = re.compile(r' xmlns(:\w+)?="[^"]*"')


def write(note: Note) -> bytes:
    """The note as HTML in UTF-8."""
    drawn = Markup(_NAME_SPACE.sub("", pictures.svg(note.picture, fonts.SCREEN))) if note.picture else None
    return _PAGES.get_template("note.html.j2").render(note=note, drawn=drawn).encode()


def heights(note: Note) -> tuple[int, int]:
    """About how high the page is on a screen and on a phone, in pixels: rather too high, for a frame that holds it.

    The frame cannot measure it: that would need a script in the page, and the page forbids all of them. Found by
    measuring notes of the sample firm in a browser; where it is too little the frame scrolls.
    """
    letters = sum(map(len, note.texts()))
    drawn, table = (0, 0) if note.picture is None else (_DRAWN_PX, 70 if note.picture.table else 0)
    return round(450 + 0.26 * letters + drawn + table), round(510 + 0.57 * letters + 0.8 * drawn + table)
