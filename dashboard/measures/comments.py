"""What was read out of the comments, and where that is other than what was recorded."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot


def comment_reads(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Every value that was read out of a comment.

    Returns
    -------
    DataFrame
        observation_id, topic, measure, value (in the measure's unit, as text), text, start, end (characters of the
        comment), rule, decided_by_comment, comment.
    """
    return snapshot.query("comment_reads", **filters.parameters())


def comment_conflicts(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Every value that a comment states other than it was recorded; the recorded one stands.

    Returns
    -------
    DataFrame
        observation_id, topic, measure, recorded, read, text, start, end, rule, inspector_id, comment.
    """
    return snapshot.query("comment_conflicts", **filters.parameters())
