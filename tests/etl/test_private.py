"""What is private and planted everywhere is found nowhere: not in a byte of the warehouse, not in any output."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Iterator
from pathlib import Path

import duckdb
import openpyxl
import pyarrow.parquet as pq
import pytest

from etl import private
from etl.layout.suggest import suggest as proposed
from etl.readers import find_sources
from tests.commands import Command
from tests.etl.conftest import csv_text, document, make_look, make_row

#: One of each known form: what is planted, and the part of it that must not be found.
FORMS = {
    "mail": ("quorn@dunmere.example", "dunmere"),
    "phone": ("call (614) 555-0142", "555-0142"),
    "street": ("12 Quillon Street", "Quillon"),
    "title": ("Mr. Vexley", "Vexley"),
    "role": ("owner: Zarnow Pelq", "Zarnow"),
}
ALL = "; ".join(planted for planted, _ in FORMS.values())
NEEDLES = [needle for _, needle in FORMS.values()] + ["Brimthwaite"]
#: A client in a column of its own, whom no known form gives away elsewhere.
CLIENT = {"client": "Ada Brimthwaite"}
#: Stands in a sentence that is loaded, so that what is looked through is known to hold what was loaded.
ORDINARY = "ordinarysentence"
SENTENCES = dict.fromkeys(("comment", "recommendation", "place", "builder"), f"{ORDINARY} {ALL}")
IDS = {name: f"{name} {ALL}" for name in ("report_id", "region", "property_id", "deck_id", "observation_no")}


def _files(folder: Path) -> Iterator[str]:
    """Files with all of it in every kind of cell: loaded rows, refused rows, refused files."""

    def written(name: str, content: str | bytes) -> str:
        (folder / name).write_bytes(content.encode() if isinstance(content, str) else content)
        return name

    good = make_row(**SENTENCES, **IDS, **CLIENT)
    bad = make_row(report_id="B", **SENTENCES, **CLIENT) | {"inspected_on": f"ask {ALL}", "topic": ALL}
    yield written("plain.csv", csv_text([good, make_row(report_id="N", comment=ORDINARY, **CLIENT), bad]))
    shifted = csv_text([make_row(report_id="W1", **CLIENT, comment=ALL)]).replace("Ridge,", "")
    yield written("shifted.csv", shifted + "W2,2026-03-04,Ada Brimthwaite\n")
    whole = [document([make_row(report_id=f"J {ALL}", observation_no="1", **SENTENCES) | {"deck_id": ALL}])]
    refused = [document([make_row(report_id="K", joist_gap_in=[ALL], call=ALL, photo_count={ALL: ALL})])]
    yield written("documents.json", json.dumps(whole + refused + [{ALL: ALL, "report_id": ALL, "decks": {}}]))
    looks = [make_look(report_id=IDS["report_id"], observation_no=IDS["observation_no"], reason=f"{ORDINARY} {ALL}")]
    yield written("looks.csv", csv_text([*looks, make_look(looked_on=ALL, reason=ALL), make_look(reason=ALL)]))
    staff = {"inspector_id": "AB", "display_name": "Ayla", "email": ALL, "office": ALL, "role": ALL}
    yield written("staff.csv", csv_text([staff, staff | {"inspector_id": "CD", "started_on": ALL}]))
    session = {"session_id": ALL, "held_on": "2026-03-01", "topic": "joist_gap", "inspector_id": "AB", "hours": "2"}
    yield written("sessions.csv", csv_text([session, session | {"hours": ALL}]))
    called = {"round_id": ALL, "held_on": "2026-03-01", "item_id": ALL, "topic": "joist_gap", "inspector_id": "AB"}
    yield written("rounds.csv", csv_text([called | {"call": "passed"}, called | {"call": ALL}]))
    yield written("Mr. Vexley, 12 Quillon Street.csv", csv_text([make_row(report_id="F")]))
    yield written("quorn@dunmere.example.csv", "")
    yield written("no_header.csv", csv_text([make_row(region=ALL) | CLIENT]).partition("\n")[2])
    yield written("labels.csv", csv_text([make_row(report_id="L") | {ALL: "x"}]))
    yield written("sheets.xlsx", _workbook())
    with zipfile.ZipFile(folder / "packed.zip", "w") as packed:
        packed.writestr("12 Quillon Street.csv", csv_text([make_row(report_id="Z", comment=ALL), bad]))
    yield "packed.zip"


def _workbook() -> bytes:
    book = openpyxl.Workbook()
    for name, report in (("Mr. Vexley", "S1"), ("12 Quillon Street", "S2")):
        sheet = book.create_sheet(name)
        for cells in (make_row(comment=""), make_row(report_id=report, comment=ALL), make_row(comment="", call=ALL)):
            sheet.append([*cells] if cells["call"] == "passed" and sheet.max_row < 2 else [*cells.values()])
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def _unpacked(path: Path) -> str:
    """A file as text: what a snapshot, a Parquet file or an archive packs, unpacked; and its bytes as they are."""
    raw = path.read_bytes().decode("latin-1")
    if path.suffix == ".duckdb":
        with duckdb.connect(str(path), read_only=True) as connection:
            names = [name for (name,) in connection.execute("select table_name from duckdb_tables()").fetchall()]
            return raw + "".join(str(connection.execute(f'from "{name}"').fetchall()) for name in names)
    if path.suffix == ".parquet":
        return raw + str(pq.read_table(path).to_pylist())
    if path.suffix in (".xlsx", ".docx"):
        with zipfile.ZipFile(path) as packed:
            return "".join(packed.read(name).decode("latin-1") for name in packed.namelist())
    return raw


def _everything(folder: Path, said: list[str]) -> dict[str, str]:
    """Each file of the warehouse and each output, by its name."""
    written = [*(folder / "warehouse").rglob("*"), *folder.glob("out*")]
    return {path.name: _unpacked(path) for path in written if path.is_file()} | {
        f"said {i}": t for i, t in enumerate(said)
    }


def _found(everything: dict[str, str]) -> list[tuple[str, str]]:
    return [(name, needle) for name, text in everything.items() for needle in NEEDLES if needle.lower() in text.lower()]


def _out(command: Command, *arguments: str, code: int = 0) -> str:
    done = command(*arguments, code=code)
    return done.stdout + done.stderr


def test_nothing_planted_reaches_the_warehouse_a_log_or_an_output(tmp_path):
    command = Command(tmp_path)
    said = [_out(command, "load", *_files(tmp_path), code=1), _out(command, "rejects"), _out(command, "snapshots")]
    for form in ("csv", "json", "xlsx", "parquet"):
        said.append(_out(command, "table", "outcomes", "--out", f"out.{form}"))
    said.append(_out(command, "note", "--topic", "joist_gap", "--out", "out.docx"))
    everything = _everything(tmp_path, said)
    assert _found(everything) == []
    told = json.loads(said[0]) if said[0].startswith("{") else said[0]
    assert "refused" in told
    # All of it was there to be found: the sentences around it were loaded, shown and written.
    for name in ("0001.duckdb", "out.csv", "out.json", "out.xlsx", "out.parquet"):
        assert ORDINARY in everything[name], name
    masks = ("[e-mail]", "[phone]", "[address]", "[name]")
    assert [mask for mask in masks if mask not in said[1] or mask not in everything["0001.duckdb"]] == []


def test_nothing_planted_is_proposed_or_loaded_by_a_layout(tmp_path):
    command = Command(tmp_path)
    rows = [make_row(report_id=f"R{i}", comment=f"{ORDINARY} Brimthwaite asked; {ALL}", **CLIENT) for i in range(6)]
    rows.append(make_row(report_id="R9", comment="", **CLIENT) | {"call": "ask Brimthwaite", "inspected_on": ALL})
    (tmp_path / "firm.csv").write_text(csv_text(rows) + "R8,2026-03-04,Ada Brimthwaite\n")
    said = [proposed(find_sources([str(tmp_path / "firm.csv")], tmp_path), tmp_path)]
    text = said[0].replace("confirmed = false", "confirmed = true").replace('= "?"', '= "refuse"')
    (tmp_path / "layout.toml").write_text(text)
    said += [_out(command, "load", "firm.csv", "--layout", "layout.toml"), _out(command, "rejects")]
    said.append(_out(command, "table", "outcomes", "--out", "out.csv"))
    everything = _everything(tmp_path, said)
    assert _found(everything) == []
    assert ORDINARY in everything["out.csv"]
    assert "[private] asked" in everything["out.csv"]


@pytest.mark.parametrize(
    ("id", "stays"),
    [
        ("2345678901", True),
        ("234-2026", True),
        ("AB 12345", True),
        ("R-2026/114", True),
        ("North Ridge", True),
        ("12 Quillon Street", False),
        ("quorn@dunmere.example", False),
        ("614-555-0142", False),
        ("owner:Zarnow", False),
    ],
)
def test_an_id_that_is_private_gets_a_code_and_two_stay_two(id, stays):
    assert (private.coded(id) == id) is stays
    assert private.coded(id) == private.coded(id)
    assert private.coded(id) != private.coded(f"{id}1")
    told = duckdb.sql(f"select {private.coded_sql('id')} from (select '{id}' as id)").fetchall()[0][0]
    assert told == private.coded(id)
