"""From grids and documents to tables with labeled columns, as a layout says where they stand."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from etl.errors import SourceError
from etl.layout.model import Table
from etl.layout.written import unit_named
from etl.readers import limits
from etl.readers.documents import TOO_DEEP, Documents, documents_of
from etl.readers.flat import Broken
from etl.readers.grid import Cells, Grid

JSON = (".json", ".jsonl", ".ndjson")


@dataclass
class Labeled:
    """A table as a file holds it: columns of text by their labels, each row with its number in the file.

    Attributes
    ----------
    above
        What stands above the header, or beside the rows, by its label.
    skipped
        How many rows the layout says are no observations.
    """

    table: Table
    file: str
    sheet: str | None
    places: list[int]
    columns: dict[str, list[str | None]]
    above: dict[str, str] = field(default_factory=dict)
    broken: list[Broken] = field(default_factory=list)
    skipped: int = 0
    from_1904: bool = False
    is_document: bool = False

    def column(self, label: str) -> list[str | None] | None:
        """The cells of a column, however its label is spaced and capitalized; None where there is none."""
        found = self.columns.get(label)
        if found is None:
            same = {plain(name): cells for name, cells in self.columns.items()}
            found = same.get(plain(label))
        return found


def plain(label: str) -> str:
    """A label without what two people would write differently."""
    return " ".join(label.casefold().split())


# ---- grids -----------------------------------------------------------------------------------------------------------


def labels_of(rows: list[Cells]) -> list[str]:
    """The labels of columns from the rows of a header: a band above goes before what stands below it.

    A blank label is named by its column's letter; one that comes again gets its number.
    """
    width = max(len(row) for row in rows)
    times: Counter[str] = Counter()
    found: list[str] = []
    for place in range(width):
        parts = [" ".join(cell.split()) for row in rows if place < len(row) and (cell := row[place])]
        label = " / ".join(dict.fromkeys(parts)) or f"(column {letter(place)})"
        times[label] += 1
        found.append(f"{label} ({times[label]})" if times[label] > 1 else label)
    return found


def letter(place: int) -> str:
    """The letter by which a spreadsheet names a column, counted from 0."""
    name = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        name = chr(ord("A") + rest) + name
    return name


def carried(row: Cells) -> Cells:
    """A band's row with each cell carried on over the blank ones after it."""
    found: Cells = []
    for cell in row:
        found.append(cell if cell is not None or not found else found[-1])
    return found


def _are_units(row: Cells) -> bool:
    texts = [cell.strip("()[]") for cell in row if cell]
    return sum(unit_named(text) is not None for text in texts) > 0.5 * len(texts)


def header_of(table: Table, grid: Grid) -> tuple[list[str], list[Cells], int] | None:
    """The labels of a grid's columns, the rows of its header, and the last one's number; None where there is none."""
    wanted = range(table.header_row, table.header_row + table.header_rows)
    rows = [(place, cells) for place, cells in grid.rows if place in wanted]
    if not rows:
        return None
    cells = [row for _, row in rows]
    # A band is carried on over the columns that it stands above; a row of units below the labels is not.
    is_band = len(cells) > 1 and any(cell is None for cell in cells[0]) and not _are_units(cells[1])
    return labels_of([carried(cells[0]), *cells[1:]] if is_band else cells), cells, wanted[-1]


def from_grid(table: Table, file: str, grid: Grid) -> Labeled:
    """The table that a layout says stands in a grid.

    Raises
    ------
    SourceError
        Where its header row is not there.
    """
    if table.form:
        return _form(table, file, grid)
    found = header_of(table, grid)
    if found is None:
        raise SourceError(f"row {table.header_row} should be its header and is blank; correct header_row in the layout")
    labels, header, last = found
    width = len(labels)
    result = Labeled(table, file, grid.sheet, [], {}, above(grid, table.header_row), from_1904=grid.from_1904)
    kept: list[Cells] = []
    repeated = [[plain(cell or "") for cell in row] for row in header]
    for place, cells in grid.rows:
        if place <= last:
            continue
        if len(cells) > width and not any(cells[width:]):
            cells = cells[:width]
        # Most rows differ from a header in their first cell already.
        begins = plain(cells[0] or "") if cells else ""
        is_header = any(row[0] == begins for row in repeated) and [plain(cell or "") for cell in cells] in repeated
        if is_header or (len(cells) != width and _is_skipped(table, labels, cells)):
            result.skipped += 1
        elif len(cells) != width:
            reason = f"wrong_width: the row has {len(cells)} cells, the header {width}"
            result.broken.append(Broken(place, reason, {}))
        else:
            result.places.append(place)
            kept.append(cells)
    # What could not be taken apart is kept without its cells: nobody knows which of them is a private one.
    result.broken += [Broken(place, reason, {}) for place, reason in grid.broken if place > last]
    by_column = list(map(list, zip(*kept, strict=True))) if kept else [[] for _ in labels]
    result.columns = dict(zip(labels, by_column, strict=True))
    return finished(result)


