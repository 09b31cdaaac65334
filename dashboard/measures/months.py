"""Month by month: whether write-ups, and what became of them, moved beyond luck and the mix of decks."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import order
from dashboard.measures.course import with_course
from dashboard.measures.peers import scored_trials
from dashboard.measures.practice import own_practice
from dashboard.stats import control_charts, intervals
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]
Codes = NDArray[np.intp]

ALL = "all"
#: Fewer trials than this in a month, and nothing is said of it.
LEAST_TRIALS = 10
#: How long a period may be, and how many of them must be left on each side of a session for it to divide them.
PERIODS = {"month": 6, "quarter": 3, "year": 2}
_MONTHS_IN = {"month": 1, "quarter": 3, "year": 12}
OUTCOMES = ("overcalled", "missed", "judged")
COLUMNS = [
    *("month", "topic", "trials", "count", "share", "share_low", "share_high", "phase"),
    *("expected", "expected_share", "lower", "upper", "lower_share", "upper_share"),
    *("course", "course_low", "course_high", "spread", "luck", "signal"),
]


def months(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Write-ups of each topic month by month, and which months lie beyond luck.

    Returns
    -------
    DataFrame
        One row a month x topic that has seen trials, and of all topics together (``all``); topics in load-path order.

        - month (its first day), topic, trials (seen report x deck x topic), written_up (of them)
        - written_up_share, written_up_share_low, written_up_share_high: of trials (Wilson)
        - phase: 0 before the first session on the topic that divides its months, 1 after it …; -1 in a session's month
        - expected, expected_share: what the same people would have written up on these decks, by their own practice
          over all months of the phase (see :func:`dashboard.measures.practice.own_practice`); missing in phase -1
        - lower, upper, lower_share, upper_share: the fewest and the most that luck allows, 0.1 percent beyond each
        - course, course_low, course_high: slow change, a share, and how far luck carries it; no signal follows from it
          (see :func:`dashboard.measures.course.with_course`)
        - spread: the factor by which clusters and the scatter of stable months widen these limits; at least 1
        - luck: the chance that luck alone carries the month beyond its limits, were there no such widening
        - signal: ``higher``, ``lower``, ``none``, ``too_few`` (fewer than 10 trials, or no count would lie beyond),
          ``session`` (phase -1)
    """
    shares = {f"share{end}": f"written_up_share{end}" for end in ("", "_low", "_high")}
    return of_write_ups(snapshot, scored_trials(snapshot, filters), filters).rename(
        columns={"count": "written_up", **shares}
    )


def of_write_ups(
    snapshot: Snapshot, scored: pd.DataFrame, filters: Filters = EVERYTHING, period: str = "month"
) -> pd.DataFrame:
    """The rows of :func:`months` from trials that are scored already; columns as in ``COLUMNS``.

    Parameters
    ----------
    scored
        What :func:`dashboard.measures.peers.scored_trials` gives within these filters; those for inspectors and topics
        are left aside there.
    period
        One of ``PERIODS``: where months hold too little, quarters or years may stand in the column ``month``.
    """
    for column, kept in (("topic", filters.topics), ("inspector_id", filters.inspectors)):
        scored = scored[scored[column].isin(kept)] if kept else scored
    trials = scored.assign(event=scored["written_up"], chance=own_practice(scored))
    return charted(trials, snapshot.query("sessions"), snapshot.query("topics"), period)


def months_of_outcomes(snapshot: Snapshot, filters: Filters = EVERYTHING, period: str = "month") -> pd.DataFrame:
    """What became of the calls, month by month, and which months lie beyond luck.

    Parameters
    ----------
    period
        As in :func:`of_write_ups`.

    Returns
    -------
    DataFrame
        As :func:`months`, with a column ``outcome`` after the topic, and ``count`` and ``share`` in place of
        ``written_up``; expected is what the topic's own share over all months of the phase gives.

        - overcalled: of write-ups in which a rule decided, those that do not hold at some place
        - missed: of passed or advised calls in which a rule decided, those that pass over a recorded defect, or only
          advise upon it, and have it written up nowhere on that deck
        - judged: of all calls, those in which a rule decided; topics without a rule are in ``all`` only
    """
    return of_outcomes(snapshot, snapshot.query("month_outcomes", **filters.parameters()), period)


