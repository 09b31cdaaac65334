"""When to look before and after a training session, and who is compared with those who took part.

The order is: choosing, then before, then after. What led to the choice of a topic or of people stood out by luck too,
so that the window before the session is preceded by one as long that may have served for choosing. The month of the
session counts for neither side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, cast

import numpy as np
import pandas as pd
from numpy.typing import NDArray

_DAY = np.timedelta64(1, "D")
_MONTH = np.timedelta64(1, "M")
#: No window is longer: what was so long ago is of another time.
MOST_DAYS = 730
#: Windows may be cut to so many days to leave room for the one of choosing; if that is too few, there is none.
LEAST_CLEAN_DAYS = 91
QUARTER_DAYS = 91
MOST_QUARTERS = 8


@dataclass(frozen=True)
class Span:
    """Days from ``start`` up to, and without, ``end``."""

    start: np.datetime64
    end: np.datetime64

    @property
    def days(self) -> int:
        return max(0, int((self.end - self.start) / _DAY))

    def holds(self, days: NDArray[np.datetime64]) -> NDArray[np.bool_]:
        """Which of the days lie in it."""
        return (days >= self.start) & (days < self.end)


@dataclass(frozen=True)
class Plan:
    """How one topic of a session is looked at.

    Attributes
    ----------
    session_id, held_on, topic
        The session.
    took_part
        Codes of people.
    before, after
        The windows, equally long; ``after`` is empty where there is no time after as yet.
    history
        All time before that may tell what is usual.
    clean
        Whether a window as long as ``before`` lies before it, by which people may have been chosen.
    most_before
        How many times as long ``before`` could be.
    quarters
        The time after in parts of 91 days, the last perhaps shorter.
    """

    session_id: str
    held_on: pd.Timestamp
    topic: str
    took_part: frozenset[str]
    before: Span
    after: Span
    history: Span
    clean: bool
    most_before: float
    quarters: tuple[Span, ...]

    @property
    def begun(self) -> bool:
        return self.after.days > 0


def plans(attendances: pd.DataFrame, scored: pd.DataFrame) -> Iterator[Plan]:
    """The plans of all sessions and topics, in order of time.

    Parameters
    ----------
    attendances
        session_id, held_on, topic, inspector_id.
    scored
        Seen trials: topic, inspected_on.
    """
    first = scored["inspected_on"].groupby(scored["topic"]).min()
    last = scored["inspected_on"].max()
    for key, own in attendances.groupby(["held_on", "session_id", "topic"], sort=True):
        held_on, session_id, topic = cast("tuple[pd.Timestamp, str, str]", key)
        took_part = frozenset(own["inspector_id"])
        month = np.datetime64(held_on, "M")
        others = attendances[(attendances["topic"] == topic) & (attendances["session_id"] != session_id)]
        # Another session of the same people ends what this one can be seen in.
        theirs = others.loc[others["inspector_id"].isin(took_part), "held_on"].to_numpy("datetime64[M]")
        earliest = max([_day(first.get(topic, last)), *(_day(each + 1) for each in theirs[theirs < month])])
        latest = min([_day(last) + _DAY, *(_day(each) for each in theirs[theirs > month])])
        history, after = Span(earliest, _day(month)), Span(_day(month + 1), latest)
        yield _plan(str(session_id), held_on, str(topic), took_part, history, after)


def _day(of: Any) -> np.datetime64:
    """The day of a moment; of a month its first."""
    return np.datetime64(of, "D")


def _plan(
    session_id: str, held_on: pd.Timestamp, topic: str, took_part: frozenset[str], history: Span, after: Span
) -> Plan:
    """The longest windows that leave room for choosing; where there is no such room, the longest there are."""
    room = history.days
    wanted = min(after.days or MOST_DAYS, MOST_DAYS, room)
    half = room // 2
    clean = half >= min(wanted, LEAST_CLEAN_DAYS) and half > 0
    length = min(wanted, half) if clean else wanted
    before = Span(history.end - length * _DAY, history.end)
    end = after.start + min(length, after.days) * _DAY
    quarters = tuple(_quarters(after)) if length else ()
    most = min(half if clean else room, MOST_DAYS) / length if length else 1.0
    return Plan(
        session_id,
        held_on,
        topic,
        took_part,
        before,
        Span(after.start, end),
        history,
        clean,
        max(1.0, most),
        quarters,
    )


def _quarters(after: Span) -> Iterator[Span]:
    for number in range(MOST_QUARTERS):
        start = after.start + number * QUARTER_DAYS * _DAY
        if start >= after.end:
            return
        yield Span(start, min(start + QUARTER_DAYS * _DAY, after.end))


def trained_elsewhere(attendances: pd.DataFrame, plan: Plan, end: np.datetime64) -> frozenset[str]:
    """Who took part in another session on the topic between the windows' start and their end: no fair comparison."""
    months = attendances["held_on"].to_numpy("datetime64[M]")
    meanwhile = (months >= plan.before.start.astype("datetime64[M]")) & (_days(months) < end)
    own = (attendances["topic"] == plan.topic) & (attendances["session_id"] != plan.session_id) & meanwhile
    return frozenset(attendances.loc[own, "inspector_id"]) - plan.took_part


def touched_topics(attendances: pd.DataFrame, plan: Plan) -> frozenset[str]:
    """Topics on which a session was held between the windows' start and their end: no controls."""
    months = attendances["held_on"].to_numpy("datetime64[M]")
    meanwhile = (months >= plan.before.start.astype("datetime64[M]")) & (_days(months) < plan.after.end)
    return frozenset(attendances.loc[meanwhile, "topic"]) | {plan.topic}


def _days(of: NDArray[np.datetime64]) -> NDArray[np.datetime64]:
    return of.astype("datetime64[D]")
