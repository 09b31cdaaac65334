"""Latent classes: the authors' example, another library, a closed form, simulated raters, and what they cannot see."""

import numpy as np
import pytest
from numpy.testing import assert_allclose

from dashboard.stats.latent_class import UNKNOWN, fit, interval, sample
from dashboard.stats.verification import weighted_shares
from tests.bench.accuracy_scenarios import SIMULATIONS, figures_of_a_firm, make_firm

# A. P. Dawid and A. M. Skene (1979), Applied Statistics 28, 20-28, Table 1: 45 patients, grades 1 to 4 by five
# anaesthetists, the first of whom graded each patient three times. Read in a public implementation that carries the table
# (the copy in a package of rating models differs in patient 7, the first anaesthetist: 1, 1, 2 for 1, 2, 2).
GRADES = """
111 1 1 1 1|333 4 3 3 4|112 2 1 2 2|222 3 1 2 1|222 3 2 2 2|222 3 3 2 2|122 2 1 1 1|333 3 4 3 3|222 2 2 2 3
232 2 2 2 3|444 4 4 4 4|222 3 3 4 3|111 1 1 1 1|222 3 2 1 2|121 1 1 1 1|111 2 1 1 1|111 1 1 1 1|111 1 1 1 1
222 2 2 2 1|222 1 3 2 2|222 2 2 2 2|222 2 2 2 1|222 3 2 2 2|221 2 2 2 2|111 1 1 1 1|111 1 1 1 1|232 2 2 2 2
111 1 1 1 1|111 1 1 1 1|112 1 1 2 1|111 1 1 1 1|333 3 2 3 3|111 1 1 1 1|222 2 2 2 2|222 3 2 3 2|433 4 3 4 3
221 2 2 3 2|232 3 2 3 3|333 3 4 3 2|111 1 1 1 1|111 1 1 1 1|121 2 1 1 1|232 2 2 2 2|121 1 1 1 1|222 2 2 2 2
"""
PATIENTS = [patient for line in GRADES.split("\n") for patient in line.split("|") if patient]
CALLS = np.array(
    [
        (patient, rater, int(grade) - 1)
        for patient, grades in enumerate(PATIENTS)
        for rater, given in enumerate(grades.split())
        for grade in given
    ]
)
# Tables 2 to 4 of the paper, from memory: the share of patients in each class, and the first anaesthetist's grades.
PUBLISHED_PREVALENCE = [0.40, 0.42, 0.11, 0.07]
PUBLISHED_FIRST = [[0.89, 0.11, 0, 0], [0.07, 0.88, 0.05, 0], [0, 0.34, 0.66, 0], [0, 0, 0.56, 0.44]]
# crowd-kit 1.4.2, DawidSkene(n_iter=1000, tol=1e-10) on the same table: priors_ and, of errors_, the diagonal of workers
# 3 and 4 (run for this test).
OTHER_PREVALENCE = [0.399732, 0.422382, 0.111219, 0.066667]
OTHER_DIAGONALS = {2: [1.0, 0.7878, 0.1956, 0.3333], 3: [0.9441, 0.8415, 0.8044, 0.6667]}


def test_the_anaesthetists_as_published():
    """From the shares of the votes, as the authors start."""
    assert len(PATIENTS) == 45
    found = fit(*CALLS.T, classes=4, starts=1)
    assert_allclose(found.prevalence, PUBLISHED_PREVALENCE, atol=0.006)
    assert_allclose(found.confusion[0], PUBLISHED_FIRST, atol=0.006)
    assert_allclose(found.confusion.sum(axis=2), 1)


def test_the_anaesthetists_agree_with_another_library():
    found = fit(*CALLS.T, classes=4, starts=1)
    assert_allclose(found.prevalence, OTHER_PREVALENCE, atol=0.001)
    for rater, diagonal in OTHER_DIAGONALS.items():
        assert_allclose(np.diag(found.confusion[rater]), diagonal, atol=0.005)


def test_more_starts_never_end_lower():
    # The published solution is not the highest maximum of these data: another start ends above it.
    assert fit(*CALLS.T, classes=4).log_likelihood > fit(*CALLS.T, classes=4, starts=1).log_likelihood + 1


# The liver scans of test_verification.py: one rater, and the truth known of 344 items, more often of those called.
SCAN_CALLED = np.repeat([1, 1, 1, 0, 0, 0], [231, 32, 166, 27, 54, 140])
SCAN_TRUTH = np.repeat([1, 0, UNKNOWN, 1, 0, UNKNOWN], [231, 32, 166, 27, 54, 140])


