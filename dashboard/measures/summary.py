"""The firm in numbers: what the answer sentence of a page and the summary of the demo say."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.choices import as_date
from dashboard.measures.patterns import misses, patterns
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot


@dataclass(frozen=True)
class Share:
    """A share with its counts and its interval; value, low and high are None where ``of`` is 0."""

    count: int
    of: int
    value: float | None
    low: float | None
    high: float | None

    @classmethod
    def wilson(cls, count: int, of: int) -> Share:
        if of == 0:
            return cls(count, of, None, None, None)
        low, high = intervals.wilson(count, of)
        return cls(count, of, count / of, float(low), float(high))


@dataclass(frozen=True)
class Summary:
    """The calls within the filters. A call is a seen trial: one topic on one deck in one report.

    Attributes
    ----------
    reports, decks, inspectors, regions, builders, first_day, last_day, observations
        What lies within the filters; days are None where nothing does.
    calls, not_seen
        Trials seen, and trials not seen.
    judged
        Calls in which a rule decided, of all calls.
    written_up
        Calls written up.
    judged_write_ups
        Write-ups in which a rule decided, of all write-ups.
    overcalled
        Write-ups that do not hold at some place, of those judged.
    missed, understated
        Calls with a recorded defect passed over, or only advised upon, and not written up elsewhere in the trial.
    judged_passes
        Calls passed or advised in which a rule decided, of all such calls.
    wrong_passes
        Calls passed or advised that are missed or understated, of those judged.
    patterns, misses
        The largest kinds of write-up that do not hold, and of passed-over defects: the first rows of
        :func:`patterns.patterns` and :func:`patterns.misses` that have any wrong call.
    """

    reports: int
    decks: int
    inspectors: int
    regions: int
    builders: int
    first_day: date | None
    last_day: date | None
    observations: int
    calls: int
    not_seen: int
    judged: Share
    written_up: int
    judged_write_ups: Share
    overcalled: Share
    missed: int
    understated: int
    judged_passes: Share
    wrong_passes: Share
    patterns: pd.DataFrame
    misses: pd.DataFrame


@dataclass(frozen=True)
class Extent:
    """What lies within the filters: calls (seen trials), first and last day; days are None where nothing does."""

    calls: int
    first_day: date | None
    last_day: date | None


@dataclass(frozen=True)
class Intake:
    """What the snapshot holds in all: reports, those of them with refused rows outstanding, refused rows, and how many
    of these came with the newest load."""

    reports: int
    incomplete_reports: int
    refused_rows: int
    refused_newest: int


def summary(snapshot: Snapshot, filters: Filters = EVERYTHING, largest: int = 3) -> Summary:
    """The firm in numbers, within the filters; ``largest`` is how many patterns and misses to name."""
    row = snapshot.query("firm_trials", **filters.parameters()).iloc[0]
    found = extent(snapshot, filters)
    wrong, passed_over = patterns(snapshot, filters), misses(snapshot, filters)
    return Summary(
        reports=int(row["reports"]),
        decks=int(row["decks"]),
        inspectors=int(row["inspectors"]),
        regions=int(row["regions"]),
        builders=int(row["builders"]),
        first_day=found.first_day,
        last_day=found.last_day,
        observations=int(row["observations"]),
        calls=found.calls,
        not_seen=int(row["not_seen"]),
        written_up=int(row["written_up"]),
        missed=int(row["missed"]),
        understated=int(row["understated"]),
        judged=Share.wilson(int(row["judged"]), found.calls),
        judged_write_ups=Share.wilson(int(row["judged_write_ups"]), int(row["written_up"])),
        overcalled=Share.wilson(int(row["overcalled"]), int(row["judged_write_ups"])),
        judged_passes=Share.wilson(int(row["judged_passes"]), int(row["passes"])),
        wrong_passes=Share.wilson(int(row["wrong_passes"]), int(row["judged_passes"])),
        patterns=wrong[wrong["overcalled"] > 0].head(largest).reset_index(drop=True),
        misses=passed_over[passed_over["missed"] + passed_over["understated"] > 0].head(largest).reset_index(drop=True),
    )


def extent(snapshot: Snapshot, filters: Filters = EVERYTHING) -> Extent:
    """How many calls lie within the filters, and on which days."""
    row = snapshot.query("extent", **filters.parameters()).iloc[0]
    return Extent(int(row["calls"]), as_date(row["first_day"]), as_date(row["last_day"]))


def intake(snapshot: Snapshot) -> Intake:
    """What the snapshot holds in all, whatever the filters."""
    row = snapshot.query("intake").iloc[0]
    return Intake(
        int(row["reports"]), int(row["incomplete_reports"]), int(row["refused_rows"]), int(row["refused_newest"])
    )
