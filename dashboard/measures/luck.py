"""How many signals luck alone would give this firm: its own reports, handed out to its inspectors by lot.

Within a region, a builder and a band of deck age any of the inspectors who saw such decks could have been sent. Whole
reports change hands there, and the tests are made as before. What then stands out is luck, and the number of it is what
the firm's own signals have to be held against. Trials behind a signal of the firm itself are left out: where nobody
else saw such decks they could not change hands, and would stand out again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.peers import Firm, firm
from dashboard.stats import discovery
from dashboard.stats.case_mix import Cells, Fit, fit, p_values, score_tests
from dashboard.stats.intervals import wilson
from dashboard.warehouse import Snapshot

Codes = NDArray[np.intp]

REPLAYS = 200
_SEED = 200
_EXACT_FROM = 2.5  # no score nearer can be flagged among so many comparisons


def luck(snapshot: Snapshot, filters: Filters = EVERYTHING, replays: int = REPLAYS) -> pd.DataFrame:
    """The signals of the firm, and those of replays in which only luck decides who saw what.

    Returns
    -------
    DataFrame
        One row:

        - signals: pairs of inspector and topic flagged in the firm itself
        - compared: pairs that were compared
        - replays: how often the reports were handed out by lot
        - mean_by_luck, most_by_luck: signals of a replay, on average and in 19 of 20 replays at most
        - any_by_luck, any_by_luck_low, any_by_luck_high: share of replays with a signal at all
    """
    found = firm(snapshot, filters)
    counts = replay(found, replays)
    low, high = wilson((counts > 0).sum(), counts.size)
    return pd.DataFrame(
        {
            "signals": [int(found.family.flagged.sum())],
            "compared": [int(found.family.compared.sum())],
            "replays": [replays],
            "mean_by_luck": [float(counts.mean())],
            "most_by_luck": [int(np.quantile(counts, 0.95, method="higher"))],
            "any_by_luck": [float((counts > 0).mean())],
            "any_by_luck_low": [float(low)],
            "any_by_luck_high": [float(high)],
        }
    )


def replay(found: Firm, replays: int, seed: int = _SEED) -> NDArray[np.int64]:
    """The number of signals in each replay.

    The model of a topic knows nothing of inspectors, so that it stays as it is, whoever saw what: only the tests are
    made anew, over the pairs that were compared in the firm itself.
    """
    random = np.random.default_rng(seed)
    lots = _Lots.of(found)
    models = [_Model.of(found, topic) for topic in found.family.topics]
    counts = np.zeros(replays, np.int64)
    for at in range(replays):
        inspector = lots.draw(random)
        p = np.stack([model.p(inspector) for model in models]) if models else np.empty((0, 0))
        q = discovery.q_values(np.where(found.family.compared, p, np.nan))
        counts[at] = (np.nan_to_num(q, nan=1.0) <= discovery.RATE).sum()
    return counts


@dataclass(frozen=True)
class _Lots:
    """The reports in order of their stratum, each stratum a slice; and the report of each visit."""

    inspector: Codes
    strata: list[Codes]
    report_of_visit: Codes

    @classmethod
    def of(cls, found: Firm) -> _Lots:
        visits = found.case.visits
        _, first, report = np.unique(visits["report_id"].to_numpy(str), return_index=True, return_inverse=True)
        facts = visits.iloc[first]
        stratum = (facts["region"] + "\n" + facts["builder"] + "\n" + facts["deck_age"]).to_numpy(str)
        who = pd.Categorical(facts["inspector_id"], categories=list(found.case.inspectors)).codes.astype(np.intp)
        strata = [np.flatnonzero(code == stratum) for code in np.unique(stratum)]
        return cls(who, [rows for rows in strata if rows.size > 1], report)

    def draw(self, random: np.random.Generator) -> Codes:
        """The inspector of each visit, after the reports of each stratum have changed hands by lot."""
        drawn = self.inspector.copy()
        for rows in self.strata:
            drawn[rows] = random.permutation(self.inspector[rows])
        return drawn[self.report_of_visit]


@dataclass(frozen=True)
class _Model:
    """A topic's model, and its trials one by one: those of a cell may go to different people."""

    trials: Cells
    fitted: Fit
    visit: Codes

    @classmethod
    def of(cls, found: Firm, topic: str) -> _Model:
        tested, dated = found.family.topics[topic], found.dated[topic]
        cells = tested.cells
        for inspector in np.flatnonzero(tested.flagged):
            cells = cells.without(int(inspector))
        fitted = fit(cells)
        order = np.argsort(dated.cell, kind="stable")  # cells stand in order of the builder
        order = order[~tested.flagged[cells.inspector[dated.cell[order]]]]
        cell = dated.cell[order]
        trials = Cells(
            cells.terms[cell],
            cells.builder[cell],
            cells.inspector[cell],
            np.ones(cell.size),
            dated.written_up[order].astype(float),
            cells.n_builders,
            cells.n_inspectors,
        )
        single = replace(fitted, log_odds=fitted.log_odds[cell], probability=fitted.probability[cell])
        return cls(trials, single, dated.visit[order])

    def p(self, inspector: Codes) -> NDArray[np.float64]:
        """The p-values of all inspectors, each visit made by the one named."""
        who = inspector[self.visit]
        scores = score_tests(self.trials, self.fitted, who)
        return p_values(self.trials, self.fitted, scores, who, exact_from=_EXACT_FROM)
