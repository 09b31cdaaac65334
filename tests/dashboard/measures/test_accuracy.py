"""Finds and false calls by hand, what makes them identified, and a wrong rule that everybody shares."""

from datetime import date, timedelta

import numpy as np
import pytest
from numpy.testing import assert_allclose

from dashboard.filters import Filters
from dashboard.measures.accuracy import accuracy
from dashboard.measures.inspectors import inspectors
from dashboard.measures.known_truths import known_truths
from dashboard.measures.tables import table

TOPIC = "joist_gap"


def counted(firm, inspector="I1"):
    """Of 40 claims 30 are judged, 24 of them defects; of 10 referrals all, 5; of 150 other calls 50, 4."""
    firm.many(24, TOPIC, "written_up", "defect", inspector_id=inspector)
    firm.many(6, TOPIC, "written_up", "acceptable", inspector_id=inspector)
    firm.many(10, TOPIC, "written_up", "cannot_tell", inspector_id=inspector)
    firm.many(5, TOPIC, "referred", "defect", inspector_id=inspector)
    firm.many(5, TOPIC, "referred", "acceptable", inspector_id=inspector)
    firm.many(3, TOPIC, "passed", "defect", inspector_id=inspector)
    firm.many(1, TOPIC, "advised", "defect", inspector_id=inspector)
    firm.many(46, TOPIC, "passed", "acceptable", inspector_id=inspector)
    firm.many(100, TOPIC, "passed", "cannot_tell", inspector_id=inspector)
    return firm


def only_row(frame, **wanted):
    for column, value in wanted.items():
        frame = frame[frame[column] == value]
    assert len(frame) == 1
    return frame.iloc[0]


def test_shares_are_weighted_by_what_finds_and_by_what_claims(firm, published):
    firm = counted(firm)
    firm.many(7, TOPIC, "written_up", "judgment")  # left to the inspector: neither defect nor sound
    firm.many(9, TOPIC, "not_seen", "defect")
    row = only_row(accuracy(published(firm)), topic=TOPIC)
    assert (row.trials, row.known, row.defects, row.sound) == (200, 90, 33, 57)
    assert (row.status, row.basis) == ("direct", "rules")
    found, missed = 50 * 29 / 40, 150 * 4 / 50
    assert_allclose(row.finds, found / (found + missed))
    claimed, cleared = 40 * 6 / 30, 160 * (5 + 46) / 60
    assert_allclose(row.false_calls, claimed / (claimed + cleared))
    # Every unjudged call right: 10 more defects found, 100 more sound trials cleared; or all wrong.
    assert_allclose([row.finds_least, row.finds_most], [29 / (29 + 4 + 100), 39 / (39 + 4)])
    assert_allclose([row.false_calls_least, row.false_calls_most], [6 / (6 + 51 + 100), 16 / (16 + 51)])
    assert row.finds_least < row.finds_low < row.finds < row.finds_high < row.finds_most


def test_the_table_of_inspectors_tells_the_same_shares(firm, published):
    for inspector in ("I1", "I2", "I3"):
        counted(firm, inspector)
    snapshot = published(firm)
    here = accuracy(snapshot).set_index("inspector_id")
    there = inspectors(snapshot)
    there = there[there["topic"] == TOPIC].set_index("inspector_id")
    assert_allclose(1 - here["finds"], there["missed_share"])
    assert_allclose(1 - here["finds_low"], there["missed_share_high"])
    assert_allclose(here["false_calls"], there["overcalled_share"])


