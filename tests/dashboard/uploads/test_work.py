"""Uploaded files looked at and loaded by the command; their folder, and what goes wrong."""

from __future__ import annotations

import gc
import json
import logging
import time
from datetime import datetime
from pathlib import Path

import pytest

from dashboard.command import Ended, TookTooLong
from dashboard.uploads import asking
from dashboard.uploads import folder as folders
from dashboard.uploads.asking import NotDone, load, look
from dashboard.uploads.folder import Folder, safe_name
from dashboard.uploads.work import begin
from etl.warehouse import Warehouse
from tests.dashboard.uploads.conftest import NOW, export_of
from tests.etl.conftest import csv_text, make_row
from tests.etl.layout.test_foreign_firms import FOREIGN, REVIEWED
from tests.etl.layout.test_layouts import everything_in


@pytest.mark.parametrize(
    ("name", "safe"),
    [
        ("findings.csv", "findings.csv"),
        ("../../etc/passwd.csv", "passwd.csv"),
        ("C:\\Users\\Ada\\a.csv", "a.csv"),
        ("a\0b\n<c>.csv", "a_b_c_.csv"),
        ("--layout=x.csv", "--layout=x.csv"),
        ("..", ".."),
        ("", "file"),
        ("x" * 300 + ".json", "x" * 146 + ".json"),
    ],
)
def test_a_name_is_safe_in_any_folder(name, safe):
    assert safe_name(name) == safe


def test_the_folder_goes_when_it_is_closed_and_when_nobody_holds_it():
    folder = Folder([("a.csv", b"1"), ("b/a.csv", b"2"), ("..", b"3")], NOW)
    below = "uploaded-20261125-071005"
    assert folder.files == [f"{below}/a.csv", f"{below}/a (2).csv", f"{below}/.. (2)"]
    assert [(folder.path / file).read_bytes() for file in folder.files] == [b"1", b"2", b"3"]
    assert folder.without_folder(f"{below}/a.csv: no table") == "a.csv: no table"
    path = folder.path
    folder.close()
    assert not path.exists()
    forgotten = Folder([("a.csv", b"1")], NOW)
    path = forgotten.path
    del forgotten
    gc.collect()
    assert not path.exists()


def test_the_folder_goes_when_nothing_is_done_with_it_and_that_is_told(monkeypatch):
    monkeypatch.setattr(folders, "KEPT_SECONDS", 0.05)
    folder = Folder([("a.csv", b"1")], NOW)
    deadline = time.monotonic() + 30
    while folder.path.exists() and time.monotonic() < deadline:
        time.sleep(0.02)
    assert not folder.path.exists()
    with pytest.raises(NotDone, match="removed, since nothing was done"):
        look(folder)


def test_a_firms_export_is_loaded_by_its_layout_and_gone(quick, tmp_path):
    layout = (REVIEWED / "semicolon_1252.toml").read_bytes()
    expected = json.loads((FOREIGN / "semicolon_1252" / "expected.json").read_text(encoding="utf-8"))
    work = begin([*export_of("semicolon_1252"), ("layout.toml", layout)], NOW)
    # Rows that are refused hold words that the layout does not know; they are asked, and refused where that is the answer.
    tree = {**work.tree}
    for path, entry in [(("columns", name), entry) for name, entry in tree["columns"].items()]:
        if "?" in entry.get("words", {}).values() or entry.get("confirmed") is False:
            words = {word: "refuse" if meant == "?" else meant for word, meant in entry["words"].items()}
            own = {key: value for key, value in entry.items() if key not in ("confirmed", "ask")}
            tree = {**tree, "columns": tree["columns"] | {path[1]: own | {"words": words}}}
    work = work.changed(tree)
    assert work.questions == []
    found = work.load(tmp_path / "firm")
    assert (found.files, found.read) == (1, expected["rows_read"])
    assert found.new + found.unchanged + found.refused == found.read
    assert found.refused == expected["rows_rejected"] == len(expected["rejected"])
    assert found.published
    assert sum(rows for _, _, rows in found.reasons) >= found.refused
    assert not work.folder.path.exists()
    held = everything_in(tmp_path / "firm").casefold()
    assert [text for text in expected["private"] if text.casefold() in held] == []


