"""What came in."""

from __future__ import annotations

import pandas as pd

from dashboard.warehouse import Snapshot


def loads(snapshot: Snapshot) -> pd.DataFrame:
    """The files of every load, newest load first.

    Returns
    -------
    DataFrame
        load_id, file, rows_read (= rows_loaded + rows_replaced + rows_unchanged + rows_rejected), rows_loaded,
        rows_replaced, rows_unchanged, rows_rejected, loaded_at (UTC), sha256, problem (None where the file was read).
    """
    return snapshot.query("loads")
