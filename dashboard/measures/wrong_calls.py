"""Whether an inspector's calls are wrong more often than those of peers who recorded the same.

A share of write-ups says little about misses: who passes over one defect in ten and invents as many writes up as often
as everybody. So sound work and defects, as far as they are judged, are compared each for itself: how often sound work
of a recorded kind is written up, and how often a defect of a recorded kind is passed over. Kinds take the place of
builders in the model: each has its own level, drawn toward that of all kinds by how few trials it has.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from dashboard.filters import Filters
from dashboard.measures.signals import WRONG_CALLS, Array, Family, find_signals
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
    kinds = snapshot.query("judged_kinds", **filters.parameters())
    return {wrong: _family_of(kinds[kinds["side"] == side], inspectors) for side, wrong in WRONG.items()}


def _family_of(kinds: pd.DataFrame, inspectors: tuple[str, ...]) -> Family:
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
