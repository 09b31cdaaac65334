"""What a filter can be set to."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from dashboard.measures import order
from dashboard.warehouse import Snapshot


@dataclass(frozen=True)
class Choices:
    """Everything that occurs in a snapshot, each list in the order in which it is shown; days are None when empty."""

    first_day: date | None
    last_day: date | None
    regions: tuple[str, ...]
    builders: tuple[str, ...]
    topics: tuple[str, ...]
    deck_ages: tuple[str, ...]
    inspectors: tuple[str, ...]
    loads: tuple[str, ...]


def choices(snapshot: Snapshot) -> Choices:
    """The days, regions, builders, topics, deck ages, inspectors and loads that occur; the newest load first."""
    row = snapshot.query("choices").iloc[0]
    catalog = snapshot.query("topics")

    def found(column: str) -> list[str]:
        # The list of an empty table is null.
        return [] if row[column] is None or row[column] is pd.NA else list(row[column])

    return Choices(
        first_day=as_date(row["first_day"]),
        last_day=as_date(row["last_day"]),
        regions=tuple(order.groups("region", found("regions"))),
        builders=tuple(order.groups("builder", found("builders"))),
        topics=tuple(order.topics(found("topics"), catalog)),
        deck_ages=tuple(order.groups("deck_age", found("deck_ages"))),
        inspectors=tuple(sorted(found("inspectors"))),
        loads=tuple(sorted(found("loads"), reverse=True)),
    )


def as_date(moment: pd.Timestamp | None) -> date | None:
    """A day out of a frame as a date; None where there is none."""
    return None if moment is None or pd.isna(moment) else moment.date()
