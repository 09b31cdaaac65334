"""Which row of a grid is the header: under titles, bands, merged cells and blank rows."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise

from etl.layout.aliases import column_like, is_private, like
from etl.layout.tables import Cells, carried, labels_of, plain
from etl.layout.written import numeric_date, spelled_date, unit_named
from etl.readers.grid import Grid

_LOOKED_AT = 60
#: With this many labels that are known a header is beyond doubt.
_SURE = 3


@dataclass
class Header:
    """Where a header stands, its labels, and how many of them are known."""

    row: int
    n_rows: int
    labels: list[str]
    known: int

    @property
    def sure(self) -> bool:
        return self.known >= _SURE


def is_data(cell: str) -> bool:
    """Whether a cell is a number, a date or a sentence rather than a label."""
    return (
        re.fullmatch(r"[-+]?[\d.,/½¼¾ ]+[\"']?", cell) is not None
        or numeric_date(cell) is not None
        or spelled_date(cell) is not None
        or len(cell) > 60
    )


def known_labels(labels: list[str]) -> int:
    """How many labels name a column of the contract, a topic, or a private matter."""
    found = 0
    for label in labels:
        last = label.split(" / ")[-1].split(".")[-1]
        names = (column_like(label), column_like(last), like(label, "topics"))
        found += any(name is not None and name.sure for name in names) or is_private(label)
    return found


def find_header(grid: Grid) -> Header | None:
    """The header of a grid; None where no row looks like one."""
    rows = [(place, cells) for place, cells in grid.rows[:_LOOKED_AT]]
    width = max((_filled(cells) for _, cells in grid.rows[:500]), default=0)
    best: tuple[float, int] | None = None
    for number, (_, cells) in enumerate(rows):
        labels = [cell for cell in dict.fromkeys(cells) if cell]
        if len(labels) < 2 or len(labels) < 0.4 * width:
            continue
        data = sum(is_data(cell) for cell in labels)
        score = 3 * known_labels(labels) + len(labels) - 4 * data - 0.01 * number
        if best is None or score > best[0]:
            best = (score, number)
    if best is None or best[0] <= 0:
        return None
    place, cells = rows[best[1]]
    if best[1] > 0 and rows[best[1] - 1][0] == place - 1 and _is_band(rows[best[1] - 1][1], cells):
        band = rows[best[1] - 1][1]
        rows_of_header = [carried(band), cells, *_units_below(rows, best[1])]
        labels = labels_of(rows_of_header)
        return Header(place - 1, len(rows_of_header), labels, known_labels(labels_of(rows_of_header[:2])))
    units = _units_below(rows, best[1])
    known = known_labels([cell for cell in cells if cell])
    return Header(place, 1 + len(units), labels_of([cells, *units]), known)


def _units_below(rows: list[tuple[int, Cells]], number: int) -> list[Cells]:
    """The row right below a header where it says the units: most of its cells are one."""
    if number + 1 >= len(rows) or rows[number + 1][0] != rows[number][0] + 1:
        return []
    texts = [cell.strip("()[]") for cell in rows[number + 1][1] if cell]
    return (
        [rows[number + 1][1]]
        if texts and sum(unit_named(text) is not None for text in texts) > 0.5 * len(texts)
        else []
    )


def _filled(cells: Cells) -> int:
    return sum(cell is not None for cell in cells)


def _is_band(above: Cells, header: Cells) -> bool:
    """Whether a row groups the labels below it: over several columns each, and no line of facts, ``Office: North``."""
    texts = [cell for cell in dict.fromkeys(above) if cell]
    if not texts or any(":" in text or is_data(text) for text in texts):
        return False
    if len(texts) == 1 and _filled(above) in (1, len(above)):
        return False  # a title
    labels = [plain(cell) for cell in header if cell]
    repeated = len(set(labels)) < len(labels)
    merged_down = any(a is not None and a == b for a, b in zip(above, header, strict=False))
    spans = any(a is not None and a == b for a, b in pairwise(above))
    return repeated or merged_down or spans
