"""False discovery control against its authors' example and against statsmodels."""

import numpy as np
from numpy.testing import assert_allclose
from scipy.stats import norm
from statsmodels.stats.multitest import multipletests

from dashboard.stats.discovery import bar, q_values

# Y. Benjamini and Y. Hochberg (1995), Journal of the Royal Statistical Society B 57, 289-300, section 4: fifteen
# comparisons; at 5 percent their procedure rejects the first four, Bonferroni's three.
P_VALUES = [
    *(0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344),
    *(0.0459, 0.3240, 0.4262, 0.5719, 0.6528, 0.7590, 1.0000),
]


def test_the_authors_example_rejects_the_first_four():
    q = q_values(P_VALUES)
    assert list(np.flatnonzero(q <= 0.05)) == [0, 1, 2, 3]
    assert_allclose(q[3], 15 * 0.0095 / 4)


def test_it_agrees_with_statsmodels():
    assert_allclose(q_values(P_VALUES), multipletests(P_VALUES, method="fdr_bh")[1], rtol=1e-12)


def test_comparisons_that_were_not_made_are_left_out_of_the_count():
    with_gaps = np.array([[np.nan, *P_VALUES[:7]], [np.nan, *P_VALUES[8:]]])
    q = q_values(with_gaps)
    assert q.shape == with_gaps.shape
    assert np.isnan(q[:, 0]).all()
    assert_allclose(q[:, 1:].ravel(), q_values(P_VALUES[:7] + P_VALUES[8:]))


def test_nothing_compared_flags_nothing():
    assert np.isnan(q_values([np.nan, np.nan])).all()


def test_the_bar_is_where_one_more_comparison_would_be_flagged():
    q = q_values(P_VALUES)  # four of fifteen are flagged: a fifth would have to reach 0.05 x 5 / 15
    assert_allclose(bar(q), norm.isf(0.05 * 5 / 15 / 2))
    assert bar(q_values([np.nan])) == np.inf