def test_files_in_the_form_of_the_input_table_are_loaded_as_they_are(quick, tmp_path):
    rows = csv_text([make_row(), make_row(observation_no="2", joist_gap_in="wide")])
    work = begin([("rows.csv", rows.encode())], NOW)
    assert (work.tree, [(file.name, file.form, file.rows) for file in work.tried.files]) == (
        None,
        [("rows.csv", "own", 2)],
    )
    found = work.load(tmp_path / "firm")
    assert (found.read, found.new, found.refused, found.published) == (2, 1, 1, True)
    assert found.reasons == [("not_a_number", "joist_gap_in", 1)]
    again = begin([("rows.csv", rows.encode())], NOW).load(tmp_path / "firm")
    assert (again.unchanged, again.refused, again.published) == (1, 1, False)


def test_what_cannot_be_looked_at_is_told_in_the_commands_words_and_removed(quick, tmp_path, monkeypatch):
    made: list[Path] = []
    first = Folder.__init__

    def watched(self: Folder, uploaded: object, now: datetime) -> None:
        first(self, uploaded, now)  # type: ignore[arg-type]
        made.append(self.path)

    monkeypatch.setattr(Folder, "__init__", watched)
    for files, told in [
        ([("layout.toml", b"layout = 1")], "A layout alone"),
        ([("a.toml", b""), ("b.toml", b""), ("c.csv", b"a,b\n1,2\n")], "More than one layout"),
        (
            [("a.csv", b"a,b\n1,2\n"), ("layout.toml", b"layout = ")],
            "layout.toml: it cannot be used:\n  it is not TOML",
        ),
        ([("a.csv", b"a,b\n1,2\n"), ("layout.toml", b"\xff")], "not text in UTF-8"),
        ([("a.csv", b"")], "No table was found. a.csv: it is empty"),
    ]:
        with pytest.raises(NotDone) as raised:
            begin(files, NOW)
        assert told in raised.value.sentence
        assert "evenhand-upload-" not in str(raised.value)
    assert made
    assert not any(path.exists() for path in made)


def test_a_load_that_is_refused_keeps_the_files(quick, tmp_path):
    work = begin([("rows.csv", csv_text([make_row()]).encode())], NOW)
    with Warehouse(tmp_path).locked(), pytest.raises(NotDone, match="Another load is running"):
        work.load(tmp_path)
    assert work.folder.path.exists()
    assert work.load(tmp_path).published


@pytest.mark.parametrize(
    ("ends", "told"),
    [
        (TookTooLong(), "took longer than"),
        (OSError("secret"), "could not be looked at"),
        (Ended(1, "", "Traceback: secret"), "could not be looked at"),
        (
            Ended(1, "", "evenhand: It is so:\n  line 3, columns.call: open."),
            "It is so:\n  line 3, columns.call: open.",
        ),
    ],
)
def test_a_command_that_fails_is_a_sentence(monkeypatch, caplog, ends, told):
    def run(*_: object) -> Ended:
        if isinstance(ends, Exception):
            raise ends
        return ends

    monkeypatch.setattr(asking, "run", run)
    folder = Folder([("a.csv", b"a")], NOW)
    with caplog.at_level(logging.CRITICAL), pytest.raises(NotDone) as raised:
        look(folder) if not isinstance(ends, TookTooLong) else load(folder, Path("nowhere"))
    assert told in raised.value.sentence
    assert "secret" not in str(raised.value)
    folder.close()


def test_the_command_takes_no_uploaded_file_for_a_module(tmp_path):
    """The real command, started in full in the folder of the files."""
    folder = Folder([("findings.csv", b"")], NOW)
    for name in ("json.py", "click.py", "dashboard.py"):
        (folder.path / name).write_text("raise SystemExit('taken for a module')")
    with pytest.raises(NotDone, match="No table was found"):
        look(folder)
    folder.close()
