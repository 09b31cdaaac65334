"""Second looks, rounds, sessions and staff: recognized, counted, refused; a person's ruling stands above the rule."""

from __future__ import annotations

import json
from pathlib import Path

import openpyxl
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from etl import contract
from etl.input_tables import FURTHER, recognized
from etl.what_if import what_if
from tests.etl.conftest import make_look, make_row
from tests.etl.test_counting import counts
from tests.etl.test_load_properties import RELAXED, accounted_for, new_firm

REPORT = [
    make_row(call="written_up", joist_gap_in="1/16"),
    make_row(observation_no="2", joist_gap_in="3/4"),
    make_row(observation_no="3", call="not_seen"),
]
ROWS = {
    "second_looks": make_look(reason="The photo shows it."),
    "rounds": {"round_id": "C1", "held_on": "2026-02-01", "item_id": "7", "topic": "joist_gap", "inspector_id": "AB",
               "call": "passed", "observation_id": "R1:2", "known_verdict": "defect"},
    "sessions": {"session_id": "T1", "held_on": "2026-02-01", "topic": "joist_gap", "inspector_id": "AB", "hours": "1 1/2"},
    "staff": {"inspector_id": "AB", "display_name": "Alba", "started_on": "1985-06-01", "office": "Ridge",
              "role": "inspector", "email": "alba@qwertz.example"},
}  # fmt: skip


def said(firm, columns="verdict, basis, outcome"):
    """What is said of the report's observations, in their order."""
    return firm.query(f"select {columns} from outcomes order by observation_id")


def stored(firm, table):
    (row,) = firm.query(f"select * from {table}")
    return row


@pytest.fixture
def looked_at(firm):
    """A firm of one report; what is loaded beside it are second looks, each given by its facts."""
    firm.load_rows(REPORT)

    def load_looks(*looks, **options):
        return firm.load_rows([make_look(**facts) for facts in looks], "looks.csv", **options)

    return load_looks


# ---- loading ---------------------------------------------------------------------------------------------------------


def test_each_table_is_recognized_by_its_columns_whatever_else_a_row_has():
    for name, row in ROWS.items():
        assert recognized({*row, "more"}) is FURTHER[name]
        assert recognized(FURTHER[name].required) is (None if name == "staff" else FURTHER[name])
    assert recognized(contract.required_columns()) is None
    assert recognized({*contract.required_columns(), *ROWS["second_looks"], "display_name"}) is None
    # A table of observations that lacks a column is not taken for one of staff: it is told what it lacks.
    assert recognized({"report_id", "observation_no", "call", "inspector_id", "display_name"}) is None


def test_tables_of_all_kinds_and_reports_come_in_one_load_and_again_change_nothing(firm):
    files = [firm.write(f"{name}.csv", [row]) for name, row in ROWS.items()] + [firm.write("zz.csv", REPORT)]
    first, second = firm.load(*files), firm.load(*files)
    assert counts(first) == {"read": 7, "loaded": 7}
    assert counts(second) == {"read": 7, "unchanged": 7}
    assert (first.published, second.published) == (True, False)
    assert (first.second_looks, first.rounds, first.sessions, first.staff) == (1, 1, 1, 1)
    assert [file.rows_loaded for file in first.loads] == [1, 1, 1, 1, 3]


def as_excel(path, row):
    book = openpyxl.Workbook()
    for sheet in (book.active, book.create_sheet("Memo")):
        sheet.append(list(row) if sheet is book.active else ["memo"])
    typed = {
        name: pd.Timestamp(value).to_pydatetime() if name.endswith("_on") else value for name, value in row.items()
    }
    book.active.append(list(typed.values()))
    book.save(path)


WRITERS = {
    "csv": lambda path, row: pd.DataFrame([row]).to_csv(path, index=False, sep=";"),
    "xlsx": as_excel,
    "parquet": lambda path, row: pd.DataFrame([row]).to_parquet(path),
    "json": lambda path, row: path.write_text(json.dumps([row])),
    "jsonl": lambda path, row: path.write_text(json.dumps(row) + "\n"),
}


def test_the_kind_of_file_makes_no_difference(firm):
    """Written in five ways, the first is new and the others bring nothing new; headers are matched in any case."""
    firm.load_rows(REPORT)
    for number, (ending, write) in enumerate(WRITERS.items()):
        files = [firm.folder / f"{table}.{ending}" for table in ROWS]
        for path, row in zip(files, ROWS.values(), strict=True):
            write(path, {name.replace("_", " ").title() if number else name: value for name, value in row.items()})
        summary = firm.load(*map(str, files))
        assert counts(summary) == {"read": 4, "unchanged" if number else "loaded": 4}, ending


