"""All that the page on time shows, worked out from one fit of the case-mix models."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import drift, months
from dashboard.measures.peers import scored_trials
from dashboard.warehouse import Snapshot

WRITTEN_UP = "written_up"
#: What may be shown month by month.
SHOWN = (WRITTEN_UP, *months.OUTCOMES)


@dataclass(frozen=True)
class OverTime:
    """What moved.

    Attributes
    ----------
    months
        One row a month x topic x what is shown (``outcome``: one of ``SHOWN``); columns of ``months.COLUMNS``.
    drift
        Rows of :func:`dashboard.measures.drift.drift`.
    sessions
        held_on, topic, attended: one row a session on a topic.
    """

    months: pd.DataFrame
    drift: pd.DataFrame
    sessions: pd.DataFrame


def over_time(snapshot: Snapshot, filters: Filters = EVERYTHING) -> OverTime:
    """Months of write-ups and of what became of the calls, inspectors' own changes, and sessions."""
    scored = scored_trials(snapshot, filters)
    write_ups = months.of_write_ups(snapshot, scored, filters).assign(outcome=WRITTEN_UP)
    outcomes = months.months_of_outcomes(snapshot, filters)
    return OverTime(
        pd.concat([part for part in (write_ups, outcomes) if len(part)] or [write_ups], ignore_index=True),
        drift.of_scored(scored, filters),
        snapshot.query("sessions"),
    )
