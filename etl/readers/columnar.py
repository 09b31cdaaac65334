"""Parquet: typed columns, turned into the text that they would be in a flat table.

The file is opened in a child process (:mod:`etl.readers.child`).
"""

from __future__ import annotations

from pathlib import Path

import pyarrow as pa

from etl.readers import child
from etl.readers.flat import Flat

_CHILD = "etl.readers.columnar_child"


def read_parquet(path: Path, scratch: Path) -> Flat:
    """Read a Parquet file with one row an observation, or one of a further table.

    Raises
    ------
    SourceError
        Where it is not Parquet, is too large, nests its rows, or lacks required columns.
    """
    target, found = child.opened(_CHILD, path, scratch, "tables")
    rows = child.table_in(target / "table.arrow")
    return Flat(found["known"], found["unknown"], rows, table=found["table"])


def text_of_parquet(path: Path, scratch: Path) -> pa.Table:
    """All columns of a Parquet file as text, with ``row_no``; nested ones as they print, for a layout to leave.

    Raises
    ------
    SourceError
        Where it is not Parquet, or is too large.
    """
    target, _ = child.opened(_CHILD, path, scratch, "cells")
    return child.table_in(target / "table.arrow")
