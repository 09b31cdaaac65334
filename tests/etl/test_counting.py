"""Every row read is counted once, by its report: new, replaced, unchanged or refused."""

from __future__ import annotations

import duckdb
import pytest

from tests.etl.conftest import csv_text


def counts(summary):
    return {
        name: getattr(summary, f"rows_{name}")
        for name in ("read", "loaded", "replaced", "unchanged", "rejected")
        if getattr(summary, f"rows_{name}")
    }


def test_a_new_report_is_loaded_and_published(firm, row):
    summary = firm.load_rows([row(observation_no="1"), row(observation_no="2", call="written_up")])
    assert counts(summary) == {"read": 2, "loaded": 2}
    assert (summary.snapshot, summary.published, summary.exit_code) == ("0001", True, 0)
    assert firm.query("select observation_id from observations order by 1") == [("R1:1",), ("R1:2",)]


def test_the_same_report_again_is_unchanged_and_publishes_nothing(firm, row):
    rows = [row(joist_gap_in="1/2"), row(observation_no="2")]
    firm.load_rows(rows)
    summary = firm.load_rows(rows)
    assert counts(summary) == {"read": 2, "unchanged": 2}
    assert (summary.snapshot, summary.published, summary.exit_code) == ("0001", False, 0)
    assert [path.name for path in (firm.warehouse / "snapshots").iterdir()] == ["0001.duckdb"]
    assert [path.name for path in (firm.warehouse / "history").iterdir()] == ["0001.parquet"]


def test_the_format_of_the_file_makes_no_difference_to_a_report(firm, row):
    firm.load_rows([row(joist_gap_in="0.5", deck_built_year="2004", ledger_attached="yes", joist_nominal="2 x 10")])
    same = row(joist_gap_in=0.5, deck_built_year=2004.0, ledger_attached=True, joist_nominal="2X10", observation_no=1)
    assert counts(firm.load_rows([same], "rows.jsonl")) == {"read": 1, "unchanged": 1}


def test_how_a_system_writes_line_ends_makes_no_difference_to_a_comment(firm, row):
    firm.load_rows([row(comment="two\nlines")])
    assert counts(firm.load_rows([row(comment="two\r\nlines")], "again.csv")) == {"read": 1, "unchanged": 1}
    assert counts(firm.load_rows([row(comment="two\r\nlines")], "again.jsonl")) == {"read": 1, "unchanged": 1}


def test_other_content_replaces_the_whole_report_and_the_history_keeps_both(firm, row):
    firm.load_rows([row(), row(observation_no="2"), row(report_id="R2")])
    summary = firm.load_rows([row(call="written_up")])
    assert counts(summary) == {"read": 1, "replaced": 1}
    assert firm.query("select observation_id, call from observations order by 1") == [
        ("R1:1", "written_up"),
        ("R2:1", "passed"),
    ]
    assert firm.query("select report_id, version from reports order by 1") == [("R1", 2), ("R2", 1)]
    history = str(firm.warehouse / "history" / "*.parquet")
    versions = duckdb.sql(f"select version, count(*) from '{history}' where report_id = 'R1' group by 1 order by 1")
    assert versions.fetchall() == [(1, 2), (2, 1)]


def test_a_report_may_come_in_several_files_of_one_load(firm, row):
    first = firm.write("a.csv", [row(observation_no="1")])
    second = firm.write("b.csv", [row(observation_no="2")])
    assert counts(firm.load(first, second)) == {"read": 2, "loaded": 2}
    assert firm.query("select count(*) from reports") == [(1,)]


def test_good_rows_of_a_report_load_and_it_is_marked_incomplete(firm, row):
    summary = firm.load_rows([row(), row(observation_no="2", joist_gap_in="1/4 or so")])
    assert counts(summary) == {"read": 2, "loaded": 1, "rejected": 1}
    assert summary.exit_code == 0
    assert firm.query("select incomplete, rows_refused from reports") == [(True, 1)]


def test_an_observation_repeated_with_equal_content_counts_as_unchanged(firm, row):
    summary = firm.load_rows([row(joist_gap_in="1/2"), row(joist_gap_in="0.50"), row(observation_no="2")])
    assert counts(summary) == {"read": 3, "loaded": 2, "unchanged": 1}


def test_an_observation_repeated_with_other_content_is_refused(firm, row):
    summary = firm.load_rows([row(), row(call="written_up"), row(observation_no="2")])
    assert counts(summary) == {"read": 3, "loaded": 1, "rejected": 2}
    assert {each["reasons"].split(":")[0] for each in firm.rejects()} == {"duplicate_observation"}


