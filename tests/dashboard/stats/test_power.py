"""How many decks a question needs: against a textbook, statsmodels, the intervals themselves, and simulation."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from statsmodels.stats.power import normal_power_het, normal_sample_size_one_tail

from dashboard.stats.intervals import wilson
from dashboard.stats.power import chance_to_show, more, times_the_odds, trials_for_width, trials_to_show

# D. C. Montgomery and G. C. Runger, Applied Statistics and Probability for Engineers, 3rd edition, example 9-11, page 313
# (read): p0 = 0.05, p = 0.03, one-sided 0.05. With n = 200 the chance to miss it is 0.67; for 0.10 it takes n = 832 (with
# 1.645 and 1.28 for the deviates: 831.95; unrounded ones give 832.6).
TEXTBOOK = {"expected": 0.05, "actual": 0.03, "alpha": 0.10}  # the upper half of 0.10 is 0.05


def test_the_textbooks_fraction_defective():
    assert_allclose(1 - chance_to_show(200, **TEXTBOOK), 0.67, atol=0.006)
    assert abs(trials_to_show(**TEXTBOOK, chance=0.9) - 832) <= 1


@pytest.mark.parametrize(("expected", "actual", "alpha"), [(0.08, 0.16, 0.05), (0.3, 0.18, 0.01), (0.5, 0.6, 0.001)])
def test_it_agrees_with_statsmodels(expected, actual, alpha):
    null, own = np.sqrt(expected * (1 - expected)), np.sqrt(actual * (1 - actual))
    size = normal_sample_size_one_tail(actual - expected, 0.8, alpha / 2, std_null=null, std_alternative=own)
    assert trials_to_show(expected, actual, 0.8, alpha) == np.ceil(size)
    power = normal_power_het(
        abs(actual - expected), 120, alpha / 2, std_null=null, std_alternative=own, alternative="larger"
    )
    assert_allclose(chance_to_show(120, expected, actual, alpha), power, rtol=1e-9)


def test_a_doubling_is_flagged_as_often_as_was_told():
    """By simulation, with the score test itself; a count moves in whole steps, and the chance with it."""
    needed = int(trials_to_show(0.1, 0.2))
    written_up = np.random.default_rng(1).binomial(needed, 0.2, 20_000)
    z = (written_up - needed * 0.1) / np.sqrt(needed * 0.1 * 0.9)
    assert_allclose((z > 1.96).mean(), 0.8, atol=0.05)


def test_little_overlap_takes_more_decks():
    assert trials_to_show(0.1, 0.2, information=0.25) > 3.9 * trials_to_show(0.1, 0.2)


@pytest.mark.parametrize("share", [0.0, 0.02, 0.3, 0.5, 0.97])
@pytest.mark.parametrize("half_width", [0.2, 0.05, 0.011])
def test_so_many_trials_and_not_one_fewer_are_narrow_enough(share, half_width):
    needed = int(trials_for_width(share, half_width))
    low, high = wilson(share * np.array([needed - 1, needed]), [needed - 1, needed])
    assert (high - low)[1] / 2 <= half_width < (high - low)[0] / 2


def test_a_width_of_a_hundred_percent_needs_no_trial():
    assert trials_for_width(0.5, 0.5) == 0
    assert list(more([120, 30.2], [100, 40])) == [20, 0]


def test_odds_and_no_difference():
    assert_allclose(times_the_odds([0.1, 0.5], [1.0, 3.0]), [0.1, 0.75])
    assert np.isinf(trials_to_show(0.1, 0.1))
