"""The grid of joist and hanger sizes is made of the kinds that its cells open, and it adds up to all write-ups."""

from dashboard.filters import Filters
from dashboard.measures.cases import cases_of_pattern
from dashboard.measures.hanger_grid import hanger_grid, hanger_write_ups
from dashboard.measures.patterns import patterns
from dashboard.measures.summary import summary

PAIR = {"joist_nominal": "2x10", "hanger_nominal": "2x8", "recorded": "2x10 joist in 2x8 hanger"}
SAME = {"joist_nominal": "2x10", "hanger_nominal": "2x10"}


def of_all_kinds(firm):
    """Nine write-ups of which one has hangers of two kinds, and a pass."""
    firm.many(3, "hanger_size", "written_up", "acceptable", **PAIR)
    firm.many(2, "hanger_size", "written_up", "acceptable", recorded="2x10 joist in 2x10 hanger", **SAME)
    firm.many(2, "hanger_size", "written_up", "defect", recorded="2x10 joist, hanger for fewer plies", **SAME)
    firm.note("hanger_size", "written_up", "defect", report="T", hanger_height_in=5.5, **SAME, recorded="hanger under")
    firm.note("hanger_size", "written_up", "acceptable", report="T", place="stair", **PAIR)
    firm.note("hanger_size", "written_up", "acceptable", recorded="2x10 joist in 2x10-2x12 hanger")
    firm.note("hanger_size", "passed", "acceptable", **PAIR)
    return firm


def test_a_hanger_for_fewer_plies_or_a_measured_one_is_of_no_cell_whatever_its_size(firm, published):
    grid = hanger_grid(published(of_all_kinds(firm)))
    same = grid[(grid["joist_nominal"] == "2x10") & (grid["hanger_nominal"] == "2x10")]
    assert list(same[["written_up", "upheld", "overcalled"]].iloc[0]) == [2, 0, 2]
    none = grid[grid["joist_nominal"].isna()].set_index("recorded")["written_up"].to_dict()
    assert none == {
        "2x10 joist, hanger for fewer plies": 2,
        "2x10 joist in 2x10-2x12 hanger": 1,
        "hanger under": 1,
    }


def test_a_cell_counts_what_it_opens(firm, published):
    snapshot = published(of_all_kinds(firm))
    of_kind = patterns(snapshot).set_index("pattern_id")["written_up"]
    for cell in hanger_grid(snapshot).dropna(subset="joist_nominal").itertuples():
        behind = cases_of_pattern(snapshot, cell.pattern_id)
        assert behind.groupby(["report_id", "deck_id"]).ngroups == cell.written_up == of_kind[cell.pattern_id] > 0


def test_cells_and_the_other_kinds_add_up_to_all_write_ups_each_once(firm, published):
    snapshot = published(of_all_kinds(firm))
    found = hanger_write_ups(snapshot)
    assert found.drawn == 3 + 1 + 2
    assert dict(found.not_drawn) == {
        "hanger for fewer plies": 2,
        "hanger under": 1,
        "hanger stamped for two sizes": 1,
    }
    assert found.repeated == 1
    total = summary(snapshot, Filters(topics=("hanger_size",))).written_up
    assert found.written_up == total == found.drawn + sum(count for _, count in found.not_drawn) - found.repeated


def test_within_other_topics_there_is_nothing_on_hanger_size(firm, published):
    found = hanger_write_ups(published(of_all_kinds(firm)), Filters(topics=("joist_gap",)))
    assert (found.written_up, found.drawn, found.not_drawn, found.repeated) == (0, 0, (), 0)
    assert found.grid.empty


def test_the_hanger_grid_gives_each_write_up_one_fate(firm, published):
    def trial(report, *verdicts, call="written_up"):
        for verdict in verdicts:
            firm.note("hanger_size", call, verdict, report=report, **PAIR)

    trial("R1", "acceptable", "defect", "cannot_tell")
    trial("R2", "defect", "judgment")
    trial("R3", "judgment", "cannot_tell")
    trial("R4", "cannot_tell")
    trial("R5", "defect", call="passed")
    trial("R6", "defect", call="not_seen")
    grid = hanger_grid(published(firm))
    assert len(grid) == 1
    cell = grid.iloc[0]
    assert (cell.joist_nominal, cell.hanger_nominal, cell.written_up) == ("2x10", "2x8", 4)
    assert (cell.overcalled, cell.upheld, cell.judgment, cell.undecided) == (1, 1, 1, 1)