def test_rows_stand_among_reports_in_json_and_a_row_without_its_marks_is_one_of_its_file(firm):
    from tests.etl.conftest import document

    look = make_look(reason=None)
    bare = {"report_id": "R1", "observation_no": "2", "client": "Q. Qwertz"}
    summary = firm.load(firm.write("mixed.json", json.dumps([document(REPORT), look, bare, ROWS["staff"]])))
    assert counts(summary) == {"read": 6, "loaded": 5, "rejected": 1}
    assert firm.rejects()[0]["reasons"].count("required: ") == 4
    assert summary.unknown_columns == ["client"]


def test_what_is_not_kept_is_said_and_stored_nowhere(firm):
    bad = {**ROWS["staff"], "inspector_id": "CD", "started_on": "soon"}
    summary = firm.load_rows([ROWS["staff"], bad], "staff.csv")
    assert [notice.rpartition(": ")[2] for notice in summary.notices] == [
        "the column email is known, and its content is not stored"
    ]
    assert counts(summary) == {"read": 2, "loaded": 1, "rejected": 1}
    assert stored(firm, "staff")[1] == "Alba"
    assert not [path for path in firm.warehouse.rglob("*") if path.is_file() and b"qwertz" in path.read_bytes()]


REFUSED = [
    ("second_looks", "ruling", "fine", "not_listed: ruling 'fine' is not one of defect, acceptable, cannot_tell"),
    ("second_looks", "chosen", " ", "required: chosen is blank; every row needs it"),
    ("second_looks", "looked_on", "4 March", "not_a_date: looked_on '4 March' is not a date; write it as 2026-03-04"),
    ("second_looks", "looked_on", "2026-11-27", "out_of_range: looked_on '2026-11-27' is not between 1990-01-01 and tomorrow"),
    ("rounds", "known_verdict", "cannot tell", "not_listed: known_verdict 'cannot tell' is not one of defect, acceptable"),
    ("rounds", "topic", "joists", "not_listed: topic 'joists' is not one of ledger_wall, "),
    ("sessions", "hours", "two", "not_a_number: hours 'two' is not a number; write 0.25, 1/4 or 1-1/2"),
    ("sessions", "hours", "500", "out_of_range: hours '500' is not between 0 and 200 hours"),
    ("staff", "started_on", "1905-01-01", "out_of_range: started_on '1905-01-01' is not between 1940-01-01 and tomorrow"),
    ("staff", "office", "x" * 201, "too_long: office is longer than 200 characters; shorten it"),
]  # fmt: skip


def test_a_value_against_the_contract_refuses_its_row_by_file_row_and_column(firm):
    files = [firm.write("report.csv", REPORT)]
    for name, row in ROWS.items():
        bad = [row | {column: value} for table, column, value, _ in REFUSED if table == name]
        files.append(firm.write(f"{name}.csv", [row, *bad]))
    summary = firm.load(*files)
    assert counts(summary) == {"read": 7 + len(REFUSED), "loaded": 7, "rejected": len(REFUSED)}
    for refused, (table, column, value, reason) in zip(firm.rejects(), REFUSED, strict=True):
        assert refused["table"] == table
        assert refused["file"].endswith(f"{table}.csv")
        assert refused["row"] == 3 + [each for each in REFUSED if each[0] == table].index(
            (table, column, value, reason)
        )
        assert refused["reasons"].startswith(reason)
        assert refused[column] == value


def test_a_look_at_what_is_not_there_is_refused_until_it_is(firm):
    look = [make_look(observation_no="9"), make_look(observation_no="9"), make_look()]
    assert counts(firm.load_rows(look, "looks.csv")) == {"read": 3, "rejected": 3}
    assert {each["reasons"].split(":")[0] for each in firm.rejects()} == {"unknown_observation"}
    # The reports of the same load count, but not those of their rows that are refused.
    firm.write("report.csv", [*REPORT, make_row(observation_no="9", joist_gap_in="wide")])
    summary = firm.load(str(firm.folder / "looks.csv"), str(firm.folder / "report.csv"))
    assert counts(summary) == {"read": 7, "loaded": 4, "rejected": 3}
    assert firm.query("select observation_id from second_looks") == [("R1:1",)]
    # A refused look is no missing row of its report.
    assert firm.query("select rows_refused from reports") == [(1,)]


