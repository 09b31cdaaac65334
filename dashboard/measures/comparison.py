"""A group against all others together, the others brought to the group's mix of deck ages.

An old deck has more defects whoever built it. The share expected of a group is therefore that of the others at the
group's own ages: direct standardization, with the group as the standard.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dashboard.measures.strata import Array, Counts, Strata, Sum, rate_difference, share_of_trials, weighted_share


@dataclass(frozen=True)
class Comparison:
    """Each group against all others: their share, the difference with its interval, and the p of no difference.

    NaN where too little of the others, or of the group, is judged.
    """

    expected: Array
    low: Array
    high: Array
    p: Array


def compare(counts: Counts, adjusted: bool) -> Comparison:
    """Each group against all others together; ``adjusted`` brings the others to the group's mix of deck ages.

    All shares of both sides stand in one weighted sum of independent shares (:class:`strata.Sum`).
    """
    group, others = counts.by_class(), counts.others()
    pooled = others.each(lambda by_age: by_age.sum(axis=2))
    expected = _brought_to_mix(others, pooled, counts.age_mix()) if adjusted else share_of_trials(pooled)
    difference = share_of_trials(group).less(expected)
    share, _low, _high = expected.interval()
    _difference, low, high = difference.interval()
    comparable = ~np.isnan(weighted_share(pooled)[0])
    return Comparison(*(np.where(comparable, figure, np.nan) for figure in (share, low, high, difference.p_value())))


def _brought_to_mix(others: Strata, pooled: Strata, age_mix: Array) -> Sum:
    """The others' share of defects once their ages are mixed as the group's are.

    Where the others have no judged trial of a class in a band, their share of that class over all bands stands in, and
    where they have no trial at all, their mix of calls over all bands. Such a share over all bands is itself the mean
    of the bands' shares by trials, so its weight is dealt out to them in that proportion: every share then stands in
    the sum once, and the shares stay independent.
    """
    in_band, in_all = others.total_trials, np.maximum(pooled.total_trials, 1)[..., None]
    seen = in_band > 0
    classes = np.where(seen[..., None], others.weights, pooled.weights[:, :, None, :])
    wanted = age_mix[..., None] * classes
    own = np.where(others.judged > 0, wanted, 0.0)
    lent = (wanted - own).sum(axis=2, keepdims=True) * others.judged / np.maximum(pooled.judged, 1)[:, :, None, :]

    rates_differ = np.where(
        np.isnan(rate_difference(others)), np.nan_to_num(rate_difference(pooled))[..., None], rate_difference(others)
    )
    slope = age_mix * rates_differ
    own_slope = np.where(seen, slope, 0.0)
    slopes = own_slope + (slope - own_slope).sum(axis=2, keepdims=True) * in_band / in_all
    return Sum(
        np.concatenate([_flat(own + lent), slopes], axis=-1),
        np.concatenate([_flat(others.defects), others.trials[..., 0]], axis=-1),
        np.concatenate([_flat(others.judged), in_band], axis=-1),
        -(slopes * others.weights[..., 0]).sum(axis=-1),
    )


def _flat(by_age: Array) -> Array:
    """Deck ages x call classes as one axis."""
    return by_age.reshape(*by_age.shape[:2], by_age.shape[2] * by_age.shape[3])
