"""How well people tell defects from sound work, where the truth is known: effectiveness, misses, false alarms.

Attribute agreement analysis counts effectiveness by items (an item counts where every call on it is right), but misses
by the calls on defective items and false alarms by the calls on sound ones. All three are told here as counts of what
went wrong, so that smaller is better in each.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from dashboard.stats.intervals import CONFIDENCE

Array = NDArray[np.float64]

ACCEPTABLE, MARGINAL, NOT_ACCEPTABLE, CANNOT_TELL = "acceptable", "marginal", "not_acceptable", "cannot_tell"
#: Beyond so many no number of items is told: the share lies at a bound.
MOST_NEEDED = 10_000


@dataclass(frozen=True)
class Bounds:
    """Up to which share of what goes wrong a result is customarily acceptable, and up to which marginal."""

    acceptable: float
    marginal: float


#: As printed in the manual on measurement systems of the Automotive Industry Action Group (fourth edition, 2010), read
#: in copies of its table: effectiveness 90 and 80 percent, misses 2 and 5, false alarms 5 and 10.
INEFFECTIVE, MISSES, FALSE_ALARMS = Bounds(0.10, 0.20), Bounds(0.02, 0.05), Bounds(0.05, 0.10)


@dataclass(frozen=True)
class Attributes:
    """What one person's calls on items of known truth came to, in counts.

    Attributes
    ----------
    items, right
        Items, and those of them on which every call is right.
    defects, missed
        Calls on defective items, and those that pass the defect over.
    sound, false_alarms
        Calls on sound items, and those that claim a defect.
    """

    items: int
    right: int
    defects: int
    missed: int
    sound: int
    false_alarms: int


def attributes(defective: ArrayLike, wrong: ArrayLike) -> Attributes:
    """Count one person's calls.

    Parameters
    ----------
    defective
        Of each item whether it has the defect.
    wrong
        Of each call whether it is wrong: items x calls on an item, or a vector where each has one call.
    """
    is_defective = np.asarray(defective, bool)
    is_wrong = np.asarray(wrong, bool).reshape(len(is_defective), -1)
    missed, false_alarms = is_wrong[is_defective], is_wrong[~is_defective]
    return Attributes(
        items=len(is_defective),
        right=int((~is_wrong.any(axis=1)).sum()),
        defects=missed.size,
        missed=int(missed.sum()),
        sound=false_alarms.size,
        false_alarms=int(false_alarms.sum()),
    )


def exact(successes: ArrayLike, trials: ArrayLike, confidence: float = CONFIDENCE) -> tuple[Array, Array]:
    """The exact interval of a share, as is customary in this analysis.

    Each limit is the share at which so many successes, or more (so few, or fewer), come with half of what the
    confidence leaves. It holds the truth at least as often as it says, and is wider than Wilson's. 0 below at no
    success, 1 above at nothing but successes, NaN without trials. Counts need not be whole.

    References
    ----------
    C. J. Clopper and E. S. Pearson (1934), Biometrika 26, 404-413.
    """
    from scipy.special import betaincinv

    x, n = np.broadcast_arrays(np.asarray(successes, float), np.asarray(trials, float))
    tail = (1 - confidence) / 2
    with np.errstate(invalid="ignore"):
        low = np.where(x <= 0, 0.0, betaincinv(np.maximum(x, 1e-12), np.maximum(n - x + 1, 1e-12), tail))
        high = np.where(x >= n, 1.0, betaincinv(x + 1, np.maximum(n - x, 1e-12), 1 - tail))
    return np.where(n > 0, low, np.nan), np.where(n > 0, high, np.nan)


def mark(wrong: ArrayLike, trials: ArrayLike, bounds: Bounds, confidence: float = CONFIDENCE) -> NDArray[np.str_]:
    """Where shares of what goes wrong fall by the customary bounds, if their exact intervals decide.

    Returns
    -------
    marks
        ``acceptable``, ``marginal`` or ``not_acceptable`` where the whole interval falls there; else ``cannot_tell``,
        without trials too.
    """
    low, high = exact(wrong, trials, confidence)
    within = [high <= bounds.acceptable, (low > bounds.acceptable) & (high <= bounds.marginal), low > bounds.marginal]
    return np.select(within, [ACCEPTABLE, MARGINAL, NOT_ACCEPTABLE], CANNOT_TELL)


def trials_to_decide(wrong: ArrayLike, trials: ArrayLike, bounds: Bounds, confidence: float = CONFIDENCE) -> Array:
    """The trials in all from which on the interval would decide, if the share stayed as it is.

    With no miss at all it takes 183 calls on defects until a miss rate is known to be at most 2 percent.

    Returns
    -------
    trials
        Whole numbers; NaN without trials, infinite beyond :data:`MOST_NEEDED`, as where the share lies at a bound.
    """
    x, n = np.broadcast_arrays(np.asarray(wrong, float), np.asarray(trials, float))
    with np.errstate(invalid="ignore"):
        share = x / n
    few, many = np.zeros(share.shape), np.full(share.shape, float(MOST_NEEDED))
    reached = _decided(share, many, bounds, confidence)
    for _ in range(int(np.ceil(np.log2(MOST_NEEDED)))):
        middle = np.floor((few + many) / 2)
        decided = _decided(share, middle, bounds, confidence)
        few, many = np.where(decided, few, middle), np.where(decided, middle, many)
    return np.where(n > 0, np.where(reached, many, np.inf), np.nan)


def _decided(share: Array, trials: Array, bounds: Bounds, confidence: float) -> NDArray[np.bool_]:
    return mark(share * trials, trials, bounds, confidence) != CANNOT_TELL
