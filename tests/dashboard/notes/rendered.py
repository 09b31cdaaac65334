"""Notes as pictures of their pages: what a reader would see at once, looked at pixel by pixel."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image

from dashboard.charts import theme
from dashboard.notes import CasePack, Note, pdf_writer, pictures, render

_PPI = 40
#: US letter; less than the margins that the templates leave, a page number below them.
_WIDTH_IN, _HEIGHT_IN, _LEFT_IN, _TOP_IN, _BOTTOM_IN = 8.5, 11, 0.75, 0.6, 0.4
#: So many pixels of a mark's own color are a mark.
_LEAST_PX = 30


def pages(told: Note | CasePack) -> list[np.ndarray]:
    """The pages of the PDF as rows x columns x RGB."""
    made = pdf_writer._compiler(False).compile(
        pdf_writer._template(told.layout), format="png", ppi=_PPI, sys_inputs=pdf_writer._inputs(told)
    )
    files = made if isinstance(made, list) else [made]
    return [np.asarray(Image.open(io.BytesIO(file)).convert("RGB")) for file in files]


def check_looks(told: Note | CasePack) -> None:
    """No sign is lacking, nothing runs over the margins or an end of the page, no picture is empty."""
    # The writer refuses this standard where a font lacks a sign.
    assert b"pdfuaid:part" in render(told, ".pdf"), told.title
    for page in pages(told):
        assert page.shape[:2] == (_HEIGHT_IN * _PPI, _WIDTH_IN * _PPI)
        rows, columns = np.nonzero((page < 250).any(axis=2))
        assert rows.size > 500, "an empty page"
        left, right = columns.min() / _PPI, _WIDTH_IN - columns.max() / _PPI
        top, bottom = rows.min() / _PPI, _HEIGHT_IN - rows.max() / _PPI
        assert min(left, right) > _LEFT_IN, told.title
        assert (top > _TOP_IN, bottom > _BOTTOM_IN) == (True, True), told.title
    if isinstance(told, Note) and told.picture:
        assert _marks(told) >= _LEAST_PX, told.title


def _marks(note: Note) -> int:
    """How many pixels of the note's picture have the color of a mark."""
    assert note.picture is not None
    drawn = np.asarray(Image.open(io.BytesIO(pictures.png(note.picture))).convert("RGB"))
    outcomes = {theme.LIGHT.outcome(outcome) for outcome in ("upheld", "overcalled", "missed", "undecided")}
    colors = [tuple(int(color[at : at + 2], 16) for at in (1, 3, 5)) for color in outcomes]
    return int(sum((drawn == color).all(axis=2).sum() for color in colors))
