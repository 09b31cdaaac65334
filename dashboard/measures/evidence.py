"""What is recorded beside the write-ups."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot


def evidence(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How far the calls of each inspector could be followed by somebody who was not there.

    Returns
    -------
    DataFrame
        One row an inspector x topic with seen trials; topics in load-path order, inspectors by alphabet.

        - inspector_id, topic
        - trials: seen; written_up: of those
        - with_measures, with_place, with_photo, with_recommendation: of the written-up trials, those that have it at
          any written-up place
        - judged, judged_share: trials in which a rule decided, whatever the call, and their share of trials
    """
    return snapshot.query("evidence", **filters.parameters())
