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


def cases_without(
    snapshot: Snapshot,
    topic: str,
    measure: str,
    filters: Filters = EVERYTHING,
    *,
    only: str | None = None,
    most: int | None = None,
    skip: int = 0,
) -> pd.DataFrame:
    """The observations behind a row of :func:`missing_measures`, newest first.

    Rows, not trials: a deck noted at three places gives three rows.

    Parameters
    ----------
    only
        One observation, by its id, if it is among them.
    most, skip
        How many rows at most (None for all), after how many that are passed over.

    Returns
    -------
    DataFrame
        As :func:`cases.cases`.
    """
    chosen = {"topic": topic, "measure": measure, "only": only, "most": most, "skip": skip}
    return snapshot.query("cases_without", **filters.parameters(), **chosen)
