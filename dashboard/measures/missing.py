"""Which measure, had it been written down, would have let a rule decide."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot


def missing_measures(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How many trials stayed undecided for want of each measure.

    A trial that lacks two measures counts under both, so the rows of a topic do not add up.

    Returns
    -------
    DataFrame
        One row a topic x measure; most undecided first.

        - topic, measure
        - calls: seen trials of the topic
        - undecided: trials in which no place was decided and a seen place lacked the measure
        - share, share_low, share_high: undecided / calls (Wilson)
    """
    found = snapshot.query("missing_measures", **filters.parameters())
    low, high = intervals.wilson(found["undecided"], found["calls"])
    place = {topic: at for at, topic in enumerate(order.topics(found["topic"], snapshot.query("topics")))}
    table = found.assign(
        share=found["undecided"] / found["calls"],
        share_low=low,
        share_high=high,
        _place=found["topic"].map(place),
    )
    in_order = table.sort_values(["undecided", "_place", "measure"], ascending=[False, True, True], kind="stable")
    return in_order.drop(columns="_place").reset_index(drop=True)
