"""The child process of :mod:`etl.readers.workbook`: one workbook in, one Arrow file a sheet and a JSON line out."""

from __future__ import annotations

import re
import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from python_calamine import CalamineError, CalamineWorkbook, PasswordError, SheetVisibleEnum

from etl import contract, private
from etl.errors import SourceError
from etl.input_tables import FURTHER
from etl.readers import child, limits
from etl.readers.flat import Header, column_name, is_rejects, places_of, sort_header, text_table
from etl.readers.workbook_cells import hidden_texts

#: Unpacked, a workbook beyond this is refused before it is opened.
LARGEST = 2**28
MOST_SHEETS = 200
#: Day 0 of the two date systems of workbooks. In the first, serials count from a 1900 taken for a leap year.
DAY_ZERO = {False: date(1899, 12, 30), True: date(1904, 1, 1)}
#: A formula without a value may lie this many rows or columns beyond the cells that have one.
LARGEST_REACH = 10_000
#: A bare number in a date column is taken for a serial between these: 1990 and 2100 in either system.
SERIALS = range(30_000, 74_000)


def read(path: Path, target: Path, what: str) -> list[dict[str, Any]]:
    """Write the sheets of ``path`` to ``target`` and tell what was found.

    ``what``: ``tables``, the sheets that hold an input table; ``cells``, every sheet as it stands, for a layout.
    """
    try:
        return _sheets(path, target, what)
    except PasswordError:
        raise SourceError("it is protected by a password; save it without one") from None
    except (CalamineError, zipfile.BadZipFile, KeyError, ElementTree.ParseError, RecursionError):
        raise SourceError(
            "it is not an XLSX workbook, or it is damaged; save it again from the spreadsheet program"
        ) from None


def _sheets(path: Path, target: Path, what: str) -> list[dict[str, Any]]:
    with zipfile.ZipFile(path) as packed:
        if sum(info.file_size for info in packed.infolist()) > LARGEST:
            raise SourceError(f"it would unpack to over {LARGEST >> 20} MB; save the sheet as CSV if that is right")
        from_1904 = re.search(rb'date1904="(1|true)"', packed.read("xl/workbook.xml")) is not None
    workbook = CalamineWorkbook.from_path(str(path))
    visible = [sheet.name for sheet in workbook.sheets_metadata if sheet.visible == SheetVisibleEnum.Visible]
    if len(visible) > MOST_SHEETS:
        raise SourceError(f"it has {len(visible):,} sheets, and at most {MOST_SHEETS} are read; save it in parts")
    if what == "cells":
        return [
            _write_cells(_filled(workbook, name, _cells(workbook, path, name)), name, from_1904, target / f"{i}.arrow")
            for i, name in enumerate(visible)
        ]
    found, complaint = [], SourceError("no visible sheet holds anything; export it again")
    for number, name in enumerate(visible):
        cells = _cells(workbook, path, name)
        try:
            found.append(_write(cells, name, from_1904, target / f"{number}.arrow"))
        except SourceError as error:
            complaint = error if len(visible) == 1 else SourceError(f"sheet {private.coded(name)}: {error}")
        except LookupError:
            continue
    if not found:
        raise complaint
    return found


def _cells(workbook: CalamineWorkbook, path: Path, name: str) -> list[list[Any]]:
    """A sheet's cells, with the text of those that the library gives as empty although they are not."""
    cells = workbook.get_sheet_by_name(name).to_python(skip_empty_area=False)
    with zipfile.ZipFile(path) as packed:
        hidden = hidden_texts(packed, name)
    for (row, column), text in hidden.items():
        if row > len(cells) + LARGEST_REACH or column > LARGEST_REACH:
            raise SourceError("it has formulas far outside its table; delete them, or save the sheet as CSV")
        cells.extend([] for _ in range(row + 1 - len(cells)))
        cells[row].extend([""] * (column + 1 - len(cells[row])))
        if cells[row][column] in ("", None):
            cells[row][column] = text
    return cells


def _write(cells: list[list[Any]], name: str, from_1904: bool, target: Path) -> dict[str, Any]:
    start = next((i for i, row in enumerate(cells) if any(cell not in ("", None) for cell in row)), None)
    if start is None:
        raise LookupError(name)
    while cells[start] and cells[start][-1] in ("", None):
        cells[start].pop()
    header = [str(cell) for cell in cells[start]]
    found = sort_header(header)
    names = [column_name(cell) for cell in header]
    dates = {i for i, column in enumerate(names) if column in _date_columns(found)}
    places = places_of(names, found.known)
    serials = 0
    rows = []
    for i, row in enumerate(cells[start + 1 :], start + 2):
        if all(cell in ("", None) for cell in row):
            continue
        serials += sum(_is_serial(row[j]) for j in dates if j < len(row))
        rows.append((i, [_text(row[j], from_1904, j in dates) if j < len(row) else None for j in places.values()]))
    child.leave(text_table(list(places), rows, is_rejects(names)), target)
    notices = [f"{serials} bare numbers in date columns read as days counted by the workbook"] if serials else []
    told = {"table": found.table, "columns": found.known, "unknown": found.unknown, "notices": notices}
    return {"file": target.name, "name": name, **told}


def _filled(workbook: CalamineWorkbook, name: str, cells: list[list[Any]]) -> list[list[Any]]:
    """The cells with what a merged area says in each of its cells: a report's number merged over its rows is theirs."""
    there, filled = sum(map(len, cells)), 0
    for (top, left), (bottom, right) in workbook.get_sheet_by_name(name).merged_cell_ranges or []:
        if top >= len(cells) or left >= len(cells[top]):
            continue
        value = cells[top][left]
        for row in cells[top : bottom + 1]:
            end = min(right + 1, len(row))
            row[left:end] = [value] * (end - left)
            filled += end - left
        if filled > there:  # each cell is in one merged area at most
            raise SourceError("its merged areas lie over one another; save the sheet as CSV")
    return cells


def _write_cells(cells: list[list[Any]], name: str, from_1904: bool, target: Path) -> dict[str, Any]:
    width = max((len(row) for row in cells), default=0)
    limits.check_cells(width * len(cells))
    filled = ((i, row) for i, row in enumerate(cells, 1) if any(cell not in ("", None) for cell in row))
    texts = ((i, [_text(cell, from_1904, False) for cell in row] + [None] * (width - len(row))) for i, row in filled)
    rows = [(i, row) for i, row in texts if any(cell is not None for cell in row)]
    child.leave(text_table([f"c{i}" for i in range(width)], rows), target)
    return {"file": target.name, "name": name, "from_1904": from_1904}


def _date_columns(header: Header) -> set[str]:
    columns = contract.columns() | {name: each for table in FURTHER.values() for name, each in table.columns.items()}
    return {name for name in header.known if name in columns and columns[name].rule.kind == "date"}


def _is_serial(cell: Any) -> bool:
    return isinstance(cell, float | int) and not isinstance(cell, bool) and int(cell) in SERIALS


def _text(cell: Any, from_1904: bool, is_date: bool) -> str | None:
    """The cell as it would stand in a CSV file."""
    if is_date and _is_serial(cell):
        return (DAY_ZERO[from_1904] + timedelta(days=int(cell))).isoformat()
    if isinstance(cell, datetime):
        return cell.isoformat(sep=" ") if cell.time() != time.min else cell.date().isoformat()
    if isinstance(cell, date | time | timedelta):
        return str(cell)
    return contract.as_text(cell)


if __name__ == "__main__":
    child.answer(read)
