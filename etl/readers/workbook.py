"""XLSX: every visible sheet whose first row names the columns of an input table.

The file is opened in a child process (:mod:`etl.readers.child`).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyarrow as pa

from etl import private
from etl.readers import child
from etl.readers.flat import Flat

_CHILD = "etl.readers.workbook_child"


def read_workbook(path: Path, scratch: Path) -> list[Flat]:
    """Read a workbook, one :class:`Flat` a sheet that holds an input table.

    Raises
    ------
    SourceError
        Where it is no workbook, is protected, is too large to open, or where no visible sheet holds an input table.
    """
    target, sheets = child.opened(_CHILD, path, scratch, "tables")
    return [_sheet(target, entry, alone=len(sheets) == 1) for entry in sheets]


def workbook_cells(path: Path, scratch: Path) -> list[tuple[str, bool, pa.Table]]:
    """Every visible sheet with its cells as text, merged ones filled: name, whether days count from 1904, and a table
    of ``row_no`` and a column a letter.

    Raises
    ------
    SourceError
        Where it is no workbook, is protected, or is too large to open.
    """
    target, sheets = child.opened(_CHILD, path, scratch, "cells")
    return [(entry["name"], entry["from_1904"], child.table_in(target / entry["file"])) for entry in sheets]


def _sheet(folder: Path, entry: dict[str, Any], alone: bool) -> Flat:
    return Flat(
        entry["columns"],
        entry["unknown"],
        child.table_in(folder / entry["file"]),
        notices=entry["notices"],
        part=None if alone else private.coded(entry["name"]),
        table=entry["table"],
    )
