"""What a reader of flat tables gives: text rows that DuckDB can take, and the rows that could not be taken apart."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import pyarrow as pa

from etl import contract, values
from etl.errors import NotYetError, SourceError

#: Columns that ``evenhand rejects`` puts before those of the contract; skipped when such a file comes back.
REJECT_COLUMNS = ("file", "row", "reasons")

#: Of these, what says which refused row was mended, as it is called among the rows received.
MENDED_COLUMNS = {"file": "mended_file", "row": "mended_row"}

#: Text that a spreadsheet would take for a formula goes out of the program with an apostrophe before it.
_GUARDED = re.compile(r"'(?=\s*[=+\-@＝＋－＠])")

#: Tables of the contract that this release does not load, by columns that only they have.
NOT_YET = {
    "second looks": {"looked_by", "looked_on", "ruling"},
    "calibration rounds": {"round_id", "item_id"},
    "training sessions": {"session_id", "held_on"},
    "staff": {"inspector_id", "display_name"},
}


@dataclass
class Broken:
    """A row that could not be split into its columns: where, why, and what there was of it."""

    row: int
    reason: str
    received: dict[str, str]


@dataclass
class Flat:
    """Rows of text.

    Attributes
    ----------
    columns
        The contract's columns in the file, in the file's order.
    unknown
        The columns that nobody knows: named, never stored.
    path, delimiter, header, n_lines
        For a clean delimited file: DuckDB reads it itself, all of ``header`` as text; an unknown column has
        a made-up name there. ``n_lines`` is how many rows it must find.
    rows
        Otherwise: an Arrow table of text with ``columns`` and ``row_no`` (1 is the header's row).
    broken
        Rows that could not be taken apart.
    notices
        What was understood by a rule that the reader of the summary should know of.
    part
        The sheet, where a workbook has several.
    guarded
        Whether it is a table of ``evenhand rejects``, whose cells may carry a guard against formulas.
    """

    columns: list[str]
    unknown: list[str]
    rows: pa.Table | None = None
    path: str | None = None
    delimiter: str = ","
    header: list[str] = field(default_factory=list)
    n_lines: int = 0
    broken: list[Broken] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)
    part: str | None = None
    guarded: bool = False


def column_name(text: object) -> str:
    """A header cell as the contract would write it: ``Report ID`` is ``report_id``."""
    return values.read_word(str(text or "").strip(values.BLANKS + "\ufeff"))


def sort_header(header: list[str]) -> tuple[list[str], list[str]]:
    """Split a header into the contract's columns and unknown ones.

    Raises
    ------
    SourceError
        Where a column stands twice, where a required one is missing, or where the table is one
        that is not loaded yet.
    """
    names = [column_name(cell) for cell in header]
    _refuse_other_tables(set(names))
    known = [name for name in names if name in contract.columns()]
    twice = sorted({name for name in known if known.count(name) > 1})
    if twice:
        raise SourceError(f"the column {', '.join(twice)} stands twice in its header; keep one of them")
    missing = [name for name in contract.required_columns() if name not in known]
    if missing:
        raise SourceError(
            f"it lacks the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}; "
            f"every row of an input table needs them, and its first row must name them "
            f"(found: {_few([name for name in names if name])})"
        )
    skipped = REJECT_COLUMNS if is_rejects(header) else ()
    # A cell of the header without a name, as trailing commas leave behind, names no column.
    unknown = [cell for cell, name in zip(header, names, strict=True) if name and name not in (*known, *skipped)]
    return known, unknown


def places_of(names: list[str], known: list[str]) -> dict[str, int]:
    """Where each column to take stands in a header of column names: the known ones, and where a mended row stood."""
    mended = MENDED_COLUMNS if is_rejects(names) else {}
    return {name: names.index(name) for name in known} | {taken: names.index(name) for name, taken in mended.items()}


def is_rejects(header: list[str]) -> bool:
    """Whether the table is one that ``evenhand rejects`` wrote: mended rows on their way back."""
    return set(REJECT_COLUMNS) <= {column_name(cell) for cell in header}


def without_guard(cell: str | None) -> str | None:
    """A cell of such a table as it was received, before it was guarded against being a formula."""
    return _GUARDED.sub("", cell, count=1) if cell and cell.startswith("'") else cell


def _refuse_other_tables(names: set[str]) -> None:
    if "call" in names and "observation_no" in names and "report_id" in names:
        return
    for kind, marks in NOT_YET.items():
        if marks <= names:
            raise NotYetError(kind)


def _few(names: list[str]) -> str:
    return ", ".join(names[:8]) + (" …" if len(names) > 8 else "") if names else "none"


def text_table(columns: list[str], rows: list[tuple[int, list[str | None]]], guarded: bool = False) -> pa.Table:
    """An Arrow table of text with ``row_no``, from rows with their place; ``guarded``: see :func:`without_guard`."""
    if guarded:
        rows = [(place, [without_guard(cell) for cell in cells]) for place, cells in rows]
    places = pa.array([place for place, _ in rows], pa.int64())
    by_column = [pa.array([cells[i] for _, cells in rows], pa.string()) for i in range(len(columns))]
    return pa.table([places, *by_column], names=["row_no", *columns])
