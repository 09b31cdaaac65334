"""A note as PDF: tagged (PDF/UA-1), with its title and the picture's alternative text, on one page where it fits."""

from __future__ import annotations

import json
import re
from datetime import UTC
from functools import cache
from importlib.resources import files
from typing import Any

from dashboard.charts import theme
from dashboard.notes import fonts, pictures
from dashboard.notes.model import Note

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


def write(note: Note) -> bytes:
    """The note as PDF, dated as the snapshot."""
    drawn = pictures.svg(note.picture, fonts.PRINT) if note.picture else ""
    width = _WIDTH.match(drawn)
    inputs = {
        "note": note.model_dump_json(),
        "families": json.dumps({"sans": fonts.SANS, "serif": fonts.SERIF}),
        "glyphs": json.dumps(_GLYPH_COLORS),
        "picture": drawn,
        "width": width.group(1) if width else "0",
    }
    made = _compiler().compile(
        _template(),
        format="pdf",
        sys_inputs=inputs,
        pdf_standards=_STANDARD,
        timestamp=note.made_at.replace(tzinfo=UTC),
    )
    if not isinstance(made, bytes):
        raise TypeError("the PDF writer gave pages instead of a document")
    return made


@cache
def _template() -> bytes:
    return files("dashboard.notes").joinpath("note.typ").read_bytes()


@cache
def _compiler() -> Any:
    """The compiler with its fonts, read once: ours where they are installed, and its own; none of the machine's."""
    import typst

    ours = typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=list(fonts.folders()))
    return typst.Compiler(font_paths=ours)
