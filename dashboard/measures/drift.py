"""Whether an inspector's own write-ups changed for good, deck by deck: two cumulative sums each."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.peers import scored_trials
from dashboard.measures.practice import own_practice
from dashboard.stats import cusum
from dashboard.warehouse import Snapshot

#: What a chart looks for: doubled odds of a write-up, or halved ones.
DIRECTIONS = {"higher": 2.0, "lower": 0.5}
#: How many false alarms a year the charts of all inspectors together may give.
ALARMS_A_YEAR = 1.0
LEAST_DECKS = 30
_DAYS_A_YEAR = 365.25
#: Somebody who started last week has not inspected for so short a time that a year would hold thousands of decks.
_LEAST_DAYS = 90

COLUMNS = [
    *("inspector_id", "direction", "decks", "decks_a_year", "limit", "highest", "signals", "first_signalled"),
    *("last_signalled", "changed_since", "false_alarms_a_year", "false_alarms", "decks_to_detect", "signal"),
]


def drift(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Whether the write-ups of an inspector, over all topics, became twice or half as frequent, and since when.

    A step of a sum is a deck in a report. The baseline is the inspector's own practice over all the time that is looked
    at, on such decks (:func:`dashboard.measures.practice.own_practice`): who differs from peers has not changed.

    Returns
    -------
    DataFrame
        One row an inspector x direction, inspectors by alphabet.

        - inspector_id, direction (``higher``: doubled odds are looked for; ``lower``: halved)
        - decks (steps), decks_a_year
        - limit, highest: what the sum must reach, and the most that it came to
        - signals, first_signalled, last_signalled: how often it did, and the days; after each the sum starts from zero
        - changed_since: the day of the first deck after the sum was last zero, before the latest signal
        - false_alarms_a_year: how often luck alone gives a signal, by simulation; all rows together at most 1
        - false_alarms: how many that makes over these decks
        - decks_to_detect: after how many decks half of such changes have signalled, by simulation; missing where they
          do not within 1,000
        - signal: ``higher``, ``lower``, ``none``, or ``too_few`` (fewer than 30 decks, or no write-up)
    """
    return of_scored(scored_trials(snapshot, filters), filters)


def of_scored(scored: pd.DataFrame, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """The table of :func:`drift` from trials that are scored already.

    Colleagues that the filters leave out take their part of the false alarms all the same: who looks at one of twelve
    has looked at twelve.
    """
    scored = scored[scored["topic"].isin(filters.topics)] if filters.topics else scored
    if scored.empty:
        return pd.DataFrame(columns=COLUMNS)
    found = _all_charts(scored)
    kept = found["inspector_id"].isin(filters.inspectors) if filters.inspectors else slice(None)
    return found[kept].reset_index(drop=True)


def _all_charts(scored: pd.DataFrame) -> pd.DataFrame:
    trials = scored.assign(chance=own_practice(scored))
    trials = trials.sort_values(["inspector_id", "inspected_on", "report_id", "deck_id"], kind="stable")
    deck = pd.factorize(pd.MultiIndex.from_frame(trials[["report_id", "deck_id"]]))[0].astype(np.intp)
    event, chance = trials["written_up"].to_numpy(float), trials["chance"].to_numpy(float)
    shared = cusum.shared_luck(event - chance, chance * (1 - chance), deck)
    people = [_person(str(name), own) for name, own in trials.groupby("inspector_id", sort=True)]
    charts = len(DIRECTIONS) * sum(person.enough for person in people)
    rows = [row for person in people for row in _charts(person, shared, charts)]
    return pd.DataFrame(rows, columns=COLUMNS).astype({"signals": "Int64"})


@dataclass(frozen=True)
class _Person:
    """An inspector's decks and their days, in order of time."""

    inspector_id: str
    decks: cusum.Decks
    days: NDArray[np.datetime64]

    @property
    def enough(self) -> bool:
        return self.days.size >= LEAST_DECKS and bool(self.decks.event.any())

    @property
    def decks_a_year(self) -> float:
        days = (self.days[-1] - self.days[0]) / np.timedelta64(1, "D") + 1
        return float(self.days.size * _DAYS_A_YEAR / max(days, _LEAST_DAYS))


def _person(inspector_id: str, own: pd.DataFrame) -> _Person:
    """Trials in order of time, those of a deck in a report together."""
    report, deck = own["report_id"].to_numpy(str), own["deck_id"].to_numpy(str)
    starts = np.flatnonzero(np.concatenate([[True], (report[1:] != report[:-1]) | (deck[1:] != deck[:-1])]))
    decks = cusum.Decks(own["chance"].to_numpy(float), own["written_up"].to_numpy(bool), starts)
    return _Person(inspector_id, decks, own["inspected_on"].to_numpy("datetime64[D]")[starts])


def _charts(person: _Person, shared: float, charts: int) -> Iterator[dict[str, Any]]:
    """The two rows of an inspector; ``charts`` is how many share the false alarms of a year."""
    whose = {"inspector_id": person.inspector_id, "decks": person.days.size, "decks_a_year": person.decks_a_year}
    if not person.enough:
        yield from (whose | {"direction": direction, "signal": "too_few"} for direction in DIRECTIONS)
        return
    # The inspector's name is the seed: a colleague who joins changes nobody else's chart but by the shared alarms.
    rng = np.random.default_rng(list(person.inspector_id.encode()))
    allowed = ALARMS_A_YEAR / charts / person.decks_a_year
    designs = cusum.designs(person.decks, shared, allowed, tuple(DIRECTIONS.values()), rng)
    for (direction, odds_ratio), design in zip(DIRECTIONS.items(), designs, strict=True):
        yield whose | {"direction": direction} | _read(person, odds_ratio, design)


def _read(person: _Person, odds_ratio: float, design: cusum.Design) -> dict[str, Any]:
    """What a chart says of the decks as they were."""
    path, signal = cusum.sums(person.decks.steps(odds_ratio), design.limit)
    at = np.flatnonzero(signal)
    told: dict[str, Any] = {
        "limit": design.limit,
        "highest": float(path.max()),
        "signals": at.size,
        "false_alarms_a_year": design.false_alarms_a_deck * person.decks_a_year,
        "false_alarms": design.false_alarms_a_deck * person.days.size,
        "decks_to_detect": design.decks_to_detect if np.isfinite(design.decks_to_detect) else None,
        "signal": "none",
    }
    if not at.size:
        return told
    # Where the sum was last zero, or had just been set to zero by the signal before.
    calm = np.flatnonzero((path[: at[-1]] == 0) | signal[: at[-1]])
    return told | {
        "first_signalled": person.days[at[0]],
        "last_signalled": person.days[at[-1]],
        "changed_since": person.days[calm[-1] + 1 if calm.size else 0],
        "signal": "higher" if odds_ratio > 1 else "lower",
    }
