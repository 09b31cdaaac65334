"""Attribute agreement against a published data set, statsmodels and scipy, and by what the words promise."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.testing import assert_allclose
from scipy.stats import binom
from statsmodels.stats.proportion import proportion_confint

from dashboard.stats.attribute import (
    CANNOT_TELL,
    FALSE_ALARMS,
    INEFFECTIVE,
    MISSES,
    attributes,
    exact,
    mark,
    trials_to_decide,
)

# 15 parts, three people, three calls each: the attribute data set of the quality control module of JASP, with the
# results that its own tests expect (tests/testthat/test-msaAttribute.R of jaspQualityControl, read). "Yes" is a good
# part. Parts 2, 6, 8, 9, 11 are bad. Each text has a person's calls on one part a word.
BAD_PARTS = {2, 6, 8, 9, 11}
CALLS = {
    "EG": "yyy nnn yyy ynn yyy yyy yyy nnn nnn yyy nnn yyy yyy nnn yyy",
    "BL": "yyy nnn yyy ynn yyy yyy nnn nnn nnn yyy nnn yyy yyy nnn yyy",
    "MH": "yyy yyy yyy yyy yyy yyy yyy nny ynn yyy yny yyy yyy nnn yyy",
}
# Effectiveness, misses, false alarms, in percent.
EXPECTED = {"EG": (80, 20, 16.67), "BL": (73.33, 20, 26.67), "MH": (60, 66.67, 10)}


@pytest.mark.parametrize("who", CALLS)
def test_the_published_rates(who):
    bad = np.array([part in BAD_PARTS for part in range(1, 16)])
    good_call = np.array([[call == "y" for call in part] for part in CALLS[who].split()])
    found = attributes(bad, good_call == bad[:, np.newaxis])
    told = (found.right / found.items, found.missed / found.defects, found.false_alarms / found.sound)
    assert_allclose(100 * np.array(told), EXPECTED[who], atol=0.006)
    assert (found.items, found.defects, found.sound) == (15, 15, 30)


def test_the_published_interval_and_that_of_statsmodels():
    # Nine of 15 parts, same source: 32.287 to 83.664 percent.
    assert_allclose(100 * np.array(exact(9, 15)), (32.287, 83.664), atol=0.0006)
    for right, items in ((0, 12), (1, 12), (7, 30), (12, 12)):
        assert_allclose(exact(right, items), proportion_confint(right, items, method="beta"), atol=1e-12)
    assert np.isnan(exact(0, 0)).all()


def test_no_miss_at_all_takes_183_defects_to_be_acceptable():
    """(1 - 0.02)^n falls below 2.5 percent at n = 183; scipy counts the same."""
    assert binom.pmf(0, 182, 0.02) > 0.025 > binom.pmf(0, 183, 0.02)
    assert trials_to_decide(0, 12, MISSES) == 183
    assert list(mark(0, [12, 182, 183], MISSES)) == [CANNOT_TELL, CANNOT_TELL, "acceptable"]


def test_marks_fall_on_either_side_of_the_bounds_only_where_the_interval_does():
    assert list(mark([5, 60, 9, 0], [1000, 2000, 12, 0], MISSES)) == [
        "acceptable", "marginal", "not_acceptable", CANNOT_TELL
    ]  # fmt: skip
    assert mark(150, 1000, INEFFECTIVE) == "marginal"
    assert mark(80, 1000, FALSE_ALARMS) == "marginal"
    assert np.isnan(trials_to_decide(0, 0, MISSES))
    assert np.isinf(trials_to_decide(1, 20, FALSE_ALARMS))  # just at the bound


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 60).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_so_many_trials_decide_and_one_fewer_does_not(count):
    wrong, trials = count
    for bounds in (MISSES, INEFFECTIVE):
        needed = trials_to_decide(wrong, trials, bounds)
        if np.isfinite(needed) and needed > 1:
            around = np.array([needed - 1, needed])
            assert list(mark(wrong / trials * around, around, bounds) != CANNOT_TELL) == [False, True]
        if mark(wrong, trials, bounds) != CANNOT_TELL:
            assert needed <= trials


def test_the_marks_seldom_call_acceptable_what_is_not():
    """By scipy's distribution: at a miss rate a hair above 2 percent, at most 2.5 in 100 are told acceptable."""
    counts = np.arange(401)
    told = mark(counts, 400, MISSES) == "acceptable"
    assert told.any()
    assert binom.pmf(counts, 400, 0.0201)[told].sum() <= 0.025
