"""What could be judged within each class of calls: what missed defects and false calls are weighted by.

A defect is found where it is written up or referred; sound work is called wrong where it is written up. The truth is
what the rule or a random second look says. Looks that were not chosen at random are left out, since they were chosen
for what they would show: the rule's word then counts, and the trial is not judged where the rule could not tell. Trials
that the rule leaves to the inspector are neither defects nor sound, and are not counted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.stats.verification import (
    LEAST_JUDGED_SHARE,
    Share,
    WeightedShares,
    ranges_without_assumption,
    weighted_shares,
)

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

    def shares(self, least_judged_share: float = LEAST_JUDGED_SHARE) -> WeightedShares:
        """Finds and false calls, of the class by which these trials were counted."""
        return weighted_shares(*self._parts(), least_judged_share=least_judged_share)

    def ranges(self) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
        """Low and high of finds and of false calls, with nothing assumed of unjudged calls."""
        return ranges_without_assumption(*self._parts())

    def after(self, looks: NDArray[np.int64]) -> ClassCounts:
        """The counts after so many more random looks, if unjudged calls are like the known ones of their class.

        A class of which nothing is known is taken for half defects.
        """
        known, defects = self.judged + self.looked, self.defects + self.looked_defects
        share = (defects + 0.5) / (known + 1)
        return replace(self, looked=self.looked + looks, looked_defects=self.looked_defects + looks * share)

    def over_topics(self) -> ClassCounts:
        """The same counts, all topics together (a topic axis of one)."""
        return ClassCounts(*(part.sum(axis=1, keepdims=True) for part in self._parts()))

    def over_inspectors(self) -> ClassCounts:
        """Counts by topic x class, all inspectors together."""
        return ClassCounts(*(part.sum(axis=0) for part in self._parts()))

    @property
    def known_defects(self) -> Array:
        """Trials that are known to be a defect, all classes together."""
        return (self.defects + self.looked_defects).sum(axis=-1)

    @property
    def known_sound(self) -> Array:
        """Trials that are known to be sound, all classes together."""
        return (self.judged + self.looked).sum(axis=-1) - self.known_defects

    def _parts(self) -> tuple[Array, ...]:
        return self.totals, self.judged, self.defects, self.looked, self.looked_defects


def share_columns(name: str, share: Share) -> dict[str, Array]:
    """The columns of a share: the estimate, its interval, its bounds."""
    return {
        name: share.estimate,
        f"{name}_low": share.low,
        f"{name}_high": share.high,
        f"{name}_least": share.least,
        f"{name}_most": share.most,
    }


def count_classes(
    counts: pd.DataFrame, inspectors: Sequence[str], topics: Sequence[str], called: Sequence[str]
) -> ClassCounts:
    """Trials by inspector, topic and whether the call is one of ``called``.

    Parameters
    ----------
    counts
        Rows of the query ``call_classes``; inspectors and topics that are not asked for are left out.
    """
    rows = counts[counts["inspector_id"].isin(list(inspectors)) & counts["topic"].isin(list(topics))]
    place = (
        pd.Categorical(rows["inspector_id"], categories=list(inspectors)).codes,
        pd.Categorical(rows["topic"], categories=list(topics)).codes,
        np.where(rows["call"].isin(list(called)), 0, 1),
    )
    dense = []
    for name in ("trials", "judged", "defects", "looked", "looked_defects"):
        cells = np.zeros((len(inspectors), len(topics), 2))
        np.add.at(cells, place, rows[name].to_numpy(float))
        dense.append(cells)
    return ClassCounts(*dense)
