"""How far luck carries a count from what peers would have written up: the funnel, and the band of each inspector.

Both are drawn from rows of :func:`inspectors.inspectors`: the count is taken for a binomial one that has the expected
count and the variance that the decks give it. Neither takes part in a signal.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from dashboard.stats.funnel import INNER, OUTER, ratio_limits, scatter

#: With fewer inspectors than this nothing is said of their scatter.
LEAST_SCATTERED = 5
_POINTS = 120
_SMOOTHED = 1.12  # the drawn limits are the mean of those of expected / 1.12 to expected x 1.12
_LEAST_DRAWN = 2.0  # with less expected, counts are so few that smooth limits say little
_LIKELY = (1e-6, 1 - 1e-6)


@dataclass(frozen=True)
class Funnel:
    """The funnel of a topic.

    Attributes
    ----------
    limits
        Along expected: low, high (95 percent of luck), lowest, highest (99.8 percent), spread_lowest, spread_highest
        (the same, the spread between inspectors added); ratios around 1. Empty where nothing is expected.
    spread, spread_low, spread_high
        Of inspectors around their peers, log-odds, with its interval.
    scatter
        How many times as far as by luck the inspectors without a signal scatter; None where they are too few.
    """

    limits: pd.DataFrame
    spread: float
    spread_low: float
    spread_high: float
    scatter: float | None


_SPREADS = ("spread", "spread_low", "spread_high")
_LIMITS = ("expected", "low", "high", "lowest", "highest", "spread_lowest", "spread_highest")


def funnel(rows: pd.DataFrame) -> Funnel:
    """The funnel of one topic, or of all together.

    Parameters
    ----------
    rows
        Rows of ``inspectors`` of one topic.
    """
    placed = rows[rows["expected"] > 0]
    spread, low, high = (float(rows[name].iloc[0]) if len(rows) else np.nan for name in _SPREADS)
    if placed.empty:
        return Funnel(pd.DataFrame(columns=list(_LIMITS)), spread, low, high, None)
    expected, variance = placed["expected"].to_numpy(float), np.square(placed["expected_sd"].to_numpy(float))
    dispersion = float(placed["dispersion"].iloc[0])
    share = float(np.clip(1 - variance.sum() / expected.sum(), *_LIKELY))
    # To the left of all inspectors too: the shape says that little expected means much luck.
    start = min(expected.min() * 0.8, max(expected.max() / 20, _LEAST_DRAWN))
    along = np.geomspace(start / _SMOOTHED, expected.max() * 1.04 * _SMOOTHED, _POINTS)
    limits = [ratio_limits(along / dispersion, share, confidence) for confidence in (INNER, OUTER)]
    limits.append(ratio_limits(along / dispersion, share, OUTER, spread))
    columns = dict(zip(_LIMITS, _smooth([along, *(side for pair in limits for side in pair)]), strict=True))
    return Funnel(pd.DataFrame(columns), spread, low, high, _scatter(placed))


def _smooth(curves: list[NDArray[np.float64]]) -> list[NDArray[np.float64]]:
    """Curves along a rising first one without the waves that whole counts give them where little is expected.

    The mean over all points that lie within a few percent of the first curve's value.
    """
    apart = np.log(curves[0][1] / curves[0][0])
    points = max(1, 2 * int(np.log(_SMOOTHED) / apart) + 1)
    weights = np.ones(points) / points
    smooth = [np.convolve(curve, weights, mode="valid") for curve in curves[1:]]
    return [curves[0][points // 2 : curves[0].size - points // 2], *smooth]


def _scatter(placed: pd.DataFrame) -> float | None:
    """Their deviates carry the error of the peers' number too."""
    alike = placed[placed["signal"] == "none"]
    if len(alike) < LEAST_SCATTERED:
        return None
    variance = np.square(alike["expected_sd"]) + np.square(alike["expected_error"])
    deviates = (alike["written_up"] - alike["expected"]) / np.sqrt(variance * alike["dispersion"])
    return scatter(deviates.to_numpy(float))


def luck_bands(rows: pd.DataFrame) -> pd.DataFrame:
    """The rows with ``band_low`` and ``band_high``: where luck leaves 95 in 100 counts around expected.

    The band holds the luck of the own decks, and the error of the peers' number; NaN where nothing is expected.
    """
    told = rows["expected"] > 0
    expected = rows["expected"].where(told, 1.0).to_numpy(float)
    variance = np.maximum(np.square(rows["expected_sd"].where(told, 0.5).to_numpy(float)), 1e-9)
    share = np.clip(1 - variance / expected, *_LIKELY)
    dispersion = rows["dispersion"].to_numpy(float)
    error = rows["expected_error"].where(told, 0.0).to_numpy(float) * np.sqrt(dispersion) / variance
    low, high = ratio_limits(expected / dispersion, share, INNER, error)
    return rows.assign(
        band_low=np.where(told, low * expected, np.nan), band_high=np.where(told, high * expected, np.nan)
    )
