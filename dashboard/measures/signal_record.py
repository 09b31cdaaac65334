"""When a difference first showed, and whether it was still there afterwards.

Whoever looks every month sees more false signals than one look allows. The record goes back month by month: what would
have been flagged by the end of each, and whether the reports that came later, by themselves, point the same way.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, ndtr

from dashboard.measures.signals import WRITE_UPS, Array, Family
from dashboard.stats import discovery

Codes = NDArray[np.intp]

HELD_BELOW = 0.05  # one-sided p of the later reports alone
LEAST_LATER = 1.0  # write-ups expected later, for the later reports to say anything


@dataclass(frozen=True)
class Dated:
    """A topic's trials: the visit, the counted cell, the month (from 0) and the write-up of each."""

    visit: Codes
    cell: Codes
    month: Codes
    written_up: NDArray[np.bool_]


@dataclass(frozen=True)
class Record:
    """Topics x inspectors, in the order of the family.

    Attributes
    ----------
    first
        The month at whose end the pair was first flagged; -1 where it never was.
    held
        1 where the later reports point the same way, 0 where they do not; NaN where the pair was never flagged, or too
        little came later.
    """

    first: Codes
    held: Array


def signal_record(family: Family, dated: Mapping[str, Dated], n_months: int) -> Record:
    """When each pair was first flagged, and whether that held.

    The expected share of each trial is that of the model of today; each month's flags are those of the false discovery
    control over the pairs that had enough by then.
    """
    sums = np.stack([_by_month(family, topic, of, n_months) for topic, of in dated.items()])
    up_to = np.cumsum(sums, axis=-1)
    left = np.stack([of.left for of in family.topics.values()])
    by_then = np.moveaxis(up_to, -1, 0)
    flagged = np.stack([_flagged(family, month, left) for month in by_then], axis=-1)
    ever = flagged.any(axis=-1)
    first = np.where(ever, flagged.argmax(axis=-1), -1)
    at_first = np.take_along_axis(up_to, np.maximum(first, 0)[:, None, :, None], axis=-1)[..., 0]
    later = up_to[..., -1] - at_first
    way = np.sign(at_first[:, 0])
    agrees = ndtr(-way * _z(later, left)) < HELD_BELOW
    known = ever & (later[:, 3] >= LEAST_LATER)
    return Record(first, np.where(known, agrees, np.nan))


def _by_month(family: Family, topic: str, dated: Dated, n_months: int) -> Array:
    """(score, variance, third moment, expected, trials) x inspector x month."""
    tested = family.topics[topic]
    share = expit(tested.log_odds())[dated.cell]
    place = tested.cells.inspector[dated.cell] * n_months + dated.month
    size = tested.cells.n_inspectors * n_months
    variance = share * (1 - share)
    parts = (dated.written_up - share, variance, variance * (1 - 2 * share), share, np.ones_like(share))
    return np.stack([np.bincount(place, part, size).reshape(-1, n_months) for part in parts])


def _z(sums: Array, left: Array) -> Array:
    """Scores in standard deviations, corrected for skewness; ``left`` is the share of the variance not estimated away.

    References
    ----------
    P. Hall (1992), The Bootstrap and Edgeworth Expansion, Springer, section 2.4 (from memory).
    """
    score, variance, third = sums[:, 0], sums[:, 1] * left, sums[:, 2]
    with np.errstate(invalid="ignore", divide="ignore"):
        z = score / np.sqrt(variance)
        skewness = third / (sums[:, 1] ** 1.5)
        return np.nan_to_num(z - skewness * (np.square(z) - 1) / 6)


def _flagged(family: Family, sums: Array, left: Array) -> NDArray[np.bool_]:
    trials, expected = sums[:, 4], sums[:, 3]
    enough = (trials >= WRITE_UPS.trials) & (np.minimum(expected, trials - expected) >= WRITE_UPS.expected)
    p = np.where(family.compared & enough, 2 * ndtr(-np.abs(_z(sums, left))), np.nan)
    return np.nan_to_num(discovery.q_values(p), nan=1.0) <= discovery.RATE
