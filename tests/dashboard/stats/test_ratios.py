"""Profiles of counts that a shift of the own log-odds would lead to, where peers settle everything."""

import numpy as np

from dashboard.stats.ratios import profiles


def test_log_odds_that_run_off_blank_no_sum():
    # Peers wrote up all of the first kind of deck, none of the second, half of the third.
    log_odds, who = np.array([900.0, -900.0, 0.0]), np.zeros(3, np.intp)
    found = profiles(log_odds, who, np.array([4.0, 5.0, 6.0]), np.array([3.0, 0.0, 2.0]), np.ones(1), 1)
    for figures in (found.counts, found.variances, found.log_likelihood):
        assert np.isfinite(figures).all()
    assert abs(found.expected[0] - (4 + 0 + 3)) < 1e-9
