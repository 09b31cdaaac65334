"""How far two or more people who looked at the same thing decided alike, beyond what chance alone would give.

Two looks stand in a square table, the earlier look in the rows, the later one in the columns; several people's looks at
an item in one count a category. Tables and counts may be real-valued, and stacked: all figures of a thousand redrawn
tables are worked out at once. A figure that is not defined is NaN: see each function for when that is.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import gammaln, ndtri

from dashboard.stats.intervals import CONFIDENCE, z_value

Array = NDArray[np.float64]

#: Redrawn samples behind an interval, and where their random numbers start: the same data give the same interval.
REDRAWS, SEED = 4000, 1971
#: What is added before redrawing, of each kind that a unit could be: half a unit (Jeffreys).
GHOST = 0.5
HALF_WIDTH, POWER, RATIO = 0.1, 0.8, 2.0


# ---- two looks -------------------------------------------------------------------------------------------------------


def raw_agreement(tables: ArrayLike) -> Array:
    """The share of pairs in which both looks say the same; NaN without pairs.

    Parameters
    ----------
    tables
        Counts of pairs, the last two axes running over the earlier and the later look's categories.
    """
    t = np.asarray(tables, float)
    return _ratio(np.trace(t, axis1=-2, axis2=-1), t.sum(axis=(-2, -1)))


def specific_agreement(tables: ArrayLike, category: int) -> Array:
    """Of all looks that say this category, the share whose other look says it too: 2a / (2a + b + c).

    With the category "written up" it is the positive, with "not written up" the negative agreement. It is NaN where no
    look says the category.

    Parameters
    ----------
    tables
        As in :func:`raw_agreement`.
    category
        Its place along either of the last two axes.

    References
    ----------
    D. V. Cicchetti and A. R. Feinstein (1990), Journal of Clinical Epidemiology 43, 551-558.
    """
    t = np.asarray(tables, float)
    said = t[..., category, :].sum(axis=-1) + t[..., :, category].sum(axis=-1)
    return _ratio(2 * t[..., category, category], said)


def cohen_kappa(tables: ArrayLike) -> Array:
    """Agreement beyond chance, each look with its own habits: (po - pe) / (1 - pe), pe the sum of p_i. p_.i.

    1 is full agreement, 0 what independent looks with these margins would give, negative values less than that. It is
    NaN where all pairs are in one cell, since chance then leaves nothing to agree on, and 0 where one look alone always
    says the same.

    Parameters
    ----------
    tables
        As in :func:`raw_agreement`.

    References
    ----------
    J. Cohen (1960), Educational and Psychological Measurement 20, 37-46.
    """
    p = _shares(tables)
    by_chance = (p.sum(axis=-1) * p.sum(axis=-2)).sum(axis=-1)
    return _beyond(np.trace(p, axis1=-2, axis2=-1), by_chance)


def gwet_ac1(tables: ArrayLike) -> Array:
    """Agreement beyond chance that does not fall where a category is rare: pe = sum of q_i (1 - q_i) / (k - 1).

    q_i is the mean share of category i over both looks, k the number of categories. For two categories pe is at most
    one half, so that the figure is defined wherever there is a pair.

    Parameters
    ----------
    tables
        As in :func:`raw_agreement`.

    References
    ----------
    K. L. Gwet (2008), British Journal of Mathematical and Statistical Psychology 61, 29-48.
    """
    p = _shares(tables)
    return _ac1(np.trace(p, axis1=-2, axis2=-1), (p.sum(axis=-1) + p.sum(axis=-2)) / 2)


def order_p_value(nets: ArrayLike) -> float:
    """The exact two-sided p-value of "which look came first does not matter", from each deck's net.

    A deck's net is its pairs written up by the earlier look only, less those by the later only. Were the order of no
    matter, each deck's net would as likely have the other sign, all its pairs together: p is the share of all such sign
    changes whose sum is at least as far from 0. Where each deck has one pair this is McNemar's exact test. It is 1
    where no net differs from 0.

    Parameters
    ----------
    nets
        Whole numbers, one a deck.

    References
    ----------
    Q. McNemar (1947), Psychometrika 12, 153-157; R. A. Fisher (1935), The Design of Experiments (the sign changes).
    """
    sizes, how_many = np.unique(np.abs(np.asarray(nets, int)), return_counts=True)
    chances = np.ones(1)
    for size, decks in zip(sizes, how_many, strict=True):
        if size:
            chances = np.convolve(chances, _sum_of_signs(int(size), int(decks)))
    farthest = (len(chances) - 1) // 2
    sums = np.arange(-farthest, farthest + 1)
    return min(1.0, float(chances[np.abs(sums) >= abs(int(np.sum(nets)))].sum()))


def _sum_of_signs(size: int, decks: int) -> Array:
    """The chances of each sum of so many nets of one size, each with either sign, from the least to the largest."""
    heads = np.arange(decks + 1)
    log_chances = gammaln(decks + 1) - gammaln(heads + 1) - gammaln(decks - heads + 1) - decks * np.log(2)
    chances = np.zeros(2 * size * decks + 1)
    chances[:: 2 * size] = np.exp(log_chances)
    return chances


# ---- several people's looks ------------------------------------------------------------------------------------------


def group_agreement(counts: ArrayLike, weights: ArrayLike | None = None) -> Array:
    """The mean share of agreeing pairs of calls within an item, over items with two calls or more.

    Parameters
    ----------
    counts
        Calls of each item by category: items x categories. Items may have different numbers of calls, or none.
    weights
        What each item counts, items on the last axis; 1 each where not given.
    """
    n, w = _calls(counts, weights)
    return _ratio(w @ _agreeing(n), w @ (n.sum(axis=1) >= 2))


def fleiss_kappa(counts: ArrayLike, weights: ArrayLike | None = None) -> Array:
    """Agreement beyond chance of several people with the habits of all: pe is the sum of squared shares.

    A category's share is its mean share within the items. With the same number of calls for every item it is Fleiss's
    kappa; with missing calls his formula as Gwet carries it on. It is NaN where all calls are of one category, or no
    item has two calls.

    Parameters
    ----------
    counts, weights
        As in :func:`group_agreement`.

    References
    ----------
    J. L. Fleiss (1971), Psychological Bulletin 76, 378-382; K. L. Gwet (2014), Handbook of Inter-Rater Reliability
    (missing calls).
    """
    return _beyond(group_agreement(counts, weights), np.square(_category_shares(counts, weights)).sum(axis=-1))


def group_ac1(counts: ArrayLike, weights: ArrayLike | None = None) -> Array:
    """:func:`gwet_ac1` for several people.

    Parameters
    ----------
    counts, weights
        As in :func:`group_agreement`.
    """
    return _ac1(group_agreement(counts, weights), _category_shares(counts, weights))


def krippendorff_alpha(counts: ArrayLike, weights: ArrayLike | None = None) -> Array:
    """Agreement beyond chance for nominal categories and any number of missing calls: 1 - Do / De.

    Do is the disagreement of calls within items, De that of all calls put together without replacement; items with a
    single call say nothing and are left out. It is NaN where all calls that are left are of one category.

    Parameters
    ----------
    counts, weights
        As in :func:`group_agreement`; weights should add up to the number of items, since De is corrected for it.

    References
    ----------
    K. Krippendorff (2011), Computing Krippendorff's Alpha-Reliability.
    """
    n, w = _calls(counts, weights)
    calls = n.sum(axis=1)
    pairable = np.where(calls >= 2, calls, 0)
    alike = np.divide((n * (n - 1)).sum(axis=1), pairable - 1, out=np.zeros_like(calls), where=pairable > 0)
    by_category, total = w @ np.where(pairable[:, None] > 0, n, 0.0), w @ pairable
    expected = np.square(total) - np.square(by_category).sum(axis=-1)
    return np.asarray(1 - _ratio((total - 1) * (total - w @ alike), expected))


def _calls(counts: ArrayLike, weights: ArrayLike | None) -> tuple[Array, Array]:
    n = np.asarray(counts, float)
    return n, np.ones(len(n)) if weights is None else np.asarray(weights, float)


def _agreeing(n: Array) -> Array:
    """Of each item's pairs of calls the share that agree; 0 where there is no pair."""
    calls = n.sum(axis=1)
    return np.divide((n * (n - 1)).sum(axis=1), calls * (calls - 1), out=np.zeros_like(calls), where=calls >= 2)


