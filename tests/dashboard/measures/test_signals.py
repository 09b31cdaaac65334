"""Flags, families and whole reports: what the tests of a firm do beyond a single score test."""

import numpy as np
import pandas as pd
import pytest
from numpy.testing import assert_allclose

from dashboard.measures.case_mix import sort_into_cells
from dashboard.measures.peers import compare
from dashboard.measures.signals import Least, find_signals, signal_names
from dashboard.measures.write_ups import report_dispersion
from dashboard.stats.case_mix import Cells
from tests.bench.simulated_firm import Plan, draw


def topic(events, trials=200):
    """Twelve inspectors who saw the same decks."""
    n = len(events)
    everyone = np.arange(n)
    return Cells(
        np.ones((n, 1)), np.zeros(n, np.intp), everyone, np.full(n, float(trials)), np.array(events, float), 1, n
    )


def enough_ground(_topic):
    return np.full(12, 11.0), np.full(12, 1000.0)


USUAL = [38, 41, 44, 36, 40, 43, 39, 42, 37, 40, 41, 39]


def test_whoever_is_far_off_is_flagged_and_the_others_are_then_compared_among_themselves():
    found = find_signals({"a": topic([*USUAL[:11], 130])}, enough_ground)
    assert found.flagged.tolist() == [[*[False] * 11, True]]
    tested = found.topics["a"]
    # The others' score is what they have beyond their own mean of 40; with the twelfth in it that would be 47.5.
    assert_allclose(tested.score[:11], np.array(USUAL[:11]) - np.mean(USUAL[:11]), atol=0.05)


def test_at_most_a_third_are_taken_out_those_that_stand_out_most():
    found = find_signals({"a": topic([*USUAL[:6], 90, 95, 100, 105, 110, 115])}, enough_ground)
    own_terms = found.topics["a"].flagged
    assert own_terms.sum() <= 4


def test_one_family_over_all_topics_asks_more_of_each_than_one_topic_alone():
    far = [*USUAL[:11], 61]
    alone = find_signals({"a": topic(far)}, enough_ground)
    among = find_signals({"a": topic(far), **{f"b{at}": topic(USUAL) for at in range(30)}}, enough_ground)
    assert alone.flagged[0, 11]
    assert_allclose(among.q[0, 11], alone.q[0, 11] * 31, rtol=0.01)


def test_pairs_without_enough_trials_or_ground_take_no_part():
    def ground(name):
        peers, decks = enough_ground(name)
        peers[3] = 1
        return peers, decks

    found = find_signals({"a": topic([*USUAL[:11], 130])}, ground)
    assert not found.compared[0, 3]
    assert found.compared[0].sum() == 11
    small = find_signals({"a": topic([1, 0, 2] * 4, trials=15)}, enough_ground)
    assert not small.compared.any()


def test_no_topic_gives_no_family():
    assert find_signals({}, enough_ground).q.size == 0


def test_enough_is_about_what_is_expected_and_never_about_what_was_found():
    found = find_signals({"a": topic([*USUAL[:11], 0])}, enough_ground, Least(trials=20, expected=2.0))
    assert found.flagged[0, 11]
    assert found.topics["a"].events[11] == 0


def test_too_few_comes_before_cannot_separate_and_both_before_a_signal():
    names = signal_names(
        np.array([5.0, 5, 5, -5, 5]),
        np.array([False, True, True, True, True]),
        np.array([False, False, True, True, True]),
        np.array([np.nan, np.nan, 0.01, 0.01, 0.2]),
    )
    assert names.tolist() == ["too_few", "cannot_separate", "higher", "lower", "none"]


@pytest.fixture(scope="module")
def two_topics():
    return draw(Plan(n_reports=1500, topics=("guard_height", "wood_decay")), 11)


def test_calls_that_rise_and_fall_together_in_a_report_widen_the_sum(two_topics):
    """Two topics with the very same calls: the variance of their sum is twice that of two independent ones."""
    trials = two_topics.trials[two_topics.trials["seen"]]
    one = trials[trials["topic"] == "guard_height"]
    twice = sort_into_cells(two_topics.visits, pd.concat([one, one.assign(topic="wood_decay")]))
    assert_allclose(report_dispersion(compare(twice)), 2.0, atol=0.2)
    apart = compare(sort_into_cells(two_topics.visits, trials))
    assert 1.0 <= report_dispersion(apart) < 1.25


def test_every_trial_is_counted_in_one_cell_and_the_model_says_what_it_took_into_account(two_topics):
    case = sort_into_cells(two_topics.visits, two_topics.trials)
    rows = case.trials[case.trials["seen"] & (case.trials["topic"] == "wood_decay")]
    cells, where = case.cells(rows["visit"].to_numpy(np.intp), rows["written_up"].to_numpy(bool))
    assert cells.trials.sum() == len(rows) == len(where)
    assert cells.events.sum() == rows["written_up"].sum()
    assert (np.diff(cells.builder) >= 0).all()
    assert case.adjusted_for == ("age", "region", "height", "season", "builder")
    of_inspector = two_topics.visits["inspector_id"].to_numpy()[rows["visit"]]
    counted = [int((of_inspector == name).sum()) for name in case.inspectors]
    assert_allclose(cells.by_inspector(cells.trials), counted)
