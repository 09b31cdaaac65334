"""Refused rows as a table to mend: where each stood, why, and the contract's columns as they were received."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
from pydantic import ValidationError

from etl import contract
from etl.errors import UsageError
from etl.input_tables import FURTHER, OBSERVATIONS
from etl.readers.documents import shown
from etl.readers.flat import REJECT_COLUMNS, TABLE_COLUMN


def newest_rejects(folder: Path) -> pa.Table:
    """The refused rows of the newest load: file, row, reasons, then the columns that any of them filled.

    Where rows of further tables are among them, ``table`` says of each row of which input table it is.

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
    of = _tables_of(rows)
    columns = _columns({*of}, {name for cells in received for name in cells})
    where = {
        "file": rows.column("file"),
        "row": rows.column("row"),
        "reasons": pa.array(["; ".join(reasons) for reasons in rows.column("reasons").to_pylist()], pa.string()),
    }
    assert tuple(where) == REJECT_COLUMNS
    # Only where there are others than observations: each row then says of which table it is when it comes back.
    which = {TABLE_COLUMN: pa.array(of, pa.string())} if {*of} - {OBSERVATIONS} else {}
    cells = {name: pa.array([row.get(name) for row in received], pa.string()) for name in columns}
    return pa.table(where | which | cells)


def _tables_of(rows: pa.Table) -> list[str]:
    """The input table of each refused row; a log of an earlier version had observations alone."""
    return rows["input_table"].to_pylist() if "input_table" in rows.column_names else [OBSERVATIONS] * rows.num_rows


def _columns(of: set[str], filled: set[str]) -> list[str]:
    """An observation's columns that some row has filled, or every row needs; of a further table all that are stored."""
    own = contract.columns().items() if OBSERVATIONS in of or not of else ()
    kept = [name for name, column in own if name in filled or column.required]
    kept += [name for table in FURTHER.values() if table.name in of for name in table.kept]
    return list(dict.fromkeys(kept))


def reasons_of(
    error: ValidationError, row: dict[str, Any], columns: dict[str, contract.Column] | None = None
) -> list[str]:
    """Why pydantic refused a row, as ``code: sentence``, in the order of its table's columns (else the contract's)."""
    known = contract.columns() if columns is None else columns
    found = {str((item["loc"] or ("deck_built_year",))[0]): item["type"] for item in error.errors()}
    return [_reason(known[name], found[name], row.get(name)) for name in sorted(found, key=list(known).index)]


def _reason(column: contract.Column, code: str, value: object) -> str:
    code = "required" if code == "missing" else code
    sentence = contract.complaint(code, column.name, column.rule)
    return f"{code}: {sentence.replace('{value}', shown(value)[: contract.SHOWN])}"
