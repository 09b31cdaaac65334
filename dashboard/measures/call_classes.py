"""What could be judged within each class of calls: what missed defects and false calls are weighted by.

A defect is found where it is written up or referred; sound work is called wrong where it is written up. The verdict is
the trial's: a rule's, or that of a second look. Looks that were not chosen at random are left out, as if the trial had
not been judged, since they were chosen for what they would show.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.measures.case_mix import CaseMix
from dashboard.stats.verification import WeightedShares, weighted_shares

Array = NDArray[np.float64]

#: The calls by which a defect is found, and those by which sound work is called a defect.
FINDING = ("written_up", "referred")
CLAIMING = ("written_up",)

_DECIDED = ("defect", "acceptable")


@dataclass(frozen=True)
class ClassCounts:
    """Counts by inspector x topic x class (called first, then all other calls).

    Attributes
    ----------
    totals
        Seen trials.
    judged, defects
        Judged without a random look, and those of them with a defect.
    looked, looked_defects
        Ruled upon by a random second look, and those of them with a defect.
    """

    totals: Array
    judged: Array
    defects: Array
    looked: Array
    looked_defects: Array

    def shares(self) -> WeightedShares:
        """Finds and false calls, of the class by which these trials were counted."""
        return weighted_shares(self.totals, self.judged, self.defects, self.looked, self.looked_defects)

    def over_topics(self) -> ClassCounts:
        """The same counts, all topics together (a topic axis of one)."""
        parts = (self.totals, self.judged, self.defects, self.looked, self.looked_defects)
        return ClassCounts(*(part.sum(axis=1, keepdims=True) for part in parts))


def count_classes(case: CaseMix, topics: list[str], called: tuple[str, ...]) -> ClassCounts:
    """Seen trials of each inspector and topic by whether the call is one of ``called``, and what was judged of them."""
    trials = case.trials[case.trials["seen"].to_numpy(bool)]
    inspector = case.visits["inspector_id"].to_numpy()[trials["visit"].to_numpy()]
    place = (
        pd.Categorical(inspector, categories=list(case.inspectors)).codes,
        pd.Categorical(trials["topic"], categories=topics).codes,
        np.where(trials["call"].isin(called), 0, 1),
    )
    verdict, looked = trials["verdict"], trials["looked"].fillna("").to_numpy(str)
    decided, defect = verdict.isin(_DECIDED).to_numpy(), (verdict == "defect").to_numpy()
    by_rule, by_look = decided & (looked == ""), decided & (looked == "random")

    def counted(which: NDArray[np.bool_]) -> Array:
        counts = np.zeros((len(case.inspectors), len(topics), 2))
        np.add.at(counts, place, which)
        return counts

    return ClassCounts(
        counted(np.ones(len(trials), bool)),
        counted(by_rule),
        counted(by_rule & defect),
        counted(by_look),
        counted(by_look & defect),
    )
