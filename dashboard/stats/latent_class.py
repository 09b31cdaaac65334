"""What several people's calls on the same decks tell of the truth, and of each other: latent classes.

Each item (a deck, for one topic) truly belongs to one class. Each rater calls items of a class by shares of their own,
independently of the other raters once the class is given. Known truths are held fixed. Nothing here can see an error
that all raters share: on items whose truth is not known, agreement passes for correctness.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import betaln, expit, logsumexp

from dashboard.stats.intervals import CONFIDENCE

Array = NDArray[np.float64]
Codes = NDArray[np.int64]

UNKNOWN = -1  # in place of an item's class

_SEED = 79
_CHAINS = 4
_WARM_UP = 200
_BLOCK = 400  # draws of each chain, and as many again while the chains do not agree
_MOST = 2000
_LEAST_SHARE = 1e-12
_FAR_APART = 1.1


@dataclass(frozen=True)
class Estimate:
    """The likeliest shares.

    Attributes
    ----------
    prevalence
        The share of items in each class.
    confusion
        rater x class x call: the share of a class's items that the rater calls so.
    membership
        item x class: how probable each class is, given the calls; 0 and 1 where the truth is known.
    log_likelihood
        Of calls and known truths.
    """

    prevalence: Array
    confusion: Array
    membership: Array
    log_likelihood: float


def fit(
    item: ArrayLike,
    rater: ArrayLike,
    call: ArrayLike,
    classes: int,
    known: ArrayLike | None = None,
    *,
    smoothing: float = 0.0,
    starts: int = 8,
    rounds: int = 2000,
) -> Estimate:
    """The maximum of the likelihood, by the EM algorithm from several starts.

    The first start takes the shares of an item's calls for its class; the others mix them with chance. The best end
    of all counts, the first of equal ones. A share that is 0 stays 0: where that would be taken for a fact, add
    ``smoothing``.

    Parameters
    ----------
    item, rater, call
        One entry a call, as codes from 0; a rater may call an item more than once. Call codes are class codes.
    classes
        How many classes there are.
    known
        The class of each item, ``UNKNOWN`` where it is not known; None where nothing is.
    smoothing
        What is added to each count of a rater's calls by class.
    starts, rounds
        How many starts, and steps at most from each.

    References
    ----------
    A. P. Dawid and A. M. Skene (1979), Applied Statistics 28, 20-28.
    """
    items, raters, calls = (np.asarray(codes, np.int64) for codes in (item, rater, call))
    count = int(items.max()) + 1 if known is None else len(np.asarray(known))
    truth = np.full(count, UNKNOWN) if known is None else np.asarray(known, np.int64)
    votes = np.stack([np.bincount(items[calls == label], minlength=count) for label in range(classes)], axis=1)
    shares = votes / np.maximum(votes.sum(axis=1, keepdims=True), 1)
    random = np.random.default_rng(_SEED)
    best: Estimate | None = None
    for start in range(starts):
        mixed = shares if start == 0 else (shares + random.dirichlet(np.ones(classes), count)) / 2
        found = _climb(items, raters, calls, _fixed(mixed, truth), truth, smoothing, rounds)
        if best is None or found.log_likelihood > best.log_likelihood + 1e-6:
            best = found
    assert best is not None
    return best


def _climb(
    item: Codes, rater: Codes, call: Codes, membership: Array, truth: Codes, smoothing: float, rounds: int
) -> Estimate:
    classes = membership.shape[1]
    raters = int(rater.max()) + 1
    cell = rater * classes + call
    last = -np.inf
    for _ in range(rounds):
        prevalence = membership.mean(axis=0)
        of_class = [
            np.bincount(cell, membership[item, label], raters * classes).reshape(raters, classes)
            for label in range(classes)
        ]
        counts = np.stack(of_class, axis=1) + smoothing
        # A rater who saw none of a class is taken to call it by chance.
        total = counts.sum(axis=2, keepdims=True)
        confusion = np.where(total > 0, counts / np.where(total > 0, total, 1), 1 / classes)
        with np.errstate(divide="ignore"):
            log_confusion, log_prevalence = np.log(confusion), np.log(prevalence)
        told = log_confusion[rater, :, call]
        joint = log_prevalence + np.stack(
            [np.bincount(item, told[:, label], len(membership)) for label in range(classes)], axis=1
        )
        at_known = joint[np.flatnonzero(truth >= 0), truth[truth >= 0]]
        likelihood = float(logsumexp(joint[truth < 0], axis=1).sum() + at_known.sum())
        membership = _fixed(np.exp(joint - logsumexp(joint, axis=1, keepdims=True)), truth)
        if likelihood - last < 1e-10 * max(1.0, abs(likelihood)):
            break
        last = likelihood
    return Estimate(prevalence, confusion, membership, likelihood)


def _fixed(membership: Array, truth: Codes) -> Array:
    """With known truths in their places."""
    is_known = truth >= 0
    fixed = membership.copy()
    fixed[is_known] = np.eye(membership.shape[1])[truth[is_known]]
    return fixed


@dataclass(frozen=True)
class Draws:
    """Draws from what is known of the shares after the calls.

    Attributes
    ----------
    finds, false_calls
        draw x rater: the share of defects, and of sound items, that the rater calls.
    prevalence
        draw x group: the share of defects.
    chains_agree
        Whether the chains, which started apart, came to the same (their variance ratio is under 1.1 everywhere).
    """

    finds: Array
    false_calls: Array
    prevalence: Array
    chains_agree: bool


def sample(
    item: ArrayLike,
    rater: ArrayLike,
    called: ArrayLike,
    known: ArrayLike,
    group: ArrayLike | None = None,
    *,
    raters: int | None = None,
) -> Draws:
    """Draws of each rater's shares for two classes, defect and sound, by Gibbs sampling.

    The raters' shares of found defects are draws from one beta distribution, and so are their false calls, and the
    groups' shares of defects: a rater with few items is drawn toward the mean of all. Of these distributions every
    mean is taken as equally likely at first, and every 1 / sqrt(precision), with the precision a + b between 2 and
    1,000: the prior density (a + b) ** -5/2 of Gelman and others. Four chains start at shares drawn at random, with
    a fixed seed. Where no truth is known, the class that is called more often is the defect.

    Parameters
    ----------
    item, rater, called
        One entry a call: codes from 0, and whether it is a defect by that call.
    known
        The truth of each item: 1 a defect, 0 sound, ``UNKNOWN``.
    group
        The group of each item as a code, within which defects are equally frequent; None for one.
    raters
        How many raters there are, if some have no call.

    References
    ----------
    A. P. Dawid and A. M. Skene (1979), Applied Statistics 28, 20-28 (the model);
    A. Gelman and others (2013), Bayesian Data Analysis, 3rd edition, sections 5.3 (the prior) and 11.4 (the chains);
    L. Joseph, T. W. Gyorkos and L. Coupal (1995), American Journal of Epidemiology 141, 263-272 (the sampler).
    """
    chains = _Chains(_patterns(item, rater, called, known, group, raters))
    for _ in range(_WARM_UP):
        chains.step()
    kept: list[tuple[Array, Array, Array]] = []
    agree = False
    while not agree and len(kept) < _MOST:
        for _ in range(_BLOCK):
            chains.step()
            kept.append((chains.finds, chains.false_calls, chains.prevalence))
        shares = [np.stack(parts, axis=1) for parts in zip(*kept, strict=True)]
        if chains.nothing_known:
            shares = _told_apart(*shares)
        agree = max(_variance_ratio(share) for share in shares[:2]) < _FAR_APART
    finds, false_calls, prevalence = (share.reshape(-1, share.shape[-1]) for share in shares)
    return Draws(finds, false_calls, prevalence, agree)


def interval(draws: Array, confidence: float = CONFIDENCE) -> tuple[Array, Array, Array]:
    """Mean, low and high of draws, over their first axis."""
    low, high = np.quantile(draws, [(1 - confidence) / 2, (1 + confidence) / 2], axis=0)
    return draws.mean(axis=0), low, high


@dataclass(frozen=True)
class _Patterns:
    """Items with the same calls, truth and group, counted: they have the same chance of being a defect.

    called and passed are pattern x rater: how often that rater called, or passed, an item of the pattern.
    """

    called: Array
    passed: Array
    known: Codes
    group: Codes
    count: Codes


def _patterns(
    item: ArrayLike, rater: ArrayLike, called: ArrayLike, known: ArrayLike, group: ArrayLike | None, raters: int | None
) -> _Patterns:
    items, rated, truth = np.asarray(item, np.int64), np.asarray(rater, np.int64), np.asarray(known, np.int64)
    groups = np.zeros(len(truth), np.int64) if group is None else np.asarray(group, np.int64)
    many = raters or int(rated.max()) + 1
    rows = np.zeros((len(truth), 2 * many + 2), np.int16)
    np.add.at(rows, (items, np.where(np.asarray(called, bool), rated, many + rated)), 1)
    rows[:, -2], rows[:, -1] = truth, groups
    different, count = np.unique(rows, axis=0, return_counts=True)
    return _Patterns(
        different[:, :many].astype(float),
        different[:, many : 2 * many].astype(float),
        different[:, -2].astype(np.int64),
        different[:, -1].astype(np.int64),
        count.astype(np.int64),
    )


class _Chains:
    """Several chains of the sampler, one a row, each started at shares of its own."""

    def __init__(self, patterns: _Patterns) -> None:
        self._random = np.random.default_rng(_SEED)
        self._patterns = patterns
        self._in_group = np.eye(int(patterns.group.max()) + 1)[patterns.group]
        self._free = patterns.known == UNKNOWN
        raters, groups = patterns.called.shape[1], self._in_group.shape[1]
        self.finds = self._random.uniform(0.5, 1.0, (_CHAINS, raters))
        self.false_calls = self._random.uniform(0.0, 0.5, (_CHAINS, raters))
        self.prevalence = self._random.uniform(0.1, 0.9, (_CHAINS, groups))
        self._called, self._passed = patterns.count @ patterns.called, patterns.count @ patterns.passed
        self._grouped = patterns.count @ self._in_group

    @property
    def nothing_known(self) -> bool:
        return bool(self._free.all())

    def step(self) -> None:
        """First the truth of the items that are not known, given all shares; then the shares, given the truth."""
        defects = self._defects()
        called, passed = defects @ self._patterns.called, defects @ self._patterns.passed
        self.finds = _draw(self._random, called, passed, self.finds)
        self.false_calls = _draw(self._random, self._called - called, self._passed - passed, self.false_calls)
        grouped = defects @ self._in_group
        self.prevalence = _draw(self._random, grouped, self._grouped - grouped, self.prevalence)

    def _defects(self) -> Array:
        """How many items of each pattern are defects, in each chain."""
        patterns = self._patterns
        odds = np.log(self.prevalence / (1 - self.prevalence))[:, patterns.group]
        odds = odds + np.log(self.finds / self.false_calls) @ patterns.called.T
        odds = odds + np.log((1 - self.finds) / (1 - self.false_calls)) @ patterns.passed.T
        defects = np.tile(np.where(patterns.known == 1, patterns.count, 0).astype(float), (_CHAINS, 1))
        defects[:, self._free] = self._random.binomial(patterns.count[self._free], expit(odds[:, self._free]))
        return defects


def _pool_grid() -> tuple[Array, Array, Array]:
    """First and second parameter of beta distributions on a grid of means and precisions, and their log prior."""
    log_odds = np.linspace(-7, 7, 57)
    mean = expit(log_odds)
    precision = np.linspace(1 / np.sqrt(1000), 1 / np.sqrt(2), 12) ** -2
    # A uniform density of the mean, on a grid that is even in the log-odds.
    prior = np.broadcast_to(np.log(mean * (1 - mean))[:, None], (len(mean), len(precision)))
    return (mean[:, None] * precision).ravel(), ((1 - mean)[:, None] * precision).ravel(), prior.ravel()


_A, _B, _PRIOR = _pool_grid()
_POWERS, _NORM = np.stack([_A - 1, _B - 1]), betaln(_A, _B)


def _draw(random: np.random.Generator, successes: Array, failures: Array, shares: Array) -> Array:
    """New shares, one chain a row: first the distribution that they come from, given the old ones; then the shares."""
    logs = np.stack([np.log(shares).sum(axis=1), np.log1p(-shares).sum(axis=1)], axis=1)
    weight = logs @ _POWERS + (_PRIOR - shares.shape[1] * _NORM)
    reached = np.exp(weight - weight.max(axis=1, keepdims=True)).cumsum(axis=1)
    at = (reached < random.random((len(shares), 1)) * reached[:, -1:]).sum(axis=1)
    new = random.beta(successes + _A[at, None], failures + _B[at, None])
    return np.clip(new, _LEAST_SHARE, 1 - _LEAST_SHARE)


def _told_apart(finds: Array, false_calls: Array, prevalence: Array) -> list[Array]:
    """Each chain with its classes named so that the one called more often is the defect."""
    swapped = (finds.mean(axis=(1, 2)) < false_calls.mean(axis=(1, 2)))[:, None, None]
    return [
        np.where(swapped, false_calls, finds),
        np.where(swapped, finds, false_calls),
        np.where(swapped, 1 - prevalence, prevalence),
    ]


def _variance_ratio(chains: Array) -> float:
    """The largest potential scale reduction of chain x draw x share (Gelman and others 2013, section 11.4)."""
    draws = chains.shape[1]
    within = chains.var(axis=1, ddof=1).mean(axis=0)
    between = draws * chains.mean(axis=1).var(axis=0, ddof=1)
    ratio = np.sqrt(((draws - 1) / draws * within + between / draws) / np.maximum(within, 1e-300))
    return float(ratio.max())
