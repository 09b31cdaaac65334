"""Standard errors of a regression whose errors go together within clusters, for few clusters.

The plain sandwich of clusters is too small where there are few of them. Here each cluster's residuals are stretched so
that the variance is right where the errors are independent and alike (CR2), and the t distribution has the degrees of
freedom at which the variance itself would scatter as much (Satterthwaite).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from dashboard.stats.intervals import CONFIDENCE

Array = NDArray[np.float64]

_NOTHING = 1e-10  # of an eigenvalue: a direction in which the terms leave no residual


@dataclass(frozen=True)
class Robust:
    """A sum of terms with its standard error; ``df`` is NaN where the errors cannot be known."""

    estimate: float
    standard_error: float
    df: float

    def interval(self, confidence: float = CONFIDENCE) -> tuple[float, float]:
        """The t interval; infinite where the degrees of freedom are not known."""
        if not self.df > 0:
            return -np.inf, np.inf
        reach = float(stdtrit(self.df, 0.5 + confidence / 2)) * self.standard_error
        return self.estimate - reach, self.estimate + reach


def regression(
    terms: Array,
    outcome: Array,
    cluster: NDArray,
    contrast: Array,
    weights: Array | None = None,
    stretched: bool = True,
) -> Robust:
    """A sum of the terms of a least-squares fit.

    Parameters
    ----------
    terms, outcome, cluster
        Rows x k, and over rows.
    contrast
        Over terms: what is asked for.
    weights
        In proportion to the inverse of each row's variance; equal where None. The working model of CR2 has these
        variances.
    stretched
        CR2; else the plain sandwich (CR0), with as many degrees of freedom as clusters less one.

    Returns
    -------
    Robust

    References
    ----------
    R. M. Bell and D. F. McCaffrey (2002), Survey Methodology 28, 169-181; J. E. Pustejovsky and E. Tipton (2018),
    Journal of Business & Economic Statistics 36, 672-683 (where terms take up whole clusters).
    """
    root = np.ones(len(outcome)) if weights is None else np.sqrt(weights)
    rows, found = terms * root[:, None], outcome * root
    bread = np.asarray(np.linalg.pinv(rows.T @ rows), float)
    fitted = bread @ (rows.T @ found)
    residual, asked = found - rows @ fitted, bread @ contrast
    loads: list[Array] = []
    scores, squares = [], []
    for own in _members(cluster):
        part = rows[own]
        load = part @ asked
        if stretched:
            load = _stretch(np.eye(len(part)) - part @ bread @ part.T) @ load
        loads.append(part.T @ load)
        scores.append(float(load @ residual[own]))
        squares.append(float(load @ load))
    error = float(np.sqrt(np.square(scores).sum()))
    df = _satterthwaite(np.array(loads), np.array(squares), bread) if stretched else len(scores) - 1.0
    return Robust(float(contrast @ fitted), error, df)


def _members(cluster: NDArray) -> list[NDArray[np.intp]]:
    """The rows of each cluster."""
    _, code = np.unique(cluster, return_inverse=True)
    order = np.argsort(code, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(code[order])) + 1)


def _stretch(left: Array) -> Array:
    """The symmetric inverse root of what the fit leaves of a cluster's errors; 0 where it leaves nothing."""
    values, vectors = np.linalg.eigh(left)
    kept = values > _NOTHING
    return (vectors[:, kept] / np.sqrt(values[kept])) @ vectors[:, kept].T


def _satterthwaite(loads: Array, squares: Array, bread: Array) -> float:
    """Of the sum of squared scores under independent errors: (trace)^2 / sum of squares of their covariance."""
    together = np.diag(squares) - loads @ bread @ loads.T
    scatter = float(np.square(together).sum())
    return float(np.trace(together)) ** 2 / scatter if scatter > 0 else np.nan
