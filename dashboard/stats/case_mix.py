"""What decks like these get written up: a binomial model of case mix, and how far an inspector's count is from it.

The chance of a write-up depends on the deck: log-odds are a sum of fixed terms (age, region, height, season) and of a
builder's term, which is a draw from a normal distribution whose spread is estimated, so that a builder of three decks
is not taken at its word. Trials on equal decks by the same inspector are counted together before the fit; the
likelihood is the same as that of single trials.

An inspector is tested by the score of an indicator of own trials in that model. Its variance is the binomial one,
the sum of p (1 - p), less what the model's own terms have taken up of it. What is left of the information on the
inspector once these terms are known tells whether inspector and decks can be told apart at all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cho_factor, cho_solve
from scipy.optimize import minimize_scalar
from scipy.special import expit, ndtr, xlogy

from dashboard.stats import saddlepoint

Array = NDArray[np.float64]
Codes = NDArray[np.intp]

#: Builders are never taken as closer to each other than this (log-odds): where few are known an estimate of no spread
#: at all is luck, and would lay a builder's own faults on the inspector who sees its decks.
LEAST_SPREAD, MOST_SPREAD = 0.3, 3.0
#: How much is believed of the fixed terms before a trial is counted: in each direction in which decks differ, one
#: standard deviation of the decks moves log-odds by a normal draw of spread 1. Without it the terms of a topic with ten
#: write-ups run off to infinity, and with them what peers are expected to write up there.
PRIOR_WEIGHT = 1.0
_RIDGE = 1e-6  # keeps terms finite that stand still in all decks; too small to move one that does not
_MOST_STEPS = 40
EXACT_FROM = 1.5  # standard deviations from which a p-value comes from the saddlepoint approximation


@dataclass(frozen=True)
class Cells:
    """Trials counted together: those of one inspector on equal decks.

    Attributes
    ----------
    terms
        cells x k, the fixed terms; the first is 1.
    builder, inspector
        Codes from 0; cells are in order of the builder (see :func:`in_order`).
    trials, events
        Counts: trials, and those written up.
    n_builders, n_inspectors
        How many codes there are.
    prior_weight
        See ``PRIOR_WEIGHT``; 0 gives plain maximum likelihood.
    """

    terms: Array
    builder: Codes
    inspector: Codes
    trials: Array
    events: Array
    n_builders: int
    n_inspectors: int
    prior_weight: float = PRIOR_WEIGHT

    @cached_property
    def prior(self) -> Array:
        """k x k, the precision of the fixed terms' prior: their covariance over the trials; none on the constant.

        It is the same however the terms are written down (knots, levels), and weighs as much as four trials of even
        odds, so that it fades as trials come in.

        References
        ----------
        A. Zellner (1986), in Bayesian Inference and Decision Techniques, 233-243 (a prior of this shape); A. Gelman et
        al. (2008), Annals of Applied Statistics 2, 1360-1383 (weak priors against terms that run off).
        """
        n = max(float(self.trials.sum()), 1.0)
        apart = self.terms - self.trials @ self.terms / n
        return self.prior_weight * (apart.T @ (self.trials[:, None] * apart)) / n

    @cached_property
    def builder_starts(self) -> Codes:
        """Where each builder's cells begin; of a builder without cells, where the next one's do."""
        return np.searchsorted(self.builder, np.arange(self.n_builders))

    def by_builder(self, values: Array) -> Array:
        """Sums over each builder's cells; the first axis runs over cells."""
        total = np.concatenate([np.zeros((1, *values.shape[1:])), np.cumsum(values, axis=0)])
        ends = np.append(self.builder_starts[1:], len(self.builder))
        return total[ends] - total[self.builder_starts]

    def by_inspector(self, values: Array) -> Array:
        """Sums over each inspector's cells."""
        return np.bincount(self.inspector, values, self.n_inspectors).astype(float)

    def without(self, inspector: int) -> Cells:
        """The same cells, those of one inspector emptied."""
        others = self.inspector != inspector
        return replace(self, trials=self.trials * others, events=self.events * others)

    def with_own_terms(self, inspectors: list[int]) -> Cells:
        """The same cells, with a term for each of these inspectors, which takes up all that sets them apart."""
        own = [(self.inspector == inspector).astype(float) for inspector in inspectors]
        return replace(self, terms=np.column_stack([self.terms, *own])) if own else self


def in_order(
    terms: Array, builder: Codes, inspector: Codes, trials: Array, events: Array, n_builders: int, n_inspectors: int
) -> Cells:
    """Cells in order of the builder."""
    order = np.argsort(builder, kind="stable")
    return Cells(terms[order], builder[order], inspector[order], trials[order], events[order], n_builders, n_inspectors)