def _category_shares(counts: ArrayLike, weights: ArrayLike | None) -> Array:
    """The mean share of each category within the items that have a call."""
    n, w = _calls(counts, weights)
    calls = n.sum(axis=1, keepdims=True)
    shares = np.divide(n, calls, out=np.zeros_like(n), where=calls > 0)
    return _ratio(w @ shares, (w @ (calls[:, 0] > 0))[..., None])


# ---- intervals -------------------------------------------------------------------------------------------------------


def redrawn_weights(how_many: ArrayLike, redraws: int = REDRAWS) -> Array:
    """What kinds of units weigh in samples redrawn from those at hand: a bootstrap over units.

    Instead of whole units a smooth share of each is drawn, which comes to the same for many units. Redrawing whole ones
    does badly where a fault is rare: of a few write-ups many redrawn tables have none, and a table without disagreement
    never gets one. So the caller adds half a unit (:data:`GHOST`) of each kind that there could be: docs/measures.md
    says how often the intervals hold the truth with and without.

    Parameters
    ----------
    how_many
        How many units there are of each kind; at least a fraction.

    Returns
    -------
    weights
        Redraws x kinds; each row adds up to the sum of ``how_many``.

    References
    ----------
    D. B. Rubin (1981), Annals of Statistics 9, 130-134 (the Bayesian bootstrap); B. Efron and R. Tibshirani (1993), An
    Introduction to the Bootstrap, chapter 8 (units with several rows are redrawn whole).
    """
    kinds = np.asarray(how_many, float)
    drawn = np.random.default_rng(SEED).standard_gamma(kinds, size=(redraws, len(kinds)))
    return np.asarray(drawn * (kinds.sum() / drawn.sum(axis=1, keepdims=True)))


