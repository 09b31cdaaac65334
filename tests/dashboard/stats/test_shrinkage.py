"""The beta-binomial fit against published estimates; its limits as properties.

Data and estimates: tumors in 70 historical groups of rats and a new group of 4 in 14, R. E. Tarone (1982), Biometrics
38, 215-220; A. Gelman et al. (2013), Bayesian Data Analysis, 3rd edition, Table 5.1. Maximum likelihood estimate
2.304768, 14.079707: vignette of the R package BayesGOF. Nothing outside is known for the intervals.
"""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy.stats import beta, betabinom

from dashboard.stats.shrinkage import Prior, fit, posterior

RATS = """
0/20 0/20 0/20 0/20 0/20 0/20 0/20 0/19 0/19 0/19 0/19 0/18 0/18 0/17 1/20 1/20 1/20 1/20 1/19 1/19 1/18 1/18
2/25 2/24 2/23 2/20 2/20 2/20 2/20 2/20 2/20 1/10 5/49 2/19 5/46 3/27 2/17 7/49 7/47 3/20 3/20 2/13 9/48 10/50
4/20 4/20 4/20 4/20 4/20 4/20 4/20 10/48 4/19 4/19 4/19 5/22 11/46 12/49 5/20 5/20 6/23 5/19 6/22 6/20 6/20 6/20
16/52 15/47 15/46 9/24
"""
TUMORS, GROUP_SIZES = np.array([[int(part) for part in group.split("/")] for group in RATS.split()]).T


def test_the_rat_groups_give_the_published_estimate():
    prior = fit(TUMORS, GROUP_SIZES)
    assert prior.spread
    assert_allclose(prior.mean * prior.precision, 2.304768, atol=6e-4)
    assert_allclose((1 - prior.mean) * prior.precision, 14.079707, atol=6e-4)


def test_a_new_group_of_4_in_14_is_drawn_toward_the_historical_ones():
    mean, low, high = posterior([4], [14], fit(TUMORS, GROUP_SIZES))
    assert_allclose(mean, 0.2075, atol=5e-5)  # (4 + 2.3048) / (14 + 16.3845)
    assert_allclose((low[0], high[0]), beta.ppf([0.025, 0.975], 4 + 2.304768, 10 + 14.079707), atol=1e-4)


def test_a_given_mean_leaves_the_precision_to_be_fitted():
    free = fit(TUMORS, GROUP_SIZES)
    assert_allclose(fit(TUMORS, GROUP_SIZES, mean=free.mean).precision, free.precision, rtol=1e-5)


def test_the_fitted_precision_is_the_likeliest_one():
    prior = fit(TUMORS, GROUP_SIZES, mean=0.2)

    def log_likelihood(precision):
        return betabinom.logpmf(TUMORS, GROUP_SIZES, 0.2 * precision, 0.8 * precision).sum()

    assert log_likelihood(prior.precision) > log_likelihood(prior.precision * 1.01)
    assert log_likelihood(prior.precision) > log_likelihood(prior.precision * 0.99)


def test_several_fits_at_once_are_those_of_each_alone():
    groups = np.array([[1, 5, 9, 2], [3, 3, 3, 3]])
    together = fit(groups, 20, mean=[0.2, 0.15])
    alone = [fit(row, 20, mean=mean) for row, mean in zip(groups, [0.2, 0.15], strict=True)]
    assert_allclose(together.precision, [float(prior.precision) for prior in alone])


def test_groups_that_are_all_alike_show_no_spread_and_are_known_as_well_as_the_whole():
    prior = fit([3, 3, 3, 3], [20, 20, 20, 20], mean=0.15)
    assert not prior.spread
    assert_allclose(prior.precision, 80)


def test_one_group_or_groups_of_one_trial_show_no_spread():
    assert not fit([0], [5], mean=0.3).spread
    assert not fit([0, 1, 0, 1], [1, 1, 1, 1], mean=0.5).spread


def test_counts_may_be_real_valued_and_empty_groups_change_nothing():
    whole = fit([1, 5, 9], [20, 20, 20], mean=0.25)
    assert_allclose(fit([1, 5, 9, 0, np.nan], [20, 20, 20, 0, np.nan], mean=0.25).precision, whole.precision)
    between = fit([1.5, 5.5, 9.5], [20.5, 20.5, 20.5], mean=0.25)
    assert between.spread
    assert between.precision != whole.precision


def test_a_group_without_trials_gets_the_common_mean():
    mean, _low, _high = posterior([0, 2], [0, 10], Prior(np.array(0.3), np.array(10.0), np.array(True)))
    assert_allclose(mean, [0.3, (2 + 3) / 20])


def test_a_share_of_nothing_is_kept_off_0_and_keeps_an_interval():
    prior = fit([0, 0, 0], [30, 30, 30], mean=0.0)
    assert 0 < prior.mean < 0.01
    _mean, _low, high = posterior([0], [30], prior)
    assert 0 < high[0] < 0.05


def test_without_a_mean_or_trials_nothing_is_known():
    prior = fit([[1, 2], [0, 0]], [[10, 10], [0, 0]], mean=[np.nan, 0.5])
    assert np.isnan(prior.precision).all()
    assert not prior.spread.any()


def test_the_mean_of_several_sets_of_groups_must_be_given():
    with pytest.raises(ValueError, match="one set of groups"):
        fit([[1, 2], [3, 4]], 10)
