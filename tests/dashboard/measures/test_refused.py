"""Refused rows: by reason and report, and the way back, held to what the loader itself gives and takes."""

from __future__ import annotations

import importlib.util
import io
import json
from pathlib import Path

import pandas as pd
import pytest

from dashboard import export, labels
from dashboard.measures.refused import REQUIRED, incomplete_reports, refused_reasons, to_mend
from dashboard.warehouse import Snapshot
from etl import contract
from etl.load import load
from etl.rejects import newest_rejects

HEADER = "report_id,inspected_on,inspector_id,region,observation_no,topic,call,joist_gap_in,comment\n"
GOOD = "R1,2026-03-04,I1,Ridge,1,joist_gap,passed,0.1,fine\n"


@pytest.fixture
def loaded(tmp_path):
    """Load texts of CSV one after the other; gives the warehouse folder."""

    def load_texts(*texts: str):
        for number, text in enumerate(texts):
            file = tmp_path / f"in{number}.csv"
            file.write_text(HEADER + text, encoding="utf-8")
            load([str(file)], tmp_path / "warehouse")
        return tmp_path / "warehouse"

    return load_texts


def opened(folder, measure):
    with Snapshot.open(folder) as snapshot:
        return measure(snapshot)


def test_the_columns_that_every_row_needs_are_those_of_the_contract():
    assert contract.required_columns() == REQUIRED


def test_there_is_a_word_for_every_reason_that_the_documents_list():
    place = Path(__file__).parents[3] / "docs" / "generate.py"
    spec = importlib.util.spec_from_file_location("generate", place)
    generate = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(generate)
    assert {code for codes in generate.CODES for code in codes.split(", ")} == set(labels.REFUSALS)


def test_the_rows_to_mend_are_what_the_command_gives_for_a_single_load(loaded):
    folder = loaded(GOOD + "R1,2026-03-04,I1,Ridge,2,joist_gap,passed,wide,=1+1\nR2,,I1,Ridge,1,joist_gap,pased,,\n")
    page, command = io.StringIO(), io.StringIO()
    export.write_csv(opened(folder, to_mend), page)
    export.write_csv(newest_rejects(folder).to_pandas(), command)
    assert page.getvalue() == command.getvalue()
    assert "'=1+1" in page.getvalue()


def test_the_rows_of_earlier_loads_stay_until_they_are_mended(loaded):
    folder = loaded(
        GOOD + GOOD.replace(",1,joist_gap,passed,0.1", ",2,joist_gap,passed,wide"), GOOD.replace("R1", "R2")
    )
    assert list(opened(folder, to_mend)["joist_gap_in"]) == ["wide"]
    assert newest_rejects(folder).num_rows == 0


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_saved_table_comes_back_mended_and_nothing_is_refused(loaded, tmp_path, form):
    folder = loaded(
        GOOD + "R1,2026-03-04,I1,Ridge,2,joist_gap,passed,wide,=1+1\n",
        GOOD.replace("R1", "R2") + "R2,2026-03-04,,Ridge,2,joist_gap,passed,0.5,\n",
    )
    with Snapshot.open(folder) as snapshot:
        found = to_mend(snapshot)
        saved = export.csv(found) if form == "csv" else export.xlsx(found, export.about(snapshot.info, "Rows to mend"))
    file = tmp_path / f"to-mend.{form}"
    file.write_bytes(saved)
    read = pd.read_csv(file, dtype="str") if form == "csv" else pd.read_excel(file, dtype="str", engine="openpyxl")
    read.loc[read["joist_gap_in"] == "wide", "joist_gap_in"] = "1/2"
    read.loc[read["report_id"] == "R2", "inspector_id"] = "I1"
    mended = tmp_path / f"mended.{form}"
    if form == "csv":
        read.to_csv(mended, index=False)
    else:
        read.to_excel(mended, index=False)
    summary = load([str(mended)], folder, mend=True)
    assert (summary.rows_read, summary.rows_replaced, summary.rows_rejected) == (2, 2, 0)
    assert opened(folder, to_mend).empty
    assert opened(folder, incomplete_reports).empty
    with Snapshot.open(folder) as snapshot:
        comments = snapshot.query("observation", observation_id="R1:2")["comment"]
    assert list(comments) == ["=1+1"]


def test_reasons_are_grouped_by_what_is_wrong_with_which_column(firm, published):
    wide = "not_a_number: joist_gap_in 'wide' is not a number of inches"
    firm.note("joist_gap", "passed", report="R1")
    firm.refuse(wide, report="R1", joist_gap_in="wide", file="dir/a.csv")
    firm.refuse(wide.replace("wide", "gaping"), "required: inspector_id is blank", report="R1", joist_gap_in="gaping")
    firm.refuse("duplicate_observation: observation 1 of report R1 stands more than once", report="R1")
    found = refused_reasons(published(firm)).astype(object).where(lambda cells: cells.notna(), None)
    assert found[["reason", "column", "rows", "example"]].to_numpy().tolist() == [
        ["not_a_number", "joist_gap_in", 2, "gaping"],
        ["duplicate_observation", None, 1, None],
        ["required", "inspector_id", 1, None],
    ]
    assert list(found["row"]) == [3, 4, 3]


def test_a_report_lacks_rows_and_may_not_be_loaded_at_all(firm, published):
    firm.note("joist_gap", "passed", report="R1").note("joist_gap", "passed", report="R1")
    firm.refuse("required: call is blank", report="R1", file="a.csv")
    firm.refuse("required: call is blank", report="R1", file="b.csv")
    firm.refuse("required: call is blank", report="R9")
    firm.refuse("required: report_id is blank")
    found = incomplete_reports(published(firm))
    assert found[["report_id", "rows_refused", "observations", "file"]].to_numpy().tolist() == [
        ["R1", 2, 2, "a.csv; b.csv"],
        ["R9", 1, 0, "a.csv"],
    ]
    assert found["inspector_id"].isna().tolist() == [False, True]


def test_with_nothing_refused_the_tables_are_empty_and_whole(firm, published):
    snapshot = published(firm.note("joist_gap", "passed"))
    assert list(to_mend(snapshot).columns[:3]) == ["file", "row", "reasons"]
    assert to_mend(snapshot).empty
    assert refused_reasons(snapshot).empty
    assert incomplete_reports(snapshot).empty


def test_a_row_out_of_a_document_comes_back_too(tmp_path):
    document = {"report_id": "R1", "inspected_on": "2026-03-04", "inspector_id": "I1", "region": "Ridge"}
    rows = [{"observation_no": "1", "topic": "joist_gap", "call": "passed", "joist_gap_in": 0.1}]
    rows += [{"observation_no": "2", "topic": "joist_gap", "call": "pased"}]
    file, folder = tmp_path / "in.json", tmp_path / "warehouse"
    file.write_text(json.dumps([document | {"decks": [{"observations": rows}]}]), encoding="utf-8")
    load([str(file)], folder)
    mended = tmp_path / "mended.csv"
    mended.write_bytes(export.csv(opened(folder, to_mend).replace("pased", "passed")))
    assert load([str(mended)], folder, mend=True).rows_rejected == 0
    assert opened(folder, to_mend).empty
