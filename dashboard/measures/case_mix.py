"""Which decks each inspector saw, and what the firm's colleagues write up on decks like these.

A visit is a report x deck. Its age, region, height, season and builder make up its case; consequence, place, measures
and comment never do, since they are the inspector's own doing. Visits of equal case by one inspector form a cell, and
the trials of a topic are counted by cell before a model is fitted (:mod:`dashboard.stats.case_mix`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.stats.case_mix import Cells
from dashboard.stats.spline import knots, natural_cubic
from dashboard.warehouse import Snapshot

Array = NDArray[np.float64]

_OLDEST = 60.0  # older decks count as this old: there are too few to bend a curve
_TEN_YEARS = 10.0  # the unit of age terms, so that they are of the size of the others


@dataclass(frozen=True)
class CaseMix:
    """All visits of the filters, sorted into cells.

    Attributes
    ----------
    visits
        One row a visit: report_id, deck_id, inspector_id, inspected_on, region, builder, deck_age, … (visits.sql), and
        its cell.
    trials
        One row a trial: visit (row of ``visits``), topic, seen, call, written_up, verdict, overcalled, missed,
        understated.
    inspectors
        Codes of people, sorted; cells name them by position.
    terms, builder, inspector
        Of each cell; cells stand in order of the builder.
    n_builders
        How many builders there are, unknown included.
    adjusted_for
        What the model takes into account: those of age, region, height, season, builder that vary.
    """

    visits: pd.DataFrame
    trials: pd.DataFrame
    inspectors: tuple[str, ...]
    terms: Array
    builder: NDArray[np.intp]
    inspector: NDArray[np.intp]
    n_builders: int
    adjusted_for: tuple[str, ...]

    def cells(self, visit: NDArray[np.intp], event: NDArray[np.bool_]) -> tuple[Cells, NDArray[np.intp]]:
        """Trials counted by cell, and the number of the counted cell of each trial.

        Parameters
        ----------
        visit, event
            Of each trial: its row of ``visits``, and whether it happened.
        """
        cell = self.visits["cell"].to_numpy()[visit]
        kept, where = np.unique(cell, return_inverse=True)
        counted = Cells(
            self.terms[kept],
            self.builder[kept],
            self.inspector[kept],
            np.bincount(where, minlength=kept.size).astype(float),
            np.bincount(where, event, kept.size).astype(float),
            self.n_builders,
            len(self.inspectors),
        )
        return counted, where


def read_case_mix(snapshot: Snapshot, filters: Filters = EVERYTHING) -> CaseMix:
    """The visits of the filters; those for inspectors and topics are left aside: peers and other topics count too."""
    everyone = replace(filters, inspectors=(), topics=()).parameters()
    visits = snapshot.query("visits", **everyone).drop(columns="visit")
    trials = snapshot.query("visit_trials", **everyone)
    trials["visit"] -= 1
    return sort_into_cells(visits, trials)


def sort_into_cells(visits: pd.DataFrame, trials: pd.DataFrame) -> CaseMix:
    """Visits with the same terms, builder and inspector share a cell."""
    terms, adjusted_for = _terms(visits)
    builders, builder = np.unique(visits["builder"].to_numpy(str), return_inverse=True)
    inspectors, inspector = np.unique(visits["inspector_id"].to_numpy(str), return_inverse=True)
    # Sorted by builder first: the model's sums run over builders.
    keys = np.column_stack([builder, inspector, terms])
    _, first, cell = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    if builders.size > 1:
        adjusted_for = (*adjusted_for, "builder")
    return CaseMix(
        visits.assign(cell=cell.reshape(-1)),
        trials,
        tuple(inspectors),
        terms[first],
        builder[first],
        inspector[first],
        max(builders.size, 1),
        adjusted_for,
    )


def _terms(visits: pd.DataFrame) -> tuple[Array, tuple[str, ...]]:
    """The fixed terms of each visit, the constant first; and what they are made of."""
    parts = {
        "age": _age_terms(visits),
        "region": _levels(visits["region"]),
        "height": _levels(visits["deck_height"]),
        "season": _levels(visits["season"]),
    }
    varying = {name: columns[:, np.ptp(columns, axis=0) > 0] for name, columns in parts.items() if columns.size}
    kept = {name: columns for name, columns in varying.items() if columns.shape[1]}
    return np.column_stack([np.ones(len(visits)), *kept.values()]), tuple(kept)


def _age_terms(visits: pd.DataFrame) -> Array:
    """A curve over ages, a step where the age is not known, and a step and a slope where it is an estimate.

    Decks of unknown age stand on the curve where the inspector's other decks do on average: whoever is sent to old
    decks has old ones among those too.
    """
    years = visits["deck_age_years"].to_numpy(float, na_value=np.nan)
    known = ~np.isnan(years)
    decades = np.where(known, np.minimum(years, _OLDEST), 0.0) / _TEN_YEARS
    curve = natural_cubic(decades, knots(decades[known]))
    curve[~known] = _own_mean(curve, known, visits["inspector_id"])[~known]
    estimated = visits["age_estimated"].to_numpy(bool) & known
    return np.column_stack([curve, ~known, estimated, estimated * decades])


def _own_mean(columns: Array, known: NDArray[np.bool_], inspector: pd.Series) -> Array:
    """The mean of each inspector's known rows, in every row of theirs; of all known rows where they have none."""
    _, who = np.unique(inspector.to_numpy(str), return_inverse=True)
    n = np.bincount(who, known)
    sums = np.stack([np.bincount(who, column * known) for column in columns.T], axis=1)
    overall = columns[known].mean(axis=0) if known.any() else np.zeros(columns.shape[1])
    return np.where(n[:, None] > 0, sums / np.maximum(n, 1)[:, None], overall)[who]


def _levels(values: pd.Series) -> Array:
    """A column for each level but the most frequent one, which the constant stands for."""
    levels, code, counts = np.unique(values.to_numpy(str), return_inverse=True, return_counts=True)
    others = [level for level in range(levels.size) if level != counts.argmax()] if levels.size else []
    return np.column_stack([code == level for level in others]).astype(float) if others else np.empty((len(values), 0))


def shared_ground(case: CaseMix, visit: NDArray[np.intp]) -> tuple[Array, Array]:
    """With how many colleagues each inspector shares ground, and how many decks they saw there.

    Ground is region x band of deck age: without a colleague's deck there nothing says what is the deck and what is the
    inspector.

    Parameters
    ----------
    visit
        The visits that count, as rows of ``visits``; repeats do not matter.

    Returns
    -------
    peers, peer_decks
        Over inspectors.
    """
    visits = case.visits.iloc[np.unique(visit)]
    ground = visits["region"].to_numpy(str) + "\n" + visits["deck_age"].to_numpy(str)
    who = pd.Categorical(visits["inspector_id"], categories=list(case.inspectors)).codes
    grounds, where = np.unique(ground, return_inverse=True)
    decks = np.zeros((len(case.inspectors), grounds.size))
    np.add.at(decks, (who, where), 1)
    shares = (decks > 0).astype(float)
    others = decks.sum(axis=0) - decks
    met = shares @ shares.T > 0
    return met.sum(axis=1) - np.diag(met), (shares * others).sum(axis=1)
