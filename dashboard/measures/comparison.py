"""A group against all others together, the others brought to the group's mix of deck ages.

An old deck has more defects whoever built it. The share expected of a group is therefore that of the others at the
group's own ages: direct standardization, with the group as the standard.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dashboard.measures.strata import Array, Counts, Strata, weighted_share
from dashboard.stats import intervals


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

    All shares of both sides stand in one weighted sum of independent shares: the group's by call class, the others' by
    call class, and by deck age where adjusted.
    """
    group, others = counts.by_class(), counts.others()
    pooled = others.each(lambda by_age: by_age.sum(axis=2))
    weights = _brought_to_mix(others, pooled, counts.age_mix()) if adjusted else pooled.weights
    side = others.each(_flat) if adjusted else pooled
    terms = (
        np.concatenate([group.weights, -weights], axis=-1),
        np.concatenate([group.defects, side.defects], axis=-1),
        np.concatenate([group.judged, side.judged], axis=-1),
    )
    expected, _low, _high = intervals.combination(weights, side.defects, side.judged)
    _difference, low, high = intervals.combination(*terms)
    comparable = ~np.isnan(weighted_share(pooled)[0])
    figures = (expected, low, high, intervals.p_value(*terms))
    return Comparison(*(np.where(comparable, figure, np.nan) for figure in figures))


def _flat(by_age: Array) -> Array:
    """Deck ages x call classes as one axis."""
    return by_age.reshape(*by_age.shape[:2], by_age.shape[2] * by_age.shape[3])


def _brought_to_mix(others: Strata, pooled: Strata, age_mix: Array) -> Array:
    """What each share of the others, by deck age and call class, weighs once their ages are mixed as the group's are.

    Where the others have no judged trial of a class in a band, their share of that class over all bands stands in.
    That share is itself the mean of the bands' shares by judged trials, so its weight is dealt out to them in that
    proportion: every share then stands in the sum once, and the shares stay independent.
    """
    in_band = others.trials.sum(axis=3, keepdims=True)
    # A band in which the others have no trials takes their mix of calls over all bands.
    classes = np.where(in_band > 0, others.trials / np.maximum(in_band, 1), pooled.weights[:, :, None, :])
    wanted = age_mix[..., None] * classes
    own = np.where(others.judged > 0, wanted, 0.0)
    borrowed = (wanted - own).sum(axis=2, keepdims=True)
    return _flat(own + borrowed * others.judged / np.maximum(pooled.judged, 1)[:, :, None, :])
