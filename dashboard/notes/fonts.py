"""The fonts that a note is set in where it carries its own: packages with nothing but font files in them."""

from __future__ import annotations

from functools import cache
from importlib.util import find_spec
from pathlib import Path

_PACKAGES = ("font_source_sans_pro", "font_source_serif_pro")
#: Font families, the first that is there counts. "Liberation Sans" is built into the chart renderer, "Libertinus
#: Serif" and "DejaVu Sans Mono" into the PDF writer: it has the round glyphs that the first lacks.
SANS = ("Source Sans Pro", "Liberation Sans", "Libertinus Serif", "DejaVu Sans Mono")
SERIF = ("Source Serif Pro", "Libertinus Serif", "DejaVu Sans Mono")
#: For pictures in print, and for pictures in a page, whose reader has other fonts: widths are measured in the first.
PRINT = "Source Sans Pro, Liberation Sans, sans-serif"
SCREEN = "Helvetica, Arial, Liberation Sans, sans-serif"


def folders() -> list[Path]:
    """The folders of the font files that are installed; empty where the packages are not there."""
    found = [find_spec(package) for package in _PACKAGES]
    places = [Path(place) / "files" for spec in found if spec for place in spec.submodule_search_locations or ()]
    return [place for place in places if place.is_dir()]


@cache
def register() -> None:
    """Make the fonts known to the renderer of charts, once a process."""
    import vl_convert

    for folder in folders():
        vl_convert.register_font_directory(str(folder))
