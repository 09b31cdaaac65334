"""The rows behind a mark, and one observation in full."""

from datetime import date

import pytest

from dashboard.filters import Filters
from dashboard.measures.cases import UnknownObservation, case, cases, cases_of_pattern

PAIR = {"joist_nominal": "2x10", "hanger_nominal": "2x8", "recorded": "2x10 joist in 2x8 hanger"}


def test_the_cases_of_a_cell_are_its_rows_newest_first(firm, published):
    firm.note("joist_gap", "passed", "defect", report="R1", builder="Birch", inspected_on=date(2026, 1, 5))
    firm.note("joist_gap", "passed", "acceptable", report="R2", builder="Birch", inspected_on=date(2026, 2, 5))
    firm.note("joist_gap", "passed", "defect", report="R3", builder="Cedar")
    firm.note("hanger_size", "passed", "defect", report="R4", builder="Birch")
    snapshot = published(firm)
    assert list(cases(snapshot, topic="joist_gap", by="builder", group="Birch")["report_id"]) == ["R2", "R1"]
    assert list(cases(snapshot, topic="joist_gap", outcomes=["missed"])["report_id"]) == ["R3", "R1"]
    assert list(cases(snapshot, outcomes=["missed"], most=1)["report_id"]) == ["R3"]
    assert list(cases(snapshot, by="region", group="Ridge", calls=["written_up"])["report_id"]) == []


def test_a_topic_that_the_filter_leaves_out_has_no_cases(firm, published):
    firm.note("joist_gap", "passed", "defect")
    snapshot = published(firm)
    assert cases(snapshot, Filters(topics=("hanger_size",)), topic="joist_gap").empty
    assert len(cases(snapshot, Filters(topics=("joist_gap", "hanger_size")), topic="joist_gap")) == 1


def test_the_cases_of_a_pattern_are_its_write_ups_unless_others_are_asked_for(firm, published):
    firm.note("hanger_size", "written_up", "acceptable", report="R1", **PAIR)
    firm.note("hanger_size", "passed", "acceptable", report="R2", **PAIR)
    firm.note("hanger_size", "written_up", "defect", report="R3", recorded="2x12 joist in 2x6 hanger")
    snapshot = published(firm)
    identity = "hanger_size:2x10-joist-in-2x8-hanger"
    assert list(cases_of_pattern(snapshot, identity)["report_id"]) == ["R1"]
    assert list(cases_of_pattern(snapshot, identity, calls=["passed", "advised"])["report_id"]) == ["R2"]


def test_one_observation_has_its_measures_and_its_rule(firm, published):
    firm.note(
        "hanger_size", "written_up", "acceptable", report="R1", hanger_height_in=7.25, comment="Too small.", **PAIR
    )
    firm.note("joist_gap", "passed", "cannot_tell", report="R2", missing=["joist_gap_in"])
    snapshot = published(firm)
    found = case(snapshot, "R1:1")
    assert found.facts["comment"] == "Too small."
    assert found.facts["outcome"] == "overcalled"
    assert found.facts["inspected_on"] == date(2026, 5, 1)
    assert found.facts["place"] is None
    assert "hanger_height_in" not in found.facts
    assert list(found.measures["measure"]) == ["joist_nominal", "hanger_nominal", "hanger_height_in"]
    assert list(found.measures["value"]) == ["2x10", "2x8", 7.25]
    assert list(found.measures["unit"]) == [None, None, "in"]
    assert found.criterion is not None
    assert found.criterion["criterion_id"] == "hanger_size_rule"
    open_case = case(snapshot, "R2:2")
    assert open_case.facts["missing"] == ["joist_gap_in"]
    assert open_case.measures.empty
    assert open_case.criterion is None


def test_an_unknown_observation_is_said_to_be_unknown(firm, published):
    with pytest.raises(UnknownObservation, match="no observation 'R9:9'"):
        case(published(firm), "R9:9")
