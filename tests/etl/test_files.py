"""Files as firms have them: each kind is understood by a rule that is written down, or refused with a sentence."""

from __future__ import annotations

import io
import json
import zipfile
from datetime import date, datetime

import openpyxl
import pandas as pd
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from etl.errors import UsageError
from tests.etl.conftest import csv_text, document, make_row

ROWS = [make_row(comment="réparé “so”", joist_gap_in="0.5"), make_row(observation_no="2", call="written_up")]


def problem_of(summary):
    return [file.problem for file in summary.loads]


@pytest.mark.parametrize(
    ("encoding", "expected"),
    [("utf-8", []), ("utf-8-sig", []), ("utf-16", ["UTF-16"]), ("cp1252", ["Windows-1252"])],
)
def test_encodings_of_text_are_recognized(firm, encoding, expected):
    summary = firm.load(firm.write("rows.csv", csv_text(ROWS).encode(encoding)))
    assert summary.rows_loaded == 2
    assert [notice.rsplit(" ", 1)[1] for notice in summary.notices] == expected
    assert firm.query("select comment from observations where comment is not null") == [("réparé “so”",)]


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_delimiters_and_line_ends_are_found_by_the_header(firm, delimiter, line_end):
    text = csv_text(ROWS, delimiter).replace("\n", line_end)
    assert firm.load(firm.write("rows.csv", text.encode())).rows_loaded == 2


def test_a_decimal_comma_is_read_where_it_cannot_be_a_thousands_mark(firm):
    written = {"1": "0,5", "2": "9,25", "3": "0,125", "4": "1,250"}
    rows = [make_row(observation_no=number, joist_gap_in=text) for number, text in written.items()]
    summary = firm.load(firm.write("rows.csv", csv_text(rows, ";")))
    assert firm.query("select observation_no, joist_gap_in::double from observations order by 1") == [
        ("1", 0.5),
        ("2", 9.25),
        ("3", 0.125),
    ]
    assert summary.rows_rejected == 1


@pytest.mark.parametrize(
    ("written", "inches"),
    [
        ("36", 36), ("36.0", 36), (" 36 ", 36), ('36"', 36), ("36 in", 36), ("36 in.", 36), (".5", 0.5), ("1e1", 10),
        ("1/2", 0.5), ("1-1/2", 1.5), ("1 1/2", 1.5), ('1 1/2"', 1.5), ("½", 0.5), ("1½", 1.5), ("1 ½", 1.5), ("3/16", 0.1875),
    ],
)  # fmt: skip
def test_the_ways_to_write_inches(firm, written, inches):
    firm.load_rows([make_row(topic="guard_height", guard_height_in=written)])
    assert firm.query("select guard_height_in::double from observations") == [(inches,)]


@pytest.mark.parametrize("written", ["2x10", "2 x 10", "2X10", "2×10", '2"x10"', " 2 × 10 "])
def test_the_ways_to_write_a_size(firm, written):
    firm.load_rows([make_row(joist_nominal=written)])
    assert firm.query("select joist_nominal from observations") == [("2x10",)]


@pytest.mark.parametrize(
    ("written", "value"), [("TRUE", True), ("yes", True), ("1", True), ("No", False), ("0", False)]
)
def test_the_ways_to_write_yes_and_no(firm, written, value):
    firm.load_rows([make_row(joist_angled=written)])
    assert firm.query("select joist_angled from observations") == [(value,)]


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({"report_id": ""}, "required"),
        ({"inspected_on": "03/04/2026"}, "not_a_date"),
        ({"inspected_on": "2026-02-30"}, "not_a_date"),
        ({"inspected_on": "2026-11-27"}, "out_of_range"),
        ({"inspected_on": "1989-12-31"}, "out_of_range"),
        ({"topic": "hangers"}, "not_listed"),
        ({"call": "maybe"}, "not_listed"),
        ({"consequence": "4"}, "out_of_range"),
        ({"consequence": "1.5"}, "not_an_integer"),
        ({"photo_count": "-1"}, "out_of_range"),
        ({"joist_angled": "perhaps"}, "not_yes_or_no"),
        ({"joist_nominal": "2 by 10"}, "not_a_size"),
        ({"guard_height_in": "3600"}, "out_of_range"),
        ({"guard_height_in": "nan"}, "not_a_number"),
        ({"guard_height_in": "1_000"}, "not_a_number"),
        ({"guard_height_in": "1/0"}, "not_a_number"),
        ({"deck_built_year": "2028"}, "built_after_inspection"),
        ({"inspector_id": "x" * 201}, "too_long"),
    ],
)
def test_a_value_that_is_not_of_its_kind_refuses_the_row_with_a_sentence(firm, facts, code):
    bad = make_row(**{"observation_no": "2", **facts})
    for name in ("rows.csv", "rows.jsonl"):
        firm.load_rows([make_row(report_id="R2"), bad], name)
        (reject,) = firm.rejects()
        assert reject["reasons"].startswith(f"{code}: {next(iter(facts))}")


