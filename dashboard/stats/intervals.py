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
    # The upper limit of the successes is what the lower limit of the failures leaves.
    return _wilson_low(successes, trials, z), 1 - _wilson_low(trials - successes, trials, z)


def _wilson_low(successes: Array, trials: Array, z: ArrayLike) -> Array:
    square = np.square(z)
    with np.errstate(invalid="ignore", divide="ignore"):
        center = successes + square / 2
        spread = np.sqrt(square * (successes * (trials - successes) / trials + square / 4))
        low = (center - spread) / (trials + square)
    # At no success the two terms cancel exactly on paper, and to the last digit only in floating point.
    return np.where(trials > 0, np.where(successes <= 0, 0.0, np.maximum(low, 0.0)), np.nan)


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
    z = z_value(confidence)
    below, above = _below(*_facing(weight, success, trial), z), _below(*_facing(-weight, success, trial), z)
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
    facing = _facing(np.where(estimate < 0, -1.0, 1.0)[..., None] * weight, success, trial)
    target = np.square(estimate)
    near, far = np.zeros_like(estimate), np.full_like(estimate, _FARTHEST)
    for _ in range(48):  # halving 40 that often is finer than double precision needs
        middle = (near + far) / 2
        reaches = _below(*facing, middle[..., None]) >= target
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


def _facing(weight: Array, success: Array, trial: Array) -> tuple[Array, Array, Array]:
    """The same sum without negative weights: of a share that had one, failures stand in for the successes."""
    toward = np.where(weight < 0, trial - success, success)
    left_out = weight == 0  # such a share may have no trials: 0 of 1 stands in
    return np.abs(weight), np.where(left_out, 0.0, toward), np.where(left_out, 1.0, trial)


def _below(weight: Array, success: Array, trial: Array, z: ArrayLike) -> Array:
    """From a sum without negative weights to its lower limit, squared."""
    with np.errstate(invalid="ignore", divide="ignore"):
        distance = success / trial - _wilson_low(success, trial, z)
    return np.square(weight * distance).sum(axis=-1)
