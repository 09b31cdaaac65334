"""A note or a case pack as PDF: tagged (PDF/UA-1), with its title and the picture's alternative text.

A note stands on one page where it fits.
"""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from functools import cache
from importlib.resources import files
from typing import Any

from dashboard.charts import theme
from dashboard.notes import fonts, pictures
from dashboard.notes.model import CasePack, Note

_STANDARD = "ua-1"
_WIDTH = re.compile(r'<svg[^>]*\bwidth="([\d.]+)"')
#: Glyphs are text, in the colors that are dark enough for text.
_GLYPH_COLORS = {
    "upheld": theme.LIGHT.upheld,
    "overcalled": theme.LIGHT.overcalled_text,
    "missed": theme.LIGHT.missed_text,
    "understated": theme.LIGHT.missed_text,
    "undecided": theme.LIGHT.soft,
}


def write(told: Note | CasePack) -> bytes:
    """The note or the pack as PDF, dated as the snapshot."""
    made = _compiled(told.layout, _inputs(told), told.made_at.replace(tzinfo=UTC))
    if not isinstance(made, bytes):
        raise TypeError("the PDF writer gave pages instead of a document")
    return made


def _inputs(told: Note | CasePack) -> dict[str, str]:
    """What the template takes: everything it shows, as data."""
    picture = told.picture if isinstance(told, Note) else None
    drawn = pictures.svg(picture, fonts.PRINT) if picture else ""
    width = _WIDTH.match(drawn)
    return {
        "told": told.model_dump_json(),
        "families": json.dumps({"sans": fonts.SANS, "serif": fonts.SERIF}),
        "glyphs": json.dumps(_GLYPH_COLORS),
        "picture": drawn,
        "width": width.group(1) if width else "0",
    }


def _compiled(layout: str, inputs: dict[str, str], made_at: datetime) -> object:
    """The document by our own fonts alone, so that it is the same on every machine.

    Where a comment has signs that these lack, say a picture sign, the machine's fonts help; where no font has them the
    document is tagged all the same, and does not claim the standard, which asks for every sign.
    """
    import typst

    attempts: tuple[tuple[bool, list[str]], ...] = ((False, [_STANDARD]), (True, [_STANDARD]), (True, []))
    for number, (machine, standards) in enumerate(attempts, 1):
        try:
            return _compiler(machine).compile(
                _template(layout), format="pdf", sys_inputs=inputs, pdf_standards=standards, timestamp=made_at
            )
        except typst.TypstError:
            if number == len(attempts):
                raise
    return None


@cache
def _template(layout: str) -> bytes:
    folder = files("dashboard.notes")
    return b"\n".join(folder.joinpath(f"{name}.typ").read_bytes() for name in ("look", layout))


@cache
def _compiler(machine: bool) -> Any:
    """The compiler with its fonts, read once: ours where they are installed, and its own; the machine's if asked."""
    import typst

    known = typst.Fonts(include_system_fonts=machine, include_embedded_fonts=True, font_paths=list(fonts.folders()))
    return typst.Compiler(font_paths=known)
