"""How the calls stand with the rules, and which safety matters were passed over: counted by hand on small firms."""

from __future__ import annotations

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.arrivals import newest_load
from dashboard.measures.call_outcomes import call_outcomes
from dashboard.measures.corrections import corrections
from dashboard.measures.summary import extent, summary


def counted(snapshot, filters=EVERYTHING):
    return {(row.call, row.outcome): row.trials for row in call_outcomes(snapshot, filters).itertuples()}


def test_each_call_is_in_one_outcome_by_the_table_of_calls_and_verdicts(firm, published):
    for call in ("written_up", "referred", "advised", "passed"):
        for count, verdict in enumerate(("defect", "acceptable", "judgment", "cannot_tell"), 1):
            firm.many(count, "hanger_size", call, verdict)
    firm.many(5, "other", "passed", None).many(3, "hanger_size", "not_seen", "defect")
    assert counted(published(firm)) == {
        ("written_up", "upheld"): 1,
        ("written_up", "overcalled"): 2,
        ("written_up", "judgment"): 3,
        ("written_up", "undecided"): 4,
        ("referred", "upheld"): 1,
        ("referred", "cleared"): 2,
        ("referred", "judgment"): 3,
        ("referred", "undecided"): 4,
        ("advised", "cleared"): 2,
        ("advised", "understated"): 1,
        ("advised", "judgment"): 3,
        ("advised", "undecided"): 4,
        ("passed", "cleared"): 2,
        ("passed", "missed"): 1,
        ("passed", "judgment"): 3,
        ("passed", "undecided"): 4,
        ("passed", "no_rule"): 5,
    }


def test_a_deck_of_several_places_counts_once_as_what_is_wrong_with_it(firm, published):
    one_deck = {"report": "R1", "deck": "D1"}
    firm.note("joist_gap", "passed", "acceptable", **one_deck).note("joist_gap", "passed", "defect", **one_deck)
    two = {"report": "R2", "deck": "D2"}
    firm.note("joist_gap", "written_up", "defect", **two).note("joist_gap", "written_up", "acceptable", **two)
    # A defect that is written up at one place of the deck is not passed over at another.
    three = {"report": "R3", "deck": "D3"}
    firm.note("joist_gap", "written_up", "defect", **three).note("joist_gap", "passed", "defect", **three)
    assert counted(published(firm)) == {
        ("passed", "missed"): 1,
        ("written_up", "overcalled"): 1,
        ("written_up", "upheld"): 1,
    }


def test_the_outcomes_add_up_to_the_figures_of_the_summary(firm, published):
    firm.many(7, "hanger_size", "written_up", "acceptable").many(9, "hanger_size", "written_up", "defect")
    firm.many(4, "joist_gap", "passed", "defect").many(3, "joist_gap", "advised", "defect")
    firm.many(6, "joist_gap", "passed", "acceptable").many(2, "joist_gap", "passed", "cannot_tell")
    snapshot = published(firm)
    found, counts = summary(snapshot), counted(snapshot)
    assert counts["written_up", "overcalled"] == found.overcalled.count
    assert counts["written_up", "overcalled"] + counts["written_up", "upheld"] == found.judged_write_ups.count
    wrong = counts["passed", "missed"] + counts["advised", "understated"]
    assert wrong == found.wrong_passes.count
    assert wrong + counts["passed", "cleared"] == found.judged_passes.count
    assert sum(counts.values()) == found.calls == extent(snapshot).calls


def test_shares_are_of_the_kind_of_call_with_their_interval(firm, published):
    firm.many(1, "hanger_size", "written_up", "defect").many(9, "hanger_size", "written_up", "acceptable")
    firm.many(50, "hanger_size", "passed", "acceptable")
    row = call_outcomes(published(firm)).set_index("outcome").loc["upheld"]
    # Wilson's interval of 1 of 10: Newcombe 1998, Statistics in Medicine 17, 857-872, formula of method 3.
    assert (round(row["share"], 3), round(row["share_low"], 4), round(row["share_high"], 4)) == (0.1, 0.0179, 0.4042)


def test_filters_leave_what_came_in_with_a_load(firm, published):
    firm.many(3, "hanger_size", "passed", "defect").many(2, "hanger_size", "passed", "defect", load="0002")
    snapshot = published(firm)
    assert counted(snapshot, Filters(loads=("0002",))) == {("passed", "missed"): 2}
    assert counted(snapshot, Filters(loads=("0001", "0002"))) == {("passed", "missed"): 5}


def test_only_safety_matters_that_nobody_wrote_up_need_a_correction(firm, published):
    firm.rule_weights["guard_height"] = 10
    firm.note("guard_height", "passed", "defect", report="R1").note("guard_height", "advised", "defect", report="R2")
    firm.note("guard_height", "written_up", "defect", report="R3").note("joist_gap", "passed", "defect", report="R4")
    firm.note("guard_height", "passed", "acceptable", report="R5")
    both = {"report": "R6", "deck": "D6"}
    firm.note("guard_height", "passed", "defect", **both).note("guard_height", "written_up", "defect", **both)
    twice = {"report": "R7", "deck": "D7"}
    firm.note("guard_height", "passed", "defect", **twice).note("guard_height", "passed", "defect", **twice)
    assert sorted(corrections(published(firm))["report_id"]) == ["R1", "R2", "R7"]


def test_what_came_in_last_is_the_sum_over_the_files_of_the_newest_load(firm, published):
    firm.note("hanger_size", "passed", "defect")
    firm.file("a.csv", load="0001", rows_read=9, rows_loaded=9)
    firm.file("b.csv", load="0002", rows_read=5, rows_loaded=3, rows_rejected=2)
    firm.file("c.csv", load="0002", rows_read=4, rows_replaced=1, rows_unchanged=3)
    came_in = newest_load(published(firm))
    assert (came_in.load_id, came_in.files, came_in.unreadable) == ("0002", 2, 0)
    assert (came_in.read, came_in.new, came_in.replaced, came_in.unchanged, came_in.refused) == (9, 3, 1, 3, 2)


def test_a_snapshot_without_loads_has_no_newest(firm, published):
    assert newest_load(published(firm)) is None
