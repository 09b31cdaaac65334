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
        missing (measure ids joined by a comma), recorded, measured, second_look (a write-up that would not hold, but
        for a comment that names another fault), written_up_elsewhere (missed or understated at this place, and the same
        fault is written up at another place of the deck: no count has it as missed), comment, read_from_comment,
        recommendation, photo_count, code_basis.
    """
    return snapshot.query("outcomes", **filters.parameters())