def spread(estimate: ArrayLike, redrawn: ArrayLike, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """The interval that holds the middle of the redrawn figures, and the figure itself; NaN where that is NaN."""
    value = float(np.asarray(estimate))
    if np.isnan(value):
        return np.nan, np.nan
    tail = (1 - confidence) / 2
    low, high = np.quantile(np.asarray(redrawn, float), [tail, 1 - tail])
    return min(float(low), value), max(float(high), value)


# ---- how many more ---------------------------------------------------------------------------------------------------


def kappa_variance(tables: ArrayLike) -> Array:
    """The large-sample variance of Cohen's kappa of one pair; divided by the number of pairs that of the estimate.

    Parameters
    ----------
    tables
        As in :func:`raw_agreement`; only their shares count.

    References
    ----------
    J. L. Fleiss, J. Cohen and B. S. Everitt (1969), Psychological Bulletin 72, 323-327.
    """
    p = _shares(tables)
    rows, columns = p.sum(axis=-1), p.sum(axis=-2)
    agreed, alike = np.trace(p, axis1=-2, axis2=-1), np.diagonal(p, axis1=-2, axis2=-1)
    by_chance = (rows * columns).sum(axis=-1)
    missed = (1 - agreed)[..., None]
    on = alike * np.square((1 - by_chance)[..., None] - (rows + columns) * missed)
    # The diagonal of the weights counts too, and is taken out again: it belongs to the first sum.
    crossed = np.square(columns[..., :, None] + rows[..., None, :])
    off = (p * crossed).sum(axis=(-2, -1)) - (alike * np.square(rows + columns)).sum(axis=-1)
    known = agreed * by_chance - 2 * by_chance + agreed
    return _ratio(on.sum(axis=-1) + np.square(1 - agreed) * off - np.square(known), (1 - by_chance) ** 4)


def pairs_for_kappa(tables: ArrayLike, half_width: float = HALF_WIDTH, confidence: float = CONFIDENCE) -> Array:
    """How many pairs give kappa an interval of this half width, where pairs fall as in the table; NaN without kappa.

    Parameters
    ----------
    tables
        As in :func:`raw_agreement`. A table without disagreement needs no pairs by this formula: add :data:`GHOST` to
        each cell first.

    References
    ----------
    A. B. Cantor (1996), Psychological Methods 1, 150-153.
    """
    return np.asarray(np.ceil(kappa_variance(tables) * np.square(z_value(confidence) / half_width)))


def pairs_for_order(
    differing: ArrayLike, ratio: float = RATIO, power: float = POWER, confidence: float = CONFIDENCE
) -> Array:
    """How many pairs would show with this power that one look alone writes up ``ratio`` times as often as the other.

    n = (z sqrt(d) + z_power sqrt(d - e^2))^2 / e^2, with d the share of pairs that differ and e the difference of its
    two halves. Pairs that agree say nothing here, so that with a small d many are needed.

    Parameters
    ----------
    differing
        The share d, above 0.

    References
    ----------
    R. J. Connor (1987), Biometrics 43, 207-211.
    """
    d = np.asarray(differing, float)
    e = d * (ratio - 1) / (ratio + 1)
    reach = z_value(confidence) * np.sqrt(d) + float(ndtri(power)) * np.sqrt(d - np.square(e))
    return np.ceil(np.square(reach / e))


def _shares(tables: ArrayLike) -> Array:
    t = np.asarray(tables, float)
    return _ratio(t, t.sum(axis=(-2, -1), keepdims=True))


def _ac1(agreed: Array, shares: Array) -> Array:
    by_chance = (shares * (1 - shares)).sum(axis=-1) / (shares.shape[-1] - 1)
    return _beyond(agreed, by_chance)


def _beyond(agreed: Array, by_chance: Array) -> Array:
    """What of the agreement that chance leaves open is reached."""
    # All in one category: chance alone gives full agreement on paper, and all but the last digit in floating point.
    left = np.where(1 - by_chance > 1e-12, 1 - by_chance, 0.0)
    return _ratio(agreed - by_chance, left)


def _ratio(above: ArrayLike, below: ArrayLike) -> Array:
    """A quotient; NaN where the divisor is 0."""
    over, under = np.broadcast_arrays(np.asarray(above, float), np.asarray(below, float))
    return np.divide(over, under, out=np.full(over.shape, np.nan), where=under != 0)
