"""Files brought to the page Data: looked at, settled, loaded by the real command into a real warehouse, or taken back."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.summary import summary
from dashboard.uploads import asking
from dashboard.warehouse import Snapshot
from etl.layout.model import settled
from etl.rejects import newest_rejects
from etl.warehouse import Warehouse
from tests.dashboard.app.test_training_pages import shown
from tests.dashboard.uploads.conftest import export_of, quickly
from tests.etl.conftest import csv_text, make_row
from tests.etl.layout.test_foreign_firms import REVIEWED
from tests.etl.test_trial import FINDINGS

DATA = "views/data.py"


@pytest.fixture
def page(opened: Callable[..., AppTest], monkeypatch: pytest.MonkeyPatch) -> AppTest:
    """The page on a folder in which nothing was loaded yet."""
    monkeypatch.setattr(asking, "run", quickly)
    return opened(page=DATA)


def bring(page: AppTest, *files: tuple[str, str | bytes]) -> AppTest:
    """Drop files and press the button."""
    dropped = [(name, text.encode() if isinstance(text, str) else text, "text/csv") for name, text in files]
    (uploader,) = page.file_uploader
    uploader.set_value(dropped)
    page.run()
    return press(page, "Look at")


def press(page: AppTest, label: str) -> AppTest:
    (button,) = [each for each in page.button if each.label.startswith(label)]
    button.click().run()
    assert not page.exception
    return page


def choose(page: AppTest, label: str, value: str) -> None:
    (control,) = [each for each in page.selectbox if each.label.startswith(label)]
    control.set_value(value)


def folder_of(page: AppTest) -> Path:
    return Path(page.session_state["upload"].folder.path)


def answers(page: AppTest) -> str:
    return " ".join(header.value for header in page.header).replace("\u00a0", " ")


def test_the_example_of_the_documents_is_settled_and_loaded_into_an_empty_warehouse(
    page: AppTest, tmp_path: Path
) -> None:
    assert "No reports are loaded" in answers(page)
    bring(page, ("findings.csv", FINDINGS))
    assert answers(page) == "Evenhand understands **7 of 9 columns**; **3 questions are open**."
    folder = folder_of(page)
    before, after, columns = (each.value for each in page.dataframe)
    assert list(before["Client"]) == ["[private]"] * 4
    assert "Fenwick" not in before.to_csv() + after.to_csv() + columns.to_csv() + shown(page)
    assert list(after["Would be refused"]) == ["", "", "Call: not a word of its list"]
    # A question that is not answered in full stays, and what was answered of it too.
    choose(page, "DEF", "referred")
    press(page, "Call: these words are right")
    assert "3 questions are open" in answers(page)
    assert page.session_state["upload"].tree["columns"]["call"]["words"] == {
        "DEF": "referred", "MON": "?", "N/A": "skip", "OK": "passed",
    }  # fmt: skip
    choose(page, "DEF", "written_up")
    choose(page, "MON", "advised")
    press(page, "Call: these words are right")
    press(page, "Settle these rows")
    assert not [each for each in page.button if each.label.startswith("Load")]
    press(page, "This column is right")
    assert answers(page) == "Evenhand understands **9 of 9 columns**; **nothing is open**."
    assert "1 file with 4 rows will be read, checked and judged. Never stored: Client." in shown(page)
    settled("layout.toml", page.session_state["upload"].text)
    press(page, "Load this file")
    assert "Read 3 rows from 1 file: **3 new**." in shown(page)
    assert "findings.csv: 2 rows are no observation, as the layout says." in shown(page)
    assert answers(page).startswith("Of 3 calls ")
    assert not folder.exists()
    assert "upload" not in page.session_state
    (listed,) = [each.value for each in page.dataframe if "Rows read" in each.value]
    assert listed[["File", "Rows read", "New"]].values.tolist() == [["findings.csv", 3, 3]]
    assert [each.label for each in page.get("download_button") if "layout" in each.label] == [
        "Save the layout for the next files of this kind"
    ]


def test_files_in_the_form_of_the_input_table_ask_for_a_plain_yes(page: AppTest, tmp_path: Path) -> None:
    bring(page, ("rows.csv", csv_text([make_row(), make_row(observation_no="2", joist_gap_in="wide")])))
    assert "**1 file with 2 rows** is in the form of the input table" in answers(page)
    press(page, "Load this file")
    assert "Read 2 rows from 1 file: **1 new and 1 refused**." in shown(page)
    assert "[See the refused rows, and mend them](#refused-rows)" in shown(page)
    assert "Gap at the joist end: not a number" in " ".join(each.proto.body for each in page.get("html"))


def test_mended_rows_go_into_the_reports_that_they_belong_to(page: AppTest, tmp_path: Path) -> None:
    rows = [make_row(), make_row(observation_no="2", joist_gap_in="wide")]
    press(bring(page, ("rows.csv", csv_text(rows))), "Load this file")
    refused = newest_rejects(tmp_path).to_pandas().to_csv(index=False)
    bring(page, ("to-mend.csv", refused.replace("wide", "3/8")))
    assert "**1 file with 1 mended row** can be put into the reports" in answers(page)
    press(page, "Load this file")
    assert "Read 1 row from 1 file: **1 changed**." in shown(page)
    assert answers(page).endswith("No row is refused.")
    with Snapshot.open(tmp_path) as snapshot:
        assert summary(snapshot, Filters()).calls == 1  # both rows, which are of one topic on one deck
        assert len(cases(snapshot, Filters(), topic="joist_gap")) == 2


def test_a_layout_of_other_files_and_a_change_that_loses_the_file_are_told(page: AppTest) -> None:
    bring(page, ("findings.csv", FINDINGS), ("layout.toml", (REVIEWED / "two_sheets.toml").read_text(encoding="utf-8")))
    assert answers(page) == "**None of these files can be read.**"
    assert "findings.csv: no table of the layout is for a file of this name" in shown(page)
    assert not [each for each in page.button if each.label.startswith("Load")]
    press(page, "Take the files back")
    layout = """
