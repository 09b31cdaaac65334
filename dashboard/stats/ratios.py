"""How many times as often as peers: the ratio of what was written up to what was expected, plain and shrunken.

An inspector's own log-odds are taken to be those of the peers on the same decks plus one shift. Each figure is read off
a grid of shifts: the count that a shift leads to, its variance, and how likely it makes the count that was found.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtr

from dashboard.stats.intervals import CONFIDENCE, z_value

Array = NDArray[np.float64]
Codes = NDArray[np.intp]

SHIFTS = np.linspace(-4.0, 4.0, 161)
_WIDTH = SHIFTS[1] - SHIFTS[0]
_FARTHEST = 30.0
_STEPS_APART = np.abs(np.arange(SHIFTS.size)[:, None] - np.arange(SHIFTS.size)[None, :])
SPREADS = np.concatenate([[0.0], np.linspace(0.05, 2.0, 40)])
#: The scale of the prior of a spread between inspectors (half-normal, log-odds). Wide on purpose: it takes colleagues
#: whose odds differ by a factor of e for nothing unusual.
SPREAD_SCALE = 1.0
#: How likely somebody who is flagged is taken to be someone apart, and no draw of the distribution of the others.
APART = 0.1


@dataclass(frozen=True)
class Profiles:
    """What each shift would lead to; inspectors x shifts.

    Attributes
    ----------
    events, trials
        Found; over inspectors.
    expected, error
        Write-ups by peers on the same decks, and their standard error.
    counts, variances
        Of each shift: the count that it leads to, and the variance of that count.
    log_likelihood
        Of each shift.
    """

    events: Array
    trials: Array
    expected: Array
    error: Array
    counts: Array
    variances: Array
    log_likelihood: Array


def profiles(
    log_odds: Array, inspector: Codes, trials: Array, events: Array, error: Array, n_inspectors: int
) -> Profiles:
    """The profiles of all inspectors.

    Parameters
    ----------
    log_odds
        Of each cell of equal decks, by the peers of the cell's inspector.
    inspector, trials, events
        Of each cell.
    error
        Over inspectors: the standard error of their expected count.
    """

    def summed(values: Array) -> Array:
        return np.bincount(inspector, values, n_inspectors).astype(float)

    counts, variances, fits = (np.empty((n_inspectors, SHIFTS.size)) for _ in range(3))
    # Where peers wrote up all or none of such decks their log-odds run off; beyond this no count changes.
    near = np.clip(log_odds, -_FARTHEST, _FARTHEST)
    found, by_peers, odds = summed(events), summed(events * near), np.exp(near)
    for at, shift in enumerate(SHIFTS):
        shifted = odds * np.exp(shift)
        probability = shifted / (1 + shifted)
        likely = trials * probability
        counts[:, at] = summed(likely)
        variances[:, at] = summed(likely * (1 - probability))
        fits[:, at] = by_peers + found * shift - summed(trials * np.log1p(shifted))
    # Whatever the decks, an expected count lies between none and all: no worse known than if any were as likely.
    known = np.minimum(error, summed(trials) / np.sqrt(12))
    return Profiles(found, summed(trials), counts[:, SHIFTS.size // 2].copy(), known, counts, variances, fits)


def add(parts: Sequence[Profiles]) -> Profiles:
    """The profiles of several topics together, the shift the same in all of them."""

    def summed(name: str) -> Array:
        return np.sum([getattr(part, name) for part in parts], axis=0)

    error = np.sqrt(np.sum([np.square(part.error) for part in parts], axis=0))
    names = ("events", "trials", "expected", "counts", "variances", "log_likelihood")
    return Profiles(error=error, **{name: summed(name) for name in names})


def count_interval(found: Profiles, dispersion: ArrayLike = 1.0, confidence: float = CONFIDENCE) -> tuple[Array, Array]:
    """How many write-ups the inspector's habit would give on these decks: the score interval of the count.

    The limits are the counts of the shifts that the count just does not contradict, as in Wilson's interval, for trials
    that differ in their chance; 0 and the number of trials where no shift of the grid does.

    Parameters
    ----------
    dispersion
        How many times the binomial variance the count has; over inspectors.
    """
    z = z_value(confidence)
    with np.errstate(invalid="ignore", divide="ignore"):
        spread = np.sqrt(found.variances * np.broadcast_to(dispersion, found.events.shape)[:, None])
        distance = (found.events[:, None] - found.counts) / spread
    low, high = np.zeros_like(found.events), found.trials.copy()
    for at, row in enumerate(distance):
        if found.trials[at] > 0:
            # distance falls as the shift rises: turned round for interpolation.
            if found.events[at] > 0:
                low[at] = np.interp(z, row[::-1], found.counts[at, ::-1], right=0.0)
            if found.events[at] < found.trials[at]:
                high[at] = np.interp(-z, row[::-1], found.counts[at, ::-1], left=found.trials[at])
    return low, high


def ratio(found: Profiles, dispersion: ArrayLike = 1.0, confidence: float = CONFIDENCE) -> tuple[Array, Array, Array]:
    """Written up / expected, with an interval that holds the luck of the own decks and the error of the peers' number.

    The two are independent, since own trials are left out of the expected count; their intervals are joined by the
    method of variance estimates recovery for ratios.

    Returns
    -------
    ratio, low, high
        NaN where nothing is expected.

    References
    ----------
    A. Donner and G. Y. Zou (2012), Statistical Methods in Medical Research 21, 347-359;
    R. G. Newcombe (2016), Statistical Methods in Medical Research 25, 1774-1778.
    """
    z = z_value(confidence)
    low, high = count_interval(found, dispersion, confidence)
    expected = found.expected
    with np.errstate(invalid="ignore", divide="ignore", over="ignore"):
        relative = z * found.error * np.sqrt(dispersion) / expected
        below, above = expected * np.exp(-relative), expected * np.exp(relative)
        estimate = found.events / expected
        return estimate, *_ratio_limits(found.events, low, high, expected, below, above)


def _ratio_limits(
    numerator: Array, low: Array, high: Array, denominator: Array, below: Array, above: Array
) -> tuple[Array, Array]:
    """The limits of numerator / denominator from the limits of each."""
    product = numerator * denominator
    under = above * (2 * denominator - above)
    over = below * (2 * denominator - below)
    least = product - np.sqrt(np.maximum(product**2 - low * (2 * numerator - low) * under, 0.0))
    most = product + np.sqrt(np.maximum(product**2 - high * (2 * numerator - high) * over, 0.0))
    # An expected count that may be nothing at all has no upper limit of its ratio; one twice as large, no lower one.
    with np.errstate(invalid="ignore", divide="ignore"):
        lower = np.where(under > 0, np.maximum(least / under, 0.0), 0.0)
        upper = np.where(over > 0, most / over, np.nan)
    return np.where(numerator > 0, lower, 0.0), upper


@dataclass(frozen=True)
class Shrunken:
    """Ratios drawn toward 1, the more the less is known of an inspector.

    Attributes
    ----------
    ratio, low, high
        Posterior mean and equal-tailed interval, over inspectors.
    spread, spread_low, spread_high
        Of inspectors around their peers, log-odds: posterior mean and interval.
    """

    ratio: Array
    low: Array
    high: Array
    spread: float
    spread_low: float
    spread_high: float


def shrink(
    found: Profiles,
    alike: NDArray[np.bool_],
    dispersion: ArrayLike = 1.0,
    bar: float = np.inf,
    confidence: float = CONFIDENCE,
) -> Shrunken:
    """Ratios under the model that inspectors' shifts are normal draws around 0 whose spread is not known either.

    The posterior is summed over a grid of shifts and spreads, so that an interval carries what is not known of the
    spread (intervals that take it as known are too short for a dozen people).

    Parameters
    ----------
    alike
        Inspectors from whom the spread is estimated: those not flagged. Of the others it is only known that they lie
        beyond the bar, be it as draws of a wide distribution or as someone apart. Left out altogether, they would take
        the tails of every distribution with them, and the spread of the rest would come out too small.
    dispersion
        How many times the binomial variance the counts have; over inspectors.
    bar
        From how many standard deviations on an inspector is flagged.

    References
    ----------
    A. Gelman et al. (2013), Bayesian Data Analysis, 3rd edition, sections 5.3 to 5.5.
    """
    widened = np.broadcast_to(np.asarray(dispersion, float), found.events.shape)
    likelihood = _likelihood(found, widened)
    prior = np.stack([_prior(spread) for spread in SPREADS])
    marginal = np.maximum(likelihood @ prior.T, 1e-300)
    flagged = ~alike & (found.trials > 0)
    beyond = np.log((1 - APART) * _beyond(found, bar, widened) + APART)
    known = np.log(marginal[alike]).sum(axis=0) + beyond[flagged].sum(axis=0)
    weight = _spread_weights(known)
    # Of each inspector the spread is judged with the own numbers in it, flagged or not.
    added = np.where(alike[:, None], 0.0, np.log(marginal) - flagged[:, None] * beyond)
    own = np.stack([_spread_weights(known + row) for row in added])
    joint = likelihood * ((own / marginal) @ prior)
    posterior = joint / joint.sum(axis=1, keepdims=True)
    with np.errstate(invalid="ignore", divide="ignore"):
        ratios = found.counts / found.expected[:, None]
    tail = (1 - confidence) / 2
    cumulated = np.cumsum(posterior, axis=1) - posterior / 2
    low, high = (
        np.array([np.interp(share, row, of) for row, of in zip(cumulated, ratios, strict=True)])
        for share in (tail, 1 - tail)
    )
    spread_at = np.cumsum(weight)
    limits = [
        float(SPREADS[np.searchsorted(spread_at, share).clip(max=SPREADS.size - 1)]) for share in (tail, 1 - tail)
    ]
    return Shrunken((posterior * ratios).sum(axis=1), low, high, float(weight @ SPREADS), *limits)


def _beyond(found: Profiles, bar: float, dispersion: Array) -> Array:
    """Inspectors x spreads: the chance that a draw lies beyond the bar, luck and the peers' error added."""
    variance = found.variances[:, SHIFTS.size // 2]
    by_luck = (variance + np.square(found.error)) * dispersion
    with np.errstate(invalid="ignore", divide="ignore"):
        told = np.where(by_luck > 0, np.square(variance) / by_luck, 0.0)
    return 2 * ndtr(-bar / np.sqrt(1 + told[:, None] * np.square(SPREADS)))


def _likelihood(found: Profiles, dispersion: Array) -> Array:
    """Inspectors x shifts, the peers' error worked in: what looks like a shift may be theirs."""
    behind = found.log_likelihood - found.log_likelihood.max(axis=1, keepdims=True)
    fits = np.exp(behind / dispersion[:, None])
    middle = found.variances[:, SHIFTS.size // 2]
    with np.errstate(invalid="ignore", divide="ignore"):
        error = np.where(middle > 0, found.error * np.sqrt(dispersion) / middle, 0.0)
    blurred = [row @ _kernel(float(of)) for row, of in zip(fits, error, strict=True)]
    return np.stack(blurred) if blurred else fits


def _kernel(spread: float) -> Array:
    """Shifts x shifts: the share of a normal draw around one that falls to another."""
    if spread < _WIDTH / 10:
        return np.eye(SHIFTS.size)
    distance = _WIDTH * np.arange(SHIFTS.size)
    share = ndtr((_WIDTH / 2 - distance) / spread) - ndtr((-_WIDTH / 2 - distance) / spread)
    return share[_STEPS_APART]


def _prior(spread: float) -> Array:
    return _kernel(spread)[SHIFTS.size // 2]


def _spread_weights(log_likelihood: Array) -> Array:
    log_posterior = log_likelihood - 0.5 * np.square(SPREADS / SPREAD_SCALE)
    weight = np.exp(log_posterior - log_posterior.max())
    return weight / weight.sum()
