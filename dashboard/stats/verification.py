"""How often defects are found and sound work is called wrong, where only some of the calls could be judged.

People measure what they write up: of the calls that claim a defect more are judged than of the others. Among judged
calls alone an inspector would then seem to find nearly every defect. So the share of defects is taken within each class
of calls, and each class counts by how many calls it has.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from dashboard.stats.intervals import CONFIDENCE

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

LEAST_JUDGED_SHARE = 0.3  # below it only the bounds are told
LEAST_LOOKS = 8  # so many random looks at a class's unjudged calls speak for all of them

_DRAWS = 4000
_SEED = 20


@dataclass(frozen=True)
class Share:
    """A share with its interval, and what it would be if every unjudged call were right, or wrong.

    Attributes
    ----------
    estimate, low, high
        NaN where it cannot be told.
    least, most
        The bounds; chance is not in them. NaN only where there would be no defect (or no sound trial) at all.
    """

    estimate: Array
    low: Array
    high: Array
    least: Array
    most: Array

    def of(self, cell: int) -> Share:
        """The share of one cell."""
        return Share(*(part[cell] for part in (self.estimate, self.low, self.high, self.least, self.most)))


@dataclass(frozen=True)
class WeightedShares:
    """What :func:`weighted_shares` found.

    Attributes
    ----------
    finds
        The share of defects that are called; what is missing to 1 is missed.
    false_calls
        The share of sound trials that are called.
    enough
        Whether enough is judged for the two to be told; their bounds stand all the same.
    by_looks
        Whether random looks speak for the unjudged calls of every class that has some. The shares then rest on no
        assumption about which calls could be judged.
    """

    finds: Share
    false_calls: Share
    enough: Mask
    by_looks: Mask


@dataclass(frozen=True)
class _Classes:
    """Counts by call class; the last axis is called first, then all other calls.

    Where random looks speak for the unjudged calls of a class, ``looked`` says how many; where they are too few they
    stand among the judged, and ``looked`` is 0.
    """

    totals: Array
    judged: Array
    defects: Array
    looked: Array
    looked_defects: Array

    @classmethod
    def of(cls, *counts: ArrayLike) -> _Classes:
        """From totals, judged, defects, looked and looked_defects as they were counted."""
        total, judged, defects, looked, looked_defects = np.broadcast_arrays(
            *(np.asarray(count, float) for count in counts)
        )
        apart = (looked >= LEAST_LOOKS) & (total > judged)
        return cls(
            total,
            np.where(apart, judged, judged + looked),
            np.where(apart, defects, defects + looked_defects),
            np.where(apart, looked, 0.0),
            np.where(apart, looked_defects, 0.0),
        )

    def of_cell(self, cell: tuple[int, ...]) -> _Classes:
        """The counts of one cell."""
        return _Classes(
            self.totals[cell], self.judged[cell], self.defects[cell], self.looked[cell], self.looked_defects[cell]
        )

    @property
    def apart(self) -> Mask:
        """Whether random looks speak for the unjudged."""
        return self.looked > 0

    @property
    def unjudged(self) -> Array:
        """Trials that random looks speak for; the looks are among them."""
        return np.where(self.apart, self.totals - self.judged, 0.0)

    @property
    def known(self) -> Array:
        """Trials of known truth."""
        return self.judged + self.looked

    @property
    def known_defects(self) -> Array:
        return self.defects + self.looked_defects


def weighted_shares(
    totals: ArrayLike,
    judged: ArrayLike,
    defects: ArrayLike,
    looked: ArrayLike = 0,
    looked_defects: ArrayLike = 0,
    *,
    least_judged_share: float = LEAST_JUDGED_SHARE,
    confidence: float = CONFIDENCE,
) -> WeightedShares:
    """The share of defects that are called, and of sound trials that are called, weighted by call class.

    Within called and within other trials the share of defects is that of the judged ones; each class then counts with
    all its trials. That assumes that within a class it does not depend on a defect whether a trial could be judged.
    Where a person has looked at a random sample of the trials that were not judged, at least 8 of the class, those
    stand for the unjudged ones and nothing is assumed; fewer looks count as judged trials.

    The intervals come from draws of the class shares and of the share of called trials, each from its posterior beta
    distribution with Jeffreys' prior. Where everything is judged they are Jeffreys' interval of the plain share.
    The draws start from the same seed for every cell: a result depends on its own counts alone.

    Parameters
    ----------
    totals
        Trials; the last axis has two places, called trials first, all others second.
    judged, defects
        Of those, trials judged without a random look, and those of them with a defect.
    looked, looked_defects
        Of the trials that are otherwise not judged, those that a random second look ruled upon, and those of them
        with a defect. Looks chosen otherwise belong nowhere: such a trial is unjudged.
    least_judged_share
        How much of the trials must be judged.

    Returns
    -------
    WeightedShares
        Shares without the last axis. ``enough`` is False, and the estimates NaN, where fewer of the trials
        are judged or a class with trials has none judged, unless random looks speak for each class.

    References
    ----------
    C. B. Begg and R. A. Greenes (1983), Biometrics 39, 207-215 (the weighting);
    L. D. Brown, T. T. Cai and A. DasGupta (2001), Statistical Science 16, 101-133 (Jeffreys' interval);
    W. G. Cochran (1977), Sampling Techniques, 3rd edition, section 13.2 (a sample of those who did not answer).
    """
    classes = _Classes.of(totals, judged, defects, looked, looked_defects)
    total, known, known_defect = classes.totals, classes.known, classes.known_defects
    by_looks = (classes.apart | (total == known)).all(axis=-1) & (total.sum(axis=-1) > 0)
    heard = ((total == 0) | (known > 0)).all(axis=-1)
    share_known = known.sum(axis=-1) >= least_judged_share * total.sum(axis=-1)
    enough = by_looks | (heard & share_known & (total.sum(axis=-1) > 0))

    in_class = _defects_in_class(classes)
    finds_bounds = _bounds(total, known, known_defect)
    false_bounds = _bounds(total[..., ::-1], known[..., ::-1], (known - known_defect)[..., ::-1])
    finds_interval, false_interval = _intervals(classes, enough, confidence)
    return WeightedShares(
        _share(in_class, finds_interval, finds_bounds, enough),
        # The sound trials that are not called are to all sound ones what the found defects are to all defects.
        _share(total - in_class, false_interval, (1 - false_bounds[1], 1 - false_bounds[0]), enough),
        enough,
        by_looks,
    )


def ranges_without_assumption(
    totals: ArrayLike,
    judged: ArrayLike,
    defects: ArrayLike,
    looked: ArrayLike = 0,
    looked_defects: ArrayLike = 0,
    *,
    confidence: float = CONFIDENCE,
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """What can be said of the two shares without assuming that unjudged calls are like judged ones.

    A class that random looks speak for counts as they say. Of any other class every unjudged call is taken for wrong
    at the one end, and for right at the other; chance goes on top of that.

    Parameters
    ----------
    totals, judged, defects, looked, looked_defects
        As in :func:`weighted_shares`.

    Returns
    -------
    finds, false_calls
        Low and high of each; NaN without trials.
    """
    classes = _Classes.of(totals, judged, defects, looked, looked_defects)
    some = classes.totals.sum(axis=-1) > 0
    finds, false_calls = np.full((*some.shape, 2), np.nan), np.full((*some.shape, 2), np.nan)
    tails = [(1 - confidence) / 2, (1 + confidence) / 2]
    for cell in np.ndindex(some.shape):
        if some[cell]:
            counts = classes.of_cell(cell)
            # Wrong: no unjudged claim is a defect, and all other unjudged calls are.
            if_wrong, if_right = _draws(counts, unjudged=(0.0, 1.0)), _draws(counts, unjudged=(1.0, 0.0))
            finds[cell] = np.quantile(if_wrong[0], tails[0]), np.quantile(if_right[0], tails[1])
            false_calls[cell] = np.quantile(if_right[1], tails[0]), np.quantile(if_wrong[1], tails[1])
    return (finds[..., 0], finds[..., 1]), (false_calls[..., 0], false_calls[..., 1])


def _defects_in_class(classes: _Classes) -> Array:
    """Estimated trials with a defect in each class."""
    with np.errstate(invalid="ignore", divide="ignore"):
        judged_share = np.where(classes.judged > 0, classes.defects / classes.judged, 0.0)
        looked_share = np.where(classes.apart, classes.looked_defects / classes.looked, 0.0)
    return (classes.totals - classes.unjudged) * judged_share + classes.unjudged * looked_share


def _bounds(total: Array, known: Array, known_defects: Array) -> tuple[Array, Array]:
    """The share of first-class trials among all of a kind, if no unjudged call of its class is of it, or all are."""
    first, second = known_defects[..., 0], known_defects[..., 1]
    open_first, open_second = (total - known)[..., 0], (total - known)[..., 1]
    return _ratio(first, first + second + open_second), _ratio(first + open_first, first + open_first + second)


def _ratio(part: Array, whole: Array) -> Array:
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(whole > 0, part / whole, np.nan)


def _share(by_class: Array, interval: Array, bounds: tuple[Array, Array], enough: Mask) -> Share:
    """A share of called trials from numbers by class; Jeffreys' limits reach 0 and 1 where the estimate does."""
    estimate = np.where(enough, _ratio(by_class[..., 0], by_class.sum(axis=-1)), np.nan)
    told = ~np.isnan(estimate)
    low = np.where(estimate <= 0, 0.0, interval[..., 0])
    high = np.where(estimate >= 1, 1.0, interval[..., 1])
    return Share(estimate, np.where(told, low, np.nan), np.where(told, high, np.nan), *bounds)


def _intervals(classes: _Classes, enough: Mask, confidence: float) -> tuple[Array, Array]:
    """Low and high of finds and of false calls, cell by cell."""
    finds, false_calls = np.full((*enough.shape, 2), np.nan), np.full((*enough.shape, 2), np.nan)
    tails = [(1 - confidence) / 2, (1 + confidence) / 2]
    for cell in np.ndindex(enough.shape):
        if enough[cell]:
            found, called = _draws(classes.of_cell(cell))
            finds[cell], false_calls[cell] = np.quantile(found, tails), np.quantile(called, tails)
    return finds, false_calls


def _draws(cell: _Classes, unjudged: tuple[float, float] | None = None) -> tuple[Array, Array]:
    """Draws of the share of defects that are called and of sound trials that are called, for one cell.

    With the share of called trials drawn from beta(n1 + 1, n0 + 1), and the class shares with Jeffreys' prior, the four
    kinds of trials together follow a Dirichlet distribution, and each of the two shares Jeffreys' posterior.
    ``unjudged``: the share of defects among unjudged trials of a class that no looks speak for; None: as the judged.
    """
    random = np.random.default_rng(_SEED)
    called = random.beta(cell.totals[0] + 1, cell.totals[1] + 1, _DRAWS)
    defect = np.empty((2, _DRAWS))
    for at in (0, 1):
        judged, defects, looked = cell.judged[at], cell.defects[at], cell.looked[at]
        defect[at] = random.beta(defects + 0.5, judged - defects + 0.5, _DRAWS)
        others: Array | float = defect[at]
        if cell.apart[at]:
            others = random.beta(cell.looked_defects[at] + 0.5, looked - cell.looked_defects[at] + 0.5, _DRAWS)
        elif unjudged is not None:
            others = unjudged[at]
        left = cell.totals[at] - judged
        if left > 0 and others is not defect[at]:
            defect[at] += random.beta(left + 0.5, judged + 0.5, _DRAWS) * (others - defect[at])
    with_defect = called * defect[0], (1 - called) * defect[1]
    sound = called * (1 - defect[0]), (1 - called) * (1 - defect[1])
    return with_defect[0] / (with_defect[0] + with_defect[1]), sound[0] / (sound[0] + sound[1])
