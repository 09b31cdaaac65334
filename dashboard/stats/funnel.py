"""Funnel limits: how far luck carries the ratio of what was found to what was expected, the more the less is expected.

The count is taken to be binomial, and its limits are exact ones, interpolated so that they form smooth curves. That
colleagues differ a little from each other, as people do, widens the limits.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betainc, expit, logit, ndtri

from dashboard.stats.intervals import z_value

Array = NDArray[np.float64]

#: The two limits of a funnel: one in twenty, and one in five hundred, lies outside by luck.
INNER, OUTER = 0.95, 0.998
#: The share of deviates on each side that is drawn in before the scatter is measured.
WINSORISED = 0.1
_SMALLEST = 1e-9


def proportion_limits(trials: ArrayLike, share: ArrayLike, confidence: float = INNER) -> tuple[Array, Array]:
    """Between which shares of successes luck leaves a binomial count.

    With F the distribution of the count and q the chance below a limit: r is the least count with F(r) >= q, and the
    limit is (r - a) / n with a = (F(r) - q) / (F(r) - F(r - 1)). Lower limits under 0 are set to 0.

    Parameters
    ----------
    trials
        n, more than 0; may be real-valued (F is continued by the incomplete beta function).
    share
        The share of successes that luck varies around, between 0 and 1.
    confidence
        The chance of lying between the limits.

    Returns
    -------
    low, high
        0 to 1.

    References
    ----------
    D. J. Spiegelhalter (2005), Statistics in Medicine 24, 1185-1202, appendix (from memory).
    """
    n, p = np.broadcast_arrays(np.asarray(trials, float), np.asarray(share, float))
    tail = (1 - confidence) / 2
    low, high = (_interpolated(n, p, at) / n for at in (tail, 1 - tail))
    return np.clip(low, 0.0, 1.0), np.clip(high, 0.0, 1.0)


def _interpolated(n: Array, p: Array, q: float) -> Array:
    """The count, with a fraction, below which luck leads with chance q."""
    below, reached = np.full(n.shape, -1.0), np.ceil(n)
    while (reached - below > 1).any():
        middle = np.floor((below + reached) / 2)
        enough = _at_most(middle, n, p) >= q
        below, reached = np.where(enough, below, middle), np.where(enough, middle, reached)
    at, before = _at_most(reached, n, p), _at_most(reached - 1, n, p)
    return reached - (at - q) / np.maximum(at - before, _SMALLEST)


def _at_most(count: Array, n: Array, p: Array) -> Array:
    """The chance of at most so many successes."""
    within = np.clip(count, 0.0, np.maximum(n - _SMALLEST, 0.0))
    chance = betainc(n - within, within + 1, 1 - p)
    return np.where(count < 0, 0.0, np.where(count >= n, 1.0, chance))


def ratio_limits(
    expected: ArrayLike, share: ArrayLike, confidence: float = INNER, spread: ArrayLike = 0.0
) -> tuple[Array, Array]:
    """Between which ratios of found to expected luck leaves a count, around 1.

    Parameters
    ----------
    expected
        The expected count, more than 0.
    share
        The typical share of trials that end so: a binomial count with it has the expected count's variance,
        expected x (1 - share).
    spread
        Standard deviation of inspectors around their peers, log-odds; its variance is added to that of luck. 0 for
        limits of luck alone.

    Returns
    -------
    low, high
        low is 0 at the least, high 1 / share at the most.

    References
    ----------
    D. J. Spiegelhalter (2005), Statistics in Medicine 24, 1185-1202 (exact limits; spread as an additive variance).
    """
    mean, p = np.asarray(expected, float), np.clip(np.asarray(share, float), 1e-6, 1 - 1e-6)
    low, high = proportion_limits(mean / p, p, confidence)
    by = z_value(confidence) * np.asarray(spread, float)
    return _widened(low, p, by) / p, _widened(high, p, by) / p


def _widened(limit: Array, center: Array, by: ArrayLike) -> Array:
    """A limit moved away from the center: the distances by luck and by spread, in log-odds, squared and added."""
    with np.errstate(divide="ignore"):
        distance = logit(limit) - logit(center)
    return expit(logit(center) + np.sign(distance) * np.hypot(distance, by))


def over_dispersion(deviates: ArrayLike) -> float:
    """The mean squared deviate, the farthest tenth on each side drawn in to where the next begins.

    One unit far off does not stand for all. By luck alone it is below 1, since luck's own tails are drawn in too.

    Parameters
    ----------
    deviates
        (found - expected) / standard deviation by luck, of each unit.

    References
    ----------
    D. J. Spiegelhalter (2005), Statistics in Medicine 24, 1185-1202, section 4 (from memory).
    """
    return float(np.mean(np.square(winsorised(deviates))))


def scatter(deviates: ArrayLike) -> float:
    """How many times as far apart units lie as by luck: the root of the over-dispersion over that of luck alone.

    Luck's own is taken from as many normal scores (Blom's), so that it is 1 for any number of units.
    """
    z = np.asarray(deviates, float)
    scores = ndtri((np.arange(1, z.size + 1) - 0.375) / (z.size + 0.25))
    return float(np.sqrt(over_dispersion(z) * np.mean(np.square(scores)) / over_dispersion(scores)))


def winsorised(deviates: ArrayLike, share: float = WINSORISED) -> Array:
    """The deviates with the farthest on each side drawn in to the quantile where the next begins."""
    z = np.asarray(deviates, float)
    return np.clip(z, *np.quantile(z, [share, 1 - share]))


def variance_between(dispersion: float, errors: ArrayLike) -> float:
    """The variance between units that explains an over-dispersion; 0 where there is none.

    Parameters
    ----------
    dispersion
        The mean square of the units' deviates.
    errors
        The standard deviation of each unit by luck.

    References
    ----------
    R. DerSimonian and N. Laird (1986), Controlled Clinical Trials 7, 177-188; D. J. Spiegelhalter (2005), Statistics in
    Medicine 24, 1185-1202 (the same from winsorised deviates).
    """
    weight = 1 / np.square(np.asarray(errors, float))
    n = weight.size
    return float(max(0.0, (n * dispersion - (n - 1)) / (weight.sum() - np.square(weight).sum() / weight.sum())))
