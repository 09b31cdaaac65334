"""Inspectors against peers, in firms made for one question each.

The figures that can be worked out by hand (counts, shares, standardized numbers) stand as literals. What luck may do is
tried by simulation in tests/bench and in test_planted_truth.py.
"""

from __future__ import annotations

from datetime import date

import numpy as np
import pandas as pd
import pytest

from dashboard.filters import Filters
from dashboard.measures.differences import TERMS, differences, in_parts
from dashboard.measures.inspectors import inspectors
from dashboard.measures.luck import luck
from dashboard.measures.peers import scored_trials
from tests.dashboard.builders import Firm

MONTHS = [date(2025, month, 5) for month in range(1, 13)]


def calls(
    firm: Firm, inspector: str, written_up: int, passed: int, topic: str = "hanger_size", **facts: object
) -> None:
    """So many decks of one inspector, spread evenly over a year."""
    for at in range(written_up + passed):
        # Write-ups fall evenly among the passes, so that no month is out of the common.
        is_up = (at + 1) * written_up // (written_up + passed) > at * written_up // (written_up + passed)
        day = MONTHS[at * len(MONTHS) // (written_up + passed)]
        firm.note(
            topic,
            "written_up" if is_up else "passed",
            "cannot_tell",
            **{"inspected_on": day, "inspector_id": inspector} | facts,
        )


def row(table: pd.DataFrame, inspector: str, topic: str = "hanger_size") -> pd.Series:
    return table[(table["inspector_id"] == inspector) & (table["topic"] == topic)].iloc[0]


@pytest.fixture
def one_apart(firm: Firm) -> Firm:
    """Four write up one deck in ten, a fifth writes up half."""
    for inspector in "ABCD":
        calls(firm, inspector, 10, 90)
    calls(firm, "E", 50, 50)
    return firm


def test_who_writes_up_five_times_as_many_is_flagged_and_nobody_else(one_apart, published):
    table = inspectors(published(one_apart))
    own = row(table, "E")
    assert own["signal"] == "higher"
    assert own["written_up"] == 50
    # Peers write up 40 of 400 on decks that differ in nothing.
    assert own["expected"] == pytest.approx(10, abs=0.05)
    assert own["ratio"] == pytest.approx(5, abs=0.03)
    assert own["ratio_low"] < 5 < own["ratio_high"]
    assert set(table.loc[(table["inspector_id"] != "E") & (table["topic"] == "hanger_size"), "signal"]) == {"none"}


def test_the_one_apart_does_not_move_what_the_others_are_compared_with(one_apart, published):
    # With E among their peers, 80 of 400 would be 20 expected of each; E has a term of its own once flagged.
    expected = [row(inspectors(published(one_apart)), inspector)["expected"] for inspector in "ABCD"]
    assert expected == pytest.approx([10] * 4, abs=0.3)


def test_a_signal_is_dated_and_held_against_later_reports(one_apart, published):
    own = row(inspectors(published(one_apart)), "E")
    assert pd.Timestamp("2025-01-01") <= own["first_signalled"] <= pd.Timestamp("2025-06-01")
    assert own["held"] is True


def test_a_difference_that_ends_did_not_hold(firm, published):
    for inspector in "ABCD":
        calls(firm, inspector, 20, 180)
    for day in MONTHS[:2]:
        firm.many(12, "hanger_size", "written_up", "cannot_tell", inspector_id="E", inspected_on=day)
    for day in MONTHS[2:]:
        firm.many(2, "hanger_size", "written_up", "cannot_tell", inspector_id="E", inspected_on=day)
        firm.many(18, "hanger_size", "passed", "cannot_tell", inspector_id="E", inspected_on=day)
    own = row(inspectors(published(firm)), "E")
    assert own["signal"] == "higher"
    assert own["held"] is False


def test_old_decks_explain_more_write_ups(firm, published):
    """E sees old decks only, half of which are written up by everybody."""
    for inspector in "ABCD":
        calls(firm, inspector, 5, 95, deck_age_years=5, deck_age="5 to 9")
        calls(firm, inspector, 25, 25, deck_age_years=35, deck_age="30 and more")
    calls(firm, "E", 50, 50, deck_age_years=35, deck_age="30 and more")
    own = row(inspectors(published(firm)), "E")
    assert own["expected"] == pytest.approx(50, abs=1)
    assert own["signal"] == "none"
    assert own["ratio_low"] < 1 < own["ratio_high"]


def test_alone_in_a_region_nothing_is_told_of_the_inspector(firm, published):
    for inspector in "ABC":
        calls(firm, inspector, 10, 90, region="Ridge")
    calls(firm, "E", 60, 40, region="Flats")
    table = inspectors(published(firm))
    for topic in ("hanger_size", "all"):
        own = row(table, "E", topic)
        assert own["signal"] == "cannot_separate"
        assert own["peers"] == 0
        assert np.isnan(own["expected"])
        assert np.isnan(own["ratio"])
        assert np.isnan(own["shrunken_ratio"])


def test_few_trials_are_said_to_be_few_whatever_was_found(firm, published):
    for inspector in "ABC":
        calls(firm, inspector, 10, 90)
    firm.many(15, "hanger_size", "written_up", "cannot_tell", inspector_id="E")
    own = row(inspectors(published(firm)), "E")
    assert own["signal"] == "too_few"
    assert np.isnan(own["p"])


def test_one_inspector_alone_in_the_firm_is_compared_with_nobody(firm, published):
    calls(firm, "A", 20, 80)
    table = inspectors(published(firm))
    assert set(table["signal"]) == {"cannot_separate"}
    assert set(table["trials"]) == {100}


def test_an_empty_firm_gives_an_empty_table(firm, published):
    assert inspectors(published(firm)).empty


def test_wrong_calls_are_compared_with_peers_who_recorded_the_same(firm, published):
    """Everybody writes up one in ten sound hangers of a tempting kind; E all of them, and writes up no more in all."""
    for inspector in "ABCD":
        for at in range(40):
            firm.note(
                "hanger_size",
                "written_up" if at < 4 else "passed",
                "acceptable",
                inspector_id=inspector,
                recorded="one down",
            )
        firm.many(30, "hanger_size", "written_up", "defect", inspector_id=inspector, recorded="two down")
    firm.many(30, "hanger_size", "written_up", "acceptable", inspector_id="E", recorded="one down")
    firm.many(4, "hanger_size", "written_up", "defect", inspector_id="E", recorded="two down")
    firm.many(26, "hanger_size", "passed", "defect", inspector_id="E", recorded="two down")
    table = inspectors(published(firm))
    own = row(table, "E")
    assert (own["written_up"], own["trials"]) == (34, 60)
    assert own["overcalled_signal"] == "higher"
    assert (own["overcalled_of"], own["overcalled_found"]) == (30, 30)
    assert own["missed_signal"] == "higher"
    assert (own["missed_of"], own["missed_found"]) == (30, 26)
    others = table[(table["inspector_id"] != "E") & (table["topic"] == "hanger_size")]
    assert not set(others["overcalled_signal"]) & {"higher"}
    assert not set(others["missed_signal"]) & {"higher"}
    # Everything is judged: the shares are the plain ones.
    assert own["overcalled_share"] == pytest.approx(1)
    assert own["missed_share"] == pytest.approx(26 / 30)
    assert own["overcalled_share_least"] == own["overcalled_share_most"] == pytest.approx(1)


def test_shares_count_each_class_of_calls_by_its_size(firm, published):
    """Begg and Greenes: of 20 write-ups 10 are judged, 8 defects; of 80 passes 40 are judged, 4 defects."""
    for verdict, count in (("defect", 8), ("acceptable", 2), ("cannot_tell", 10)):
        firm.many(count, "hanger_size", "written_up", verdict)
    for verdict, count in (("defect", 4), ("acceptable", 36), ("cannot_tell", 40)):
        firm.many(count, "hanger_size", "passed", verdict)
    own = row(inspectors(published(firm)), "I1")
    assert own["missed_share"] == pytest.approx(8 / (8 + 16))  # 8 of 80 passes, 16 of 20 write-ups are defects
    assert own["overcalled_share"] == pytest.approx(4 / (4 + 72))
    assert own["judged_share_written_up"] == pytest.approx(0.5)
    assert own["judged_share_passed"] == pytest.approx(0.5)
    # All unjudged calls right: 4 misses and 8 + 10 defects found.
    assert own["missed_share_least"] == pytest.approx(4 / 22)
    # All wrong: 4 + 40 misses, 8 found.
    assert own["missed_share_most"] == pytest.approx(44 / 52)


def test_not_seen_is_held_against_what_peers_leave_unseen_there(firm, published):
    for region, unseen, seen in (("Ridge", 20, 20), ("Flats", 5, 45)):
        firm.many(unseen, "hanger_size", "not_seen", None, inspector_id="A", region=region)
        firm.many(seen, "hanger_size", "passed", "cannot_tell", inspector_id="A", region=region)
    firm.many(10, "hanger_size", "passed", "cannot_tell", inspector_id="B", region="Ridge")
    firm.many(10, "hanger_size", "not_seen", None, inspector_id="B", region="Flats")
    own = row(inspectors(published(firm)), "B")
    assert own["not_seen"] == 10
    assert own["not_seen_expected"] == pytest.approx(10 * 0.5 + 10 * 0.1)


def test_a_filter_for_people_or_topics_chooses_rows_and_changes_no_figure(one_apart, published):
    snapshot = published(one_apart)
    everything = inspectors(snapshot)
    some = inspectors(snapshot, Filters(inspectors=("E",), topics=("hanger_size",)))
    assert set(zip(some["inspector_id"], some["topic"], strict=True)) == {("E", "all"), ("E", "hanger_size")}
    assert row(some, "E").drop("held").equals(row(everything, "E").drop("held"))


def test_repeating_an_observation_at_more_places_changes_nothing(one_apart, published):
    before = inspectors(published(one_apart))
    for note in list(one_apart.rows):
        if note["inspector_id"] == "E":
            one_apart.rows.append(note | {"observation_no": f"{note['observation_no']}b", "place": "NE"})
    after = inspectors(published(one_apart))
    pd.testing.assert_frame_equal(before, after)


def test_what_is_expected_adds_up_to_what_was_found(one_apart, published):
    """The model of one topic without flags has as many write-ups as there are (its constant is free)."""
    for at, note in enumerate(one_apart.rows):
        note["inspector_id"] = "ABCDE"[at // 10 % 5]  # nobody is apart any more
    scored = scored_trials(published(one_apart))
    assert scored["expected"].sum() == pytest.approx(scored["written_up"].sum(), abs=1e-3)
    assert scored["expected"].between(0, 1).all()


def test_the_parts_of_a_difference_add_up_and_name_false_calls(firm, published):
    for inspector in "ABCD":
        firm.many(10, "hanger_size", "written_up", "defect", inspector_id=inspector, recorded="two down")
        firm.many(90, "hanger_size", "passed", "acceptable", inspector_id=inspector, recorded="one down")
    firm.many(10, "hanger_size", "written_up", "defect", inspector_id="E", recorded="two down")
    firm.many(50, "hanger_size", "written_up", "acceptable", inspector_id="E", recorded="one down")
    firm.many(40, "hanger_size", "passed", "acceptable", inspector_id="E", recorded="one down")
    table = differences(published(firm))
    assert np.allclose(table[list(TERMS)].sum(axis=1), table["difference"])
    own = row(table, "E")
    assert own["of_as_many"] == pytest.approx(10)
    assert own["by_false_calls"] == pytest.approx(50)
    assert own["by_misses"] == pytest.approx(0)
    assert own["by_rest"] == pytest.approx(0, abs=0.1)
    # Over two topics, one of which nobody could judge: what is not known stands in the rest, and the sum is the whole.
    unknown = own.copy()
    unknown[["by_false_calls", "by_misses", "by_advice", "by_rest"]] = np.nan
    summed = in_parts(pd.DataFrame([own, unknown]))
    assert (summed["topics"], summed["by_false_calls_untold"], summed["by_misses_untold"]) == (2, 1, 1)
    assert summed["by_false_calls"] == pytest.approx(50)
    assert summed["difference"] == pytest.approx(2 * own["difference"])
    assert summed[list(TERMS)].sum() == pytest.approx(2 * own["difference"])


def test_luck_alone_gives_a_firm_without_differences_hardly_a_signal(one_apart, published):
    found = luck(published(one_apart), replays=60).iloc[0]
    assert found["signals"] == 1
    assert found["most_by_luck"] <= 1
    assert found["any_by_luck_low"] <= 0.08
    assert found["replays"] == 60