def test_a_row_of_a_key_that_is_there_takes_its_place_and_different_ones_in_one_load_are_refused(looked_at, firm):
    looked_at({"ruling": "defect"}, {"observation_no": "2"})
    assert counts(looked_at({"reason": "Now with a photo."})) == {"read": 1, "replaced": 1}
    assert firm.query("select ruling, reason from second_looks where observation_no = '1'") == [
        ("acceptable", "Now with a photo.")
    ]
    summary = looked_at(
        {"ruling": "defect"}, {"ruling": "acceptable"}, {"observation_no": "2"}, {"observation_no": "2"}
    )
    assert counts(summary) == {"read": 4, "unchanged": 2, "rejected": 2}
    assert all(each["reasons"].startswith("duplicate_row: the row of report_id R1, ") for each in firm.rejects())
    firm.load_rows([ROWS["staff"]], "staff.csv")
    assert counts(firm.load_rows([ROWS["staff"] | {"office": "Flats"}], "staff.csv")) == {"read": 1, "replaced": 1}
    assert stored(firm, "staff")[3] == "Flats"


def test_strict_publishes_nothing_where_a_look_is_refused(looked_at, firm):
    summary = looked_at({}, {"observation_no": "9"}, strict=True)
    assert (summary.published, summary.strict_refused, summary.exit_code) == (False, True, 1)
    assert firm.query("select count(*) from second_looks") == [(0,)]


def test_refused_rows_of_several_tables_go_back_in_one_file_once_they_are_mended(firm):
    bad = [
        firm.write("a.csv", [*REPORT, make_row(observation_no="4", joist_gap_in="wide", comment="=1")]),
        firm.write("b.csv", [make_look(ruling="fine", reason="=1"), make_look(observation_no="2")]),
        firm.write("c.csv", "round_id,item_id,topic,inspector_id,call,held_on\nC1,7,joist_gap,AB\n"),
    ]
    firm.load(*bad)
    assert firm.query("select input_table, report_id from refused order by 1") == [
        ("observations", "R1"), ("rounds", None), ("second_looks", None)
    ]  # fmt: skip
    mended = [
        {**each, "joist_gap_in": "1/4", "ruling": "defect", "call": each["call"] or "passed", "held_on": "2026-02-01"}
        for each in firm.rejects()
    ]
    summary = firm.load_rows(mended, "mended.csv", mend=True)
    assert counts(summary) == {"read": 3, "loaded": 2, "replaced": 1}
    assert summary.unknown_columns == []
    assert firm.query("select count(*) from refused") == [(0,)]
    assert firm.query("select ruling from second_looks order by observation_no") == [("defect",), ("acceptable",)]


def test_a_refused_row_is_outstanding_until_its_key_comes_again(looked_at, firm):
    looked_at({"ruling": "fine"}, {"observation_no": "2"})
    looked_at({"ruling": "finer"}, {"observation_no": "3"})
    assert firm.query("select received['ruling'] from refused") == [("finer",)]
    looked_at({})
    assert firm.query("select count(*) from refused") == [(0,)]


# ---- what a second look changes --------------------------------------------------------------------------------------


#: The outcomes are those of the table in the product's description, typed here.
OUTCOMES = {
    ("written_up", "defect"): "upheld", ("written_up", "acceptable"): "overcalled", ("written_up", "cannot_tell"): "undecided",
    ("referred", "defect"): "upheld", ("referred", "acceptable"): "cleared", ("referred", "cannot_tell"): "undecided",
    ("advised", "defect"): "understated", ("advised", "acceptable"): "cleared", ("advised", "cannot_tell"): "undecided",
    ("passed", "defect"): "missed", ("passed", "acceptable"): "cleared", ("passed", "cannot_tell"): "undecided",
    ("not_seen", "defect"): "not_seen", ("not_seen", "acceptable"): "not_seen", ("not_seen", "cannot_tell"): "not_seen",
}  # fmt: skip


def test_the_ruling_is_the_verdict_with_or_without_a_rule(firm):
    rows, looks = [], []
    for topic in ("joist_gap", "deck_sway"):
        for call, ruling in OUTCOMES:
            report = f"{topic} {call} {ruling}"
            rows.append(make_row(report_id=report, topic=topic, call=call, joist_gap_in="1/16"))
            looks.append(make_look(report_id=report, ruling=ruling))
    firm.load(firm.write("looks.csv", looks), firm.write("rows.csv", rows))
    found = {row[0]: row[1:] for row in said(firm, "report_id, verdict, basis, outcome, criterion_id, second_look")}
    trials = {
        row[0]: row[1:]
        for row in firm.query(
            "select report_id, verdict, looked, judged, defect, missed, overcalled, upheld from trials"
        )
    }
    assert len(found) == len(trials) == 30
    for (call, ruling), outcome in OUTCOMES.items():
        for topic in ("joist_gap", "deck_sway"):
            report, seen = f"{topic} {call} {ruling}", call != "not_seen"
            assert found[report] == (ruling, "second_look", outcome, None, False)
            flags = [outcome == name for name in ("missed", "overcalled", "upheld")]
            judged, defect = seen and ruling != "cannot_tell", seen and ruling == "defect"
            assert trials[report] == (ruling if seen else None, "random", judged, defect, *flags), report