def test_a_refused_row_tells_its_file_its_row_and_what_was_received(firm):
    path = firm.write("rows.csv", [make_row(), make_row(observation_no="2", joist_gap_in=" 1/4 or so", call="Maybe")])
    firm.load(path)
    (reject,) = firm.rejects()
    assert (reject["file"], reject["row"]) == (path, 3)
    assert reject["joist_gap_in"] == " 1/4 or so"
    assert "call 'Maybe' is not one of written_up, referred" in reject["reasons"]
    assert "joist_gap_in '1/4 or so' is not a number of inches" in reject["reasons"]


def test_a_row_of_another_width_is_refused_and_the_others_load(firm):
    lines = csv_text([make_row(observation_no=str(i)) for i in range(4)]).splitlines()
    lines[2] += ",more"
    lines[3] = "R1,2026-03-04"
    summary = firm.load(firm.write("rows.csv", "\n".join(lines)))
    assert (summary.rows_read, summary.rows_loaded, summary.rows_rejected) == (4, 2, 2)
    assert [(each["row"], each["reasons"].split(":")[0]) for each in firm.rejects()] == [
        (3, "wrong_width"),
        (4, "wrong_width"),
    ]


def test_an_inch_mark_within_a_cell_and_a_stray_quote(firm):
    head = "report_id,inspected_on,inspector_id,region,observation_no,topic,call,comment\n"
    start = "R1,2026-03-04,AB,Ridge,{},joist_gap,passed,"
    good = start.format(1) + 'gap 5/8" at NE\n'
    stray = start.format(2) + '"gap "wide" here"\n'
    summary = firm.load(firm.write("rows.csv", head + good + stray + start.format(3) + '"said ""tight"""\n'))
    assert (summary.rows_loaded, summary.rows_rejected) == (2, 1)
    assert firm.query("select comment from observations order by 1") == [('gap 5/8" at NE',), ('said "tight"',)]
    assert firm.rejects()[0]["reasons"].startswith("not_readable: a quote within quoted text must be doubled")


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("rows.csv", b"", "it is empty"),
        ("rows.csv", b"\n\n", "it is empty"),
        ("rows.csv", b"a,b\n1,2\n", "it lacks the columns report_id, inspected_on"),
        ("rows.csv", csv_text(ROWS).replace("call", "region", 1).encode(), "the column region stands twice"),
        ("rows.csv", csv_text(ROWS).encode() + b'"never closed', "a quote opened in line 4 is never closed"),
        ("rows.csv", csv_text(ROWS).encode() + b"\x00", "it holds NUL bytes"),
        ("rows.csv", csv_text(ROWS).encode("cp1252") + b"\x81", "neither UTF-8, UTF-16 nor Windows-1252"),
        ("rows.xlsx", b"not a workbook", "it is not an XLSX workbook"),
        ("rows.parquet", b"not parquet", "it is not a Parquet file"),
        ("rows.json", b"{", "it is not JSON"),
        ("rows.json", b"", "it is empty"),
        ("rows.pdf", b"%PDF", "files that end in '.pdf' are not read"),
        (
            "looks.csv",
            b"report_id,observation_no,looked_by,looked_on,ruling\n",
            "it lacks the column chosen; every row of a table of second looks needs",
        ),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_by_name_and_the_others_load(firm, name, content, says):
    bad = firm.write(name, content)
    good = firm.write("good.csv", ROWS)
    summary = firm.load(bad, good)
    assert summary.rows_loaded == 2
    assert summary.exit_code == 1
    (file,) = summary.unreadable
    assert file.file == bad
    assert says in file.problem


