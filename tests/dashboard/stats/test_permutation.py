"""Assignments: against Fisher, scipy, and by turning each interval back into the test that it comes from."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.testing import assert_allclose
from scipy import stats
from statsmodels.regression.linear_model import WLS

from dashboard.stats import permutation
from dashboard.stats.permutation import difference, least_p, mean

RANDOM = np.random.default_rng(3)

# Darwin's maize: crossed less self-fertilized plants of 15 pairs, in eighths of an inch (HistData's ZeaMays, read).
# R. A. Fisher (1935), The Design of Experiments, section 21: of 32,768 ways to turn the signs 863 give as large a sum or
# a larger one (from memory); two-sided twice as many.
MAIZE = [49, -67, 8, 16, 6, 23, 28, 41, 14, 29, 56, 24, 75, 60, -48]


def test_fishers_maize(monkeypatch):
    monkeypatch.setattr(permutation, "MOST", 2**15)
    found = mean(MAIZE)
    assert found.assignments == 2**15
    assert found.p == 2 * 863 / 2**15
    assert found.estimate == pytest.approx(314 / 15)
    # 5.3 percent: 0 is just not refused.
    assert found.low < 0 < found.high


def test_drawn_signs_come_close_to_all_of_them():
    found = mean(MAIZE)
    assert found.assignments == permutation.MOST
    assert_allclose(found.p, 2 * 863 / 2**15, atol=0.01)


@pytest.mark.parametrize("chosen", [2, 3, 6])
def test_it_agrees_with_scipy(chosen):
    values, group = RANDOM.normal(size=12), np.arange(12) < chosen

    def statistic(first, second, axis):
        return np.abs(first.mean(axis) - second.mean(axis))

    oracle = stats.permutation_test(
        (values[group], values[~group]), statistic, vectorized=True, n_resamples=np.inf, alternative="greater"
    )
    assert_allclose(difference(values, group).p, oracle.pvalue, rtol=1e-12)


def test_assignments_are_ordered_by_the_pooled_t_of_the_weighted_means():
    values, weights, group = RANDOM.normal(size=9), RANDOM.uniform(1, 20, 9), np.arange(9) < 3

    def t(chosen):
        return WLS(values, np.column_stack([np.ones(9), chosen]), weights=weights).fit().tvalues[1]

    own = abs(t(group))
    ts = [abs(t(choice)) for choice in permutation._choices(group.astype(float))]
    assert len(ts) == 84
    assert difference(values, group, weights).p == np.mean([other >= own * (1 - 1e-9) for other in ts])


@pytest.mark.parametrize("weights", [None, RANDOM.uniform(1, 20, 10)])
@pytest.mark.parametrize("chosen", [3, 5])
def test_the_interval_holds_the_effects_that_are_not_refused(chosen, weights):
    values, group = RANDOM.normal(size=10), np.arange(10) < chosen
    found = difference(values, group, weights)

    def p(effect):
        return difference(values - effect * group, group, weights).p

    step = 1e-6
    assert p(found.low - step) <= 0.05 < p(found.low + step)
    assert p(found.high + step) <= 0.05 < p(found.high - step)
    # And nowhere in between is one refused.
    assert min(p(effect) for effect in np.linspace(found.low + step, found.high - step, 25)) > 0.05


def test_signs_too_are_turned_back_into_their_test():
    values, weights = RANDOM.normal(0.3, 1, 9), RANDOM.uniform(1, 20, 9)
    found = mean(values, weights)
    assert mean(values - found.low + 1e-6, weights).p <= 0.05 < mean(values - found.low - 1e-6, weights).p
    assert found.estimate == pytest.approx(np.average(values, weights=weights))


def test_so_few_people_that_nothing_can_be_refused_have_no_interval():
    found = difference([9.0, 8.0, 9.5, 0.0, 0.5, 1.0], np.arange(6) < 3)
    assert found.p == least_p(np.arange(6) < 3) == 0.1
    assert (found.low, found.high) == (-np.inf, np.inf)
    assert least_p(np.arange(12) < 2) == 1 / 66
    assert least_p(5) == 1 / 16
    assert np.isnan(difference([1.0, 2.0], [True, True]).p)


def test_more_assignments_than_can_be_looked_at_are_drawn_the_same_every_time():
    values, group = RANDOM.normal(size=24) + 2 * (np.arange(24) < 12), np.arange(24) < 12
    first, second = difference(values, group), difference(values, group)
    assert first == second
    assert first.assignments == permutation.MOST
    assert first.p < 0.01
    pooled = stats.ttest_ind(values[group], values[~group]).confidence_interval()
    assert_allclose([first.low, first.high], [pooled.low, pooled.high], atol=0.15)


@pytest.mark.parametrize(("chosen", "refused"), [(2, 3 / 66), (3, 11 / 220), (6, 46 / 924)])
def test_where_nothing_differs_as_many_are_refused_as_was_agreed(chosen, refused):
    """Every assignment of the same values in turn: the share that is refused is known exactly."""
    values, group = RANDOM.normal(size=12), np.arange(12) < chosen
    far = np.abs([values[choice > 0].mean() - values.mean() for choice in permutation._choices(group.astype(float))])
    p = [(far >= each - 1e-12).mean() for each in far]
    assert difference(values, group).p == pytest.approx(p[0])
    assert np.mean(np.array(p) <= 0.05) == pytest.approx(refused)
