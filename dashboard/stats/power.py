"""How many more decks a question needs before it can be answered.

All numbers are trials in all, those that are there already included: see :func:`more`.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr, ndtri

from dashboard.stats.intervals import CONFIDENCE, z_value

Array = NDArray[np.float64]

CHANCE = 0.8  # how likely a difference should be to show
ALPHA = 0.05


def more(needed: ArrayLike, so_far: ArrayLike) -> Array:
    """What is still missing of ``needed``; 0 where it is there."""
    return np.maximum(np.ceil(np.asarray(needed, float)) - np.asarray(so_far, float), 0)


def trials_for_width(share: ArrayLike, half_width: ArrayLike, confidence: float = CONFIDENCE) -> Array:
    """The trials from which on the Wilson interval of a share is at most so wide on either side of its middle.

    Half the width is z sqrt(n p (1 - p) + z^2 / 4) / (n + z^2); for n it is a quadratic equation.

    Parameters
    ----------
    share
        The share that is expected.
    half_width
        Half the width that is wanted.

    Returns
    -------
    trials
        Whole numbers; 0 where no trial at all is narrow enough.

    References
    ----------
    E. B. Wilson (1927), Journal of the American Statistical Association 22, 209-212.
    """
    p, d, square = np.asarray(share, float), np.asarray(half_width, float), z_value(confidence) ** 2
    linear, constant = square * p * (1 - p), square**2 * (0.25 - p * (1 - p))
    with np.errstate(divide="ignore", invalid="ignore"):
        middle = (linear + np.sqrt(np.square(linear) + 4 * np.square(d) * constant)) / (2 * np.square(d))
    # A hair below, so that a whole number that solves it exactly is not rounded up.
    return np.maximum(np.ceil(middle - square - 1e-9), 0)


def times_the_odds(share: ArrayLike, odds_ratio: ArrayLike) -> Array:
    """The share whose odds are so many times those of ``share``."""
    p, ratio = np.asarray(share, float), np.asarray(odds_ratio, float)
    return ratio * p / (1 + (ratio - 1) * p)


def chance_to_show(
    trials: ArrayLike, expected: ArrayLike, actual: ArrayLike, alpha: float = ALPHA, information: ArrayLike = 1.0
) -> Array:
    """How likely an inspector's difference from an expected share is to be flagged.

    The score test is two-sided, its variance that of the expected share; being flagged on the wrong side is left out.

    Parameters
    ----------
    trials
        The inspector's trials.
    expected, actual
        The share that peers would write up, and the inspector's own.
    alpha
        The p-value from which on it shows. Under false discovery control that is well below 0.05: q = 0.05 with two
        flags among a hundred comparisons is p = 0.001.
    information
        The share of the information on the inspector that case mix leaves (*overlap*): what is estimated of peers
        takes from it.

    References
    ----------
    J. L. Fleiss, B. Levin and M. C. Paik (2003), Statistical Methods for Rates and Proportions, 3rd edition, section
    2.4.
    """
    null, own = _deviation(expected), _deviation(actual)
    distance = np.abs(np.asarray(actual, float) - np.asarray(expected, float))
    worth = np.sqrt(np.asarray(trials, float) * np.asarray(information, float))
    return ndtr((distance * worth - z_value(1 - alpha) * null) / own)


def trials_to_show(
    expected: ArrayLike,
    actual: ArrayLike,
    chance: float = CHANCE,
    alpha: float = ALPHA,
    information: ArrayLike = 1.0,
) -> Array:
    """The trials of one inspector from which on a difference is likely to be flagged.

    Parameters
    ----------
    expected, actual, alpha, information
        As in :func:`chance_to_show`.
    chance
        How likely.

    Returns
    -------
    trials
        Whole numbers; infinite where there is no difference.

    References
    ----------
    As :func:`chance_to_show`.
    """
    distance = np.abs(np.asarray(actual, float) - np.asarray(expected, float))
    reach = z_value(1 - alpha) * _deviation(expected) + ndtri(chance) * _deviation(actual)
    with np.errstate(divide="ignore"):
        return np.ceil(np.square(reach / distance) / np.asarray(information, float) - 1e-9)


def _deviation(share: ArrayLike) -> Array:
    """The standard deviation of one trial."""
    p = np.asarray(share, float)
    return np.sqrt(p * (1 - p))
