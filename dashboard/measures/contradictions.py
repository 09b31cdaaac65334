"""Observations that contradict themselves, for a person to read; none of them counts as a wrong call."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot

#: What contradicts what, in words that follow a number or stand alone.
TOLD = {
    "not_seen_but_measured": "noted as not seen, though measures decide",
    "comment_names_another_fault": "written up with a comment on another fault",
}


def contradictions(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Observations noted as not seen whose measures decide, and write-ups whose comment names another fault.

    Returns
    -------
    DataFrame
        observation_id, report_id, inspected_on, inspector_id, deck_id, topic, place, call, contradiction (a key of
        ``TOLD``), verdict, reason, not_seen_reason, comment; oldest report first.
    """
    return snapshot.query("contradictions", **filters.parameters())
