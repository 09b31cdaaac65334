"""Joist size against hanger size: what was written up, and what holds."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.warehouse import Snapshot


def hanger_grid(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How the write-ups of each joist size in each hanger size fare.

    Returns
    -------
    DataFrame
        One row a pair of sizes that occurs in seen observations of the topic hanger_size.

        - joist_nominal, hanger_nominal: sizes such as ``2x10``; None where not recorded
        - trials: seen trials with that pair
        - written_up: those written up with it
        - upheld, overcalled, judgment, undecided: they add up to written_up; a trial is overcalled if any place is,
          else upheld, else judgment, else undecided
    """
    return snapshot.query("hanger_grid", **filters.parameters())