def _is_skipped(table: Table, labels: list[str], cells: Cells) -> bool:
    """Whether a row of another width, as totals often are, is one that the layout passes over."""
    said = {plain(label): cell for label, cell in zip(labels, cells, strict=False)}
    first = next((cell for cell in cells if cell is not None), None)
    return any(
        skip.fits(said.get(plain(skip.column)) if skip.column else first) for skip in table.skip if skip.table is None
    )


def _first_cells(table: Labeled) -> Cells:
    """The first cell of each row that is filled."""
    rows = zip(*table.columns.values(), strict=True)
    return [next((cell for cell in row if cell is not None), None) for row in rows]


def finished(result: Labeled) -> Labeled:
    """A table with its blanks filled down and its rows that are no observations left out."""
    for label in result.table.fill_down:
        cells = demanded(result, label)
        for place in range(1, len(cells)):
            if cells[place] is None:
                cells[place] = cells[place - 1]
    kept = list(range(len(result.places)))
    for skip in (skip for skip in result.table.skip if skip.table is None):
        cells = demanded(result, skip.column) if skip.column else _first_cells(result)
        kept = [place for place in kept if not skip.fits(cells[place])]
    if len(kept) < len(result.places):
        result.skipped += len(result.places) - len(kept)
        result.places = [result.places[place] for place in kept]
        result.columns = {name: [cells[place] for place in kept] for name, cells in result.columns.items()}
    return result


def demanded(table: Labeled, label: str) -> list[str | None]:
    """The cells of a column that a layout names.

    Raises
    ------
    SourceError
        Where the table has none of that name. What it has is not told: under a wrong header that would be its cells.
    """
    cells = table.column(label)
    if cells is None and table.is_document:
        return [None] * len(table.places)  # a key that no document of the file has
    if cells is None:
        raise SourceError(
            f"it has no column '{label}', which the layout names; correct the layout, or suggest one for this file anew"
        )
    return cells


def above(grid: Grid, header_row: int) -> dict[str, str]:
    """What stands above a header: ``Inspector: AB`` in one cell, or a label and its value in the next one."""
    found: dict[str, str] = {}
    for place, cells in grid.rows:
        if place >= header_row:
            break
        filled = [cell for cell in dict.fromkeys(cells) if cell]
        number = 0
        while number < len(filled):
            label, colon, value = filled[number].partition(":")
            if colon and value.strip():
                found.setdefault(plain(label), value.strip())
            elif number + 1 < len(filled):
                found.setdefault(plain(label), filled[number + 1])
                number += 1
            number += 1
    return found


def _form(table: Table, file: str, grid: Grid) -> Labeled:
    """A form: each label with its value beside it, or after a colon."""
    found = above(grid, 10**9)
    columns: dict[str, list[str | None]] = {label: [value] for label, value in found.items()}
    place = grid.rows[0][0] if grid.rows else 1
    form = Labeled(table, file, grid.sheet, [place], columns, found, from_1904=grid.from_1904, is_document=True)
    return finished(form)


# ---- documents -------------------------------------------------------------------------------------------------------


def from_documents(table: Table, file: str, path: Path) -> Labeled:
    """The table that stands in a file of documents: a row for each object at the end of the path ``each``.

    Raises
    ------
    SourceError
        Where the file is not JSON, nests too deep, or gives more cells than are held.
    """
    try:
        return _from_documents(table, file, path)
    except RecursionError:
        raise SourceError(TOO_DEEP) from None


