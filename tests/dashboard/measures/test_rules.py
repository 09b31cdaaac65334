"""The rules as they decided, by hand; how much of the catalog is judged, held to the sample catalog of the builders."""

from __future__ import annotations

from dashboard.filters import Filters
from dashboard.measures.catalog import measures_of
from dashboard.measures.rules import Coverage, coverage, listed, rules


def decided(snapshot, filters=None):
    found = rules(snapshot, filters or Filters()).set_index("criterion_id")
    return found.loc["joist_gap_rule", ["decided", "defect", "acceptable", "judgment"]].tolist()


def test_a_trial_counts_once_by_the_strongest_that_the_rule_said_of_its_places(firm, published):
    for verdict in ("acceptable", "judgment", "defect"):
        firm.note("joist_gap", "passed", verdict, report="R1")
    for verdict in ("acceptable", "judgment"):
        firm.note("joist_gap", "written_up", verdict, report="R2")
    firm.note("joist_gap", "advised", "acceptable", report="R3")
    firm.note("joist_gap", "passed", "cannot_tell", report="R4")
    assert decided(published(firm)) == [3, 1, 1, 1]


def test_what_was_not_seen_is_not_decided(firm, published):
    firm.note("joist_gap", "not_seen", "defect").note("joist_gap", "passed", "defect", region="Flats")
    snapshot = published(firm)
    assert decided(snapshot) == [1, 1, 0, 0]
    assert decided(snapshot, Filters(regions=("Ridge",))) == [0, 0, 0, 0]


def test_two_rules_that_settled_places_of_one_trial_both_count(firm, published):
    firm.note("joist_gap", "passed", "defect", report="R1")
    firm.note("joist_gap", "passed", "acceptable", report="R1", criterion_id="hanger_size_rule")
    found = rules(published(firm)).set_index("criterion_id")["decided"]
    assert (found["joist_gap_rule"], found["hanger_size_rule"], found["guard_height_rule"]) == (1, 1, 0)


def test_the_topics_are_judged_counted_or_waiting(firm, published):
    # The builders' catalog: three topics with a rule, footing_depth waits for its rule, other is counted only.
    assert coverage(published(firm)) == Coverage(topics=5, judged=3, counted=1, waiting=1, rules=3)


def test_the_list_of_everything_has_a_row_for_a_topic_without_a_rule(firm, published):
    found = listed(published(firm.note("joist_gap", "passed", "defect")))
    assert list(found["topic"]) == ["hanger_size", "joist_gap", "guard_height", "footing_depth", "other"]
    assert found["criterion_id"].isna().tolist() == [False, False, False, True, True]
    assert found["decided"].tolist()[:3] == [0, 1, 0]


def test_only_what_is_recorded_is_a_measure_of_a_topic(tmp_path):
    """Against the shipped catalog: a derived value (joist_depth) is named by a rule of hanger_size, and is no measure."""
    from dashboard.warehouse import Snapshot
    from etl.load import load

    file = tmp_path / "in.csv"
    file.write_text(
        "report_id,inspected_on,inspector_id,region,observation_no,topic,call\nR1,2026-03-04,I1,Ridge,1,joist_gap,passed\n",
        encoding="utf-8",
    )
    load([str(file)], tmp_path / "warehouse")
    with Snapshot.open(tmp_path / "warehouse") as snapshot:
        found = list(measures_of(snapshot, "hanger_size")["measure"])
    assert found == [
        "joist_nominal",
        "joist_depth_in",
        "joist_plies",
        "hanger_nominal",
        "hanger_height_in",
        "hanger_plies",
    ]