def test_ids_that_make_one_observation_id_are_refused_and_the_rest_loads(firm, row):
    summary = firm.load_rows(
        [row(report_id="A:1", observation_no="2"), row(report_id="A", observation_no="1:2"), row(report_id="C:7")]
    )
    assert counts(summary) == {"read": 3, "loaded": 1, "rejected": 2}
    assert all(each["reasons"].startswith("duplicate_observation: report") for each in firm.rejects())


def test_an_id_that_a_report_in_the_warehouse_has_already_is_refused(firm, row):
    firm.load_rows([row(report_id="A:1", observation_no="2")])
    summary = firm.load_rows([row(report_id="A", observation_no="1:2"), row(report_id="B")])
    assert counts(summary) == {"read": 2, "loaded": 1, "rejected": 1}
    assert firm.query("select observation_id from observations order by 1") == [("A:1:2",), ("B:1",)]


@pytest.mark.parametrize("fact", ["inspected_on", "inspector_id", "region", "property_id", "code_basis"])
def test_rows_that_disagree_on_a_fact_of_their_report_are_refused(firm, row, fact):
    values = ("2026-03-04", "2026-03-05") if fact == "inspected_on" else ("this", "that")
    rows = [row(observation_no=str(i), **{fact: value}) for i, value in enumerate(values)]
    summary = firm.load_rows([*rows, row(report_id="R2")])
    assert counts(summary) == {"read": 3, "loaded": 1, "rejected": 2}
    assert all(each["reasons"].startswith("report_disagrees:") and fact in each["reasons"] for each in firm.rejects())


def test_a_blank_fact_disagrees_with_nothing_and_is_filled(firm, row):
    summary = firm.load_rows(
        [row(property_id="P9", builder=""), row(observation_no="2", property_id="", builder="Own")]
    )
    assert counts(summary) == {"read": 2, "loaded": 2}
    assert firm.query("select distinct property_id, deck_id, builder from observations") == [("P9", "P9", "Own")]


def test_two_decks_of_a_report_may_differ_but_one_deck_may_not(firm, row):
    two_decks = [row(deck_id="A", deck_built_year="1990"), row(observation_no="2", deck_id="B", deck_built_year="2010")]
    assert counts(firm.load_rows(two_decks)) == {"read": 2, "loaded": 2}
    one_deck = [
        row(report_id="R2", deck_built_year="1990"),
        row(report_id="R2", observation_no="2", deck_built_year="1991"),
    ]
    assert counts(firm.load_rows(one_deck)) == {"read": 2, "rejected": 2}


def test_blank_rows_are_no_rows_and_do_not_shift_the_numbers_of_others(firm, row):
    text = csv_text([row(), row(observation_no="2", call="maybe")]).splitlines()
    spaced = firm.write("spaced.csv", "\n".join([text[0], "", ",,,,,,", text[1], text[2], ""]))
    summary = firm.load(spaced)
    assert counts(summary) == {"read": 2, "loaded": 1, "rejected": 1}
    assert [each["row"] for each in firm.rejects()] == [5]


def test_strict_publishes_nothing_when_a_row_is_refused(firm, row):
    summary = firm.load_rows([row(), row(observation_no="2", call="maybe")], strict=True)
    assert (summary.published, summary.exit_code) == (False, 1)
    assert not (firm.warehouse / "current").exists()
    assert len(firm.rejects()) == 1


def test_a_load_in_which_nothing_is_good_publishes_nothing(firm, row):
    summary = firm.load_rows([row(region=" ")])
    assert (summary.published, summary.exit_code) == (False, 1)
    assert not (firm.warehouse / "current").exists()