def _from_documents(table: Table, file: str, path: Path) -> Labeled:
    read = Documents()
    steps = table.each.split(".") if table.each else []
    result = Labeled(table, file, None, [], {}, is_document=True)
    rows: list[dict[str, str]] = []
    documents = list(documents_of(path, read))
    for number, document in documents:
        if not isinstance(document, dict):
            result.broken.append(Broken(number, "not_a_report: nothing stands where the layout looks for rows", {}))
            continue
        for place, row in _walk(document, steps, "", number, len(documents) == 1):
            result.places.append(place)
            rows.append(row)
    result.broken += [Broken(item.row, item.reason, {}) for item in read.broken]
    labels = dict.fromkeys(label for row in rows for label in row)
    limits.check_cells(len(labels) * len(rows))
    for label in labels:
        result.columns[label] = [row.get(label) for row in rows]
    return finished(result)


def _walk(
    owner: dict[str, Any], steps: list[str], prefix: str, place: int, counts: bool
) -> Iterator[tuple[int, dict[str, str]]]:
    """The rows below an object, each with what stands on the way to it.

    A row's number is that of its document; in a file that is one document (``counts``), its place in the outermost
    list. An object with an empty list is a row by itself: a report without findings.
    """
    key, rest = (steps[0].removesuffix("[]"), steps[1:]) if steps else (None, [])
    here = dict(flattened(owner, prefix, key))
    below = owner.get(key) if key is not None else None
    items = below if isinstance(below, list) else [below]
    objects = [(number, item) for number, item in enumerate(items, 1) if isinstance(item, dict)]
    if not objects:
        yield place, here
    for number, item in objects:
        starts = counts and isinstance(below, list)
        for found, row in _walk(item, rest, f"{prefix}{key}.", number if starts else place, counts and not starts):
            yield found, here | row


def flattened(owner: dict[str, Any], prefix: str, without: str | None) -> Iterator[tuple[str, str]]:
    """The single values of an object by their paths: nested objects, and lists of named values (``gap``: 0.5)."""
    for key, value in owner.items():
        if key == without:
            continue
        yield from _flat(value, f"{prefix}{key}")


def _flat(value: Any, label: str) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for key, below in value.items():
            yield from _flat(below, f"{label}.{key}")
    elif isinstance(value, list):
        if value and all(isinstance(item, dict) for item in value):
            yield from _named(value, label)
        elif texts := [text for item in value if not isinstance(item, dict | list) and (text := shown(item))]:
            yield label, "; ".join(texts)
    elif (text := shown(value)) is not None:
        yield label, text


def _named(items: list[dict[str, Any]], label: str) -> Iterator[tuple[str, str]]:
    """A list of objects that each name themselves, ``[{"name": "gap", "value": 0.5}]``: ``label[gap].value``."""

    def names_all(key: str) -> bool:
        names = [item.get(key) for item in items]
        return all(isinstance(name, str) for name in names) and len({*map(str, names)}) == len(items)

    naming = next((key for key in items[0] if names_all(key)), None)
    if naming is None:
        return
    for item in items:
        for key, value in item.items():
            if key != naming and not isinstance(value, dict | list) and (text := shown(value)) is not None:
                yield f"{label}[{item[naming]}].{key}", text


def shown(value: Any) -> str | None:
    """A single value of a document as text; None where it is blank."""
    if value is None:
        return None
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    text = value if isinstance(value, str) else json.dumps(value)
    return re.sub(r"[\ud800-\udfff]", "\ufffd", text).strip() or None


def paths_of(documents: Iterable[Any]) -> dict[str, int]:
    """The paths to lists of objects in documents, with how many objects stand there."""
    found: dict[str, int] = {}

    def look(value: Any, path: str, depth: int) -> None:
        if depth > 8 or not isinstance(value, dict):
            return
        for key, below in value.items():
            if isinstance(below, list) and below and all(isinstance(item, dict) for item in below):
                step = f"{path}{key}[]"
                found[step] = found.get(step, 0) + len(below)
                for item in below:
                    look(item, f"{step}.", depth + 1)
            else:
                look(below, f"{path}{key}.", depth + 1)

    for document in documents:
        look(document, "", 0)
    return found