def test_a_header_without_rows_is_read_and_brings_nothing(firm):
    header = firm.write("header.csv", csv_text(ROWS).splitlines()[0] + "\n")
    summary = firm.load(header, firm.write("good.csv", ROWS))
    assert (summary.rows_read, summary.exit_code) == (2, 0)
    assert firm.load(header).published is False


def test_unknown_columns_are_named_and_their_content_is_stored_nowhere(firm):
    rows = [make_row(client_name="Q. Qwertz"), make_row(observation_no="2", client_name="Q. Qwertz", call="maybe")]
    summary = firm.load_rows(rows)
    assert summary.unknown_columns == ["client_name"]
    written = [path for path in firm.warehouse.rglob("*") if path.is_file()]
    assert written
    assert not [path for path in written if b"Qwertz" in path.read_bytes()]


def test_a_trailing_comma_in_every_line_names_no_column(firm):
    text = csv_text(ROWS).replace("\n", ",\n")
    summary = firm.load(firm.write("rows.csv", text))
    assert (summary.rows_loaded, summary.unknown_columns) == (2, [])


class TestWorkbooks:
    def write(self, firm, rows, epoch=None, name="rows.xlsx"):
        book = openpyxl.Workbook()
        if epoch:
            book.epoch = epoch
        sheet = book.active
        sheet.append(list(rows[0]))
        for each in rows:
            sheet.append(list(each.values()))
        return self.save(firm, book, name)

    def save(self, firm, book, name="rows.xlsx"):
        target = io.BytesIO()
        book.save(target)
        return firm.write(name, target.getvalue())

    @pytest.mark.parametrize(("epoch", "serial"), [(None, 46085), (CALENDAR_MAC_1904, 44623)])
    def test_dates_of_both_date_systems(self, firm, epoch, serial):
        """4 Mar 2026 is day 46085 of the 1900 system and day 44623 of the 1904 one, 1462 days apart (ECMA-376, 18.17.4.1)."""
        cells = [date(2026, 3, 4), datetime(2026, 3, 4, 9, 30), serial, "2026-03-04"]
        rows = [make_row(report_id=f"R{i}", inspected_on=cell) for i, cell in enumerate(cells)]
        summary = firm.load(self.write(firm, rows, epoch))
        assert summary.rows_loaded == 4
        assert firm.query("select distinct inspected_on from observations") == [(date(2026, 3, 4),)]

    def test_numbers_booleans_and_text_cells(self, firm):
        row = make_row(
            report_id="007", observation_no=1, joist_gap_in=0.375, joist_angled=True, ledger_depth_in="9 1/4"
        )
        firm.load(self.write(firm, [row]))
        found = "select report_id, observation_no, joist_gap_in::double, joist_angled, ledger_depth_in::double"
        assert firm.query(f"{found} from observations") == [("007", "1", 0.375, True, 9.25)]

    def test_error_cells_and_formulas_without_a_value_are_told_not_taken_for_blank(self, firm):
        book = openpyxl.Workbook()
        sheet = book.active
        sheet.append(list(make_row(joist_gap_in="", comment="")))
        sheet.append(list(make_row(joist_gap_in="#DIV/0!", comment="").values()))
        sheet.append(list(make_row(observation_no="2", joist_gap_in="=1/8", comment="").values()))
        sheet.append(list(make_row(observation_no="3", call="#N/A", joist_gap_in="", comment="").values()))
        sheet.append(list(make_row(observation_no="4", joist_gap_in=0.5, comment="=SUM(A1)").values()))
        assert (sheet["H2"].data_type, sheet["H3"].data_type) == ("e", "f")
        summary = firm.load(self.save(firm, book))
        assert (summary.rows_loaded, summary.rows_rejected) == (1, 3)
        refused = {each["row"]: each for each in firm.rejects()}
        assert refused[2]["joist_gap_in"] == "#DIV/0!"
        assert "'=1/8' is not a number" in refused[3]["reasons"]
        assert refused[4]["call"] == "#N/A"
        assert firm.query("select joist_gap_in::double, comment from observations") == [(0.5, "=SUM(A1)")]

    def test_a_formula_with_its_value_saved_is_read_by_its_value(self, firm):
        xlsxwriter = pytest.importorskip("xlsxwriter")
        path = firm.folder / "rows.xlsx"
        with xlsxwriter.Workbook(path) as book:
            sheet = book.add_worksheet()
            sheet.write_row(0, 0, [*make_row(), "joist_gap_in"])
            sheet.write_row(1, 0, make_row().values())
            sheet.write_formula(1, len(make_row()), "=1/8", None, 0.125)
        assert firm.load(str(path)).rows_loaded == 1
        assert firm.query("select joist_gap_in::double from observations") == [(0.125,)]

    def test_rows_are_numbered_as_the_sheet_numbers_them(self, firm):
        book = openpyxl.Workbook()
        book.active.append([])
        for each in (list(make_row()), list(make_row().values()), [], list(make_row(call="maybe").values())):
            book.active.append(each)
        path = self.save(firm, book)
        summary = firm.load(path)
        assert (summary.rows_read, summary.rows_loaded) == (2, 1)
        assert [(each["file"], each["row"]) for each in firm.rejects()] == [(path, 5)]

    def test_every_visible_sheet_of_observations_is_read_and_hidden_ones_are_not(self, firm):
        book = openpyxl.Workbook()
        book.active.title = "About"
        book.active.append(["Exported for the office"])
        for name, report in (("North", "R1"), ("South", "R2"), ("Old", "R3")):
            sheet = book.create_sheet(name)
            for cells in (list(make_row()), list(make_row(report_id=report).values())):
                sheet.append(cells)
        book["Old"].sheet_state = "hidden"
        assert firm.load(self.save(firm, book)).rows_loaded == 2
        assert firm.query("select report_id from reports order by 1") == [("R1",), ("R2",)]

    def test_a_sheet_that_claims_more_cells_than_memory_holds_is_refused_and_the_others_load(self, firm):
        """A cell in the first and one in the very last place: a few kilobytes that open to hundreds of gigabytes."""
        book = openpyxl.Workbook()
        book.active["A1"] = "report_id"
        book.active["XFD1048576"] = "end"
        summary = firm.load(self.save(firm, book), firm.write("good.csv", ROWS))
        assert summary.rows_loaded == 2
        assert "too large to open" in summary.unreadable[0].problem

    def test_a_workbook_without_observations_says_so(self, firm):
        book = openpyxl.Workbook()
        book.active.append(["a", "b"])
        summary = firm.load(self.save(firm, book))
        assert "it lacks the columns report_id" in problem_of(summary)[0]


