"""Issued reports that may need a correction: a safety matter that was passed over."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot

#: The weight of rules about what can hurt someone: guards, stairs, and connections that hold a deck up.
SAFETY_WEIGHT = 10


def corrections(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Calls that passed over, or only advised upon, what their own measures show to fail a rule of the largest weight.

    Returns
    -------
    DataFrame
        One row a report x deck x topic, newest first: observation_id (the place), report_id, deck_id, inspected_on,
        topic, call, outcome, place, recorded, reason, weight.
    """
    return snapshot.query("corrections", weight=SAFETY_WEIGHT, **filters.parameters())
