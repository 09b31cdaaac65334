"""Which topics training could do most about: worked out by hand on small firms, and by simulation."""

from __future__ import annotations

from datetime import date

import pandas as pd
import pytest

from dashboard.measures.tables import NoReach, table
from dashboard.measures.training_topics import Reach, UnreadableReach, training_topics
from tests.bench.simulate_training import ranks_held

YEAR = [date(2025, 1, 1), date(2025, 12, 31)]


def year(firm, topic, call, verdict, count, inspector="A", **facts):
    """So many trials, the first and the last a year apart, so that a quarter has a fourth of them."""
    for at in range(count):
        day = YEAR[min(at, 1)]
        firm.note(topic, call, verdict, **{"inspected_on": day, "inspector_id": inspector} | facts)


def row(table: pd.DataFrame, topic: str) -> pd.Series:
    return table[table["topic"] == topic].iloc[0]


def test_avoidable_is_decks_times_wrong_calls_times_weight_times_reach(firm, published):
    firm.rule_weights["hanger_size"] = 3
    year(firm, "hanger_size", "written_up", "acceptable", 8)
    year(firm, "hanger_size", "written_up", "defect", 8)
    year(firm, "hanger_size", "passed", "defect", 4)
    year(firm, "hanger_size", "passed", "acceptable", 20)
    own = row(training_topics(published(firm)), "hanger_size")
    # 40 looks a year, 10 a quarter; 8 overcalled and 4 missed of 40 by a rule of weight 3; half within reach.
    assert own["expected_decks"] == pytest.approx(10)
    assert own["overcalled"] == pytest.approx(2)
    assert own["missed"] == pytest.approx(1)
    assert own["avoidable_too_much"] == pytest.approx(2 * 3 * 0.5)
    assert own["avoidable_too_little"] == pytest.approx(1 * 3 * 0.5)
    assert own["avoidable"] == pytest.approx(4.5)
    assert own["avoidable_low"] < 4.5 < own["avoidable_high"]
    # Everything is judged: the bounds are the estimate.
    assert own["avoidable_least"] == own["avoidable_most"] == pytest.approx(4.5)


def test_judged_calls_of_a_class_speak_for_all_of_it(firm, published):
    year(firm, "hanger_size", "written_up", "acceptable", 5)
    year(firm, "hanger_size", "written_up", "defect", 5)
    year(firm, "hanger_size", "written_up", "cannot_tell", 10)
    year(firm, "hanger_size", "passed", "acceptable", 20)
    own = row(training_topics(published(firm)), "hanger_size")
    assert own["overcalled"] == pytest.approx(10 * (20 / 40) * (5 / 10))
    assert own["avoidable_least"] == pytest.approx(own["avoidable"] / 2)
    assert own["avoidable_most"] == pytest.approx(own["avoidable"] * 15 / 10)
    assert own["undecided"] == pytest.approx(2.5)


def test_a_topic_that_only_lacks_a_field_has_nothing_for_training(firm, published):
    year(firm, "hanger_size", "written_up", "cannot_tell", 20)
    year(firm, "hanger_size", "passed", "acceptable", 20)
    own = row(training_topics(published(firm)), "hanger_size")
    assert own["avoidable"] == 0
    assert own["undecided"] == pytest.approx(5)


def test_the_reach_of_training_is_the_readers_to_change(firm, published):
    year(firm, "hanger_size", "written_up", "acceptable", 8)
    snapshot = published(firm)
    usual, full = training_topics(snapshot), table(snapshot, "training_topics", reach=Reach.told(["rule = 1"]))
    assert row(full, "hanger_size")["avoidable"] == pytest.approx(2 * row(usual, "hanger_size")["avoidable"])
    with pytest.raises(NoReach, match="does not enter the table misses; it enters training_topics"):
        table(snapshot, "misses", reach=Reach())


def test_a_stock_sentence_that_surely_fails_is_mended_where_it_is_kept(firm, published):
    for person in "ABCDE":
        for kind in ("small gap", "no gap"):
            year(firm, "joist_gap", "written_up", "acceptable", 2, inspector_id=person, recorded=kind, comment="A gap.")
    year(firm, "joist_gap", "written_up", "acceptable", 20, comment="Only one says so, always of the same.")
    snapshot = published(firm)
    usual, half = (row(training_topics(snapshot, reach=reach), "joist_gap") for reach in (Reach(), Reach(sentence=0.5)))
    # Half of the write-ups have the sentence of ten habits; the other one is one habit, and not sure to fail.
    assert usual["in_sentences"] == pytest.approx(usual["overcalled"] / 2)
    assert usual["avoidable"] == pytest.approx(half["avoidable"] * (0.5 + 0.25) / 0.5)


@pytest.mark.parametrize("texts", [["rule=2"], ["eye=nan"], ["rule"], ["ear=0.5"], ["eye=-0"] * 2])
def test_a_reach_that_is_none_is_told_what_one_is(texts):
    with pytest.raises(UnreadableReach, match=f"--reach {texts[0]}: .*Write rule=SHARE, eye=SHARE or"):
        Reach.told(texts)


def test_one_colleague_a_few_and_the_whole_team_are_told_apart(firm, published):
    for inspector in "ABCDEF":
        year(firm, "hanger_size", "passed", "defect", 20, inspector)  # everybody
        year(firm, "joist_gap", "passed", "defect", 30 if inspector == "A" else 1, inspector)  # one
        year(firm, "joist_gap", "passed", "acceptable", 10 if inspector == "A" else 39, inspector)
        year(firm, "guard_height", "passed", "defect", 30 if inspector in "ABC" else 1, inspector)  # a few
        year(firm, "guard_height", "passed", "acceptable", 10 if inspector in "ABC" else 39, inspector)
    suggested = training_topics(published(firm)).set_index("topic")["suggested"]
    assert suggested["hanger_size"] == "whole team"
    assert suggested["joist_gap"] == "one"
    assert suggested["guard_height"] == "a few"


def test_an_order_that_luck_may_have_made_is_told_as_an_interval(firm, published):
    for topic, wrong in (("hanger_size", 5), ("joist_gap", 6)):
        year(firm, topic, "passed", "defect", wrong)
        year(firm, topic, "passed", "acceptable", 50 - wrong)
    table = training_topics(published(firm))
    assert set(zip(table["rank_low"], table["rank_high"], strict=True)) == {(1, 2)}
    assert set(table["p_worst_three"]) == {1.0}


def test_rank_intervals_hold_the_true_rank():
    """Thirty topics whose true shares of wrong calls are known; docs/training-accuracy.md has more of them."""
    held, of = ranks_held(topics=30, judged=120, firms=20)
    assert 0.90 <= held / of <= 0.97


def test_a_firm_without_judged_calls_has_no_topics(firm, published):
    assert training_topics(published(firm)).empty
    firm.note("hanger_size", "written_up", "cannot_tell")
    assert training_topics(published(firm)).empty
