"""The chance of a sum of many unequal yes-or-no draws, exact enough far out in the tail and for small counts."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr, ndtr

Array = NDArray[np.float64]

_STEPS = 60
_LEAST = 1e-12
_FARTHEST = 60.0  # of t times the largest factor: beyond it exp overflows nothing and adds nothing


def tails(
    deviation: float, factor: Array, probability: Array, trials: Array, variance: float = 0.0
) -> tuple[float, float]:
    """The chance of a deviation at least as low, and at least as high, as the one that was found.

    The deviation is the sum of factor x (events - trials x probability) over independent binomial counts, and of a
    normal draw of mean 0. A normal approximation takes no notice that write-ups are rare and their counts skew; the
    saddlepoint approximation does, and needs no more than the same sums.

    Parameters
    ----------
    deviation
        What was found.
    factor, probability, trials
        Of each count.
    variance
        Of the normal draw.

    Returns
    -------
    low, high
        One-sided p-values; they add up to 1, so that a discrete count is treated much as by the mid-p.

    References
    ----------
    R. Lugannani and S. Rice (1980), Advances in Applied Probability 12, 475-490; in the form of O. E. Barndorff-Nielsen
    (1990), Journal of the Royal Statistical Society B 52, 485-496. For score tests of rare events: R. Dey et al.
    (2017), American Journal of Human Genetics 101, 37-49.
    """
    mean = trials * probability
    spread = np.sqrt((factor**2 * mean * (1 - probability)).sum() + variance)
    if spread == 0:
        return 1.0, 1.0
    if abs(deviation) < 0.05 * spread:  # at the center the formula divides nothing by nothing
        low = float(ndtr(deviation / spread))
        return low, 1 - low
    t = _saddlepoint(deviation, factor, probability, trials, variance)
    growth = np.exp(t * factor) * probability
    total = np.maximum(1 - probability + growth, _LEAST)
    cumulant = (trials * np.log(total) - t * factor * mean).sum() + 0.5 * variance * t * t
    share = growth / total
    curvature = (trials * factor**2 * share * (1 - share)).sum() + variance
    distance = np.sign(t) * np.sqrt(max(2 * (t * deviation - cumulant), 0.0))
    if curvature < _LEAST or abs(distance) < _LEAST:
        # At the very end of what can happen the tilted draws no longer vary: what the normal draw says has to do.
        adjusted = deviation / spread
    else:
        adjusted = distance + np.log(t * np.sqrt(curvature) / distance) / distance
    return float(np.exp(log_ndtr(adjusted))), float(np.exp(log_ndtr(-adjusted)))


def _saddlepoint(deviation: float, factor: Array, probability: Array, trials: Array, variance: float) -> float:
    """The tilt under which the deviation is what is expected; bisected, since the tilted mean only rises."""
    mean = (factor * trials * probability).sum()
    farthest = _FARTHEST / np.abs(factor).max()
    low, high = (0.0, farthest) if deviation > 0 else (-farthest, 0.0)
    for _ in range(_STEPS):
        middle = (low + high) / 2
        growth = np.exp(middle * factor) * probability
        tilted = (
            (factor * trials * growth / np.maximum(1 - probability + growth, _LEAST)).sum() - mean + variance * middle
        )
        low, high = (middle, high) if tilted < deviation else (low, middle)
    return (low + high) / 2
