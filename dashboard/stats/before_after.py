"""What changed between two windows of time in those who were trained, against those who were not.

An inspector's figure in a window is observed less expected a trial; the change is the after window's less the before
window's. Changes are compared between people, never trials: colleagues change for reasons of their own, and there are
few of them. An inspector counts by 1 / (1 / before + 1 / after), the trials that the change is worth.

Who is chosen for standing out falls back by luck alone. If true levels scatter around their mean by a variance B, and a
window's luck has a variance W, then of a deviation W / (W + B) is luck on average, and does not come again. Of people
beyond a cut this gives, on average, W / sqrt(W + B) x phi(z) / (1 - Phi(z)).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import chdtri, ndtr, stdtrit

from dashboard.stats import cluster_robust, permutation
from dashboard.stats.cluster_robust import Robust
from dashboard.stats.intervals import CONFIDENCE
from dashboard.stats.permutation import Permuted
from dashboard.stats.power import ALPHA, CHANCE, trials_to_show

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: Of those whose change is known, on each side; with fewer there are figures only.
LEAST_PEOPLE = 3
_BY_LUCK = 10  # people who scatter by luck alone, beside those that there are


@dataclass(frozen=True)
class Window:
    """A window of time; arrays over people.

    Attributes
    ----------
    trials, observed, expected
        Counts, the last a sum of chances.
    variance
        Of the observed count by luck: the sum of chance x (1 - chance).
    """

    trials: Array
    observed: Array
    expected: Array
    variance: Array

    @cached_property
    def level(self) -> Array:
        """Observed less expected, a trial; NaN without trials."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return (self.observed - self.expected) / self.trials

    @cached_property
    def luck(self) -> Array:
        """The variance of ``level`` by luck."""
        with np.errstate(divide="ignore", invalid="ignore"):
            return self.variance / np.square(self.trials)

    def of(self, people: Flags) -> Window:
        """The same of some people."""
        return Window(self.trials[people], self.observed[people], self.expected[people], self.variance[people])


@dataclass(frozen=True)
class Effect:
    """Trained less others: by assignments, and beside it by regression."""

    permuted: Permuted
    robust: Robust


