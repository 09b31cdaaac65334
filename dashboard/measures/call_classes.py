"""What could be judged within each class of calls: what missed defects and false calls are weighted by.

A defect is found where it is written up or referred; sound work is called wrong where it is written up. The truth is
what the rule or a random second look says. Looks that were not chosen at random are left out, since they were chosen
for what they would show: the rule's word then counts, and the trial is not judged where the rule could not tell. Trials
that the rule leaves to the inspector are neither defects nor sound, and are not counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.stats.verification import WeightedShares, weighted_shares

Array = NDArray[np.float64]

#: The calls by which a defect is found, and those by which sound work is called a defect.
FINDING = ("written_up", "referred")
CLAIMING = ("written_up",)


@dataclass(frozen=True)
class ClassCounts:
    """Counts by inspector x topic x class (called first, then all other calls).

    Attributes
    ----------
    totals
        Seen trials that the rule does not leave to the inspector.
    judged, defects
        Judged without a random look, and those of them with a defect.
    looked, looked_defects
        Known by a random second look alone, and those of them with a defect.
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


def count_classes(
    counts: pd.DataFrame, inspectors: Sequence[str], topics: Sequence[str], called: Sequence[str]
) -> ClassCounts:
    """Trials by inspector, topic and whether the call is one of ``called``.

    Parameters
    ----------
    counts
        Rows of the query ``call_classes``; inspectors and topics that are not asked for are left out.
    """
    place = (
        pd.Categorical(counts["inspector_id"], categories=list(inspectors)).codes,
        pd.Categorical(counts["topic"], categories=list(topics)).codes,
        np.where(counts["call"].isin(list(called)), 0, 1),
    )
    asked = (place[0] >= 0) & (place[1] >= 0)
    dense = []
    for name in ("trials", "judged", "defects", "looked", "looked_defects"):
        cells = np.zeros((len(inspectors), len(topics), 2))
        np.add.at(cells, tuple(part[asked] for part in place), counts[name].to_numpy(float)[asked])
        dense.append(cells)
    return ClassCounts(*dense)
