"""The child process of :mod:`etl.readers.columnar`: one Parquet file in, one Arrow file of text out.

A few bytes can stand for gigabytes here (a long text in a dictionary, which a million rows point to), and damaged
bytes can end the process that decodes them.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

from etl.errors import SourceError
from etl.readers import child, limits
from etl.readers.flat import column_name, sort_header

_DAMAGED = "it is not a Parquet file, or it is damaged; write it again"


def read(path: Path, target: Path, what: str) -> dict[str, Any]:
    """Write the columns of ``path`` as text to ``target``, and tell what was found.

    ``what``: ``tables``, the columns of the input table that it is of; ``cells``, all columns, for a layout.
    """
    try:
        with pq.ParquetFile(path, memory_map=False) as file:
            names = file.schema_arrow.names
            rows = file.metadata.num_rows
            limits.check_columns(len(names))
            limits.check_rows(rows)
            if what == "cells":
                limits.check_cells(rows * len(names))
                found: dict[str, Any] = {}
                table = _as_texts(names, file.read().columns, nested=True)
            else:
                header = sort_header(names)
                found = header._asdict()
                places = [[column_name(name) for name in names].index(name) for name in header.known]
                table = _as_texts(header.known, file.read(columns=[names[i] for i in places]).columns, nested=False)
    except MemoryError:
        raise
    except (pa.ArrowException, OSError, ValueError, KeyError):
        raise SourceError(_DAMAGED) from None
    child.leave(table, target / "table.arrow")
    return found


def _as_texts(names: list[str], columns: list[pa.ChunkedArray], nested: bool) -> pa.Table:
    """Columns as text with ``row_no``; ``nested`` ones as they print where a layout may leave them, else refused."""
    texts = []
    for name, column in zip(names, columns, strict=True):
        if not pa.types.is_nested(column.type):
            texts.append(_as_text(name, column))
        elif nested:
            texts.append(pa.array([None if v is None else str(v) for v in column.to_pylist()], pa.string()))
        else:
            raise SourceError(f"its column {name} is nested; write one row an observation, or use JSON for documents")
    rows = len(columns[0]) if columns else 0
    return pa.table([pa.array(range(2, rows + 2), pa.int64()), *texts], names=["row_no", *names])


def _as_text(name: str, column: pa.ChunkedArray) -> pa.ChunkedArray:
    """Whole floats without their point, so that 36.0 in a text column is the 36 of a CSV file."""
    kind = column.type
    if pa.types.is_dictionary(kind):
        return _as_text(name, column.cast(kind.value_type))
    if pa.types.is_timestamp(kind):
        return pc.strftime(column, format="%Y-%m-%d %H:%M:%S")
    if pa.types.is_floating(kind):
        whole = pc.and_(pc.equal(pc.floor(column), column), pc.less(pc.abs(column), 1e15))
        integers = pc.if_else(whole, column, None).cast(pa.int64()).cast(pa.string())
        return pc.coalesce(integers, column.cast(pa.string()))
    if pa.types.is_binary(kind) or pa.types.is_large_binary(kind):
        raise SourceError(f"its column {name} holds bytes, not text; write it again as text")
    try:
        text = column.cast(pa.string())
        text.validate(full=True)
    except pa.ArrowException:
        raise SourceError(f"its column {name} cannot be read as text; write it again as text") from None
    return text


if __name__ == "__main__":
    child.answer(read)