class TestParquet:
    def test_typed_columns_are_read_as_the_same_values(self, firm):
        firm.load_rows([make_row(joist_gap_in="0.5", deck_built_year="2004", ledger_attached="true")])
        frame = pd.DataFrame(
            [make_row(joist_gap_in=0.5, deck_built_year=2004.0, ledger_attached=True, observation_no=1)]
        ).assign(inspected_on=pd.Timestamp("2026-03-04"))
        frame.to_parquet(firm.folder / "rows.parquet")
        assert firm.load(str(firm.folder / "rows.parquet")).rows_unchanged == 1

    def test_nested_columns_are_refused_with_what_to_do(self, firm):
        pd.DataFrame([make_row(comment=["a", "b"])]).to_parquet(firm.folder / "rows.parquet")
        assert "is nested" in problem_of(firm.load(str(firm.folder / "rows.parquet")))[0]


class TestDocuments:
    def test_an_array_one_document_and_lines_are_the_same(self, firm):
        whole = document(ROWS)
        for name, text in (
            ("a.json", json.dumps([whole])),
            ("b.json", json.dumps(whole, indent=2)),
            ("c.jsonl", json.dumps(whole) + "\n\n"),
            ("d.json", json.dumps(whole) + "\n" + json.dumps(document([make_row(report_id="R2")]))),
        ):
            summary = firm.load(firm.write(name, text))
            assert summary.rows_loaded + summary.rows_unchanged in (2, 3)
            assert summary.rows_rejected == 0
        assert firm.query("select count(*) from observations") == [(3,)]

    @pytest.mark.parametrize(
        ("line", "code"),
        [
            ("{", "not_readable"),
            ("[]", "not_a_report"),
            ('{"report_id": "R9"}', "no_observations"),
            ('{"report_id": "R9", "report_id": "R8"}', "not_readable"),
            ('{"report_id": "R9", "decks": {}}', "not_a_report"),
            ('{"report_id": "R9", "decks": [{"observations": [1]}]}', "not_a_report"),
            ('{"report_id": NaN}', "no_observations"),
            ('{"a": ' + "[" * 100_000 + "]" * 100_000 + "}", "not_readable"),
        ],
    )
    def test_a_line_that_is_no_report_is_a_refused_row(self, firm, line, code):
        good = json.dumps(document(ROWS))
        summary = firm.load(firm.write("rows.jsonl", f"{good}\n{line}\n"))
        assert (summary.rows_loaded, summary.rows_rejected) == (2, 1)
        (reject,) = firm.rejects()
        assert (reject["row"], reject["reasons"].split(":")[0]) == (2, code)

    def test_a_number_that_is_none_refuses_its_row_and_no_other(self, firm):
        whole = document([make_row(), make_row(observation_no="2"), make_row(observation_no="3")])
        observations = whole["decks"][0]["observations"]
        observations[1]["joist_gap_in"], observations[2]["comment"] = float("nan"), float("inf")
        summary = firm.load(firm.write("rows.json", json.dumps([whole])))
        assert (summary.rows_loaded, summary.rows_rejected) == (1, 2)
        assert {each["reasons"].split(":")[0] for each in firm.rejects()} == {"not_a_value"}

    def test_a_column_at_another_level_is_named_not_read(self, firm):
        whole = document([make_row()])
        whole["decks"][0]["region"] = "Flats"
        summary = firm.load(firm.write("rows.json", json.dumps(whole)))
        assert summary.unknown_columns == ["deck region"]
        assert firm.query("select region from observations") == [("Ridge",)]


