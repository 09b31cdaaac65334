"""Parquet: typed columns, turned into the text that they would be in a flat table."""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from etl.errors import SourceError
from etl.readers.flat import Flat, column_name, sort_header


def read_parquet(path: Path) -> Flat:
    """Read a Parquet file with one row an observation, or one of a further table.

    Raises
    ------
    SourceError
        Where it is not Parquet, nests its rows, or lacks required columns.
    """
    table = _table(path)
    kind, known, unknown = sort_header(table.column_names)
    names = [column_name(name) for name in table.column_names]
    columns = {}
    for name in known:
        column = table.column(names.index(name))
        if pa.types.is_nested(column.type):
            raise SourceError(f"its column {name} is nested; write one row an observation, or use JSON for documents")
        columns[name] = _as_text(column)
    row_no = pa.array(range(2, table.num_rows + 2), pa.int64())
    return Flat(known, unknown, pa.table({"row_no": row_no, **columns}), table=kind)


def text_of_parquet(path: Path) -> pa.Table:
    """All columns of a Parquet file as text, with ``row_no``; nested ones as they print, for a layout to leave.

    Raises
    ------
    SourceError
        Where it is not Parquet.
    """
    table = _table(path)
    columns = {
        name: pa.array([None if v is None else str(v) for v in column.to_pylist()], pa.string())
        if pa.types.is_nested(column.type)
        else _as_text(column)
        for name, column in zip(table.column_names, table.columns, strict=True)
    }
    return pa.table({"row_no": pa.array(range(2, table.num_rows + 2), pa.int64()), **columns})


def _table(path: Path) -> pa.Table:
    try:
        return pq.read_table(path)
    except (pa.ArrowInvalid, pa.ArrowNotImplementedError, OSError):
        raise SourceError("it is not a Parquet file, or it is damaged; write it again") from None


def _as_text(column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Whole floats without their point, so that 36.0 in a text column is the 36 of a CSV file."""
    kind = column.type
    if pa.types.is_dictionary(kind):
        return _as_text(column.cast(kind.value_type))
    if pa.types.is_timestamp(kind):
        return pc.strftime(column, format="%Y-%m-%d %H:%M:%S")
    if pa.types.is_floating(kind):
        whole = pc.and_(pc.equal(pc.floor(column), column), pc.less(pc.abs(column), 1e15))
        integers = pc.if_else(whole, column, None).cast(pa.int64()).cast(pa.string())
        return pc.coalesce(integers, column.cast(pa.string()))
    if pa.types.is_binary(kind) or pa.types.is_large_binary(kind):
        raise SourceError("a column holds bytes, not text; write it again as text")
    return column.cast(pa.string())
