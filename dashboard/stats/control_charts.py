"""Counts month by month: how far luck carries a month, and which months lie beyond; their smoothed course.

A month's count is a sum of yes-or-no draws of known, unequal probabilities, whose distribution is worked out exactly.
Where stable months scatter more than such draws do, or draws come in clusters, the limits are widened. The course is an
exponentially weighted moving average of what is beyond expectation.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expit, logit

Array = NDArray[np.float64]
Places = NDArray[np.intp]

#: The chance beyond a limit, on each side.
TAIL = 0.001
#: What the mean moving range of standard normal deviates is: 2 / sqrt(pi), the d2 of two.
_MEAN_RANGE = 2 / np.sqrt(np.pi)
#: A month further off than this many widened standard deviations is not stable: the normal deviate of 0.1 percent.
_STABLE = 3.0902
#: With fewer ranges than this nothing is said of the scatter.
_LEAST_RANGES = 8
#: How much of the course a step makes up where all steps are alike. Usual are 0.2 to 0.3 (from memory).
WEIGHT = 0.2
#: The course's limits lie so many of its standard deviations off, as in the handbook.
REACH = 3.0
_MOST_AT_ONCE = 1 << 20
_STEPS = 50


@dataclass(frozen=True)
class Limits:
    """Where luck leaves a count.

    Attributes
    ----------
    lower, upper
        The fewest and the most that are within luck; a count outside is beyond it.
    outside
        The chance that luck alone carries a count outside.
    """

    lower: Places
    upper: Places
    outside: Array


def limits(probability: ArrayLike, group: ArrayLike, n_groups: int, tail: float = TAIL) -> Limits:
    """The exact limits of each group's number of events.

    Parameters
    ----------
    probability, group
        Of each draw: its probability, and the number of the group that it counts in (0 to ``n_groups`` - 1).
    tail
        At most this chance is left beyond each limit: ``lower`` is the least c with P(X <= c) > tail, ``upper`` the
        largest c with P(X >= c) > tail.

    Returns
    -------
    Limits
        One entry a group; 0, 0 and no chance for a group without draws.

    Notes
    -----
    The number of events has the Poisson-binomial distribution, the binomial one where all probabilities are equal. Its
    generating function is the product of 1 - p + p x over the draws; factors are multiplied pair by pair, with the fast
    Fourier transform, and many groups at once.
    """
    p, where = np.asarray(probability, float), np.asarray(group, np.intp)
    size = np.bincount(where, minlength=n_groups)
    lower, upper = np.zeros(n_groups, np.intp), np.zeros(n_groups, np.intp)
    outside = np.zeros(n_groups)
    in_order = p[np.argsort(where, kind="stable")]
    start = np.concatenate([[0], np.cumsum(size)])
    width = np.where(size > 0, 1 << np.ceil(np.log2(np.maximum(size, 1))).astype(np.intp), 0)
    for room in np.unique(width[width > 0]):
        groups = np.flatnonzero(width == room)
        for some in np.array_split(groups, max(1, groups.size * int(room) // _MOST_AT_ONCE)):
            # A draw that never happens fills the room that a group leaves.
            column = np.arange(room)
            filled = column < size[some][:, None]
            draws = np.where(filled, in_order[np.minimum(start[some][:, None] + column, in_order.size - 1)], 0.0)
            lower[some], upper[some], outside[some] = _ends(_distribution(draws), tail)
    return Limits(lower, upper, outside)


def _distribution(probability: Array) -> Array:
    """The probabilities of 0 to n events of each row of n draws, n a power of two."""
    factors = np.stack([1 - probability, probability], axis=-1)
    while factors.shape[1] > 1:
        room = 2 * factors.shape[2]
        left, right = (np.fft.rfft(factors[:, side::2], room) for side in (0, 1))
        factors = np.fft.irfft(left * right, room)[..., : room - 1]
    return np.maximum(factors[:, 0], 0.0)


def _ends(distribution: Array, tail: float) -> tuple[Places, Places, Array]:
    at_most = np.cumsum(distribution, axis=1)
    at_least = np.cumsum(distribution[:, ::-1], axis=1)[:, ::-1]
    lower = (at_most <= tail).sum(axis=1)
    upper = (at_least > tail).sum(axis=1) - 1
    row = np.arange(len(distribution))
    below = np.where(lower > 0, at_most[row, np.maximum(lower - 1, 0)], 0.0)
    beyond = np.minimum(upper + 1, distribution.shape[1] - 1)
    above = np.where(upper + 1 < distribution.shape[1], at_least[row, beyond], 0.0)
    return lower, upper, below + above


def widened(expected: ArrayLike, found: Limits, factor: ArrayLike, trials: ArrayLike) -> tuple[Places, Places]:
    """Limits moved away from what is expected by a factor, and brought inward to whole counts.

    A factor of 1 leaves them as they are. This is how multiplicative over-dispersion widens limits that are not
    symmetric.

    References
    ----------
    D. J. Spiegelhalter (2005), Statistics in Medicine 24, 1185-1202 (limits times the root of the over-dispersion);
    D. B. Laney (2002), Quality Engineering 14, 531-537 (the same in a p-chart, as a factor of the standard deviation).
    """
    center, by = np.asarray(expected, float), np.asarray(factor, float)
    lower = np.ceil(center - by * (center - found.lower) - 1e-9)
    upper = np.floor(center + by * (found.upper - center) + 1e-9)
    return (
        np.clip(lower, 0, None).astype(np.intp),
        np.minimum(upper, np.asarray(trials)).astype(np.intp),
    )


def deviates(count: ArrayLike, expected: ArrayLike, variance: ArrayLike) -> Array:
    """How many standard deviations each count lies from what is expected; NaN where the variance is 0."""
    spread = np.sqrt(np.asarray(variance, float))
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(spread > 0, (np.asarray(count, float) - np.asarray(expected, float)) / spread, np.nan)


def scatter(deviate: ArrayLike) -> float:
    """How much more than luck stable months scatter: the factor of the standard deviation, at least 1.

    The mean difference of neighboring months, over what it would be by luck. Differences of neighbors do not see a
    level that shifted or drifts, so that such a change does not hide itself. Months beyond the limits so widened are
    not stable: they are left out, and the rest is looked at again, as long as half of the months are left.

    Parameters
    ----------
    deviate
        Of each month in order of time, as :func:`deviates` gives it; NaN for a month that does not count.

    Returns
    -------
    factor
        1 where fewer than 8 differences are left, or months scatter less than luck.

    References
    ----------
    D. B. Laney (2002), Quality Engineering 14, 531-537 (sigma of z, from moving ranges).
    """
    z = np.asarray(deviate, float)
    z = z[~np.isnan(z)]
    stable = np.ones(z.size, bool)
    factor = 1.0
    for _ in range(_STEPS):
        ranges = np.abs(np.diff(z[stable]))
        if ranges.size < _LEAST_RANGES:
            return 1.0
        factor = max(1.0, float(ranges.mean() / _MEAN_RANGE))
        now = np.abs(z) <= _STABLE * factor
        if (now == stable).all() or 2 * now.sum() < z.size:
            break
        stable = now
    return factor


@dataclass(frozen=True)
class Course:
    """An exponentially weighted moving average, step by step.

    Attributes
    ----------
    excess
        How far it lies from what is expected, a unit of size.
    deviation
        Its standard deviation by luck.
    """

    excess: Array
    deviation: Array


def course(excess: ArrayLike, size: ArrayLike, variance: ArrayLike, weight: float = WEIGHT) -> Course:
    """The smoothed course of what is beyond expectation, and how far luck carries it.

    Parameters
    ----------
    excess, size, variance
        Of each step in order of time: its events less the expected number, how many trials it has, and the variance of
        its number of events by luck. A step without trials moves nothing and ages the others.
    weight
        How much of the course a step of average size makes up; what it was before keeps the rest.

    Notes
    -----
    Trials count alike whatever the size of their step, each step back (1 - weight) times as much, and all time before
    the first step as if it had been as expected, in steps of average size. Where all sizes are alike this is
    z = weight * x + (1 - weight) * z before it, from z = 0, and the deviation that of a step times
    sqrt(weight / (2 - weight) * (1 - (1 - weight)^(2 t))) after t steps: exact from the first step on.

    References
    ----------
    NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4. Weights by size: Q. Zhou, C. Zou, Z. Wang and W. Jiang
    (2012), Journal of the American Statistical Association 107, 1049-1062 (from memory).
    """
    beyond, trials, by_luck = (np.asarray(each, float) for each in (excess, size, variance))
    step = np.arange(trials.size)
    back = np.maximum(step[:, None] - step, 0)
    kept = np.tril((1 - weight) ** back)
    average = trials[trials > 0].mean() if (trials > 0).any() else 1.0
    counted = kept @ trials + average / weight * (1 - weight) ** (step + 1)
    return Course((kept @ beyond) / counted, np.sqrt(kept**2 @ by_luck) / counted)


def settled_deviation(deviation: float, weight: float = WEIGHT) -> float:
    """What the course's deviation comes to after many steps of one size; ``deviation`` is that of a single step."""
    return float(deviation * np.sqrt(weight / (2 - weight)))


