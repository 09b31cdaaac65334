"""Opens a file in a child process with limits on memory and time.

A hostile workbook or Parquet file can make its library abort the process, or ask for more memory than there is: only
the child may die of that. It leaves one Arrow file a table in a folder, and tells on stdout what it found.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pyarrow as pa

from etl.errors import SourceError
from etl.readers import limits

TOO_MUCH = "it is too large to open, or damaged; save it again, or save the table as CSV"


def opened(module: str, path: Path, scratch: Path, what: str) -> tuple[Path, Any]:
    """Run a reader of :mod:`etl.readers` as a child: the folder with its Arrow files, and what it told.

    Parameters
    ----------
    module
        The reader's module, whose :func:`answer` is run.
    path
        The file.
    scratch
        A folder for its output.
    what
        What is wanted of the file; the reader's own word.

    Raises
    ------
    SourceError
        Where the child refused the file, died of it, or took too long.
    """
    target = Path(tempfile.mkdtemp(dir=scratch))
    command = [sys.executable, "-m", module, str(path), str(target), what, str(limits.CHILD_MEMORY)]
    try:
        child = subprocess.run(command, capture_output=True, timeout=limits.CHILD_SECONDS, check=False)
    except subprocess.TimeoutExpired:
        raise SourceError(
            f"it could not be opened within {limits.CHILD_SECONDS} seconds; save the table as CSV"
        ) from None
    if child.returncode != 0:
        raise SourceError(TOO_MUCH)
    told = json.loads(child.stdout)
    if told["problem"]:
        raise SourceError(told["problem"])
    return target, told["found"]


def table_in(file: Path) -> pa.Table:
    """A table that a child left, mapped into memory."""
    with pa.memory_map(str(file)) as source:
        return pa.ipc.open_file(source).read_all()


# ---- within the child ------------------------------------------------------------------------------------------------


def answer(read: Callable[[Path, Path, str], Any]) -> None:
    """Be the child: read the file that the command line names, and tell what was found, or why it is refused."""
    path, target, what = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
    _limit_memory(int(sys.argv[4]))
    told: dict[str, Any] = {"problem": None, "found": None}
    try:
        told["found"] = read(path, target, what)
    except SourceError as error:
        told["problem"] = str(error)
    except MemoryError:  # Arrow's is one too
        told["problem"] = TOO_MUCH
    json.dump(told, sys.stdout)


def leave(table: pa.Table, file: Path) -> None:
    """Write a table for the parent."""
    with pa.OSFile(str(file), "wb") as sink, pa.ipc.new_file(sink, table.schema) as writer:
        writer.write_table(table)


def _limit_memory(size: int) -> None:
    try:
        import resource
    except ImportError:  # Windows has no such limit; the time limit of the parent still holds
        return
    resource.setrlimit(resource.RLIMIT_AS, (size, size))
