"""Whether two groups differ, or a mean is not 0, by what other assignments of the same numbers would have shown.

Each assignment's statistic is a line in the effect that is supposed, a - effect x b, and no line is steeper than that
of the assignment that was made. So each is at least as far from 0 as the one that was made on one interval of effects,
and all these intervals hold the estimate: p falls on both sides of it, and the effects that are not refused are an
interval whose ends are read off the sorted ends of the others. One set of assignments gives p and interval.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from math import comb

import numpy as np
from numpy.typing import ArrayLike, NDArray

from dashboard.stats.intervals import CONFIDENCE

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

#: All assignments are looked at where there are at most so many, else as many drawn ones.
MOST = 5000
_SEED = 20
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Permuted:
    """An effect as assignments tell it.

    Attributes
    ----------
    estimate
        The difference of the (weighted) means, or the mean; NaN where a group is empty.
    p
        Two-sided: the share of assignments whose statistic is at least as far from 0, the one that was made included.
    low, high
        The effects that are not refused; infinite where too few assignments are possible to refuse any on that side.
    assignments
        How many were looked at.
    """

    estimate: float
    p: float
    low: float
    high: float
    assignments: int


def difference(
    values: ArrayLike, chosen: ArrayLike, weights: ArrayLike | None = None, confidence: float = CONFIDENCE
) -> Permuted:
    """The mean of the chosen less that of the others, against all choices of as many.

    The statistic is the pooled t of the weighted means (with equal weights the plain difference orders assignments in
    the same way): a weight goes where its value goes, so that an assignment of values that scatter much is not taken
    for one that differs.

    Parameters
    ----------
    values, chosen
        Arrays over people: a number, and whether the person is one of the chosen.
    weights
        How much each value counts, in proportion to what is known of it; equal where None.

    Returns
    -------
    Permuted

    References
    ----------
    R. A. Fisher (1935), The Design of Experiments, section 21; P. H. Garthwaite (1996), Biometrics 52, 1387-1393
    (intervals from assignments).
    """
    value, group, weight = _arrays(values, chosen, weights)
    if not 0 < group.sum() < group.size:
        return Permuted(np.nan, np.nan, -np.inf, np.inf, 0)
    assignments = _choices(group)
    total = weight.sum()
    own = assignments @ weight
    length = np.sqrt(own * (1 - own / total))
    far = (assignments @ (weight * value) - own * (weight @ value) / total) / length
    steep = (assignments @ (weight * group) - own * (weight @ group) / total) / length
    return _permuted(far, steep, confidence)


def mean(values: ArrayLike, weights: ArrayLike | None = None, confidence: float = CONFIDENCE) -> Permuted:
    """The mean of differences within people, against all ways to turn their signs.

    Parameters
    ----------
    values, weights
        As in :func:`difference`.

    References
    ----------
    R. A. Fisher (1935), The Design of Experiments, section 21.
    """
    value, _, weight = _arrays(values, np.ones(np.size(values)), weights)
    if value.size == 0:
        return Permuted(np.nan, np.nan, -np.inf, np.inf, 0)
    signs = _signs(value.size)
    return _permuted(signs @ (weight * value), signs @ weight, confidence)


def least_p(people: ArrayLike) -> float:
    """The least p that is possible: of groups, given as in :func:`difference`, or of the signs of so many people."""
    group = np.asarray(people)
    if group.ndim == 0:
        return min(1.0, 2.0 ** (1 - int(group)))
    chosen = int(group.sum())
    return (2 if 2 * chosen == group.size else 1) / comb(group.size, chosen)


def _arrays(values: ArrayLike, chosen: ArrayLike, weights: ArrayLike | None) -> tuple[Array, Array, Array]:
    value = np.asarray(values, float)
    weight = np.ones_like(value) if weights is None else np.asarray(weights, float)
    return value, np.asarray(chosen, float), weight


def _choices(group: Array) -> Array:
    """Assignments x people, 1 for the chosen; the one that was made comes first."""
    n, m = group.size, int(group.sum())
    number = comb(n, m)
    if number <= MOST:
        members = np.array(list(combinations(range(n), m)))
        made = np.zeros((number, n))
        made[np.arange(number)[:, None], members] = 1.0
        others = made[(made != group).any(axis=1)]
    else:
        places = np.random.default_rng(_SEED).random((MOST - 1, n)).argsort(axis=1)
        others = (places < m).astype(float)
    return np.vstack([group, others])


def _signs(n: int) -> Array:
    """Assignments x people, 1 or -1; the one that was made comes first."""
    if 2**n <= MOST:
        return np.where((np.arange(2**n)[:, None] >> np.arange(n)) & 1, -1.0, 1.0)
    drawn = np.where(np.random.default_rng(_SEED).random((MOST - 1, n)) < 0.5, -1.0, 1.0)
    return np.vstack([np.ones(n), drawn])


def _permuted(far: Array, steep: Array, confidence: float) -> Permuted:
    """From the lines far - effect x steep of all assignments, the one that was made first."""
    number = far.size
    reach = _ROUNDING * (1 + np.abs(far).max())
    p = float((np.abs(far) >= abs(far[0]) - reach).sum() / number)
    lower, upper = _where_as_far(far, steep)
    # p at an effect is the share of intervals that hold it: refused are those held by too few.
    refusing = int(np.floor((1 - confidence) * number + _ROUNDING))
    low, high = np.sort(lower)[refusing], -np.sort(-upper)[refusing]
    return Permuted(float(far[0] / steep[0]), p, float(low), float(high), number)


def _where_as_far(far: Array, steep: Array) -> tuple[Array, Array]:
    """The effects at which each line is at least as far from 0 as the first."""
    level = _ROUNDING * steep[0]
    below, above = steep[0] - steep, steep[0] + steep
    with np.errstate(divide="ignore", invalid="ignore"):
        first = (far[0] - far) / below
        second = (far[0] + far) / above
    # The assignment that was made, and its mirror image, are as far everywhere.
    everywhere = (below <= level) | (above <= level)
    lower = np.where(everywhere, -np.inf, np.minimum(first, second))
    return lower, np.where(everywhere, np.inf, np.maximum(first, second))
