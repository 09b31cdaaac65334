"""The cases behind a missing measure are those that its count counts."""

from __future__ import annotations

import pytest

from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.missing import cases_without, missing_measures


@pytest.fixture
def lacking(firm, published):
    gap = {"missing": ["joist_gap_in"]}
    firm.note("joist_gap", "passed", report="R1", **gap).note("joist_gap", "written_up", report="R1", **gap)
    firm.note("joist_gap", "passed", report="R2", region="Flats", **gap)
    firm.note("joist_gap", "passed", report="R3", **gap).note("joist_gap", "passed", "defect", report="R3")
    firm.note("joist_gap", "not_seen", report="R4", **gap)
    firm.note("hanger_size", "passed", report="R5", missing=["joist_gap_in", "hanger_height_in"])
    return published(firm)


def test_the_cases_are_those_of_the_trials_that_are_counted(lacking):
    for row in missing_measures(lacking).to_dict("records"):
        found = cases_without(lacking, row["topic"], row["measure"])
        assert found["report_id"].nunique() == row["undecided"], row
        assert set(found["outcome"]) == {"undecided"}
    assert list(cases_without(lacking, "joist_gap", "joist_gap_in")["report_id"]) == ["R1", "R1", "R2"]


def test_filters_pages_and_one_alone(lacking):
    asked = ("joist_gap", "joist_gap_in")
    assert list(cases_without(lacking, *asked, Filters(regions=("Flats",)))["report_id"]) == ["R2"]
    page = cases_without(lacking, *asked, most=1, skip=2)
    assert (list(page["report_id"]), list(page["in_all"])) == (["R2"], [3])
    assert list(cases_without(lacking, *asked, only="R1:2")["observation_id"]) == ["R1:2"]
    assert cases_without(lacking, *asked, only="R3:4").empty


def test_they_have_the_columns_of_all_other_cases(lacking):
    assert set(cases_without(lacking, "joist_gap", "joist_gap_in").columns) == set(cases(lacking).columns)