def test_with_known_truths_it_is_the_correction_of_begg_and_greenes():
    """The likelihood of one rater's calls has a closed form: X.-H. Zhou (1993), Communications in Statistics 22, 3177."""
    scans = len(SCAN_CALLED)
    found = fit(np.arange(scans), np.zeros(scans), SCAN_CALLED, 2, SCAN_TRUTH).confusion[0]
    closed = weighted_shares([429, 221], [263, 81], [231, 27])
    assert_allclose([found[1, 1], found[0, 1]], [closed.finds.estimate, closed.false_calls.estimate], atol=1e-5)


def test_draws_of_one_rater_lie_as_the_closed_form():
    scans = len(SCAN_CALLED)
    draws = sample(np.arange(scans), np.zeros(scans), SCAN_CALLED, SCAN_TRUTH)
    closed = weighted_shares([429, 221], [263, 81], [231, 27])
    for shares, share in ((draws.finds, closed.finds), (draws.false_calls, closed.false_calls)):
        mean, low, high = interval(shares[:, 0])
        assert_allclose([mean, low, high], [share.estimate, share.low, share.high], atol=0.015)
    assert draws.chains_agree


def test_smoothing_keeps_a_share_from_being_nothing():
    assert fit(*CALLS.T, classes=4, starts=1).confusion.min() == 0
    assert fit(*CALLS.T, classes=4, starts=1, smoothing=0.1).confusion.min() > 0


SHARES = ("finds", "false_calls")


@pytest.mark.parametrize("name", [name for name in SIMULATIONS if name.startswith("latent")])
def test_intervals_hold_what_inspectors_were_made_with(name):
    """A few firms; docs/accuracy.md has two hundred."""
    firms = [figures_of_a_firm(name, (1, seed)) for seed in range(3)]
    held, told = (sum(firm[f"{share}_{what}"] for firm in firms for share in SHARES) for what in ("held", "told"))
    assert 0.87 <= held / told <= 1
    assert max(abs(np.mean([firm[f"{share}_error"] for firm in firms])) for share in SHARES) < 0.08


def calls_of(firm, truth):
    looks = firm.inspector.shape[1]
    deck = np.repeat(np.arange(len(firm.defect)), looks)
    return deck, firm.inspector.ravel(), firm.called.ravel(), truth


def test_groups_of_decks_have_their_own_share_of_defects():
    random = np.random.default_rng(4)
    group = np.repeat([0, 1], 600)
    defect = random.random(1200) < np.where(group == 0, 0.05, 0.4)
    called = random.random(1200) < np.where(defect, 0.8, 0.1)
    truth = np.where(random.random(1200) < 0.4, defect, UNKNOWN)
    draws = sample(np.arange(1200), np.zeros(1200), called, truth, group)
    mean, low, high = interval(draws.prevalence)
    assert (low <= [defect[:600].mean(), defect[600:].mean()]).all()
    assert (high >= [defect[:600].mean(), defect[600:].mean()]).all()
    assert mean[1] > mean[0] + 0.2


def test_a_rater_without_a_call_is_known_as_little_as_a_new_colleague():
    firm = make_firm(np.random.default_rng(6), decks=1200)
    draws = sample(*calls_of(firm, firm.defect.astype(int)), raters=13)
    _mean, low, high = interval(draws.finds)
    assert high[12] - low[12] > 1.3 * np.mean(high[:12] - low[:12])


def test_the_same_calls_give_the_same_draws():
    firm = make_firm(np.random.default_rng(8), decks=300)
    first, second = (sample(*calls_of(firm, firm.defect.astype(int))) for _ in range(2))
    assert_allclose(first.finds, second.finds, rtol=0)
    assert first.chains_agree


def test_a_wrong_rule_that_all_share_passes_for_right_without_known_truths():
    """A quarter of the sound decks looks like a defect to everybody: agreement is not correctness."""
    random = np.random.default_rng(9)
    items, looks = 600, 3
    defect = random.random(items) < 0.15
    tempting = ~defect & (random.random(items) < 0.3)
    rater = np.argsort(random.random((items, 6)), axis=1)[:, :looks]
    called = random.random((items, looks)) < np.where((defect | tempting)[:, None], 0.9, 0.02)
    item = np.repeat(np.arange(items), looks)
    blind = sample(item, rater.ravel(), called.ravel(), np.full(items, UNKNOWN))
    assert interval(blind.false_calls)[2].max() < 0.1
    truth = called[~defect].mean()
    assert truth > 0.25
    told = sample(item, rater.ravel(), called.ravel(), defect.astype(int))
    assert abs(told.false_calls.mean() - truth) < 0.03