@dataclass(frozen=True)
class Information:
    """The information on the model's terms, ready to be solved: builders' terms are eliminated first.

    Attributes
    ----------
    factor
        Cholesky factor of the fixed terms' information, prior included, the builders' known.
    mixed
        k x builders: the information shared by a fixed term and a builder.
    builders
        The information on each builder, its prior included.
    """

    factor: tuple[Array, bool]
    mixed: Array
    builders: Array

    @classmethod
    def of(cls, cells: Cells, weight: Array, precision: float) -> Information:
        fixed = cells.terms.T @ (weight[:, None] * cells.terms)
        mixed = cells.by_builder(weight[:, None] * cells.terms).T
        builders = cells.by_builder(weight) + precision
        left = fixed + cells.prior - (mixed / builders) @ mixed.T
        left[np.diag_indices_from(left)] += _RIDGE * (1 + np.diag(fixed))
        return cls(cho_factor(left), mixed, builders)

    def solve(self, fixed: Array, builders: Array) -> tuple[Array, Array]:
        """The solution for a right-hand side, or for several as columns."""
        scale = self.builders if builders.ndim == 1 else self.builders[:, None]
        own = cho_solve(self.factor, fixed - self.mixed @ (builders / scale))
        return own, (builders - self.mixed.T @ own) / scale


@dataclass(frozen=True)
class Fit:
    """A fitted model.

    Attributes
    ----------
    fixed, builders
        The terms, log-odds.
    spread
        The standard deviation of builders, log-odds.
    log_odds, probability
        Of each cell.
    information
        At the fit.
    """

    fixed: Array
    builders: Array
    spread: float
    log_odds: Array
    probability: Array
    information: Information

    def without_term(self, at: int) -> Fit:
        """The same terms but one: where to begin the fit of a model that lacks it."""
        return replace(self, fixed=np.delete(self.fixed, at))

    def weight(self, cells: Cells) -> Array:
        """trials x p (1 - p) of each cell."""
        return cells.trials * self.probability * (1 - self.probability)


def fit(cells: Cells, spread: float | None = None, start: Fit | None = None) -> Fit:
    """The model at its likeliest.

    Parameters
    ----------
    spread
        Of builders; estimated where it is None: the value that makes the counts likeliest, by Laplace's approximation,
        within ``LEAST_SPREAD`` and ``MOST_SPREAD``.
    start
        A fit to begin from, of the same terms.

    References
    ----------
    N. E. Breslow and D. G. Clayton (1993), Journal of the American Statistical Association 88, 9-25.
    """
    if spread is not None:
        return _newton(cells, spread, start)
    if np.unique(cells.builder[cells.trials > 0]).size < 2:
        return _newton(cells, LEAST_SPREAD, start)
    best = start

    def loss(log_spread: float) -> float:
        nonlocal best
        best = _newton(cells, float(np.exp(log_spread)), best)
        return -_marginal_log_likelihood(cells, best)

    bounds = (np.log(LEAST_SPREAD), np.log(MOST_SPREAD))
    found = minimize_scalar(loss, bounds=bounds, method="bounded", options={"xatol": 0.05})
    return _newton(cells, float(np.exp(found.x)), best)


def _newton(cells: Cells, spread: float, start: Fit | None) -> Fit:
    """Newton's method on the penalized likelihood; steps that overshoot are halved."""
    precision = 1 / spread**2
    if start is None:
        fixed, builders = np.zeros(cells.terms.shape[1]), np.zeros(cells.n_builders)
        share = (cells.events.sum() + 0.5) / (cells.trials.sum() + 1)
        fixed[0] = np.log(share / (1 - share))
    else:
        fixed, builders = start.fixed, start.builders
    reached = _penalized(cells, fixed, builders, precision)
    for _ in range(_MOST_STEPS):
        log_odds = cells.terms @ fixed + builders[cells.builder]
        probability = expit(log_odds)
        information = Information.of(cells, cells.trials * probability * (1 - probability), precision)
        residual = cells.events - cells.trials * probability
        pull = cells.terms.T @ residual - cells.prior @ fixed, cells.by_builder(residual) - precision * builders
        step = information.solve(*pull)
        length, gained = 1.0, -np.inf
        while length > 1e-4:
            further = _penalized(cells, fixed + length * step[0], builders + length * step[1], precision)
            gained = further - reached
            if gained >= -1e-10 * abs(reached):
                break
            length /= 2
        fixed, builders = fixed + length * step[0], builders + length * step[1]
        reached += gained
        if gained < 1e-9 * (1 + abs(reached)):
            break
    log_odds = cells.terms @ fixed + builders[cells.builder]
    probability = expit(log_odds)
    information = Information.of(cells, cells.trials * probability * (1 - probability), precision)
    return Fit(fixed, builders, spread, log_odds, probability, information)


def _penalized(cells: Cells, fixed: Array, builders: Array, precision: float) -> float:
    log_odds = cells.terms @ fixed + builders[cells.builder]
    fits = (cells.events * log_odds - cells.trials * np.logaddexp(0, log_odds)).sum()
    return float(fits - 0.5 * (precision * np.square(builders).sum() + fixed @ cells.prior @ fixed))


def _marginal_log_likelihood(cells: Cells, fitted: Fit) -> float:
    precision = 1 / fitted.spread**2
    taken_up = np.log(fitted.information.builders / precision).sum()
    return _penalized(cells, fitted.fixed, fitted.builders, precision) - 0.5 * float(taken_up)


