"""A note or a case pack as one HTML file: it carries its fonts, and forbids that anything be fetched or run."""

from __future__ import annotations

import re

from jinja2 import Environment, PackageLoader
from markupsafe import Markup

from dashboard.notes import fonts, pictures
from dashboard.notes.model import CasePack, Note

#: Every value is escaped for HTML, and there is no other way into the page but the picture.
_PAGES = Environment(loader=PackageLoader("dashboard", "notes"), autoescape=True, trim_blocks=True, lstrip_blocks=True)
#: Within HTML a picture needs no name spaces, and a page without an address in it is easily seen to fetch nothing.
_NAME_SPACE = re.compile(r' xmlns(:\w+)?="[^"]*"')


def write(told: Note | CasePack) -> bytes:
    """The note or the pack as HTML in UTF-8."""
    picture = told.picture if isinstance(told, Note) else None
    drawn = Markup(_NAME_SPACE.sub("", pictures.svg(picture, fonts.PRINT))) if picture else None
    template = _PAGES.get_template(f"{told.layout}.html.j2")
    return template.render(note=told, drawn=drawn, faces=fonts.faces()).encode()
