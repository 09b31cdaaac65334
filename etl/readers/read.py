"""Which reader a file goes to."""

from __future__ import annotations

from pathlib import Path

from etl.readers.columnar import read_parquet
from etl.readers.delimited import read_delimited
from etl.readers.documents import Documents, read_documents
from etl.readers.flat import Flat, by_table
from etl.readers.workbook import read_workbook


def read(path: Path, scratch: Path) -> list[Flat] | Documents:
    """Read a file by its ending.

    Raises
    ------
    SourceError
        Where the whole file cannot be read.
    """
    if path.suffix.lower() in (".json", ".jsonl", ".ndjson"):
        return read_documents(path)
    return [part for flat in _read_flat(path, scratch) for part in by_table(flat)]


def _read_flat(path: Path, scratch: Path) -> list[Flat]:
    match path.suffix.lower():
        case ".xlsx" | ".xlsm":
            return read_workbook(path, scratch)
        case ".parquet":
            return [read_parquet(path, scratch)]
        case _:
            return [read_delimited(path, scratch)]