def clustering(residual: ArrayLike, variance: ArrayLike, cluster: ArrayLike, group: ArrayLike, n_groups: int) -> Array:
    """By how much the variance of each group's sum exceeds that of independent draws, at least 1.

    Draws of one cluster share their luck: 1 + the products of the residuals of all pairs within clusters / the sum of
    the draws' own variances. Where each cluster has one draw it is exactly 1.

    Parameters
    ----------
    residual, variance, cluster, group
        Of each draw: what happened less its probability, its variance, the cluster, the group.

    References
    ----------
    L. Kish (1965), Survey Sampling, section 5.4 (the design effect of clusters).
    """
    r, where = np.asarray(residual, float), np.asarray(group, np.intp)
    pairs, together = np.unique(np.stack([where, np.asarray(cluster, np.intp)]), axis=1, return_inverse=True)
    of_cluster = np.bincount(together.reshape(-1), r, pairs.shape[1])
    shared = np.bincount(pairs[0], of_cluster**2, n_groups) - np.bincount(where, r**2, n_groups)
    own = np.bincount(where, np.asarray(variance, float), n_groups)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(own > 0, np.maximum(1.0, 1 + shared / own), 1.0)


def brought_to(probability: ArrayLike, group: ArrayLike, events: ArrayLike) -> Array:
    """Probabilities moved by one step of log-odds a group, so that they add up to the group's number of events.

    Parameters
    ----------
    probability, group
        Of each draw.
    events
        Of each group; brought half an event off none and all, which no finite step reaches.
    """
    where = np.asarray(group, np.intp)
    wanted = np.asarray(events, float)
    size = np.bincount(where, minlength=wanted.size)
    wanted = np.clip(wanted, np.minimum(0.5, size / 2), np.maximum(size - 0.5, size / 2))
    odds = logit(np.clip(np.asarray(probability, float), 1e-6, 1 - 1e-6))
    low, high = np.full(wanted.size, -30.0), np.full(wanted.size, 30.0)
    for _ in range(_STEPS):  # bisected: a Newton step from far out may land further out
        middle = (low + high) / 2
        reached = np.bincount(where, expit(odds + middle[where]), wanted.size) >= wanted
        low, high = np.where(reached, low, middle), np.where(reached, middle, high)
    return expit(odds + ((low + high) / 2)[where])