def of_outcomes(snapshot: Snapshot, trials: pd.DataFrame, period: str = "month") -> pd.DataFrame:
    """The rows of :func:`months_of_outcomes` from trials that are read already (``month_outcomes.sql``)."""
    sessions, catalog = snapshot.query("sessions"), snapshot.query("topics")
    parts = [charted(part.assign(chance=0.5), sessions, catalog, period) for part in _parts(trials)]
    parts[-1] = parts[-1][parts[-1]["topic"].isin([ALL, *catalog.loc[catalog["has_rule"], "topic"]])]
    named = [part.assign(outcome=name) for part, name in zip(parts, OUTCOMES, strict=True)]
    return pd.concat(named, ignore_index=True)[[*COLUMNS[:2], "outcome", *COLUMNS[2:]]]


def could_be_judged(trials: pd.DataFrame) -> pd.DataFrame:
    """How many of the calls that a wrong one may be among could be judged; trials as in :func:`of_outcomes`.

    Returns
    -------
    DataFrame
        One row a topic (and ``all``) x outcome: topic, outcome (overcalled: of write-ups; missed: of calls passed or
        advised), judged, of.
    """
    kinds = {"overcalled": ["written_up"], "missed": ["passed", "advised"]}
    rows = []
    for (outcome, calls), judged in zip(kinds.items(), _parts(trials), strict=False):
        of, known = trials.loc[trials["call"].isin(calls), "topic"].value_counts(), judged["topic"].value_counts()
        own = (
            pd.DataFrame({"of": of, "judged": known.reindex(of.index, fill_value=0)}).rename_axis("topic").reset_index()
        )
        rows += [
            own.assign(outcome=outcome),
            own[["of", "judged"]].sum().to_frame().T.assign(topic=ALL, outcome=outcome),
        ]
    return pd.concat(rows, ignore_index=True)[["topic", "outcome", "judged", "of"]]


def _parts(trials: pd.DataFrame) -> list[pd.DataFrame]:
    """The trials that each outcome is a share of, with whether it is so."""
    write_ups = trials[(trials["call"] == "written_up") & (trials["upheld"] | trials["overcalled"])]
    passes = trials[trials["call"].isin(["passed", "advised"]) & trials["judged"]]
    return [
        write_ups.assign(event=write_ups["overcalled"]),
        passes.assign(event=passes["passed_over"]),
        trials.assign(event=trials["judged"]),
    ]


def charted(trials: pd.DataFrame, sessions: pd.DataFrame, catalog: pd.DataFrame, period: str = "month") -> pd.DataFrame:
    """The limits of each month, or longer period, of each topic and of all topics together.

    Parameters
    ----------
    trials
        report_id, topic, inspected_on, event, chance: of each trial whether it happened, and the chance that it does
        before that is brought to the topic's own number of events in each phase.
    sessions
        held_on, topic.
    catalog
        topic, position.
    """
    if trials.empty:
        return pd.DataFrame(columns=COLUMNS)
    month = _starts(trials["inspected_on"], period)
    names = order.topics(trials["topic"].unique(), catalog)
    topic = pd.Categorical(trials["topic"], categories=names).codes.astype(np.intp)
    report = pd.factorize(trials["report_id"])[0].astype(np.intp)
    event, chance = trials["event"].to_numpy(float), trials["chance"].to_numpy(float)
    phase = _phases(topic, month, names, sessions, period)
    own = _brought_to_own(chance, event, topic, phase)
    single = _rows(month, topic, report, event, own, phase, names)
    together = np.zeros_like(topic)
    whole = _rows(month, together, report, event, _brought_to_own(chance, event, topic, together), together, [ALL])
    return with_course(pd.concat([whole, single], ignore_index=True), _MONTHS_IN[period])[COLUMNS]


def _starts(days: pd.Series, period: str) -> NDArray:
    """The month in which each day's period starts."""
    month = days.to_numpy().astype("datetime64[M]").astype(np.int64)
    return (month - month % _MONTHS_IN[period]).astype("datetime64[M]")