def test_only_a_random_look_enters_and_stands_above_the_rule(firm, published):
    counted(firm)
    before = only_row(accuracy(published(firm)), topic=TOPIC)
    unjudged = [at for at, row in enumerate(firm.rows) if row["call"] == "passed" and row["verdict"] == "cannot_tell"]
    for at in unjudged[:30]:
        firm.look("defect", "targeted", at=at)
    firm.look("acceptable", "dispute", at=0)
    chosen = only_row(accuracy(published(firm)), topic=TOPIC)
    assert_allclose(chosen.finds, before.finds)
    assert (chosen.known, chosen.defects) == (before.known, before.defects)
    for at in unjudged[30:50]:
        firm.look("defect" if at < unjudged[34] else "acceptable", "random", at=at)
    firm.look("acceptable", "random", at=1)  # a write-up that the rule upheld
    looked = only_row(accuracy(published(firm)), topic=TOPIC)
    assert (looked.known, looked.defects) == (before.known + 20, before.defects - 1 + 4)
    found, missed = 50 * 28 / 40, 4 + 100 * 4 / 20
    assert_allclose(looked.finds, found / (found + missed))
    assert looked.basis == "rules"  # write-ups that could not be judged still stand for nothing but themselves


def test_random_looks_of_both_classes_tell_what_rules_do_not(firm, published):
    firm.many(40, TOPIC, "written_up", "cannot_tell").many(200, TOPIC, "passed", "cannot_tell")
    for at in range(20):
        firm.look("defect" if at < 15 else "acceptable", "random", at=at)
        firm.look("defect" if at < 1 else "acceptable", "random", at=40 + at)
    row = only_row(accuracy(published(firm)), topic=TOPIC)
    assert (row.status, row.basis) == ("direct", "random_looks")
    assert_allclose(row.finds, 30 / (30 + 10))


def test_too_little_known_is_not_identified_and_few_trials_are_too_few(firm, published):
    counted(firm, "I1")
    firm.many(5, TOPIC, "written_up", "defect", inspector_id="I2").many(
        95, TOPIC, "passed", "cannot_tell", inspector_id="I2"
    )
    firm.many(6, TOPIC, "passed", "cannot_tell", inspector_id="I3")
    firm.many(300, TOPIC, "passed", "cannot_tell", inspector_id="I1")  # now 95 of 606 decks are known
    found = accuracy(published(firm)).set_index("inspector_id")
    assert list(found["status"]) == ["not_identified", "not_identified", "too_few"]
    assert list(found["basis"][:2]) == ["too_little_known", "too_little_known"]
    assert found[["finds", "false_calls"]].isna().all(axis=None)
    assert found.loc["I1", ["finds_least", "finds_most", "false_calls_least", "false_calls_most"]].notna().all()


def test_a_share_with_fewer_than_five_of_its_kind_is_blank(firm, published):
    firm.many(4, TOPIC, "written_up", "defect").many(40, TOPIC, "passed", "acceptable")
    row = only_row(accuracy(published(firm)), topic=TOPIC)
    assert row.status == "direct"
    assert np.isnan(row.finds)
    assert row.false_calls == 0 < row.false_calls_high


def looked_at_thrice(firm, decks, call, truth, measured, looks=3, judged=1, people=6, seed=1):
    """``looks`` reports a day apart on each deck, by different inspectors; of a ``measured`` one so many are judged."""
    random = np.random.default_rng(seed)
    for deck in range(decks):
        verdict = truth(deck) if measured(deck) else "cannot_tell"
        for at, person in enumerate(random.permutation(people)[:looks]):
            firm.note(
                TOPIC,
                "written_up" if random.random() < call(deck) else "passed",
                verdict if at < judged else "cannot_tell",
                deck=f"D{deck}",
                inspector_id=f"I{person}",
                inspected_on=date(2026, 3, 1) + timedelta(days=at),
            )
    return firm


@pytest.mark.parametrize(("looks", "status"), [(2, "not_identified"), (3, "latent")])
def test_three_looks_a_deck_identify_and_two_do_not(looks, status, firm, published):
    truth = lambda deck: "defect" if deck % 4 == 0 else "acceptable"  # noqa: E731
    call = lambda deck: 0.9 if deck % 4 == 0 else 0.05  # noqa: E731
    firm = looked_at_thrice(firm, 90, call, truth, lambda deck: False, looks)
    found = accuracy(published(firm))
    assert set(found["status"]) == {status}
    if status == "latent":
        assert set(found["basis"]) == {"three_looks"}
        assert abs(found["finds"].mean() - 0.9) < 0.1
        assert ((found["finds_low"] < 0.9) & (found["finds_high"] > 0.9)).all()


