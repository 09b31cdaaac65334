"""Cumulative sums: whether something moved for good, and since when, where no single month would show it.

What speaks for a change is added up step by step, and the sum never falls below zero. A signal is a sum that reaches
the limit; the chart then starts anew from zero.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expit, logit

Array = NDArray[np.float64]
Places = NDArray[np.intp]

#: A false alarm is aimed at this much more rarely than allowed, since the limit is simulated itself.
_AIM = 0.9
#: So many histories are drawn of a chart, and so many false alarms are wanted among the runs of their decks.
_HISTORIES, _ALARMS = 200, 400
_MOST_STEPS = 3_000_000
_MOST_DRAWS = 2_000_000
#: A change that is not found within so many decks is said not to be found.
LONGEST = 1000
#: Times the variance of a normal effect: by how much log-odds must grow for the probability to stay as it is (squared).
_ATTENUATION = (16 * np.sqrt(3) / (15 * np.pi)) ** 2


def weights(event: ArrayLike, probability: ArrayLike, odds_ratio: float) -> Array:
    """What each yes-or-no draw says for odds that are changed by a factor: the log of the likelihood ratio.

    Parameters
    ----------
    event, probability
        Of each draw: whether it happened, and its probability where nothing has changed.
    odds_ratio
        The change to look for: 2 for doubled odds, 0.5 for halved ones.

    References
    ----------
    S. H. Steiner, R. J. Cook, V. T. Farewell and T. Treasure (2000), Biostatistics 1, 441-452, equation 2.2.
    """
    p = np.asarray(probability, float)
    return np.asarray(event, float) * np.log(odds_ratio) - np.log1p((odds_ratio - 1) * p)


def sums(step: ArrayLike, limit: float = np.inf) -> tuple[Array, NDArray[np.bool_]]:
    """The cumulative sum after each step, and where it signals.

    Parameters
    ----------
    step
        In order of time; with several axes the last one runs over time.
    limit
        A sum that reaches it is a signal, after which the next step starts from zero.

    Returns
    -------
    sum, signal

    References
    ----------
    E. S. Page (1954), Biometrika 41, 100-115; NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3.
    """
    steps = np.asarray(step, float)
    if np.isinf(limit):
        path = _reflected(steps)
        return path, np.zeros(path.shape, bool)
    path, signal = np.empty_like(steps), np.zeros(steps.shape, bool)
    now = np.zeros(steps.shape[:-1])
    for at in range(steps.shape[-1]):
        now = np.maximum(now + steps[..., at], 0.0)
        path[..., at], signal[..., at] = now, now >= limit
        now = np.where(signal[..., at], 0.0, now)
    return path, signal


def _reflected(step: Array) -> Array:
    """Sums that never fall below zero: the plain sum less the lowest point that it has come to."""
    plain = np.cumsum(step, axis=-1)
    return plain - np.minimum(np.minimum.accumulate(plain, axis=-1), 0.0)


def limit_for(step: Array, alarms_a_step: float) -> float:
    """The limit that the sums of such steps reach no more often than that.

    Parameters
    ----------
    step
        Runs x time: steps without any change.
    alarms_a_step
        How many alarms a step are allowed, in the long run.

    Notes
    -----
    Each stretch of a sum between two zeros has a highest point; the limit is the one that so many stretches reach as
    alarms are allowed. (With a start from zero after an alarm a stretch could bring two; the aim leaves room for it.)
    """
    path = _reflected(step)
    path[..., -1] = 0.0  # the last stretch of a run ends with it, and the next run starts anew
    flat = path.reshape(-1)
    starts = np.concatenate([[0], np.flatnonzero(flat[:-1] == 0) + 1])
    peaks = np.maximum.reduceat(flat, starts)
    allowed = int(_AIM * alarms_a_step * flat.size)
    if allowed >= peaks.size:
        return 0.0
    # Above the first peak that would be one too many.
    return float(np.nextafter(np.partition(peaks, peaks.size - 1 - allowed)[peaks.size - 1 - allowed], np.inf))


# ---- the decks of one inspector --------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Decks:
    """An inspector's decks in order of time, each with the trials seen on it.

    Attributes
    ----------
    probability, event
        Of each trial, deck after deck: the chance that it is written up where nothing changes, and whether it was.
    start
        Where each deck's trials begin.
    """

    probability: Array
    event: NDArray[np.bool_]
    start: Places

    def steps(self, odds_ratio: float) -> Array:
        """What each deck says for the change: the sum of the weights of its trials."""
        return np.add.reduceat(weights(self.event, self.probability, odds_ratio), self.start)


def shared_luck(residual: ArrayLike, variance: ArrayLike, cluster: ArrayLike) -> float:
    """The variance, on the log-odds, of an effect that all draws of a cluster share; at least 0.

    The products of the residuals of all pairs within clusters, over the products of their variances: what a shared
    effect of variance 1 would bring, for a small one.

    Parameters
    ----------
    residual, variance, cluster
        Of each draw: what happened less its probability p, p (1 - p), and the number of its cluster.
    """
    r, v, of = np.asarray(residual, float), np.asarray(variance, float), np.asarray(cluster, np.intp)
    found = (np.bincount(of, r) ** 2).sum() - (r**2).sum()
    brought = (np.bincount(of, v) ** 2).sum() - (v**2).sum()
    return max(0.0, float(found / brought)) if brought > 0 else 0.0


def histories(decks: Decks, shared: float, n: int, rng: np.random.Generator, odds_ratio: float = 1.0) -> Array:
    """Write-ups on each of the decks, as they might have come: histories x decks.

    Parameters
    ----------
    shared
        As :func:`shared_luck` gives it: the trials of a deck have an effect in common.
    n
        How many histories.
    odds_ratio
        How the odds of every trial are changed; 1 for no change.
    """
    p = np.clip(decks.probability, 1e-9, 1 - 1e-9)
    odds = logit(p) * np.sqrt(1 + _ATTENUATION * shared) + np.log(odds_ratio)
    trials = np.diff(np.append(decks.start, p.size))
    found = np.empty((n, decks.start.size))
    for rows in np.array_split(np.arange(n), max(1, n * p.size // _MOST_DRAWS)):
        effect = np.sqrt(shared) * rng.standard_normal((rows.size, decks.start.size)) if shared else 0.0
        chance = expit(odds + (np.repeat(effect, trials, axis=1) if shared else 0.0))
        happened = rng.random((rows.size, p.size)) < chance
        found[rows] = np.add.reduceat(happened, decks.start, axis=1, dtype=np.int64)
    return found


@dataclass(frozen=True)
class Design:
    """What a chart can do, by simulation.

    Attributes
    ----------
    limit
        What its sum must reach.
    false_alarms_a_deck
        How often it does so where nothing changes.
    decks_to_detect
        Decks after which half of the changes are found; infinite where they are not within ``LONGEST``.
    """

    limit: float
    false_alarms_a_deck: float
    decks_to_detect: float


def designs(
    decks: Decks, shared: float, alarms_a_deck: float, odds_ratios: tuple[float, ...], rng: np.random.Generator
) -> list[Design]:
    """The limits of an inspector's charts, one a change to look for, and what they can do.

    Histories of the inspector's decks are drawn where nothing changes, and runs of decks are drawn out of each. The
    decks of one history are not at the baseline exactly: their own write-ups are off by luck, as those are that the
    baseline was taken from. So the baseline is drawn and not plugged in, and trials of one deck stay together.

    Parameters
    ----------
    decks
        With the baseline as probabilities.
    shared
        What the trials of a deck have in common (:func:`shared_luck`).
    alarms_a_deck
        How many false alarms a deck are allowed of each chart.
    odds_ratios
        The changes to look for.
    """
    same = histories(decks, shared, _HISTORIES, rng)
    length = int(np.clip(_ALARMS / alarms_a_deck, LONGEST, _MOST_STEPS) / _HISTORIES) + 1
    runs, fresh = (_drawn(same, length, rng) for _ in range(2))
    found = []
    for ratio in odds_ratios:
        # A deck's step needs no more than its write-ups: what its trials could say apart from them is fixed.
        fixed = np.add.reduceat(weights(False, decks.probability, ratio), decks.start)
        changed = _drawn(histories(decks, shared, _HISTORIES, rng, ratio), LONGEST, rng)
        limit = limit_for(_steps(runs, fixed, ratio), alarms_a_deck)
        alarms = sums(_steps(fresh, fixed, ratio), limit)[1].mean()
        found.append(Design(limit, float(alarms), _median_wait(_steps(changed, fixed, ratio), limit)))
    return found


def _drawn(write_ups: Array, length: int, rng: np.random.Generator) -> tuple[Array, Places]:
    """Runs of decks drawn out of each history, with repeats: their write-ups, and which decks."""
    which = rng.integers(0, write_ups.shape[1], (len(write_ups), length))
    return np.take_along_axis(write_ups, which, axis=1), which


def _steps(runs: tuple[Array, Places], fixed: Array, odds_ratio: float) -> Array:
    write_ups, which = runs
    return write_ups * np.log(odds_ratio) + fixed[which]


def _median_wait(step: Array, limit: float) -> float:
    reached = _reflected(step) >= limit
    wait = np.where(reached.any(axis=1), reached.argmax(axis=1) + 1.0, np.inf)
    return float(np.quantile(wait, 0.5, method="inverted_cdf"))