def _phases(topic: Codes, month: NDArray, names: Sequence[str], sessions: pd.DataFrame, period: str) -> Codes:
    """Which phase of its topic each trial is in; -1 in the month of a session that divides them."""
    phase = np.zeros(topic.size, np.intp)
    held = _starts(sessions["held_on"], period)
    for code, name in enumerate(names):
        own = np.flatnonzero(topic == code)
        on_topic = np.unique(held[(sessions["topic"] == name).to_numpy()])
        for start in _dividing(np.unique(month[own]), on_topic, PERIODS[period]):
            after, at = own[month[own] > start], own[month[own] == start]
            phase[after] += 1
            phase[at] = -1
    return phase


def _dividing(months: NDArray, held: NDArray, least: int) -> list:
    """The months of sessions that leave enough months on each side, up to the sessions before and after them."""
    kept: list = []
    for start in held:
        before = (months < start) & (months > kept[-1]) if kept else months < start
        if before.sum() >= least and (months > start).sum() >= least:
            kept.append(start)
    return kept


def _brought_to_own(chance: Array, event: Array, topic: Codes, phase: Codes) -> Array:
    """Chances that add up to the topic's events in each phase; NaN in the month of a session."""
    inside = phase >= 0
    group = pd.factorize(topic[inside] * (phase.max() + 1) + phase[inside])[0].astype(np.intp)
    own = np.full(chance.size, np.nan)
    own[inside] = control_charts.brought_to(chance[inside], group, np.bincount(group, event[inside]))
    return own


def _rows(
    month: NDArray, topic: Codes, report: Codes, event: Array, chance: Array, phase: Codes, names: Sequence[str]
) -> pd.DataFrame:
    cell, key = pd.factorize(topic * 1_000_000 + month.astype(np.int64), sort=True)
    n = key.size
    inside = ~np.isnan(chance)
    own, residual = np.where(inside, chance, 0.0), np.where(inside, event - chance, 0.0)
    topic_of, when = key // 1_000_000, (key % 1_000_000).astype("datetime64[M]")
    trials = np.bincount(cell, minlength=n)
    count, expected = np.bincount(cell, event, n), np.bincount(cell, own, n)
    variance = np.bincount(cell, own * (1 - own), n)
    clusters = control_charts.clustering(residual, own * (1 - own), report, topic, len(names))
    spread = np.sqrt(clusters)[topic_of]
    deviate = control_charts.deviates(count, expected, variance * spread**2)
    usable = np.where(trials >= LEAST_TRIALS, deviate, np.nan)
    spread *= np.array([control_charts.scatter(usable[topic_of == code]) for code in range(len(names))])[topic_of]
    found = control_charts.limits(own, cell, n)
    lower, upper = control_charts.widened(expected, found, spread, trials)
    phase_of = np.zeros(n, np.intp)
    phase_of[cell] = phase
    low, high = intervals.wilson(count, trials)
    table = pd.DataFrame(
        {
            "month": when.astype("datetime64[us]"),
            "topic": np.array(names, dtype=object)[topic_of],
            "trials": trials,
            "count": count.astype(np.int64),
            **{"share": count / trials, "share_low": low, "share_high": high, "phase": phase_of},
            **{"expected": expected, "expected_share": expected / trials, "lower": lower, "upper": upper},
            **{"lower_share": lower / trials, "upper_share": upper / trials, "spread": spread, "luck": found.outside},
            "variance": variance * spread**2,
        }
    ).astype({"topic": "str"})
    return _signals(table)


def _signals(table: pd.DataFrame) -> pd.DataFrame:
    """With the signal; where the month is a session's, nothing is expected."""
    session = table["phase"] < 0
    too_few = (table["trials"] < LEAST_TRIALS) | ((table["lower"] == 0) & (table["upper"] == table["trials"]))
    signal = np.select(
        [session, too_few, table["count"] > table["upper"], table["count"] < table["lower"]],
        ["session", "too_few", "higher", "lower"],
        default="none",
    )
    blank = ["expected", "expected_share", "lower", "upper", "lower_share", "upper_share", "luck"]
    told = table.assign(signal=signal).astype({"lower": "Int64", "upper": "Int64", "signal": "str"})
    told[blank] = told[blank].mask(session)
    return told
