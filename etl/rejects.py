"""Refused rows as a table to mend: where each stood, why, and the contract's columns as they were received."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq

from etl import contract
from etl.errors import UsageError
from etl.readers.flat import REJECT_COLUMNS


def newest_rejects(folder: Path) -> pa.Table:
    """The refused rows of the newest load: file, row, reasons, then the contract's columns that any of them filled.

    Raises
    ------
    UsageError
        Where nothing was loaded yet.
    """
    logs = sorted((folder / "log").glob("*.rejects.parquet")) if folder.is_dir() else []
    if not logs:
        raise UsageError(f"Nothing was loaded into {folder} yet, so nothing was refused.")
    return _as_table(pq.read_table(logs[-1]))


def _as_table(rows: pa.Table) -> pa.Table:
    received = [dict(cells or ()) for cells in rows.column("received").to_pylist()]
    filled = {name for cells in received for name in cells}
    kept = [name for name in contract.columns() if name in filled or name in contract.required_columns()]
    where = {
        "file": rows.column("file"),
        "row": rows.column("row"),
        "reasons": pa.array(["; ".join(reasons) for reasons in rows.column("reasons").to_pylist()], pa.string()),
    }
    assert tuple(where) == REJECT_COLUMNS
    return pa.table(where | {name: pa.array([cells.get(name) for cells in received], pa.string()) for name in kept})