def log_likelihood(cells: Cells, probability: Array) -> float:
    """The log-likelihood of the counts, without the constant of how they were grouped."""
    kept = cells.trials - cells.events
    return float((xlogy(cells.events, probability) + xlogy(kept, 1 - probability)).sum())


@dataclass(frozen=True)
class Scores:
    """The score tests of all inspectors in one model; arrays over inspectors.

    Attributes
    ----------
    score
        Events less those that the model expects.
    information
        Variance of the score, the model's terms estimated.
    alone
        The variance if only the constant had to be estimated.
    fixed, builders
        The terms' share in each inspector's indicator: k x inspectors and builders x inspectors.
    """

    score: Array
    information: Array
    alone: Array
    fixed: Array
    builders: Array

    @property
    def z(self) -> Array:
        """The score over its standard deviation; NaN without information."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(self.information > 0, self.score / np.sqrt(self.information), np.nan)


def overlap(information: Array, alone: Array) -> Array:
    """The share of the information on an inspector that is left after case mix: 1 / variance inflation; 0 to 1."""
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.clip(np.where(alone > 0, information / alone, 0.0), 0.0, 1.0)


def score_tests(cells: Cells, fitted: Fit, inspector: Codes | None = None) -> Scores:
    """The score of each inspector's own indicator in a fitted model that has none of it.

    Parameters
    ----------
    inspector
        Codes in place of the cells' own, to try out another assignment of the same decks. The model does not change.

    References
    ----------
    C. R. Rao (1948), Proceedings of the Cambridge Philosophical Society 44, 50-57. With the builders' normal terms the
    variance is that of the linear mixed model of the working response: X. Lin (1997), Biometrika 84, 309-326.
    """
    who = cells.inspector if inspector is None else inspector
    n = cells.n_inspectors
    weight = fitted.weight(cells)
    own = np.bincount(who, weight, n)
    score = np.bincount(who, cells.events - cells.trials * fitted.probability, n).astype(float)
    columns = (weight[:, None] * cells.terms).T
    fixed = np.stack([np.bincount(who, column, n) for column in columns]).astype(float)
    both = np.bincount(cells.builder * n + who, weight, cells.n_builders * n)
    builders = both.reshape(cells.n_builders, n).astype(float)
    in_fixed, in_builders = fitted.information.solve(fixed, builders)
    information = own - (fixed * in_fixed).sum(axis=0) - (builders * in_builders).sum(axis=0)
    alone = own - own**2 / max(weight.sum(), 1e-300)
    return Scores(score, np.maximum(information, 0.0), alone, in_fixed, in_builders)


def p_values(
    cells: Cells, fitted: Fit, scores: Scores, inspector: Codes | None = None, exact_from: float = EXACT_FROM
) -> Array:
    """Two-sided p-values of the score tests; skewness and small counts allowed for where a score stands out at all.

    Parameters
    ----------
    exact_from
        Standard deviations from which a score stands out.

    Returns
    -------
    p
        Over inspectors; NaN without information.
    """
    z = scores.z
    p = 2 * ndtr(-np.abs(z))
    who = cells.inspector if inspector is None else inspector
    for at in np.flatnonzero(np.abs(z) > exact_from):
        p[at] = min(1.0, 2 * min(_tails(cells, fitted, scores, who, int(at))))
    return p


def _tails(cells: Cells, fitted: Fit, scores: Scores, who: Codes, at: int) -> tuple[float, float]:
    """The one-sided p-values of one inspector, from the draws of all cells and of the builders' terms."""
    of_terms, of_builders = scores.fixed[:, at], scores.builders[:, at]
    factor = (who == at) - cells.terms @ of_terms - of_builders[cells.builder]
    of_draws = float((factor**2 * fitted.weight(cells)).sum())
    left = max(float(scores.information[at]) - of_draws, 0.0)
    return saddlepoint.tails(float(scores.score[at]), factor, fitted.probability, cells.trials, left)


@dataclass(frozen=True)
class Peers:
    """What the peers would have written up on one inspector's decks.

    Attributes
    ----------
    expected
        Write-ups.
    error
        Its standard error, from the peers' own numbers; the luck of the inspector's own decks is not in it.
    log_odds
        Of each own cell, in the cells' order.
    """

    expected: float
    error: float
    log_odds: Array


def peers(cells: Cells, fitted: Fit, inspector: int) -> Peers:
    """The write-ups that the peers would have made on an inspector's decks; own trials are left out of the fit.

    Parameters
    ----------
    fitted
        The model with own trials in it, to begin from; its builders' spread is kept.
    """
    others = _newton(cells.without(inspector), fitted.spread, fitted)
    own = cells.inspector == inspector
    probability, trials = others.probability[own], cells.trials[own]
    moved = trials * probability * (1 - probability)
    fixed = cells.terms[own].T @ moved
    builders = np.bincount(cells.builder[own], moved, cells.n_builders).astype(float)
    solved = others.information.solve(fixed, builders)
    error = np.sqrt(max(float(fixed @ solved[0] + builders @ solved[1]), 0.0))
    return Peers(float((trials * probability).sum()), error, others.log_odds[own])