def wrong_rule(firm, measured, judged=1):
    """All share a wrong rule: a third of the sound decks is written up by everybody. A quarter has a real defect."""
    truth = lambda deck: "defect" if deck % 4 == 0 else "acceptable"  # noqa: E731
    call = lambda deck: 0.95 if deck % 4 in (0, 1) else 0.03  # noqa: E731
    return looked_at_thrice(firm, 160, call, truth, measured, judged=judged)


def test_agreement_on_a_wrong_rule_is_not_taken_for_correctness_where_decks_are_known(firm, published):
    blind = accuracy(published(wrong_rule(firm, lambda deck: False)))
    assert set(blind["status"]) == {"latent"}
    assert blind["false_calls_high"].max() < 0.15  # three looks that agree: the wrong rule passes for the truth


def test_a_wrong_rule_shared_by_all_shows_as_wrong_on_the_known_decks(firm, published):
    snapshot = published(wrong_rule(firm, lambda deck: deck < 100, judged=3))
    found = accuracy(snapshot)
    assert set(found["status"]) == {"direct"}
    truth = (0.95 + 2 * 0.03) / 3
    assert ((found["false_calls_low"] < truth) & (found["false_calls_high"] > truth)).mean() > 0.8
    told = only_row(known_truths(snapshot), topic=TOPIC)
    assert told.false_calls_low > 0.25
    assert abs(told.false_calls - truth) < 0.06


def test_a_model_that_the_known_decks_contradict_is_not_believed(firm, published):
    """Of most looks the deck is known by another's measure only; the unknown decks would draw the model to agreement."""
    snapshot = published(wrong_rule(firm, lambda deck: deck < 80))
    assert only_row(known_truths(snapshot), topic=TOPIC).false_calls_low > 0.25
    found = accuracy(snapshot)
    assert set(zip(found["status"], found["basis"], strict=True)) == {("not_identified", "known_decks_disagree")}
    assert found["false_calls"].isna().all()


def test_known_and_unknown_decks_are_compared(firm, published):
    firm.many(12, TOPIC, "written_up", "defect").many(18, TOPIC, "passed", "acceptable")
    firm.many(5, TOPIC, "written_up", "cannot_tell").many(45, TOPIC, "passed", "cannot_tell")
    row = only_row(table(published(firm), "known_truths"), topic=TOPIC)
    assert (row.decks, row.known_decks, row.defects, row.sound, row.three_looks) == (80, 30, 12, 18, 0)
    assert (row.known_trials, row.known_written_up, row.unknown_trials, row.unknown_written_up) == (30, 12, 50, 5)
    assert row.identified_by == "known_decks"
    # statsmodels confint_proportions_2indep(12, 30, 5, 50, method="newcomb")
    assert_allclose([row.difference, row.difference_low, row.difference_high], [0.3, 0.108557, 0.485612], atol=1e-6)


def test_a_deck_seen_again_after_months_is_another_one_and_looks_that_differ_are_no_truth(firm, published):
    days = [date(2026, 1, 1), date(2026, 2, 20), date(2026, 4, 10), date(2026, 9, 1)]
    for at, (day, verdict) in enumerate(zip(days, ("defect", "cannot_tell", "acceptable", "acceptable"), strict=True)):
        firm.note(TOPIC, "passed", verdict, deck="D1", inspector_id=f"I{at}", inspected_on=day)
    row = only_row(known_truths(published(firm)), topic=TOPIC)
    # The first three visits, each within sixty days of the one before, saw one deck: a defect for one, none for another.
    assert (row.decks, row.known_decks, row.sound, row.three_looks) == (2, 1, 1, 1)


def test_the_filter_for_inspectors_chooses_rows_and_changes_no_figure(firm, published):
    snapshot = published(counted(counted(firm, "I1"), "I2"))
    everybody = accuracy(snapshot).set_index("inspector_id")
    one = accuracy(snapshot, Filters(inspectors=("I2",))).set_index("inspector_id")
    assert list(one.index) == ["I2"]
    assert_allclose(one.loc["I2", "finds_low"], everybody.loc["I2", "finds_low"])
