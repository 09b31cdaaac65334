"""The cells of a file as they stand, for a layout: which row is the header is not decided here."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field
from pathlib import Path

from etl import values
from etl.errors import SourceError
from etl.readers import limits
from etl.readers.columnar import text_of_parquet
from etl.readers.delimited import (
    DELIMITERS,
    ENCODING_NAMES,
    STRAY_QUOTE,
    as_utf8,
    examine,
    records,
)
from etl.readers.workbook import workbook_cells

#: Rows from which the delimiter is found.
_LOOKED_AT = 200
#: Characters of Windows-1252 that reports in English have: others say that it is another encoding.
_PLAIN_1252 = re.compile(r"[\x00-\x7f½¼¾°×·±²³µ–—‘’“”•…™®©§\u00a0£€´À-ÖØ-öø-ÿŒœŠšŽžŸ]*")

Cells = list[str | None]


@dataclass
class Grid:
    """The cells of a sheet, or of a whole file where it has no sheets.

    Attributes
    ----------
    sheet
        Its name; None where the file has no sheets.
    rows
        The rows that are not blank, each with its number in the file, from 1. Blank cells are None.
    broken
        Rows that could not be taken apart, with why.
    encoding, delimiter
        As found, or as told; None where the file has none.
    from_1904
        Whether bare numbers for days count from 1904.
    sure
        Whether the encoding is beyond doubt.
    """

    sheet: str | None
    rows: list[tuple[int, Cells]]
    broken: list[tuple[int, str]] = field(default_factory=list)
    encoding: str | None = None
    delimiter: str | None = None
    from_1904: bool = False
    sure: bool = True


def read_grids(path: Path, scratch: Path, encoding: str | None = None, delimiter: str | None = None) -> list[Grid]:
    """The grids of a workbook (one a visible sheet), of a delimited file or of a Parquet file.

    Raises
    ------
    SourceError
        Where the whole file cannot be read.
    """
    match path.suffix.lower():
        case ".xlsx" | ".xlsm":
            return [
                Grid(name, _rows(table.to_pydict()), from_1904=from_1904)
                for name, from_1904, table in workbook_cells(path, scratch)
            ]
        case ".parquet":
            table = text_of_parquet(path, scratch)
            header: tuple[int, Cells] = (1, list(table.column_names[1:]))
            return [Grid(None, [header, *_rows(table.to_pydict())])]
        case _:
            return [_delimited(path, scratch, encoding, delimiter)]


def _rows(columns: dict[str, list[str | None]]) -> list[tuple[int, Cells]]:
    places = columns.pop("row_no")
    return [
        (int(place or 0), list(cells)) for place, cells in zip(places, zip(*columns.values(), strict=True), strict=True)
    ]


def _delimited(path: Path, scratch: Path, encoding: str | None, delimiter: str | None) -> Grid:
    encoding = encoding or _without_mark(path) or examine(path)[0]
    readable = path if encoding == "utf-8" else as_utf8(path, encoding, scratch)
    if encoding != "utf-8":
        examine(readable)
    delimiter = delimiter or _delimiter(readable)
    found = Grid(None, [], encoding=encoding, delimiter=delimiter)
    n_cells = 0
    for row_no, cells in records(readable, delimiter):
        if isinstance(cells, csv.Error):
            found.broken.append((row_no, f"not_readable: {STRAY_QUOTE}"))
            limits.check_broken(len(found.broken), f"row {found.broken[0][0]}, {found.broken[0][1]}")
        else:
            limits.check_columns(len(cells))
            n_cells += len(cells)
            limits.check_cells(n_cells)
            found.rows.append((row_no, [cell.strip(values.BLANKS) or None for cell in cells]))
    if not found.rows:
        raise SourceError("it is empty; export it again")
    found.sure = encoding != "cp1252" or all(
        _PLAIN_1252.fullmatch(cell) for _, cells in found.rows for cell in cells if cell and not cell.isascii()
    )
    return found


def _without_mark(path: Path) -> str | None:
    """UTF-16 that does not say so at its start: every other byte of English text is then a NUL."""
    with path.open("rb") as file:
        start = file.read(4096)
    if len(start) < 4 or start[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return None
    pairs = len(start) // 2
    even, odd = start[0 : 2 * pairs : 2].count(0), start[1 : 2 * pairs : 2].count(0)
    if odd > 0.8 * pairs and even < 0.05 * pairs:
        return "utf-16-le"
    return "utf-16-be" if even > 0.8 * pairs and odd < 0.05 * pairs else None


def _delimiter(path: Path) -> str:
    """The sign that cuts most rows into the same number of cells, more than one."""

    def score(sign: str) -> tuple[float, int]:
        widths: list[int] = []
        for number, (_, cells) in enumerate(records(path, sign)):
            if number >= _LOOKED_AT:
                break
            widths.append(1 if isinstance(cells, csv.Error) else len(cells))
        usual = max(set(widths), key=lambda width: (widths.count(width), width), default=1)
        # Rows above a header are short, so that a table of half the file is enough; wider is then better.
        return (widths.count(usual) * (usual - 1), usual)

    def safe(sign: str) -> tuple[float, int]:
        try:
            return score(sign)
        except SourceError:  # a quote that this sign does not close
            return (-1, 0)

    return max(DELIMITERS, key=safe)


def named(encoding: str) -> str:
    """An encoding as people call it."""
    return ENCODING_NAMES.get(encoding, encoding.upper())