class TestSources:
    def test_a_folder_a_glob_and_an_archive_mean_their_files(self, firm):
        firm.write("in/a.csv", [make_row()])
        firm.write("in/deep/b.jsonl", [make_row(report_id="R2")])
        firm.write("in/.hidden.csv", b"")
        firm.write("in/readme.md", b"no table")
        firm.write("in/memo.txt", b"no table either")
        assert firm.load(str(firm.folder / "in")).rows_loaded == 2
        assert firm.load(str(firm.folder / "in" / "*.csv")).rows_unchanged == 1
        packed = firm.folder / "all.zip"
        with zipfile.ZipFile(packed, "w") as archive:
            archive.writestr("deep/c.csv", csv_text([make_row(report_id="R3")]))
        summary = firm.load(str(packed))
        assert summary.rows_loaded == 1
        assert summary.loads[0].file == f"{packed}/deep/c.csv"

    def test_what_does_not_exist_is_wrong_usage(self, firm):
        with pytest.raises(UsageError, match="does not exist"):
            firm.load(str(firm.folder / "nothing.csv"))

    def test_a_file_given_twice_is_read_once(self, firm):
        path = firm.write("rows.csv", ROWS)
        assert firm.load(path, path).rows_read == 2

    def test_names_with_quotes_brackets_and_spaces(self, firm):
        assert firm.load(firm.write('in/it\'s [1] a "name".csv', ROWS)).rows_loaded == 2