class TestMending:
    def test_mended_rows_go_back_into_their_report_as_a_new_version(self, firm, row):
        firm.load_rows([row(), row(observation_no="2", joist_gap_in="1/4 or so"), row(observation_no="3")])
        mended = [{**each, "joist_gap_in": "1/4"} for each in firm.rejects()]
        summary = firm.load_rows(mended, "mended.csv", mend=True)
        assert counts(summary) == {"read": 1, "replaced": 1}
        assert summary.unknown_columns == []
        assert firm.query("select observation_no, joist_gap_in::double from observations order by 1") == [
            ("1", None),
            ("2", 0.25),
            ("3", None),
        ]
        assert firm.query("select version, incomplete, rows_refused from reports") == [(2, False, 0)]
        assert firm.query("select count(*) from refused") == [(0,)]

    def test_a_mended_row_replaces_just_that_row(self, firm, row):
        firm.load_rows([row(place="left"), row(observation_no="2")])
        firm.load_rows([row(call="written_up")], "mended.csv", mend=True)
        assert firm.query("select observation_no, call, place from observations order by 1") == [
            ("1", "written_up", None),
            ("2", "passed", None),
        ]

    def test_a_mended_row_that_says_what_is_there_changes_nothing(self, firm, row):
        firm.load_rows([row(), row(observation_no="2")])
        summary = firm.load_rows([row()], "mended.csv", mend=True)
        assert counts(summary) == {"read": 1, "unchanged": 1}
        assert not summary.published

    def test_a_mended_row_that_disagrees_with_its_report_is_refused_and_the_report_stays(self, firm, row):
        firm.load_rows([row(), row(observation_no="2")])
        summary = firm.load_rows([row(observation_no="3", region="Flats")], "mended.csv", mend=True)
        assert counts(summary) == {"read": 1, "rejected": 1}
        assert firm.query("select count(*), max(region) from observations") == [(2, "Ridge")]

    def test_a_row_refused_for_want_of_its_report_is_no_longer_outstanding_once_mended(self, firm, row):
        firm.load_rows([row(), row(report_id="", observation_no="2")])
        assert firm.query("select count(*) from refused") == [(1,)]
        mended = [{**each, "report_id": "R1"} for each in firm.rejects()]
        assert counts(firm.load_rows(mended, "mended.csv", mend=True)) == {"read": 1, "replaced": 1}
        assert firm.query("select count(*) from refused") == [(0,)]

    def test_a_row_mended_in_vain_stays_outstanding_once(self, firm, row):
        firm.load_rows([row(), row(report_id="", observation_no="2")])
        mended = [{**each, "report_id": "R1", "call": "maybe"} for each in firm.rejects()]
        mended.append({**mended[0], "row": "", "file": "", "observation_no": "3", "call": "passed"})
        firm.load_rows(mended, "mended.csv", mend=True)
        assert firm.query("select report_id, observation_no from refused") == [("R1", "2")]

    @pytest.mark.parametrize("newest_first", [True, False])
    def test_a_mended_row_leaves_that_of_another_load_of_the_same_file_name_outstanding(self, firm, row, newest_first):
        firm.load_rows([row(report_id="R0"), row(report_id="R1", call="maybe")], "week.csv")
        old = firm.rejects()
        firm.load_rows([row(report_id="R2"), row(report_id="R3", call="maybe")], "week.csv")
        new = firm.rejects()
        assert firm.query("select report_id from refused order by 1") == [("R1",), ("R3",)]
        first, second = (new, old) if newest_first else (old, new)
        firm.load_rows([{**each, "call": "passed"} for each in first], "mended.csv", mend=True)
        assert firm.query("select report_id from refused") == [(second[0]["report_id"],)]
        firm.load_rows([{**each, "call": "passed"} for each in second], "mended.csv", mend=True)
        assert firm.query("select count(*) from refused") == [(0,)]

    def test_the_row_of_a_report_that_never_got_in_founds_it(self, firm, row):
        firm.load_rows([row(report_id="R0"), row(call="maybe")])
        mended = [{**each, "call": "passed"} for each in firm.rejects()]
        assert counts(firm.load_rows(mended, "mended.csv", mend=True)) == {"read": 1, "loaded": 1}

    def test_a_cell_that_was_guarded_against_formulas_comes_back_as_it_was(self, firm, row):
        firm.load_rows([row(comment="fine"), row(observation_no="2", comment="=SUM(A1)", call="maybe")])
        guarded = [{**each, "comment": "'=SUM(A1)", "call": "passed"} for each in firm.rejects()]
        firm.load_rows(guarded, "mended.csv", mend=True)
        assert firm.query("select comment from observations where observation_no = '2'") == [("=SUM(A1)",)]


def test_a_deck_of_unknown_year_is_of_unknown_age_and_one_of_next_year_is_new(firm, row):
    years = {"R1": "", "R2": "2027", "R3": "2026", "R4": "2006"}
    firm.load_rows([row(report_id=report, deck_built_year=year) for report, year in years.items()])
    assert firm.query("select deck_age_years, deck_age from outcomes order by report_id") == [
        (None, "unknown"),
        (0, "under 5"),
        (0, "under 5"),
        (20, "20 to 29"),
    ]
