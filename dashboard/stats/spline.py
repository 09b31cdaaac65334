"""A smooth curve over a measured quantity, straight beyond its outer knots."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

#: Where the knots of four stand among the values, as shares: F. E. Harrell, Regression Modeling Strategies, table 2.3
#: (from memory).
KNOT_SHARES = (0.05, 0.35, 0.65, 0.95)


def knots(values: ArrayLike) -> Array:
    """Knots for the values: four, or as many as differ; fewer than three mean that a straight line is all there is."""
    known = np.asarray(values, float)
    known = known[~np.isnan(known)]
    return np.unique(np.quantile(known, KNOT_SHARES)) if known.size else np.empty(0)


def natural_cubic(values: ArrayLike, at: ArrayLike) -> Array:
    """The columns of a restricted (natural) cubic spline: the values themselves, then one column for each inner knot.

    Any sum of the columns is cubic between knots, has two continuous derivatives, and is straight outside the outer
    knots, where there are few values to bend it.

    Parameters
    ----------
    values
        n numbers.
    at
        m knots, rising. Fewer than three give the straight line alone.

    Returns
    -------
    columns
        n x (m - 1), or n x 1. The cubic ones are divided by the square of the distance of the outer knots, so that all
        columns have the unit of the values.

    References
    ----------
    C. J. Stone and C.-Y. Koo (1985), Proceedings of the Statistical Computing Section, American Statistical
    Association, 45-48.
    """
    value, knot = np.asarray(values, float), np.asarray(at, float)
    if knot.size < 3:
        return value[:, None]
    last, before = knot[-1], knot[-2]

    def cube(of: float) -> Array:
        return np.maximum(value - of, 0.0) ** 3

    def bent(inner: float) -> Array:
        toward_last = (cube(before) * (last - inner) - cube(last) * (before - inner)) / (last - before)
        return (cube(inner) - toward_last) / (last - knot[0]) ** 2

    return np.column_stack([value, *(bent(inner) for inner in knot[:-2])])