def worth(before: ArrayLike, after: ArrayLike) -> Array:
    """How many trials a change between two windows is worth; 0 where one of them is empty."""
    first, second = np.asarray(before, float), np.asarray(after, float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where((first > 0) & (second > 0), first * second / (first + second), 0.0)


def between(change: Array, weight: Array, trained: Flags) -> Effect:
    """The change of those trained less that of the others.

    The standard error is CR2 of a weighted regression of each inspector's change on having been trained, an inspector
    being a cluster. With two windows it is that of the regression of both windows on inspector, window and training.
    """
    terms = np.column_stack([np.ones(len(change)), trained.astype(float)])
    people = np.arange(len(change))
    asked = np.array([0.0, 1.0])
    return Effect(
        permutation.difference(change, trained, weight),
        cluster_robust.regression(terms, change, people, asked, weight),
    )


def within(change: Array, weight: Array) -> Effect:
    """The mean of changes that are differences within the same people already."""
    terms, people = np.ones((len(change), 1)), np.arange(len(change))
    return Effect(
        permutation.mean(change, weight),
        cluster_robust.regression(terms, change, people, np.ones(1), weight),
    )


@dataclass(frozen=True)
class Spread:
    """The variance of true levels around their mean, and its interval."""

    value: float
    low: float
    high: float


def spread(level: ArrayLike, luck: ArrayLike, confidence: float = CONFIDENCE) -> Spread:
    """How much true levels differ; 0 where they scatter no more than luck.

    The value is that of the method of moments: the weighted sum of squares of the levels, less what luck alone gives.
    The interval holds the variances under which the sum of squares, each level weighted by what is then its whole
    variance, is a chi-square that is not too unlikely.

    Parameters
    ----------
    level, luck
        Of each person, and its variance by luck; those without trials are left out.

    References
    ----------
    R. DerSimonian and N. Laird (1986), Controlled Clinical Trials 7, 177-188; W. Viechtbauer (2007), Statistics in
    Medicine 26, 37-52 (the interval).
    """
    y, v = np.asarray(level, float), np.asarray(luck, float)
    known = np.isfinite(y) & (v > 0)
    if known.sum() < 2:
        return Spread(0.0, 0.0, np.inf)
    y, v = y[known], v[known]
    degrees, total = y.size - 1, (1 / v).sum()
    value = max(0.0, (_squares(y, v, 0.0) - degrees) / float(total - np.square(1 / v).sum() / total))
    tail = (1 - confidence) / 2
    low, high = (_spread_at(y, v, float(chdtri(degrees, share))) for share in (tail, 1 - tail))
    return Spread(value, min(low, value), max(high, value))


def _squares(level: Array, luck: Array, between_people: float) -> float:
    """The sum of squared deviations from the weighted mean, each over its whole variance."""
    weight = 1 / (luck + between_people)
    return float((weight * np.square(level - weight @ level / weight.sum())).sum())


def _spread_at(level: Array, luck: Array, squares: float) -> float:
    """The variance between people at which the sum of squares is so large; 0 where it is smaller even without any."""
    if _squares(level, luck, 0.0) <= squares:
        return 0.0
    low, high = 0.0, 1.0
    while _squares(level, luck, high) > squares:
        high *= 2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if _squares(level, luck, middle) > squares else (low, middle)
    return high


def falls_back(level: Array, luck: Array, spread_of_levels: float, center: ArrayLike) -> Array:
    """The change that luck alone is expected to give after such a level, if people were chosen by it.

    Parameters
    ----------
    level, luck
        Of the window by which they were chosen.
    spread_of_levels
        The variance of true levels (see :func:`spread`); infinite where nothing falls back.
    center
        Their mean.

    References
    ----------
    A. G. Barnett, J. C. van der Pols and A. J. Dobson (2005), International Journal of Epidemiology 34, 215-220: its
    equation (1) is the mean of this over those beyond a cut.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        by_luck = np.where(luck + spread_of_levels > 0, luck / (luck + spread_of_levels), 0.0)
    return -by_luck * (level - np.asarray(center, float))


@dataclass(frozen=True)
class Corrected:
    """An effect less what regression to the mean alone gives; per trial."""

    estimate: float
    low: float
    high: float


def less_regression(effect: Permuted, predicted: tuple[float, float, float]) -> Corrected:
    """The effect of changes that are corrected already, its interval widened by what is not known of the correction.

    The two are joined on each side by the method of variance estimates recovery.

    Parameters
    ----------
    effect
        Of the corrected changes.
    predicted
        The correction that was taken off, and its interval, in rising order or not.

    References
    ----------
    G. Y. Zou and A. Donner (2008), Statistics in Medicine 27, 1693-1702.
    """
    taken, *ends = predicted
    above, below = max(*ends, taken) - taken, taken - min(*ends, taken)
    low = effect.estimate - np.hypot(effect.estimate - effect.low, above)
    high = effect.estimate + np.hypot(effect.high - effect.estimate, below)
    return Corrected(effect.estimate, float(low), float(high))


def scatter(change: Array, weight: Array, luck: Array, trained: Flags | None = None) -> float:
    """How many times the variance that luck gives the changes have around their groups' means; at least 1.

    So few people tell little of it: it is taken as if ten more had scattered by luck alone.

    Parameters
    ----------
    luck
        The variance of each change by luck.
    trained
        Two groups; one where None.
    """
    groups = [np.ones(len(change), bool)] if trained is None else [trained, ~trained]
    expected = found = 0.0
    for own in groups:
        share = weight[own] / weight[own].sum()
        found += float((weight[own] * np.square(change[own] - share @ change[own])).sum())
        expected += float((weight[own] * luck[own] * (1 - share)).sum())
    degrees = len(change) - len(groups)
    return max(1.0, (degrees * found / expected + _BY_LUCK) / (degrees + _BY_LUCK)) if expected > 0 else 1.0


def times_needed(before: Array, after: Array, trained: Flags | None, share: float, scattered: float = 1.0) -> float:
    """How many times as long both windows must be until half of a share would show with 80 percent; 1 or less: enough.

    Parameters
    ----------
    before, after
        Trials of each person.
    trained
        Two groups; one where None, changes being differences within people.
    share
        What was written up before the training, of all trials; not 0.
    scattered
        How many times the binomial variance changes have (:func:`scatter`).

    Returns
    -------
    times
        Infinite where nothing is compared.
    """
    each, df = worth(before, after), before.size - (1 if trained is None else 2)
    now = each.sum() if trained is None else worth(each[trained].sum(), each[~trained].sum())
    if df < 1 or not now > 0:
        return np.inf
    # Few people: the t distribution's reach, told as the probabilities at which a normal one reaches as far. And of the
    # four counts three keep the share, whose variance is larger than that of its half.
    half = share / 2
    alpha = 2 * float(ndtr(-stdtrit(df, 1 - ALPHA / 2)))
    wider = np.sqrt(share * (1 - share) / (half * (1 - half)))
    chance = float(ndtr(stdtrit(df, CHANCE) * wider))
    return float(trials_to_show(share, half, chance, alpha)) * scattered / float(now)
