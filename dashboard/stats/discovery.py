"""Many comparisons at once: how many of those that stand out do so by luck."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import ndtri

RATE = 0.05


def q_values(p_values: ArrayLike) -> NDArray[np.float64]:
    """Adjusted p-values: flagging all with q <= 0.05 keeps the expected share of false flags at 5 percent.

    Comparisons that were not made (NaN) are left out of the count and stay NaN.

    References
    ----------
    Y. Benjamini and Y. Hochberg (1995), Journal of the Royal Statistical Society B 57, 289-300.
    """
    # scipy.stats takes half a second to load, which every table without a flag can do without.
    from scipy.stats import false_discovery_control

    p = np.asarray(p_values, float)
    q = np.full(p.shape, np.nan)
    made = ~np.isnan(p)
    if made.any():
        q[made] = false_discovery_control(p[made], method="bh")
    return q


def bar(q: ArrayLike) -> float:
    """From how many standard deviations on one more comparison would be flagged, given adjusted p-values.

    Of m comparisons with k flags that is a two-sided p of rate x (k + 1) / m; infinite where nothing was compared.
    """
    made = np.asarray(q, float)[~np.isnan(q)]
    if made.size == 0:
        return np.inf
    share = min((np.count_nonzero(made <= RATE) + 1) / made.size, 1.0)
    return -float(ndtri(RATE * share / 2))
