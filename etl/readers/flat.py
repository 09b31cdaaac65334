"""What a reader of flat tables gives: text rows that DuckDB can take, and the rows that could not be taken apart."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import dataclass, field, replace
from itertools import islice
from typing import NamedTuple

import pyarrow as pa

from etl import contract, input_tables, values
from etl.errors import SourceError
from etl.input_tables import FURTHER, OBSERVATIONS
from etl.private import masked, printable

#: Columns that ``evenhand rejects`` puts before those of the contract; skipped when such a file comes back.
REJECT_COLUMNS = ("file", "row", "reasons")

#: Of these, what says which refused row was mended, as it is called among the rows received.
MENDED_COLUMNS = {"file": "mended_file", "row": "mended_row"}

#: Text that a spreadsheet would take for a formula goes out of the program with an apostrophe before it.
_GUARDED = re.compile(r"'(?=\s*[=+\-@＝＋－＠])")

#: So much of a label is told.
_LONGEST_LABEL = 80

#: In a table of refused rows of several input tables, the column that says of which each is; and what such a table is.
TABLE_COLUMN = "table"
MIXED = "mixed"


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
        The columns of its input table in the file, in the file's order.
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
    table
        The input table that its rows are of.
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
    table: str = OBSERVATIONS


class Header(NamedTuple):
    """A header taken apart: the input table that it is of, that table's columns, and those that nobody knows."""

    table: str
    known: list[str]
    unknown: list[str]


def column_name(text: object) -> str:
    """A header cell as the contract would write it: ``Report ID`` is ``report_id``."""
    return values.read_word(str(text or "").strip(values.BLANKS + "\ufeff"))


def sort_header(header: list[str]) -> Header:
    """Split a header into the columns of the input table that it is of, and unknown ones.

    Raises
    ------
    SourceError
        Where a column stands twice, or where a required one is missing.
    """
    names = [column_name(cell) for cell in header]
    rejects = is_rejects(header)
    mixed = rejects and TABLE_COLUMN in names
    further = None if mixed else input_tables.recognized(names)
    table = MIXED if mixed else further.name if further else OBSERVATIONS
    known = [name for name in names if name in _columns_of(table)]
    twice = sorted({name for name in known if known.count(name) > 1})
    if twice:
        raise SourceError(f"the column {', '.join(twice)} stands twice in its header; keep one of them")
    if not mixed:
        _demand(table, known, names)
    skipped = REJECT_COLUMNS if rejects else ()
    # A cell of the header without a name, as trailing commas leave behind, names no column.
    unknown = [cell for cell, name in zip(header, names, strict=True) if name and name not in (*known, *skipped)]
    return Header(table, known, few_labels(unknown))


def _columns_of(table: str) -> Collection[str]:
    return {*all_columns(), TABLE_COLUMN} if table == MIXED else input_tables.columns_of_table(table)


def all_columns() -> set[str]:
    """The columns of all input tables."""
    return {*contract.columns(), *(name for table in FURTHER.values() for name in table.columns)}


def _demand(table: str, known: Collection[str], names: Collection[str]) -> None:
    columns = input_tables.columns_of_table(table).values()
    missing = [column.name for column in columns if column.required and column.name not in known]
    if missing:
        what = "an input table" if table == OBSERVATIONS else f"a table of {FURTHER[table].title}"
        # A first row without a single known name may be no header, but the first row of somebody's data.
        found = ", ".join(few_labels([name for name in names if name], 8)) if known else "none that is known"
        raise SourceError(
            f"it lacks the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}; "
            f"every row of {what} needs them, and its first row must name them (found: {found})"
        )


def few_labels(labels: Collection[str], most: int = 40) -> list[str]:
    """Labels of a file as they may be told and stored: the first ones, short, printable, without private matters."""
    told = [printable(masked(label[:_LONGEST_LABEL])) for label in islice(labels, most)]
    return [*told, f"and {len(labels) - most:,} more"] if len(labels) > most else told


def by_table(flat: Flat) -> list[Flat]:
    """A table of refused rows of several input tables as one table each; any other as it is.

    Raises
    ------
    SourceError
        Where there are observations among them, and a column that each of these needs is missing.
    """
    if flat.table != MIXED or flat.rows is None:
        return [flat]
    of = [_table_named(cell) for cell in flat.rows[TABLE_COLUMN].to_pylist()]
    broken = [(_table_named(item.received.get(TABLE_COLUMN)), item) for item in flat.broken]
    found = []
    for table in dict.fromkeys([*of, *(name for name, _ in broken)]):
        columns = [name for name in flat.columns if name in input_tables.columns_of_table(table)]
        if table == OBSERVATIONS:
            _demand(table, columns, columns)
        kept = flat.rows.filter(pa.array([name == table for name in of]))
        mended = [name for name in MENDED_COLUMNS.values() if name in kept.column_names]
        rows = kept.select(["row_no", *columns, *mended])
        own = [item for name, item in broken if name == table]
        found.append(replace(flat, columns=columns, rows=rows, broken=own, table=table, notices=[], unknown=[]))
    if found:
        found[0].notices, found[0].unknown = flat.notices, flat.unknown
    return found


def _table_named(cell: str | None) -> str:
    name = column_name(cell)
    return name if name in FURTHER else OBSERVATIONS


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


def text_table(columns: list[str], rows: list[tuple[int, list[str | None]]], guarded: bool = False) -> pa.Table:
    """An Arrow table of text with ``row_no``, from rows with their place; ``guarded``: see :func:`without_guard`."""
    if guarded:
        rows = [(place, [without_guard(cell) for cell in cells]) for place, cells in rows]
    places = pa.array([place for place, _ in rows], pa.int64())
    by_column = [pa.array([cells[i] for _, cells in rows], pa.string()) for i in range(len(columns))]
    return pa.table([places, *by_column], names=["row_no", *columns])
