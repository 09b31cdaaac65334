"""The tables of a proposed layout: in which files they stand and where, how they are joined, what is skipped."""

from __future__ import annotations

from collections import Counter

from etl import contract
from etl.layout.found import Shape
from etl.layout.model import UNKNOWN
from etl.layout.proposal.dates import order_here, orders
from etl.layout.proposal.draft import Draft
from etl.layout.proposal.file_names import file_pattern
from etl.layout.spelling import catalog
from etl.layout.tables import Labeled
from etl.layout.toml import Writer
from etl.private import masked
from etl.readers.grid import Grid
from etl.readers.grid import named as encoding_named

_TOTALS_AT_MOST = 0.2


def write_tables(draft: Draft, shape: Shape) -> None:
    """Tables with the same labels: those that are read alike are written once."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for number, table in enumerate(shape.tables):
        dates = order_here(draft, number) if shape is draft.main else None
        key = (str(table.table.model_dump(exclude={"sheets"})), table.table.sheets, dates)
        groups.setdefault(key, []).append(number)
    for numbers in groups.values():
        _write_table(draft, shape, numbers, len(groups) == 1 and not draft.joined)


def _write_table(draft: Draft, shape: Shape, numbers: list[int], alone: bool) -> None:
    """Tables that are read alike, by their numbers; ``alone`` where there are no others."""
    out, first = draft.out, shape.tables[numbers[0]]
    grid = shape.grids[numbers[0]] if shape.grids else None
    out.table("tables", many=True)
    if shape is not draft.main:
        out.pair("name", shape.name)
    out.pair("files", file_pattern(draft, [shape.tables[n].file for n in numbers], alone))
    _write_place(out, first, grid)
    asks = list(shape.asks)
    if grid and grid.encoding:
        _write_encoding(draft, shape, numbers, asks)
    if shape.header is not None and not shape.header.sure:
        asks.append(f"Is row {first.table.header_row} the header ({', '.join(shape.labels[:6])})?")
    order = order_here(draft, numbers[0]) if shape is draft.main else None
    if order and len(set(orders(draft))) > 1:
        known = order != UNKNOWN
        out.pair("dates", order, f"proved in {first.file}" if known else '"month day year" or "day month year"')
    if filled := _fill_down(draft, shape, numbers):
        out.pair("fill_down", filled)
        asks.append(f"Does a blank in {', '.join(filled)} mean what stands above it?")
    if shape.join:
        out.inline("join", shape.join)
        if not shape.join_sure:
            asks.append("Is the table joined by these columns? Their cells are the same, their labels are not.")
    if asks:
        out.question(" ".join(asks))
    if shape is draft.main:
        _write_skips(draft, shape)


def _write_place(out: Writer, first: Labeled, grid: Grid | None) -> None:
    """Where in its file a table stands."""
    if first.table.sheets:
        out.pair("sheets", first.table.sheets)
    if first.table.each:
        out.pair("each", first.table.each)
    elif first.table.form:
        out.pair("form", True)
    elif not (first.table.each is None and grid is None):
        out.pair("header_row", first.table.header_row)
        if first.table.header_rows > 1:
            out.pair("header_rows", first.table.header_rows, "a band above the labels")


def _write_encoding(draft: Draft, shape: Shape, numbers: list[int], asks: list[str]) -> None:
    """How the text of delimited files is stored, where it is the same in each; asked where it was guessed."""
    grids = [shape.grids[n] for n in numbers]
    grid = grids[0]
    assert grid.encoding is not None
    if len({(g.encoding, g.delimiter) for g in grids}) > 1:
        return  # found in each file anew
    odd = next((cell for g in grids for _, cells in g.rows for cell in cells if cell and not cell.isascii()), None)
    if grid.encoding != "utf-8":
        note = f"{encoding_named(grid.encoding)}"
        draft.out.pair("encoding", grid.encoding, note)
    if grid.delimiter:
        draft.out.pair("delimiter", grid.delimiter)
    if odd and not all(g.sure for g in grids):
        asks.append(
            f"The text is not UTF-8. Read as {encoding_named(grid.encoding)}, does '{masked(odd)[:60]}' look right?"
        )


def _fill_down(draft: Draft, shape: Shape, numbers: list[int]) -> list[str]:
    """Columns in which only the first row of a report is filled, as they are called in these tables."""
    found: list[str] = []
    tables = [shape.tables[number] for number in numbers]
    for name in ("report_id", *contract.level_columns("report")[1:], *contract.level_columns("deck")):
        choice = draft.chosen.columns.get(name)
        if choice is None or choice.table is not None or shape is not draft.main:
            continue
        label = next((each for each in (choice.label, *choice.else_from) if tables[0].column(each)), None)
        cells = [cell for table in tables for cell in table.column(label) or []] if label else []
        blank = sum(cell is None for cell in cells) / len(cells) if cells else 0
        if label and cells and cells[0] is not None and 0.25 < blank < 0.97 and (name == "report_id" or found):
            found.append(label)
    return found


def _write_skips(draft: Draft, shape: Shape) -> None:
    """Rows that sum up others or stand below the table: few cells, and a first one that begins as such rows do."""
    found: Counter[str] = Counter()
    for table, grid in zip(shape.tables, shape.grids, strict=False):
        labels, last = list(table.columns), table.table.header_row + table.table.header_rows - 1
        for cells in (cells for place, cells in grid.rows if place > last and not table.table.form):
            filled = [place for place, cell in enumerate(cells) if cell is not None]
            first = (cells[filled[0]] or "").casefold()
            start = next((start for start in catalog()["totals"]["starts"] if first.startswith(start)), None)
            if start and len(filled) <= max(0.5 * len(labels), 2) and filled[0] < len(labels):
                found[start] += 1
    if found.total() > _TOTALS_AT_MOST * shape.n_rows + 3:
        return
    for start, count in found.items():
        draft.out.table("tables", "skip", many=True)
        draft.out.pair("starts", start, f"{count} row{'s' * (count != 1)}")
        draft.out.question(f"Are rows that begin with '{start}' no observations?")
