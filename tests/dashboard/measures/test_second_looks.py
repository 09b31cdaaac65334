"""What a person found on looking again is what the figures count, and what still needs somebody is what nobody saw."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from dashboard import export
from dashboard.filters import EVERYTHING
from dashboard.measures.call_outcomes import call_outcomes
from dashboard.measures.cases import case, cases
from dashboard.measures.contradictions import contradictions
from dashboard.measures.corrections import corrections
from dashboard.measures.patterns import misses, patterns
from dashboard.measures.rates import every_rate
from dashboard.measures.refused import refused_reasons, to_mend
from dashboard.warehouse import Snapshot
from etl.load import load
from etl.rejects import newest_rejects
from tests.dashboard.builders import Firm
from tests.etl.conftest import csv_text, make_look, make_row


def test_a_contradiction_is_none_once_a_person_has_looked(firm, published):
    for ruling in (None, "defect"):
        firm.note("joist_gap", "not_seen", "defect")
        firm.note("joist_gap", "written_up", "acceptable", second_look=True, outcome="undecided")
        if ruling:
            firm.look(ruling).look(ruling, at=-2)
    assert set(contradictions(published(firm))["observation_id"]) == {"R1:1", "R2:2"}


def test_a_defect_that_a_person_found_is_passed_over_with_the_weight_of_its_topic(firm, published):
    firm.rule_weights["guard_height"] = 10
    firm.note("guard_height", "passed", "acceptable").look("defect", "targeted")
    firm.note("guard_height", "passed", "defect").look("acceptable")
    firm.note("other", "passed", None).look("defect")
    snapshot = published(firm)
    found = corrections(snapshot)
    assert [(row.observation_id, row.weight) for row in found.itertuples()] == [("R1:1", 10)]
    assert found["reason"].iloc[0].startswith("A person looked again")


def test_kinds_count_the_ruling_and_topics_without_a_rule_have_none(firm, published):
    firm.many(3, "joist_gap", "written_up", "acceptable", recorded="gap up to 1/8 in").look("defect")
    firm.many(2, "other", "written_up", None, recorded="loose").look("acceptable")
    firm.many(2, "other", "passed", None, recorded="loose").look("defect")
    snapshot = published(firm)
    (pattern,) = patterns(snapshot).itertuples()
    assert (pattern.written_up, pattern.judged, pattern.upheld, pattern.overcalled) == (3, 3, 1, 2)
    assert misses(snapshot).empty


def _calls(firm):
    firm.rule_weights["joist_gap"] = 10
    firm.many(4, "joist_gap", "passed", "cannot_tell", recorded="not measured")
    firm.many(4, "joist_gap", "written_up", "acceptable", recorded="gap up to 1/8 in")
    firm.many(4, "joist_gap", "passed", "defect", recorded="gap 1/2 in or more")
    return firm


@pytest.mark.parametrize("chosen", ["random", "targeted", "dispute"])
def test_no_rate_counts_a_look_that_was_chosen_for_what_it_would_show(chosen, published):
    """Three looks: a pass that nothing decided, a write-up and a pass, each ruled against what the rule says."""
    without, looked = _calls(Firm()), _calls(Firm())
    for at in (0, 4):
        looked.look("defect", chosen, at=at)
    looked.look("acceptable", chosen, at=8)
    before, after = published(without), published(looked)

    def figures(snapshot):
        classes = snapshot.query("call_classes", **EVERYTHING.parameters())
        return [
            table.to_csv()
            for table in (every_rate(snapshot), patterns(snapshot), misses(snapshot), call_outcomes(snapshot), classes)
        ]

    changed = [told != was for told, was in zip(figures(after), figures(before), strict=True)]
    assert changed == [chosen == "random"] * 5
    # The case itself, and what is to be put right in reports, are as the person ruled.
    assert [case(after, f"R{report}:{report}").facts["outcome"] for report in (1, 5, 9)] == [
        "missed",
        "upheld",
        "cleared",
    ]
    assert "R1:1" in set(corrections(after)["observation_id"])
    assert "R9:9" not in set(corrections(after)["observation_id"])
    # Behind a number stand the cases that it counts.
    counted = set(cases(after, outcomes=["missed"])["observation_id"])
    assert ("R1:1" in counted, "R9:9" in counted) == ((True, False) if chosen == "random" else (False, True))


def test_a_case_holds_what_stands_and_what_the_rule_says_alone(firm, published):
    firm.note("joist_gap", "passed", "defect", joist_gap_in=0.75).look(
        "acceptable", "dispute", reason="Measured again."
    )
    found = case(published(firm), "R1:1")
    told = {name: found.facts[name] for name in ("verdict", "outcome", "basis", "ruled", "chosen", "criterion_id")}
    assert told == {
        "verdict": "acceptable",
        "outcome": "cleared",
        "basis": "second_look",
        "ruled": "defect",
        "chosen": "dispute",
        "criterion_id": None,
    }
    assert found.criterion is None
    assert found.recorded == {"joist_gap_in": 0.75}


def test_refused_rows_of_all_tables_are_mended_from_one_list_that_is_the_commands(tmp_path: Path):
    (tmp_path / "rows.csv").write_text(csv_text([make_row(), make_row(observation_no="2", joist_gap_in="wide")]))
    (tmp_path / "looks.csv").write_text(csv_text([make_look(ruling="fine"), make_look(observation_no="9")]))
    load([str(tmp_path / "rows.csv"), str(tmp_path / "looks.csv")], tmp_path / "warehouse")
    with Snapshot.open(tmp_path / "warehouse") as snapshot:
        page, why = to_mend(snapshot), refused_reasons(snapshot)
    told, command = io.StringIO(), io.StringIO()
    export.write_csv(page, told)
    export.write_csv(newest_rejects(tmp_path / "warehouse").to_pandas(), command)
    assert sorted(told.getvalue().splitlines()) == sorted(command.getvalue().splitlines())
    assert page["table"].tolist() == ["second_looks", "second_looks", "observations"]
    assert {(row.reason, row.example) for row in why.itertuples() if row.reason == "not_listed"} == {
        ("not_listed", "fine")
    }
    assert set(why["reason"]) == {"not_a_number", "not_listed", "unknown_observation"}
    assert why.set_index("reason").loc["not_listed", "column"] == "ruling"
