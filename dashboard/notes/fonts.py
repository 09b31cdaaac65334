"""The fonts that a note is set in where it carries its own: packages with nothing but font files in them."""

from __future__ import annotations

import base64
import io
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

_PACKAGES = ("font_source_sans_pro", "font_source_serif_pro")
#: Font families, the first that is there counts. "Liberation Sans" is built into the chart renderer, "Libertinus
#: Serif" and "DejaVu Sans Mono" into the PDF writer: it has the round glyphs that the first lacks.
SANS = ("Source Sans Pro", "Liberation Sans", "Libertinus Serif", "DejaVu Sans Mono")
SERIF = ("Source Serif Pro", "Libertinus Serif", "DejaVu Sans Mono")
#: For pictures: widths are measured in the first.
PRINT = "Source Sans Pro, Liberation Sans, sans-serif"
#: What a page carries: the family, its weight, its file.
_FACES = (
    ("Source Sans Pro", 400, "SourceSansPro-Regular.ttf"),
    ("Source Sans Pro", 600, "SourceSansPro-Semibold.ttf"),
    ("Source Serif Pro", 400, "SourceSerifPro-Regular.ttf"),
    ("Source Serif Pro", 600, "SourceSerifPro-Semibold.ttf"),
)
#: The signs that a page carries: Latin letters, punctuation, fractions and primes, arrows, comparisons, glyphs of
#: outcomes. A comment in another script is shown in a font of the reader's machine.
_SIGNS = (
    *(range(0x20, 0x7F), range(0xA0, 0x180), range(0x2010, 0x2028), range(0x202F, 0x2045), range(0x2150, 0x215F)),
    *(range(0x2190, 0x2194), range(0x2212, 0x2213), range(0x2260, 0x2266), range(0x25A0, 0x25D0)),
)
_FEATURES = ("kern", "liga", "tnum", "lnum", "ccmp", "mark", "locl")


@dataclass(frozen=True)
class Face:
    """A font that a page carries.

    Attributes
    ----------
    family, weight
        As CSS names them.
    woff
        The file in base64.
    advances
        How wide each sign is, in em, by its code point.
    """

    family: str
    weight: int
    woff: str
    advances: dict[int, float]


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


@cache
def faces() -> tuple[Face, ...]:
    """The fonts that a page carries, cut down to the signs that it may need; empty where the packages are not there.

    Cut once a process, within a second.
    """
    files = {file.name: file for folder in folders() for file in folder.iterdir()}
    return tuple(_cut(family, weight, files[name]) for family, weight, name in _FACES if name in files)


def _cut(family: str, weight: int, file: Path) -> Face:
    from fontTools import subset

    options = subset.Options(hinting=False, layout_features=list(_FEATURES))
    font = subset.load_font(str(file), options)
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=[sign for signs in _SIGNS for sign in signs])
    cutter.subset(font)
    em, widths = font["head"].unitsPerEm, font["hmtx"]
    advances = {sign: widths[glyph][0] / em for sign, glyph in font.getBestCmap().items()}
    font.flavor = "woff"
    written = io.BytesIO()
    font.save(written)
    return Face(family, weight, base64.b64encode(written.getvalue()).decode(), advances)
