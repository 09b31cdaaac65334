"""What came in with the newest load."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from dashboard.measures.loads import loads
from dashboard.warehouse import Snapshot


@dataclass(frozen=True)
class Arrivals:
    """A load in numbers: files read and not read, and its rows; ``read`` is the sum of the four that follow."""

    load_id: str
    loaded_at: pd.Timestamp
    files: int
    unreadable: int
    read: int
    new: int
    replaced: int
    unchanged: int
    refused: int


def newest_load(snapshot: Snapshot) -> Arrivals | None:
    """The newest load; None where the snapshot tells of none."""
    files = loads(snapshot)
    if files.empty:
        return None
    newest = files[files["load_id"] == files["load_id"].iloc[0]]
    rows = newest[["rows_read", "rows_loaded", "rows_replaced", "rows_unchanged", "rows_rejected"]].sum()
    unreadable = int(newest["problem"].notna().sum())
    return Arrivals(
        str(newest["load_id"].iloc[0]),
        newest["loaded_at"].iloc[0],
        len(newest) - unreadable,
        unreadable,
        *(int(count) for count in rows),
    )
