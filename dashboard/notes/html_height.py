"""How high a note as HTML is at each width: for a frame that must know it, since no script in the note may measure it.

It follows the style sheet of ``note.html.j2``, whose sizes are said again here; a browser test compares the two.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import pairwise

from dashboard.notes import fonts
from dashboard.notes.model import Note

#: The page is never wider than this, padding included, and is set smaller up to a phone's width.
WIDEST_PX, _PHONE_PX = 728, 544
_LEADING = 1.45
_SMALL, _TEXT = 14, 16
_P = 3.2  # margin above and below a paragraph
#: Wide enough for any sign that the fonts lack.
_OTHER_SIGN_EM = 0.6
#: More than a line more or less, which a font of the reader's own would make.
_SLACK_PX = 16
_PICTURE = re.compile(r'<svg[^>]*?\bwidth="([\d.]+)"[^>]*?\bheight="([\d.]+)"')

#: Margin above, height, margin below; family and weight of a font.
_Block = tuple[float, float, float]
_Face = tuple[str, int]
_HEADING: _Block = (18.4, 26.1, 4)
_SANS, _SANS_STRONG = ("Source Sans Pro", 400), ("Source Sans Pro", 600)
_SERIF, _SERIF_STRONG = ("Source Serif Pro", 400), ("Source Serif Pro", 600)


def height(note: Note, page: str, width: float) -> int:
    """How high the page is where it is ``width`` pixels wide.

    Parameters
    ----------
    note, page
        The note, and what ``html_writer.write`` made of it.
    """
    padding = (24, 16) if width <= _PHONE_PX else (36, 20)
    inner = min(WIDEST_PX, width) - 2 * padding[1]
    blocks = list(_blocks(note, page, inner, width <= _PHONE_PX))
    gaps = sum(max(one[2], other[0]) for one, other in pairwise(blocks))  # margins that meet are one
    high = sum(block[1] for block in blocks) + gaps + blocks[0][0] + blocks[-1][2]
    return round(high + 2 * padding[0] + _SLACK_PX)


def _blocks(note: Note, page: str, width: float, phone: bool) -> Iterator[_Block]:
    yield _paragraph(note.kicker, width, _SMALL)
    yield 2.4, 36.8 * _lines([(note.title, _SERIF_STRONG)], width / 32), 8
    seen = [(part.text, _SERIF_STRONG if part.strong else _SERIF) for part in note.seen]
    yield _P, 26.88 * _lines(seen, width / 19.2), _P
    yield _HEADING
    yield _paragraph(note.rule, width)
    yield _paragraph(note.source, width, _SMALL)
    if note.picture and (drawn := _PICTURE.search(page)):
        wide, high = map(float, drawn.groups())
        yield _HEADING
        yield 8, high * min(1, width / wide) + _paragraph(note.picture.caption, width, _SMALL)[1], 0
        if rows := len(note.picture.table):
            yield 0, 16 + rows * ((12 if phone else _TEXT) * _LEADING + 3.2), 0
    yield _HEADING
    habit = [_paragraph(note.habit, width - 16.8, 17.6), _paragraph(note.record, width - 16.8, _SMALL)]
    yield 0, 3.2 + _stacked([block for block in habit if block[1]]), 0
    if note.cases:
        yield _HEADING
        yield 0, _cases(note, width), 0
    yield 14.4, _paragraph(note.judged, width, _SMALL)[1], _P
    foot = [_paragraph(text, width, _SMALL) for text in (note.cautions, note.origin)]
    yield 17.6, 9 + _stacked(foot), 0


def _cases(note: Note, width: float) -> float:
    columns = min(len(note.cases), max(1, int((width + 24) // 224)))
    column = (width - 24 * (columns - 1)) / columns
    cells = []
    for case in note.cases:
        told = [(f"{case.glyph} {case.heading} ", _SANS_STRONG), (case.comment, _SANS)]
        cells.append(_stacked([(_P, 15 * _LEADING * _lines(told, column / 15), _P), _paragraph(case.why, column, 14)]))
    rows = [max(cells[at : at + columns]) for at in range(0, len(cells), columns)]
    return sum(rows) + 8 * (len(rows) - 1)


def _stacked(paragraphs: list[_Block]) -> float:
    """Paragraphs in a box that keeps their margins in."""
    return sum(block[1] for block in paragraphs) + _P * (len(paragraphs) + 1)


def _paragraph(text: str, width: float, size: float = _TEXT) -> _Block:
    return (_P, size * _LEADING * _lines([(text, _SANS)], width / size), _P) if text else (0, 0, 0)


def _lines(pieces: list[tuple[str, _Face]], room: float) -> int:
    """How many lines of ``room`` em the pieces of a text take, each in its own font."""
    lines, line, word = 1, 0.0, 0.0
    for text, face in [*pieces, (" ", _SANS)]:
        advances = _advances(face)
        for sign in text:
            if sign != " ":
                word += advances.get(ord(sign), _OTHER_SIGN_EM)
                continue
            if line and line + word > room:
                lines, line = lines + 1, 0.0
            line, word = line + word + advances.get(32, 0.25), 0.0
    return lines


@cache
def _advances(face: _Face) -> dict[int, float]:
    return next((known.advances for known in fonts.faces() if (known.family, known.weight) == face), {})
