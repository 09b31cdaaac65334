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
    target = Path(tempfile.mkdtemp(dir=scratch))
    command = [sys.executable, "-m", "etl.readers.workbook_child", str(path), str(target)]
    try:
        child = subprocess.run(command, capture_output=True, text=True, timeout=SECONDS, check=False)
    except subprocess.TimeoutExpired:
        raise SourceError(f"it could not be opened within {SECONDS} seconds; save it again as CSV") from None
    if child.returncode != 0:
        raise SourceError("it is too large to open, or damaged; save it again, or save the sheet as CSV")
    told = json.loads(child.stdout)
    if told["problem"]:
        raise SourceError(told["problem"])
    return [_sheet(target, entry, alone=len(told["sheets"]) == 1) for entry in told["sheets"]]


def _sheet(folder: Path, entry: dict[str, Any], alone: bool) -> Flat:
    with pa.memory_map(str(folder / entry["file"])) as source:
        rows = pa.ipc.open_file(source).read_all()
    return Flat(
        entry["columns"],
        entry["unknown"],
        rows,
        notices=entry["notices"],
        part=None if alone else entry["name"],
        table=entry["table"],
    )
