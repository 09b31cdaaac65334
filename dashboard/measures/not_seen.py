"""What was not seen, and why."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot

#: In place of a topic or of a reason: all of them together.
ALL = "all"


def not_seen(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How often each topic was not seen, and for which reasons.

    A trial is not seen only where no place of it was seen. One whose places give two reasons counts under both, so that
    the reasons of a topic may add up to more than its total.

    Returns
    -------
    DataFrame
        One row a topic x reason; all topics together first, then topics in load-path order; the total of a topic before
        its reasons, the most frequent reason first.

        - topic: ``all`` for all topics together
        - reason: ``all`` for the total, ``not recorded`` where none was given
        - trials: report x deck x topic, seen or not
        - not_seen: those of them not seen, for that reason
        - share, share_low, share_high: not_seen / trials (Wilson)
    """
    found = snapshot.query("not_seen", **filters.parameters())
    low, high = intervals.wilson(found["not_seen"], found["trials"])
    place = {topic: at for at, topic in enumerate(order.topics(found["topic"], snapshot.query("topics")))}
    table = found.assign(
        share=found["not_seen"] / found["trials"],
        share_low=low,
        share_high=high,
        _place=found["topic"].map(place).where(found["topic"] != ALL, -1),
        _part=found["reason"] != ALL,
    )
    in_order = table.sort_values(
        ["_place", "_part", "not_seen", "reason"], ascending=[True, True, False, True], kind="stable"
    )
    return in_order.drop(columns=["_place", "_part"]).reset_index(drop=True)


def totals(found: pd.DataFrame, at_most: int | None) -> pd.DataFrame:
    """Of rows of :func:`not_seen` the totals of topics most often not seen, the most frequent first; None for all."""
    own = found[(found["topic"] != ALL) & (found["reason"] == ALL) & (found["not_seen"] > 0)]
    return own.sort_values("not_seen", ascending=False, kind="stable").iloc[:at_most].reset_index(drop=True)


def reasons_of(found: pd.DataFrame, topic: str = ALL) -> pd.DataFrame:
    """Of rows of :func:`not_seen` the reasons of a topic, the most frequent first."""
    return found[(found["topic"] == topic) & (found["reason"] != ALL)].reset_index(drop=True)
