"""Every observation with what the rules say of it."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot


def outcomes(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """All observations, oldest report first.

    Returns
    -------
    DataFrame
        observation_id, report_id, inspected_on, inspector_id, deck_id, region, builder, deck_age_years, deck_age,
        deck_height, topic, place, call, not_seen_reason, consequence, criterion_id, verdict, basis, outcome, reason,
        missing (measure ids joined by a comma), recorded, measured, comment, recommendation, photo_count, code_basis.
    """
    return snapshot.query("outcomes", **filters.parameters())
