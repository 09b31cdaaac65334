"""XLSX: every visible sheet whose first row names the columns of an input table.

The file is opened in a child process with a limit on memory and time: a hostile sheet can make the library
abort its process, and only the child may die of that.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import pyarrow as pa

from etl.errors import SourceError
from etl.readers.flat import Flat

SECONDS = 120


def read_workbook(path: Path, scratch: Path) -> list[Flat]:
    """Read a workbook, one :class:`Flat` a sheet that holds an input table.

    Raises
    ------
    SourceError
        Where it is no workbook, is protected, is too large to open, or where no visible sheet holds an input table.
    """
    target, told = _opened(path, scratch, "tables")
    return [_sheet(target, entry, alone=len(told["sheets"]) == 1) for entry in told["sheets"]]


def workbook_cells(path: Path, scratch: Path) -> list[tuple[str, bool, pa.Table]]:
    """Every visible sheet with its cells as text, merged ones filled: name, whether days count from 1904, and a table
    of ``row_no`` and a column a letter.

    Raises
    ------
    SourceError
        Where it is no workbook, is protected, or is too large to open.
    """
    target, told = _opened(path, scratch, "cells")
    return [(entry["name"], entry["from_1904"], _rows(target, entry)) for entry in told["sheets"]]


def _opened(path: Path, scratch: Path, what: str) -> tuple[Path, dict[str, Any]]:
    target = Path(tempfile.mkdtemp(dir=scratch))
    command = [sys.executable, "-m", "etl.readers.workbook_child", str(path), str(target), what]
    try:
        child = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        raise SourceError(f"it could not be opened within {SECONDS} seconds; save it again as CSV") from None
    if child.returncode != 0:
        raise SourceError("it is too large to open, or damaged; save it again, or save the sheet as CSV")
    told = json.loads(child.stdout)
    if told["problem"]:
        raise SourceError(told["problem"])
    return target, told


def _rows(folder: Path, entry: dict[str, Any]) -> pa.Table:
    with pa.memory_map(str(folder / entry["file"])) as source:
        return pa.ipc.open_file(source).read_all()


def _sheet(folder: Path, entry: dict[str, Any], alone: bool) -> Flat:
    return Flat(
        entry["columns"],
        entry["unknown"],
        _rows(folder, entry),
        notices=entry["notices"],
        part=None if alone else entry["name"],
        table=entry["table"],
    )
