"""How far a share, or a sum or difference of shares, may be from the truth by chance.

Counts may be arrays of any shape, and may be real-valued (an effective count of a weighted share).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import erfc, ndtri

Array = NDArray[np.float64]

CONFIDENCE = 0.95
_FARTHEST = 40.0  # beyond this z the two-sided p-value is zero in double precision


def z_value(confidence: float = CONFIDENCE) -> float:
    """The normal deviate of a two-sided interval: 1.96 for 95 percent."""
    return float(ndtri(0.5 + confidence / 2))


def wilson(successes: ArrayLike, trials: ArrayLike, confidence: float = CONFIDENCE) -> tuple[Array, Array]:
    """The score interval of a share.

    The limits are the shares p that the count just does not contradict, (x/n - p)^2 = z^2 p (1 - p) / n. They lie
    in 0 to 1, are 0 below at no success and 1 above at nothing but successes, and are NaN without trials.

    Parameters
    ----------
    successes, trials
        Counts x and n, arrays that broadcast.

    Returns
    -------
    low, high

    References
    ----------
    E. B. Wilson (1927), Journal of the American Statistical Association 22, 209-212;
    R. G. Newcombe (1998), Statistics in Medicine 17, 857-872, method 3.
    """
    return _wilson(np.asarray(successes, float), np.asarray(trials, float), z_value(confidence))


def _wilson(successes: Array, trials: Array, z: ArrayLike) -> tuple[Array, Array]:
    square = np.square(z)
    with np.errstate(invalid="ignore", divide="ignore"):
        center = (successes + square / 2) / (trials + square)
        spread = np.sqrt(square * (successes * (trials - successes) / trials + square / 4)) / (trials + square)
    # At the ends the two terms cancel exactly on paper, and to the last digit only in floating point.
    low = np.where(successes <= 0, 0.0, np.maximum(center - spread, 0.0))
    high = np.where(successes >= trials, 1.0, np.minimum(center + spread, 1.0))
    known = trials > 0
    return np.where(known, low, np.nan), np.where(known, high, np.nan)


def combination(
    weights: ArrayLike,
    successes: ArrayLike,
    trials: ArrayLike,
    constant: ArrayLike = 0.0,
    confidence: float = CONFIDENCE,
) -> tuple[Array, Array, Array]:
    """A weighted sum of independent shares and a constant, with its interval.

    The distance from each share to its Wilson limit stands for its variance on that side (method of variance
    estimates recovery). One share with weight 1 gives the Wilson interval itself; weights 1 and -1 give Newcombe's
    hybrid score interval of a difference.

    Parameters
    ----------
    weights, successes, trials
        Arrays that broadcast; the last axis runs over the shares of one sum. A share of weight 0 is left out,
        and may have no trials.
    constant
        What is added to each sum.

    Returns
    -------
    estimate, low, high
        Without the last axis; NaN where a share that counts has no trials.

    References
    ----------
    G. Y. Zou and A. Donner (2008), Statistics in Medicine 27, 1693-1702;
    R. G. Newcombe (1998), Statistics in Medicine 17, 873-890, method 10.
    """
    weight, success, trial = _terms(weights, successes, trials)
    estimate = _estimate(weight, success, trial) + np.asarray(constant, float)
    below, above = _squared_distances(weight, success, trial, z_value(confidence))
    return estimate, estimate - np.sqrt(below), estimate + np.sqrt(above)


def p_value(weights: ArrayLike, successes: ArrayLike, trials: ArrayLike, constant: ArrayLike = 0.0) -> Array:
    """The two-sided p-value of "the weighted sum of shares and the constant is 0".

    It is read off the interval of :func:`combination`: the confidence at which the interval just reaches 0 leaves
    p outside. So p < 0.05 exactly where the 95 percent interval excludes 0. A sum of 0 has p = 1.

    Parameters
    ----------
    weights, successes, trials, constant
        As in :func:`combination`.

    Returns
    -------
    p
        0 to 1; NaN where a share that counts has no trials.
    """
    weight, success, trial = _terms(weights, successes, trials)
    estimate = _estimate(weight, success, trial) + np.asarray(constant, float)
    # Only the side that faces 0 matters: mirrored, every sum is positive and its lower limit is watched.
    facing = np.where(estimate < 0, -1.0, 1.0)[..., None] * weight
    target = np.square(estimate)
    near, far = np.zeros_like(estimate), np.full_like(estimate, _FARTHEST)
    for _ in range(48):  # halving 40 that often is finer than double precision needs
        middle = (near + far) / 2
        below, _above = _squared_distances(facing, success, trial, middle[..., None])
        reaches = below >= target
        near, far = np.where(reaches, near, middle), np.where(reaches, middle, far)
    p = np.where(estimate == 0, 1.0, erfc(far / np.sqrt(2)))
    return np.where(np.isnan(estimate), np.nan, p)


def _terms(weights: ArrayLike, successes: ArrayLike, trials: ArrayLike) -> tuple[Array, Array, Array]:
    weight, success, trial = np.broadcast_arrays(
        np.asarray(weights, float), np.asarray(successes, float), np.asarray(trials, float)
    )
    return weight, success, trial


def _estimate(weight: Array, success: Array, trial: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(trial > 0, success / trial, np.nan)
    return np.where(weight == 0, 0.0, weight * share).sum(axis=-1)


def _squared_distances(weight: Array, success: Array, trial: Array, z: ArrayLike) -> tuple[Array, Array]:
    """From the weighted sum to its lower and to its upper limit, squared."""
    low, high = _wilson(success, trial, z)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = success / trial
    down = np.where(weight > 0, share - low, high - share)
    up = np.where(weight > 0, high - share, share - low)
    counted = weight != 0
    return (
        np.where(counted, np.square(weight * down), 0.0).sum(axis=-1),
        np.where(counted, np.square(weight * up), 0.0).sum(axis=-1),
    )