layout = 1
tables = [{ files = "*.csv", header_row = 5, delimiter = ";", confirmed = false, ask = "Is row 5 the header (a)?" }]
[columns]
report_id = { default = "1" }
inspected_on = { default = "2026-03-04" }
inspector_id = { default = "A" }
region = { default = "R" }
topic = { default = "joist_gap" }
call = { default = "passed" }
"""
    bring(page, ("findings.csv", FINDINGS), ("layout.toml", layout))
    (header,) = page.number_input
    header.set_value(3)
    press(page, "This table is right")
    assert "**findings.csv: row 3 should be its header and is blank" in shown(page)
    assert "So nothing was changed." in shown(page)
    (header,) = page.number_input
    header.set_value(4)
    press(page, "This table is right")
    assert answers(page) == "Evenhand understands **1 of 9 columns**; **nothing is open**." or "9 columns" in answers(
        page
    )


def test_files_are_taken_back_and_what_the_command_refuses_is_told(page: AppTest, tmp_path: Path) -> None:
    bring(page, ("empty.csv", ""))
    assert "**No table was found. empty.csv: it is empty; export it again.**" in shown(page)
    bring(page, ("findings.csv", FINDINGS), ("old.toml", "layout = 1"))
    assert "**layout.toml: it cannot be used:**" in shown(page)
    bring(page, ("findings.csv", FINDINGS))
    folder = folder_of(page)
    assert folder.exists()
    press(page, "Take the files back")
    assert not folder.exists()
    assert "No reports are loaded" in answers(page)
    bring(page, ("findings.csv", FINDINGS), ("rows.csv", csv_text([make_row()])))
    assert "These files cannot go in one load" in answers(page)
    assert "In the form of the input table: rows.csv. In another form: findings.csv." in shown(page)
    press(page, "Take the files back")
    bring(page, ("rows.csv", csv_text([make_row()])))
    with Warehouse(tmp_path).locked():
        press(page, "Load this file")
    assert "Another load is running in " in shown(page)
    press(page, "Load this file")
    assert "**1 new**" in shown(page)


def test_a_column_is_changed_in_the_list_of_all_and_an_uploaded_layout_is_where_the_form_starts(page: AppTest) -> None:
    bring(page, ("findings.csv", FINDINGS))
    page.selectbox(key="upload_column").set_value("Gap (mm)").run()
    choose(page, "“Gap (mm)”", "(private)")
    press(page, "Change it")
    tree = tomllib.loads(page.session_state["upload"].text)
    assert (tree["private"], "joist_gap_in" in tree["columns"]) == (["Client", "Gap (mm)"], False)
    (_, after, columns) = (each.value for each in page.dataframe)
    assert "Gap at the joist end, in" not in after
    assert "Private: never stored, and masked in sentences" in list(columns["Taken for"])[7]
    text = page.session_state["upload"].text
    press(page, "Take the files back")
    bring(page, ("findings.csv", FINDINGS), ("layout.toml", text))
    assert page.session_state["upload"].text == text
    page.selectbox(key="upload_column").set_value("Gap (mm)").run()
    choose(page, "“Gap (mm)”", "joist_gap_in")
    press(page, "Change it")
    page.selectbox(key="upload_column").set_value("Gap (mm)").run()
    choose(page, "Unit of bare numbers", "mm")
    press(page, "Change it")
    (_, after, _) = (each.value for each in page.dataframe)
    assert list(after["Gap at the joist end, in"]) == ["0.570866", "", "0.23622"]


@pytest.mark.parametrize("firm", ["wide_words", "three_date_orders"])
def test_the_questions_about_a_firms_export_are_all_shown(page: AppTest, firm: str) -> None:
    bring(page, *export_of(firm))
    work = page.session_state["upload"]
    assert len(page.get("form")) >= len(work.questions) > 0
    assert f"{len(work.questions)} questions are open" in answers(page)
    assert not page.exception