def test_the_reason_says_how_and_when_a_person_looked_and_not_who(looked_at, firm):
    looked_at(
        {"reason": "The photo shows it."},
        {"observation_no": "2", "chosen": "targeted", "ruling": "cannot tell"},
        {"observation_no": "3", "chosen": "dispute", "ruling": "defect", "looked_on": "2026-10-12"},
    )
    assert said(firm, "reason") == [
        ("A person looked again (random look, 1 Apr 2026): acceptable. The photo shows it.",),
        ("A person looked again (targeted look, 1 Apr 2026): cannot be told.",),
        ("A person looked again (look after a dispute, 12 Oct 2026): a defect.",),
    ]


def test_a_load_of_looks_alone_publishes_and_its_summary_counts_what_stands(looked_at, firm):
    summary = looked_at({"observation_no": "2", "ruling": "acceptable"})
    assert (summary.published, summary.snapshot) == (True, "0002")
    assert (summary.outcomes["missed"], summary.outcomes["cleared"], summary.outcomes["overcalled"]) == (0, 1, 1)
    assert firm.query("select verdict, outcome from recorded order by observation_id")[1] == ("defect", "missed")
    assert not looked_at({"observation_no": "2", "ruling": "acceptable"}).published


def test_what_was_due_for_a_second_look_is_settled_by_it(firm):
    row = make_row(
        call="written_up", joist_gap_in="1/16", comment="The hanger is rusted through and the joist is split."
    )
    firm.load_rows([row])
    assert said(firm, "outcome, second_look") == [("undecided", True)]
    firm.load_rows([make_look(ruling="defect", chosen="targeted")], "looks.csv")
    assert said(firm, "outcome, second_look") == [("upheld", False)]


def test_the_newest_look_stands_whatever_the_order_of_loading(firm):
    looks = [
        make_look(looked_by="B", looked_on="2026-04-01", ruling="defect", chosen="random"),
        make_look(looked_by="A", looked_on="2026-06-01", ruling="acceptable", chosen="targeted"),
        make_look(looked_by="Z", looked_on="2026-06-01", ruling="cannot_tell", chosen="dispute"),
    ]
    for order in (looks, looks[::-1]):
        other = new_firm()
        for number, each in enumerate(order):
            other.load(other.write("report.csv", REPORT), other.write(f"look{number}.csv", [each]))
        assert said(other, "verdict")[0] == ("cannot_tell",)
        # Drawn at random once, it belongs to the draw, whatever was asked of it later.
        assert other.query("select looked from trials") == [("random",)]


def test_a_look_stays_when_its_observation_goes_and_finds_it_when_it_is_back(looked_at, firm):
    looked_at({"observation_no": "2", "ruling": "acceptable"})
    firm.load_rows(REPORT[:1])
    assert firm.query("select count(*) from second_looks") == [(1,)]
    assert firm.query("select looked from trials") == [(None,)]
    assert counts(looked_at({"observation_no": "2", "ruling": "acceptable"})) == {"read": 1, "unchanged": 1}
    firm.load_rows(REPORT)
    assert said(firm, "verdict")[1] == ("acceptable",)


def test_a_change_of_the_rules_passes_under_a_look_and_comes_up_when_the_look_is_replaced(firm):
    post = {"topic": "guard_post", "guard_post_fixing": "bolts", "guard_post_notched": "true", "post_nominal": "4x4"}
    rows = [make_row(observation_no=number, deck_built_year="2023", **post) for number in "12"]
    firm.load_rows(rows)
    firm.load_rows([make_look(ruling="acceptable")], "looks.csv")
    (firm.warehouse / "firm.toml").write_text("[adopted]\n2021 = 2024\n")
    assert what_if(firm.warehouse).flips == 1
    assert firm.load_rows(rows).flips == 1
    assert said(firm, "verdict") == [("acceptable",), ("judgment",)]
    assert firm.query("select verdict from recorded order by observation_id") == [("judgment",), ("judgment",)]


