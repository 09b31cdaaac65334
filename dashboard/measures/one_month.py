"""What one month says: the shares that lie beyond luck in it, and how many of them luck alone gives."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import pandas as pd

from dashboard.measures.months import ALL, OUTCOMES
from dashboard.measures.over_time import WRITTEN_UP, OverTime, beyond, by_luck, luck_explains, told

#: What is told first: a missed defect can hurt somebody.
ORDER = ("missed", "overcalled", WRITTEN_UP, "judged")
assert set(ORDER) == {WRITTEN_UP, *OUTCOMES}
#: Which way a share moves where it is not to be wished for; more write-ups or fewer are neither better nor worse.
_WORSE = {"missed": "higher", "overcalled": "higher", "judged": "lower"}
_MONTHS_A_YEAR = 12


@dataclass(frozen=True)
class Tally:
    """Shares of months: how many luck lets something be said of, how many lie beyond it, how many luck alone gives."""

    told: int
    beyond: int
    by_luck: float

    @property
    def explained(self) -> bool:
        """Whether luck gives as many in more than one firm of twenty."""
        return luck_explains(self.beyond, self.by_luck)

    @classmethod
    def of(cls, rows: pd.DataFrame) -> Tally:
        return cls(len(told(rows)), len(beyond(rows)), by_luck(rows))


@dataclass(frozen=True)
class OneMonth:
    """A month.

    Attributes
    ----------
    month
        Its first day.
    together
        Its rows of ``OverTime.months`` of all topics together, in the order of ``ORDER``.
    beyond
        Its rows beyond luck, what is told first before the others: what moved for the worse, then by ``ORDER``, then
        in load-path order.
    tally, of_all_months
        Over the month's shares, and over those of all months within the filters.
    first_month, last_month
        The first days of the first and of the last of these.
    people, signals, signals_by_luck
        How many colleagues are followed deck by deck; how many of them had their first or latest signal in this month,
        and how many luck alone gives in one.
    """

    month: pd.Timestamp
    together: pd.DataFrame
    beyond: pd.DataFrame
    tally: Tally
    of_all_months: Tally
    first_month: pd.Timestamp
    last_month: pd.Timestamp
    people: int
    signals: int
    signals_by_luck: float

    def topic(self, with_rule: Collection[str]) -> str | None:
        """The single topic that is told first, of those that have a rule; None where none lies beyond luck."""
        found = self.beyond[self.beyond["topic"].isin([*with_rule])]
        return None if found.empty else str(found["topic"].iloc[0])


def known_months(moved: OverTime) -> list[pd.Timestamp]:
    """The months that have calls, the latest first."""
    return sorted(_monthly(moved)["month"].unique(), reverse=True)


def one_month(moved: OverTime, month: pd.Timestamp) -> OneMonth:
    """What ``moved`` says of a month that is among :func:`known_months`."""
    rows = _monthly(moved)
    own = rows[rows["month"] == month]
    charts = moved.drift[moved.drift["signal"] != "too_few"]
    signalled = [
        pd.to_datetime(charts[day]).dt.to_period("M") == month.to_period("M")
        for day in ("first_signalled", "last_signalled")
    ]
    return OneMonth(
        month=month,
        together=_ordered(own[own["topic"] == ALL]),
        beyond=_ordered(beyond(own)),
        tally=Tally.of(own),
        of_all_months=Tally.of(rows),
        first_month=rows["month"].min(),
        last_month=rows["month"].max(),
        people=int(charts["inspector_id"].nunique()),
        signals=int(charts.loc[signalled[0] | signalled[1], "inspector_id"].nunique()),
        signals_by_luck=float(charts["false_alarms_a_year"].sum()) / _MONTHS_A_YEAR,
    )


def history(moved: OverTime, topic: str, outcome: str) -> pd.DataFrame:
    """All months of one topic, or of all together, and one share."""
    rows = _monthly(moved)
    return rows[(rows["topic"] == topic) & (rows["outcome"] == outcome)]


def _monthly(moved: OverTime) -> pd.DataFrame:
    return moved.months[moved.months["period"] == "month"]


def _ordered(rows: pd.DataFrame) -> pd.DataFrame:
    """Single topics before all together, for the worse before the rest, then by what is shown, then as they stood."""
    keys = rows.assign(
        _all=rows["topic"] == ALL,
        _better=rows["signal"] != rows["outcome"].map(_WORSE),
        _at=rows["outcome"].map(ORDER.index),
    )
    order = keys.sort_values(["_all", "_better", "_at"], kind="stable").index
    return rows.loc[order]
