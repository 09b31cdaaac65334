"""Shares of found defects and of false calls: against a published correction, against statsmodels, by simulation."""

import numpy as np
import pytest
from numpy.testing import assert_allclose
from statsmodels.stats.proportion import proportion_confint

from dashboard.stats.verification import LEAST_LOOKS, ranges_without_assumption, weighted_shares
from tests.bench.accuracy_scenarios import SIMULATIONS, direct, figures_of_a_firm

# Liver scans checked by pathology in 344 of 650 patients: D. E. Drum and J. S. Christacopoulos (1972), Journal of
# Nuclear Medicine 13, 908-915, the example of C. B. Begg and R. A. Greenes (1983), Biometrics 39, 207-215. Scan positive:
# 231 with disease, 32 without; scan negative: 27 and 54 (read in the tests of an R package for measures of classifiers,
# which has them from D. G. Altman and J. M. Bland 1994, BMJ 308, 1552). 650 and 344: read in the documentation of an R
# package for this correction. Of the 306 others 166 were positive; corrected sensitivity 0.836, specificity 0.738: from
# memory.
SCANS = {"totals": [231 + 32 + 166, 27 + 54 + 140], "judged": [231 + 32, 27 + 54], "defects": [231, 27]}


def test_the_published_correction_of_liver_scans():
    found = weighted_shares(**SCANS)
    assert sum(SCANS["totals"]) == 650
    assert sum(SCANS["judged"]) == 344
    assert_allclose([found.finds.estimate, 1 - found.false_calls.estimate], [0.836, 0.738], atol=6e-4)


def test_where_everything_is_judged_the_interval_is_jeffreys():
    found = weighted_shares([50, 450], [50, 450], [40, 10])
    assert_allclose([found.finds.low, found.finds.high], proportion_confint(40, 50, method="jeffreys"), atol=0.006)
    assert_allclose(
        [found.false_calls.low, found.false_calls.high], proportion_confint(10, 450, method="jeffreys"), atol=0.001
    )


def test_the_bounds_are_those_of_every_unjudged_call_right_or_wrong():
    found = weighted_shares(**SCANS)
    # All right: the 166 are ill and the 140 are not; all wrong: the reverse.
    assert_allclose([found.finds.most, found.finds.least], [(231 + 166) / (231 + 166 + 27), 231 / (231 + 27 + 140)])
    assert_allclose(
        [found.false_calls.least, found.false_calls.most], [32 / (32 + 54 + 140), (32 + 166) / (32 + 166 + 54)]
    )


def test_under_30_percent_judged_only_the_bounds_are_told():
    few, enough = weighted_shares([100, 900], [90, 209], [70, 4]), weighted_shares([100, 900], [90, 210], [70, 4])
    assert np.isnan([few.finds.estimate, few.finds.low, few.false_calls.high]).all()
    assert not np.isnan([few.finds.least, few.finds.most, few.false_calls.least, few.false_calls.most]).any()
    assert (bool(few.enough), bool(enough.enough)) == (False, True)


def test_a_class_without_a_judged_call_is_not_guessed():
    assert not weighted_shares([100, 100], [100, 0], [70, 0]).enough


def test_random_looks_stand_for_the_unjudged_once_there_are_enough():
    # 100 of 500 passes judged, 2 of them defects; of 20 looks at the other 400, 4 rule a defect: 2 + 400 x 4/20 missed.
    many = weighted_shares([100, 500], [100, 100], [90, 2], [0, 20], [0, 4])
    assert_allclose(many.finds.estimate, 90 / (90 + 2 + 80))
    assert bool(many.by_looks)
    # Fewer than eight: they join the judged, 2 + 1 of 107 passes.
    assert LEAST_LOOKS == 8
    few = weighted_shares([100, 500], [100, 100], [90, 2], [0, 7], [0, 1])
    assert_allclose(few.finds.estimate, 90 / (90 + 500 * 3 / 107))
    assert not few.by_looks


def test_random_looks_alone_tell_the_shares_where_nothing_could_be_judged():
    assert_allclose(weighted_shares([100, 500], 0, 0, [20, 20], [15, 2]).finds.estimate, 75 / (75 + 50))


def test_without_assumption_unjudged_calls_may_all_be_wrong_or_right():
    (low, high), (false_low, false_high) = ranges_without_assumption(**SCANS)
    found = weighted_shares(**SCANS)
    # The bounds, and chance on top.
    assert_allclose([low, high], [found.finds.least, found.finds.most], atol=0.06)
    assert low < found.finds.least < found.finds.most < high
    assert false_low < found.false_calls.least < found.false_calls.most < false_high
    # Enough looks at both classes leave chance alone; everything judged is the interval itself.
    counts = [429, 221], [263, 81], [231, 27], [20, 20], [17, 6]
    looked = weighted_shares(*counts).finds
    assert_allclose(ranges_without_assumption(*counts)[0], [looked.low, looked.high])
    whole = weighted_shares([50, 450], [50, 450], [40, 10]).finds
    assert_allclose(ranges_without_assumption([50, 450], [50, 450], [40, 10])[0], [whole.low, whole.high])
    assert np.isnan(ranges_without_assumption([0, 0], [0, 0], [0, 0])).all()


def test_ends_are_reached_and_nothing_is_told_of_defects_that_are_not_there():
    none_missed = weighted_shares([10, 90], [10, 90], [8, 0]).finds
    assert (none_missed.estimate, none_missed.high) == (1, 1)
    assert 0.5 < none_missed.low < 1
    no_defect = weighted_shares([10, 90], [10, 90], [0, 0])
    assert np.isnan([no_defect.finds.estimate, no_defect.finds.low, no_defect.finds.least]).all()
    assert_allclose(no_defect.false_calls.estimate, 0.1)
    assert not weighted_shares([0, 0], [0, 0], [0, 0]).enough


def test_a_cell_is_worth_the_same_alone_and_among_others():
    cells = weighted_shares([[60, 40], [20, 300]], [[55, 20], [18, 150]], [[50, 3], [12, 9]])
    alone = weighted_shares([20, 300], [18, 150], [12, 9])
    assert cells.finds.low[1] == alone.finds.low
    assert cells.false_calls.high[1] == alone.false_calls.high


@pytest.mark.parametrize("name", [name for name in SIMULATIONS if name.startswith("direct")])
def test_shares_come_within_3_points_and_intervals_hold(name):
    """A few firms; docs/accuracy.md has two hundred. Judged calls alone would be far off."""
    firms = [figures_of_a_firm(name, (1, seed)) for seed in range(25)]
    for share in ("finds", "false_calls"):
        held, told = (sum(firm[f"{share}_{what}"] for firm in firms) for what in ("held", "told"))
        assert told > 200
        assert abs(np.mean([firm[f"{share}_error"] for firm in firms])) < 0.03
        assert 0.92 <= held / told <= 0.985


def test_without_looks_defects_that_were_measured_more_often_mislead():
    """What the weighting assumes: the simulation must be able to break it."""
    random = np.random.default_rng(1)
    finds = [direct(random, kept_defects=0.5)[0] for _ in range(25)]
    error = np.concatenate([told.estimate - told.truth for told in finds])
    assert np.nanmean(error) < -0.08
