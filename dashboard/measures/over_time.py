"""All that the page on time shows, worked out from one fit of the case-mix models."""

from __future__ import annotations

from dataclasses import dataclass, replace

import pandas as pd
from scipy.special import pdtrc

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import drift, months
from dashboard.measures.peers import scored_trials
from dashboard.measures.summary import Share
from dashboard.measures.training_effect import Trained, trained
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot

WRITTEN_UP = "written_up"
#: What may be shown month by month.
SHOWN = (WRITTEN_UP, *months.OUTCOMES)
BEYOND = ("higher", "lower")
_UNLIKELY = 0.05
#: Of its periods so many must hold enough calls.
_ENOUGH = 0.5


@dataclass(frozen=True)
class OverTime:
    """What moved.

    Attributes
    ----------
    months
        One row a period x topic x what is shown (``outcome``: one of ``SHOWN``), for each length of ``period``
        (month, quarter, year); columns of ``months.COLUMNS``.
    judged
        Rows of :func:`dashboard.measures.months.could_be_judged`.
    drift
        Rows of :func:`dashboard.measures.drift.drift`.
    sessions
        held_on, topic, attended: one row a session on a topic.
    trained
        What these sessions changed in those who took part.
    """

    months: pd.DataFrame
    judged: pd.DataFrame
    drift: pd.DataFrame
    sessions: pd.DataFrame
    trained: Trained

    def of(self, outcome: str) -> pd.DataFrame:
        """The periods of one outcome, of each topic the shortest of which at least half hold enough; where none do,
        the longest."""
        own = self.months[self.months["outcome"] == outcome]
        enough = (own["signal"] != "too_few").groupby([own["topic"], own["period"]]).mean().unstack().fillna(0.0)
        ranked = enough.reindex(columns=list(months.PERIODS), fill_value=0.0)
        best = pd.Series(ranked.columns[-1], index=ranked.index)
        for period in reversed(ranked.columns):
            best = best.where(ranked[period] < _ENOUGH, period)
        return own[own["period"] == own["topic"].map(best)]

    def judged_of(self, topic: str, outcome: str) -> tuple[int, int] | None:
        """How many of the calls that a wrong one may be among could be judged, of how many; None for other shares."""
        found = self.judged[(self.judged["topic"] == topic) & (self.judged["outcome"] == outcome)]
        return None if found.empty else (int(found["judged"].iloc[0]), int(found["of"].iloc[0]))


@dataclass(frozen=True)
class Phase:
    """Months between two sessions that divide them.

    Attributes
    ----------
    since
        The day of the session before them; None for none.
    share
        The share over all of them.
    moved
        ``higher`` or ``lower`` where its difference to the phase before is more than luck, else ``none``.
    """

    since: pd.Timestamp | None
    share: Share
    moved: str


def over_time(snapshot: Snapshot, filters: Filters = EVERYTHING) -> OverTime:
    """Write-ups and what became of the calls by month, quarter and year, inspectors' own changes, and sessions."""
    scored = scored_trials(snapshot, filters)
    trials = snapshot.query("month_outcomes", **filters.parameters())
    parts = []
    for period in months.PERIODS:
        write_ups = months.of_write_ups(snapshot, scored, filters, period).assign(outcome=WRITTEN_UP)
        outcomes = months.of_outcomes(snapshot, trials, period)
        parts += [part.assign(period=period) for part in (write_ups, outcomes)]
    filled = [part for part in parts if len(part)] or parts[:1]
    return OverTime(
        pd.concat(filled, ignore_index=True),
        months.could_be_judged(trials),
        drift.of_scored(scored, filters),
        snapshot.query("sessions"),
        trained(snapshot, scored, filters),
    )


@dataclass(frozen=True)
class Followed:
    """The charts of colleagues taken together.

    Attributes
    ----------
    people
        How many colleagues have enough decks.
    signals, by_luck
        Signals of all charts, and how many luck alone gives in this time.
    explained
        Whether luck gives as many in more than one firm of twenty.
    decks_to_detect
        By direction: the least and the most decks after which half of such changes show.
    """

    people: int
    signals: int
    by_luck: float
    explained: bool
    decks_to_detect: dict[str, tuple[int, int]]


def followed(found: pd.DataFrame) -> Followed:
    """What all charts of :func:`dashboard.measures.drift.drift` together say."""
    charts = found[found["signal"] != "too_few"]
    signals, luck = int(charts["signals"].sum()), float(charts["false_alarms"].sum())
    decks = {
        str(direction): (int(own.min()), int(own.max()))
        for direction, own in charts.groupby("direction")["decks_to_detect"]
        if own.notna().any()
    }
    return Followed(int(charts["inspector_id"].nunique()), signals, luck, luck_explains(signals, luck), decks)


def luck_explains(signals: int, by_luck: float) -> bool:
    """Whether luck alone, which gives ``by_luck`` signals on average, gives as many in more than one firm of twenty."""
    return (float(pdtrc(signals - 1, by_luck)) if signals else 1.0) > _UNLIKELY


def told(rows: pd.DataFrame) -> pd.DataFrame:
    """The months of which luck lets something be said."""
    return rows[rows["signal"].isin(["none", *BEYOND])]


def beyond(rows: pd.DataFrame) -> pd.DataFrame:
    """The months beyond luck."""
    return rows[rows["signal"].isin(BEYOND)]


def with_cases(rows: pd.DataFrame, outcome: str) -> pd.DataFrame:
    """The periods that have calls to read, the latest first: of what could be judged, those that could not."""
    to_read = rows["trials"] - rows["count"] if outcome == "judged" else rows["count"]
    return rows[to_read > 0].sort_values("month", ascending=False)


def by_luck(rows: pd.DataFrame) -> float:
    """How many of these months luck alone would put beyond their limits, at most."""
    return float(told(rows)["luck"].sum())


def phases(rows: pd.DataFrame, sessions: pd.DataFrame) -> list[Phase]:
    """The phases of one topic and outcome with their shares, in order of time.

    Parameters
    ----------
    sessions
        Those on the topic.
    """
    found: list[Phase] = []
    for _, own in rows[rows["phase"] >= 0].groupby("phase"):
        start = own["month"].min()
        held = sessions.loc[sessions["held_on"] < start, "held_on"] if found else sessions["held_on"].head(0)
        share = Share.wilson(int(own["count"].sum()), int(own["trials"].sum()))
        moved = _moved(found[-1].share, share) if found else "none"
        found.append(Phase(held.max() if len(held) else None, share, moved))
    return found


def _moved(before: Share, since: Share) -> str:
    """Whether two shares differ beyond luck: the interval of their difference leaves out 0."""
    _, low, high = intervals.combination([1, -1], [since.count, before.count], [since.of, before.of])
    return "higher" if low > 0 else "lower" if high < 0 else "none"


def within_period(filters: Filters, start: pd.Timestamp, period: str) -> Filters:
    """The filters, narrowed to the days of a month, quarter or year."""
    ends = {"month": pd.offsets.MonthEnd, "quarter": pd.offsets.QuarterEnd, "year": pd.offsets.YearEnd}
    first, last = start.date(), (start + ends[period](0)).date()
    return replace(
        filters,
        first_day=max(first, filters.first_day or first),
        last_day=min(last, filters.last_day or last),
    )
