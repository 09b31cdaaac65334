"""A share of few trials drawn toward the share of all: the beta-binomial model.

Each group's true share is taken as one draw from a beta distribution with a mean and a precision (the trials that
the common mean is worth); both are fitted to the groups by maximum likelihood, or the mean is given.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import minimize
from scipy.special import betaincinv, betaln, expit, logit

from dashboard.stats.intervals import CONFIDENCE

Array = NDArray[np.float64]

_LEAST_PRECISION = 2.0  # that of a uniform distribution: groups are never taken as all-or-nothing
_GRID = 25  # precisions looked at in one pass
_PASSES = 8  # each narrows the range by twelve: ample for seven digits


@dataclass(frozen=True)
class Prior:
    """The beta distribution of the groups' true shares.

    Attributes
    ----------
    mean, precision
        Its parameters are a = mean * precision and b = (1 - mean) * precision. The precision is kept between 2 and
        the number of all trials together.
    spread
        False where the groups differ no more than chance, or there is only one. The likelihood then grows with the
        precision without end, which is held at the upper limit: a group is not known better than the whole.
    """

    mean: Array
    precision: Array
    spread: NDArray[np.bool_]


def fit(successes: ArrayLike, trials: ArrayLike, mean: ArrayLike | None = None) -> Prior:
    """The prior that makes the groups' counts likeliest.

    Parameters
    ----------
    successes, trials
        Counts, which may be real-valued; the last axis runs over the groups. Groups without trials are left out.
        With ``mean`` given, the axes before run over separate fits.
    mean
        The common mean, where it is known; one for each fit. It is kept half a success off 0 and 1, which a share
        of so many trials cannot tell apart from 0 and 1. None fits it too (one fit only).

    Returns
    -------
    Prior
        NaN where there are no trials or the mean is NaN.

    References
    ----------
    R. E. Tarone (1982), Biometrics 38, 215-220 (the beta-binomial with historical groups);
    A. Gelman et al. (2013), Bayesian Data Analysis, 3rd edition, chapter 5.
    """
    success, trial = _known(successes, trials)
    total = trial.sum(axis=-1)
    common = _free_mean(success, trial) if mean is None else np.asarray(mean, float)
    with np.errstate(divide="ignore"):
        edge = 0.5 / (total + 1)
    common = np.clip(common, edge, 1 - edge)
    precision, spread = _fit_precision(success, trial, common, total)
    known = (total > 0) & ~np.isnan(common)
    return Prior(np.where(known, common, np.nan), np.where(known, precision, np.nan), spread & known)


def posterior(
    successes: ArrayLike, trials: ArrayLike, prior: Prior, confidence: float = CONFIDENCE
) -> tuple[Array, Array, Array]:
    """What is known of each group's true share, its own trials and the prior taken together.

    Parameters
    ----------
    successes, trials
        As in :func:`fit`; a group without trials gets the prior itself.

    Returns
    -------
    mean, low, high
        The posterior mean (x + a) / (n + a + b), and the equal-tailed interval. The interval takes the prior as
        known: it is too short where there are few groups.
    """
    success, trial = _known(successes, trials)
    a = success + (prior.mean * prior.precision)[..., None]
    b = trial - success + ((1 - prior.mean) * prior.precision)[..., None]
    tail = (1 - confidence) / 2
    return a / (a + b), betaincinv(a, b, tail), betaincinv(a, b, 1 - tail)


def _known(successes: ArrayLike, trials: ArrayLike) -> tuple[Array, Array]:
    """Counts with 0 of 0 in place of what is not known; such a group adds nothing to a likelihood."""
    success, trial = np.broadcast_arrays(np.asarray(successes, float), np.asarray(trials, float))
    known = (trial > 0) & ~np.isnan(success)
    return np.where(known, success, 0.0), np.where(known, trial, 0.0)


def _log_likelihood(success: Array, trial: Array, mean: Array, precision: Array) -> Array:
    a, b = mean * precision, (1 - mean) * precision
    return (betaln(success + a, trial - success + b) - betaln(a, b)).sum(axis=-1)


def _free_mean(success: Array, trial: Array) -> Array:
    if success.ndim != 1:
        raise ValueError("the mean is fitted for one set of groups at a time; give it for several")
    total = trial.sum()
    if total == 0:
        return np.asarray(np.nan)
    crude = np.clip(success.sum() / total, 0.5 / (total + 1), 1 - 0.5 / (total + 1))

    def loss(parameters: Array) -> float:
        precision = np.exp(np.clip(parameters[1], np.log(_LEAST_PRECISION), np.log(total)))
        return -float(_log_likelihood(success, trial, expit(parameters[0]), precision))

    start = np.array([logit(crude), np.log(min(10.0, total))])
    best = minimize(loss, start, method="Nelder-Mead", options={"xatol": 1e-9, "fatol": 1e-12, "maxiter": 4000})
    return np.asarray(expit(best.x[0]))


def _fit_precision(success: Array, trial: Array, mean: Array, total: Array) -> tuple[Array, NDArray[np.bool_]]:
    """The likeliest precision up to ``total``, on a grid that closes in; and whether it is below that limit.

    A grid rather than a gradient: all fits run at once, and a likelihood that is flat far out does no harm.
    """
    ceiling = np.log(np.maximum(total, _LEAST_PRECISION))
    low, high = np.full_like(ceiling, np.log(_LEAST_PRECISION)), ceiling
    steps = np.linspace(0, 1, _GRID)
    for _ in range(_PASSES):
        grid = low[..., None] + (high - low)[..., None] * steps
        likelihood = _log_likelihood(
            success[..., None, :], trial[..., None, :], mean[..., None, None], np.exp(grid)[..., None]
        )
        best = _last_highest(likelihood)
        low = np.take_along_axis(grid, np.maximum(best - 1, 0)[..., None], -1)[..., 0]
        high = np.take_along_axis(grid, np.minimum(best + 1, _GRID - 1)[..., None], -1)[..., 0]
    several = (trial > 0).sum(axis=-1) > 1
    spread = several & (high < ceiling - 1e-9)
    return np.exp(np.where(spread, (low + high) / 2, ceiling)), spread


def _last_highest(likelihood: Array) -> NDArray[np.intp]:
    """Where the likelihood is highest; of equal ones the last, so that groups of one trial show no spread."""
    filled = np.nan_to_num(likelihood, nan=-np.inf, neginf=-np.inf)
    highest = filled >= filled.max(axis=-1, keepdims=True) - 1e-10
    return likelihood.shape[-1] - 1 - highest[..., ::-1].argmax(axis=-1)
