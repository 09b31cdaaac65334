"""A layout tried on files: what is open, the first rows before and after, the same as a load, and nothing private."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from etl.readers import find_sources
from etl.trial import PRIVATE, Trial, try_layout
from tests.etl.conftest import csv_text, make_row
from tests.etl.layout.test_foreign_firms import FOREIGN, NAMES, REVIEWED

#: The example of docs/foreign-files.md, but that no list of aliases will ever know its column of days.
FINDINGS = """Quorn Deck Checks;;;;;;;;
Office:;North;;;;;;;
;;;;;;;;
Job No;Quonk;Insp;Client;Item;Rating;Joist;Gap (mm);Remarks
1201;13.03.2026;AB;Ada Fenwick;Joist gap;DEF;38x235;14,5;Gap at NE, Fenwick was told
1201;13.03.2026;AB;Ada Fenwick;Rail height;OK;;;
1202;02.04.2026;CD;Bo Tane;Joist gap;MON;38x235;6;
1202;02.04.2026;CD;Bo Tane;Rail height;N/A;;;
Total;4;;;;;;;
"""


def tried(tmp_path: Path, *files: Path, layout: str | None = None) -> Trial:
    return try_layout(find_sources([str(file) for file in files], tmp_path), tmp_path, layout)


def written(folder: Path, name: str, text: str) -> Path:
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def test_the_first_rows_stand_as_they_are_and_as_they_would_be_read(tmp_path):
    found = tried(tmp_path, written(tmp_path, "findings.csv", FINDINGS))
    assert [(file.form, file.rows, file.problem) for file in found.files] == [("foreign", 4, None)]
    assert [row.row for row in found.before.rows] == [5, 6, 7, 8]
    first = dict(zip(found.before.columns, found.before.rows[0].cells, strict=True))
    assert (first["Quonk"], first["Client"], first["Gap (mm)"]) == ("13.03.2026", PRIVATE, "14,5")
    assert first["Remarks"] == "Gap at NE, [private] was told"
    # The row whose word means that it is no observation is not there.
    assert [row.row for row in found.after.rows] == [5, 6, 7]
    read = dict(zip(found.after.columns, found.after.rows[0].cells, strict=True))
    assert {name: read[name] for name in ("inspected_on", "region", "joist_nominal", "joist_gap_in", "call")} == {
        "inspected_on": "2026-03-13",
        "region": "North",
        "joist_nominal": "2x10",
        "joist_gap_in": "0.570866",
        "call": "written_up",
    }
    assert [[reason.split(":")[0] for reason in row.reasons] for row in found.after.rows] == [[], [], ["not_listed"]]
    assert [question.path[:2] for question in found.questions] == [
        ["tables", 0], ["columns", "inspected_on"], ["columns", "call"], ["columns", "call"],
    ]  # fmt: skip


def test_words_and_examples_of_a_column_never_tell_what_a_private_one_holds(tmp_path):
    found = tried(tmp_path, written(tmp_path, "findings.csv", FINDINGS))
    columns = {column.label: column for column in found.columns}
    assert (columns["Client"].private, columns["Client"].words, columns["Client"].examples) == (True, {}, [])
    assert columns["Remarks"].words == {f"Gap at NE, {PRIVATE} was told": 1}
    assert columns["Rating"].words == {"DEF": 1, "MON": 1, "N/A": 1, "OK": 1}


def test_files_in_the_form_of_the_input_table_need_no_layout(tmp_path):
    own = written(tmp_path, "rows.csv", csv_text([make_row(), make_row(observation_no="2")]))
    found = tried(tmp_path, own)
    assert ([(file.form, file.rows) for file in found.files], found.layout) == ([("own", 2)], "")
    both = tried(tmp_path, own, written(tmp_path, "findings.csv", FINDINGS))
    assert sorted(file.form for file in both.files) == ["foreign", "own"]


def test_words_that_a_layout_does_not_know_are_told_with_what_they_are_like(tmp_path):
    layout = tried(tmp_path, written(tmp_path, "findings.csv", FINDINGS)).layout
    later = FINDINGS.replace("N/A", "Specialist").replace("DEF", "perhaps")
    found = tried(tmp_path, written(tmp_path, "findings.csv", later), layout=layout)
    assert [(unread.path, unread.words) for unread in found.unread] == [
        (["columns", "call"], {"Specialist": "referred", "perhaps": "?"})
    ]


@pytest.mark.parametrize("name", NAMES)
def test_a_reviewed_layout_leaves_nothing_open_and_nothing_private_is_told(tmp_path, name):
    reviewed = (REVIEWED / f"{name}.toml").read_text(encoding="utf-8")
    private = json.loads((FOREIGN / name / "expected.json").read_text(encoding="utf-8"))["private"]
    # The names of inspectors are the words of a column, each with its code: who reviews has to see them.
    private = [text for text in private if text not in reviewed]
    export = FOREIGN / name / "export"
    for layout in (None, reviewed):
        found = tried(tmp_path, export, layout=layout)
        told = found.model_dump_json().casefold()
        assert [text for text in private if text.casefold() in told] == []
    assert found.questions == []
    assert 0 < len(found.before.rows) <= 12  # at least one row of each file
    assert found.after.rows
    assert {(row.file, row.row) for row in found.after.rows} <= {(row.file, row.row) for row in found.before.rows}
