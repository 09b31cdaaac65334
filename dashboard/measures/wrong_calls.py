"""Whether an inspector's calls are wrong more often than those of peers who recorded the same.

A share of write-ups says little about misses: who passes over one defect in ten and invents as many writes up as often
as everybody. So sound work and defects, as far as they are judged, are compared each for itself: how often sound work
of a recorded kind is written up, and how often a defect of a recorded kind is passed over. Kinds take the place of
builders in the model: each has its own level, drawn toward that of all kinds by how few trials it has.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import Filters
from dashboard.measures.signals import (
    LEAST_OVERLAP,
    WRONG_CALLS,
    Array,
    Family,
    Together,
    find_signals,
    no_family,
    q_over_topics,
    signal_names,
)
from dashboard.stats.case_mix import Cells
from dashboard.warehouse import Snapshot

#: The two sides, and the call that is wrong on each.
WRONG = {"sound": "overcalled", "defect": "missed"}


def wrong_call_signals(snapshot: Snapshot, filters: Filters, inspectors: tuple[str, ...]) -> dict[str, Family]:
    """The tests of wrong calls by side: ``overcalled`` and ``missed``, each a false discovery family of its own.

    Parameters
    ----------
    filters
        With all inspectors and topics in them.
    inspectors
        Codes of people, in the order of the tests' arrays.
    """
    return signals_by_side(snapshot.query("judged_kinds", **filters.parameters()), inspectors)


def signals_by_side(kinds: pd.DataFrame, inspectors: tuple[str, ...]) -> dict[str, Family]:
    """The tests of :func:`wrong_call_signals` from the rows of the query ``judged_kinds``."""
    return {wrong: _family_of(kinds[kinds["side"] == side], inspectors) for side, wrong in WRONG.items()}


def _family_of(kinds: pd.DataFrame, inspectors: tuple[str, ...]) -> Family:
    if kinds.empty:
        return no_family(len(inspectors))
    cells = {str(topic): _cells(rows, inspectors) for topic, rows in kinds.groupby("topic", sort=False)}
    return find_signals(cells, lambda topic: _shared_kinds(cells[topic]), WRONG_CALLS)


def _cells(rows: pd.DataFrame, inspectors: tuple[str, ...]) -> Cells:
    kinds, kind = np.unique(rows["kinds"].to_numpy(str), return_inverse=True)
    order = np.argsort(kind, kind="stable")
    who = pd.Categorical(rows["inspector_id"], categories=list(inspectors)).codes.astype(np.intp)
    trials, wrong = rows["trials"].to_numpy(float), rows["wrong"].to_numpy(float)
    return Cells(
        np.ones((len(rows), 1)), kind[order], who[order], trials[order], wrong[order], kinds.size, len(inspectors)
    )


def _shared_kinds(cells: Cells) -> tuple[Array, Array]:
    """Over inspectors: peers who recorded a kind that they recorded too, and the peers' trials of these kinds."""
    trials = np.zeros((cells.n_inspectors, cells.n_builders))
    np.add.at(trials, (cells.inspector, cells.builder), cells.trials)
    recorded = (trials > 0).astype(float)
    met = recorded @ recorded.T > 0
    others = trials.sum(axis=0) - trials
    return met.sum(axis=1) - np.diag(met), (recorded * others).sum(axis=1)


@dataclass(frozen=True)
class WrongCalls:
    """Over inspectors: judged trials of a side, wrong calls among them, those of peers, the test."""

    judged: Array
    wrong: Array
    expected: Array
    p: Array
    q: Array
    signal: NDArray[np.object_]


def in_topic(family: Family, topic: str) -> WrongCalls:
    """Wrong calls of one topic; ``too_few`` where nothing was judged on this side."""
    n = family.compared.shape[1]
    if topic not in family.topics:
        none, unknown = np.zeros(n), np.full(n, np.nan)
        return WrongCalls(none, none, none, unknown, unknown, np.full(n, "too_few", dtype=object))
    row = list(family.topics).index(topic)
    tested, compared, q = family.topics[topic], family.compared[row], family.q[row]
    signal = signal_names(tested.score, WRONG_CALLS.met(tested), compared, q)
    expected = tested.events - tested.score
    return WrongCalls(tested.trials, tested.events, expected, np.where(compared, tested.p, np.nan), q, signal)


def over_topics(family: Family, dispersion: float) -> WrongCalls:
    """The sums of all topics; ``dispersion`` is how many times the binomial variance they have."""
    if not family.topics:
        return in_topic(family, "")
    summed = Together.of(list(family.topics.values()))
    enough = WRONG_CALLS.met(summed)
    compared = enough & (summed.overlap >= LEAST_OVERLAP)
    p = np.where(compared, summed.p(dispersion), np.nan)
    q = q_over_topics(p)
    signal = signal_names(summed.score, enough, compared, q)
    return WrongCalls(summed.trials, summed.events, summed.events - summed.score, p, q, signal)
