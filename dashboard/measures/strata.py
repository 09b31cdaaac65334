"""Counted trials in strata, and the share of defects that they tell of.

Measures are kept more often for write-ups than for passes, so a plain share of judged trials is too high. The share is
therefore estimated within written-up and within all other calls, and weighted by how many there are of each:
C. B. Begg and R. A. Greenes (1983), Biometrics 39, 207-215.

How many there are of each is itself a matter of chance. Where write-ups are mostly right, nearly all of the chance in a
share lies there: left out, the intervals would be far too short. See :class:`Sum`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.stats import intervals

Array = NDArray[np.float64]

LEAST_JUDGED_SHARE = 0.3  # below it only the bounds are shown


@dataclass(frozen=True)
class Strata:
    """Trials, judged trials and defects; the last axis runs over strata (call classes, or age bands x call classes)."""

    trials: Array
    judged: Array
    defects: Array

    @property
    def total_trials(self) -> Array:
        return self.trials.sum(axis=-1)

    @property
    def total_judged(self) -> Array:
        return self.judged.sum(axis=-1)

    @property
    def total_defects(self) -> Array:
        return self.defects.sum(axis=-1)

    @property
    def weights(self) -> Array:
        """The share of all trials that lies in each stratum; 0 without trials."""
        return self.trials / np.maximum(self.total_trials, 1)[..., None]

    @property
    def worth(self) -> Array:
        """How many plain trials would tell as much as the weighted share: 1 / sum of weight squared / judged."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return 1 / np.where(self.trials > 0, np.square(self.weights) / self.judged, 0.0).sum(axis=-1)

    @property
    def enough_judged(self) -> NDArray[np.bool_]:
        """Whether 30 percent of the trials are judged, and some in every stratum that has trials."""
        every_stratum = ((self.trials == 0) | (self.judged > 0)).all(axis=-1)
        enough = self.total_judged >= LEAST_JUDGED_SHARE * self.total_trials
        return every_stratum & enough & (self.total_trials > 0)

    def each(self, change: Callable[[Array], Array]) -> Strata:
        """The same change made to all three counts."""
        return Strata(change(self.trials), change(self.judged), change(self.defects))


@dataclass(frozen=True)
class Sum:
    """A weighted sum of independent shares and a constant; the last axis runs over its terms.

    A share p of all trials that is made of class shares a and of the classes' own shares, p = a p1 + (1 - a) p0, is no
    weighted sum. Near the estimates it moves as one: by a with p1, by 1 - a with p0, and by p1 - p0 with a. That last
    term, centered by the constant, carries the chance in the class shares.
    """

    weights: Array
    successes: Array
    trials: Array
    constant: Array

    def less(self, other: Sum) -> Sum:
        """The difference of two sums whose shares are all independent."""
        return Sum(
            np.concatenate([self.weights, -other.weights], axis=-1),
            np.concatenate([self.successes, other.successes], axis=-1),
            np.concatenate([self.trials, other.trials], axis=-1),
            self.constant - other.constant,
        )

    def interval(self) -> tuple[Array, Array, Array]:
        """Estimate, low and high."""
        return intervals.combination(self.weights, self.successes, self.trials, self.constant)

    def p_value(self) -> Array:
        """The p-value of "the sum is 0"."""
        return intervals.p_value(self.weights, self.successes, self.trials, self.constant)


def share_of_trials(strata: Strata) -> Sum:
    """The share of trials with a defect, from strata that are the two call classes."""
    in_class = strata.weights
    slope = np.nan_to_num(rate_difference(strata))[..., None]
    return Sum(
        np.concatenate([in_class, slope], axis=-1),
        np.concatenate([strata.defects, strata.trials[..., :1]], axis=-1),
        np.concatenate([strata.judged, strata.total_trials[..., None]], axis=-1),
        -slope[..., 0] * in_class[..., 0],
    )


def rate_difference(strata: Strata) -> Array:
    """The share of defects among judged write-ups less that among other judged calls; NaN where one has none."""
    with np.errstate(invalid="ignore", divide="ignore"):
        rate = strata.defects / strata.judged
    return rate[..., 0] - rate[..., 1]


def weighted_share(strata: Strata) -> tuple[Array, Array, Array]:
    """The share of trials with a defect, with its interval; NaN where too little is judged for it to be said.

    The interval is cut off at 0 and 1.
    """
    enough = strata.enough_judged
    share, low, high = share_of_trials(strata).interval()
    return (
        np.where(enough, share, np.nan),
        np.where(enough, np.maximum(low, 0), np.nan),
        np.where(enough, np.minimum(high, 1), np.nan),
    )


@dataclass(frozen=True)
class Counts:
    """Counts by topic x group x deck age x call class (written up first, then all other calls)."""

    cells: Strata

    @classmethod
    def of_frame(cls, frame: pd.DataFrame, topics: list[str], groups: list[str]) -> Counts:
        """Dense counts from rows of topic, group, deck_age, written_up, trials, judged, defects."""
        ages = sorted(frame["deck_age"].unique())
        shape = (len(topics), len(groups), len(ages), 2)
        place = (
            pd.Categorical(frame["topic"], categories=topics).codes,
            pd.Categorical(frame["group"], categories=groups).codes,
            pd.Categorical(frame["deck_age"], categories=ages).codes,
            np.where(frame["written_up"], 0, 1),
        )

        def dense(name: str) -> Array:
            counts = np.zeros(shape)
            np.add.at(counts, place, frame[name].to_numpy(float))
            return counts

        return cls(Strata(dense("trials"), dense("judged"), dense("defects")))

    def by_class(self) -> Strata:
        """topic x group x class."""
        return self.cells.each(lambda counts: counts.sum(axis=2))

    def firm(self) -> Strata:
        """topic x class."""
        return self.cells.each(lambda counts: counts.sum(axis=(1, 2)))

    def others(self) -> Strata:
        """topic x group x age x class: all groups but this one, together."""
        return self.cells.each(lambda counts: counts.sum(axis=1, keepdims=True) - counts)

    def age_mix(self) -> Array:
        """topic x group x age: the share of the group's trials in each age band."""
        by_age = self.cells.trials.sum(axis=3)
        return by_age / np.maximum(by_age.sum(axis=2, keepdims=True), 1)