def test_places_of_a_trial_count_together_and_the_age_of_the_deck_goes_with_it(firm):
    deck = {"deck_built_year": "2006", "topic": "deck_sway"}
    firm.load_rows(
        [
            make_row(observation_no="1", deck_built_basis="estimate", **deck),
            make_row(observation_no="2", call="written_up", **deck),
            make_row(report_id="R2"),
        ]
    )
    columns = (
        "verdict, judged, missed, overcalled, looked, deck_age_years, age_estimated from trials order by report_id"
    )
    before = [(None, False, False, False, None, 20, True), ("cannot_tell", False, False, False, None, None, False)]
    assert firm.query(f"select {columns}") == before
    firm.load_rows(
        [make_look(ruling="defect", chosen="dispute"), make_look(observation_no="2", chosen="targeted")], "looks.csv"
    )
    # What was chosen for what it would show stands in the outcomes, and a trial is what rates count.
    assert firm.query("select verdict, outcome from outcomes where report_id = 'R1' order by observation_id") == [
        ("defect", "missed"),
        ("acceptable", "overcalled"),
    ]
    assert firm.query(f"select {columns}")[0] == (None, False, False, False, "targeted", 20, True)
    drawn = {"chosen": "random", "looked_on": "2026-04-02"}
    firm.load_rows([make_look(ruling="defect", **drawn), make_look(observation_no="2", **drawn)], "drawn.csv")
    assert firm.query(f"select {columns}")[0] == ("defect", True, True, True, "random", 20, True)


# ---- whatever is written ---------------------------------------------------------------------------------------------

look = st.builds(
    lambda report, number, by, on, chosen, ruling: make_look(
        report_id=report, observation_no=number, looked_by=by, looked_on=on, chosen=chosen, ruling=ruling
    ),
    st.sampled_from(["R1", "R2", ""]),
    st.sampled_from("1239"),
    st.sampled_from(["L1", "L2"]),
    st.sampled_from(["2026-04-01", "2026-04-01 10:00", "April"]),
    st.sampled_from(["random", "Targeted", "dispute", "chance"]),
    st.sampled_from(["defect", "cannot tell", "acceptable", ""]),
)
round_call = st.builds(
    lambda item, who, call: ROWS["rounds"] | {"item_id": item, "inspector_id": who, "call": call},
    st.sampled_from(["1", "2", ""]),
    st.sampled_from(["AB", "CD"]),
    st.sampled_from(["passed", "written up", "maybe"]),
)
member = st.builds(
    lambda who, office: ROWS["staff"] | {"inspector_id": who, "office": office},
    st.sampled_from(["AB", "CD", " "]),
    st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0\r"), max_size=5),
)


@RELAXED
@given(
    st.lists(look, max_size=8),
    st.lists(round_call, max_size=5),
    st.lists(member, max_size=4),
    st.sampled_from(["csv", "jsonl"]),
)
def test_any_mixture_of_good_and_bad_rows_adds_up_and_again_changes_nothing(looks, calls, staff, ending):
    firm = new_firm()
    files = [firm.write("report.csv", REPORT)]
    for name, rows in {"looks": looks, "calls": calls, "staff": staff}.items():
        if rows:
            lines = "\n".join(map(json.dumps, rows))
            files.append(firm.write(f"{name}.{ending}", lines if ending == "jsonl" else rows))
    first = firm.load(*files)
    rejects = firm.rejects()
    second = firm.load(*files)
    assert first.rows_read == len(REPORT) + len(looks) + len(calls) + len(staff)
    assert accounted_for(first)
    assert all(accounted_for(file) for file in first.loads)
    assert len(rejects) == first.rows_rejected
    assert first.rows_loaded == 3 + first.second_looks + first.rounds + first.staff
    assert (second.published, second.rows_rejected) == (False, first.rows_rejected)
    assert second.rows_unchanged == first.rows_loaded + first.rows_unchanged
    # Reading the refused rows back as they are refuses them again, for the same reasons, but for rows that differed.
    if rejects:
        again = firm.load_rows(rejects, "again.csv", mend=True)
        assert (again.rows_read, again.rows_rejected) == (len(rejects), len(rejects))


def test_the_folder_of_a_firm_is_read_in_any_order(firm):
    """Looks whose file comes before that of their report are compared after all files are read."""
    folder = Path(firm.write("in/a_looks.csv", [make_look()])).parent
    firm.write("in/b_report.csv", REPORT)
    assert counts(firm.load(str(folder))) == {"read": 4, "loaded": 4}
