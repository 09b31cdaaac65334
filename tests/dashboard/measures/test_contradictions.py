"""Observations that contradict themselves, and misses that are written up elsewhere on the deck."""

from dashboard.measures.contradictions import TOLD, contradictions
from dashboard.measures.outcomes import outcomes


def test_a_row_not_seen_whose_measures_decide_is_listed(firm, published):
    firm.note("joist_gap", "not_seen", "defect", report="R1")
    firm.note("joist_gap", "not_seen", "acceptable", report="R2")
    firm.note("joist_gap", "not_seen", "cannot_tell", report="R3")
    firm.note("joist_gap", "passed", "defect", report="R4")

    table = contradictions(published(firm))

    assert list(table["report_id"]) == ["R1", "R2"]
    assert set(table["contradiction"]) == {"not_seen_but_measured"} <= set(TOLD)


def test_a_write_up_for_a_second_look_is_listed(firm, published):
    firm.note("joist_gap", "written_up", "acceptable", report="R1", outcome="undecided", second_look=True)
    firm.note("joist_gap", "written_up", "acceptable", report="R2")

    table = contradictions(published(firm))

    assert list(zip(table["report_id"], table["contradiction"], strict=True)) == [("R1", "comment_names_another_fault")]


def test_a_miss_that_is_written_up_at_another_place_of_the_deck_says_so(firm, published):
    firm.note("joist_gap", "passed", "defect", report="R1", deck="D1")
    firm.note("joist_gap", "written_up", "defect", report="R1", deck="D1")
    firm.note("joist_gap", "passed", "defect", report="R1", deck="D2")

    table = outcomes(published(firm))

    assert list(table["written_up_elsewhere"]) == [True, False, False]
