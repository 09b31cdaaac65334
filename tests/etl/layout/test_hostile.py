"""Files that would hang a load or fill its memory: each is refused by name with its reason, and the others load."""

from __future__ import annotations

import json
import os
import stat
import sys
import zipfile
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from etl.errors import LayoutError, UsageError
from etl.layout import model, pattern
from etl.layout.suggest import suggest
from etl.readers import find_sources, limits
from etl.readers.delimited import LONGEST_LINE
from tests.etl.conftest import csv_text, document, make_row

HEADER = ",".join(make_row())
#: A layout that takes the input table as it is, so that each file is read the way of layouts too.
AS_IT_IS = (
    '[[tables]]\nfiles = "*.json"\neach = "decks[].observations[]"\n[[tables]]\n'
    + "".join(f'[columns.{name}]\nfrom = "{name}"\n' for name in make_row())
)  # fmt: skip


def wide(firm) -> str:
    return firm.write("wide.csv", HEADER + "," * 900_000 + "\n")


def long_line(firm) -> str:
    """After a good row a line without end, in cells that are short."""
    return firm.write("line.csv", csv_text([make_row()]).encode() + b"a," * (LONGEST_LINE // 2 + 4_000_000))


def pipe(firm) -> str:
    os.mkfifo(firm.folder / "pipe.zip")
    return str(firm.folder / "pipe.zip")


def folder(firm) -> str:
    (firm.folder / "folder.csv").mkdir()
    return str(firm.folder / "folder.csv")


def link_to_itself(firm) -> str:
    path = firm.folder / "round.csv"
    path.symlink_to(path)
    return str(path)


def device(firm) -> str:
    path = firm.folder / "zeros.csv"
    path.symlink_to("/dev/zero")
    return str(path)


def unreadable(firm) -> str:
    """Root may read any file, but not this one."""
    path = firm.folder / "memory.csv"
    path.symlink_to("/proc/self/mem")
    return str(path)


def larger_than_read(firm) -> str:
    """Two gigabytes that take no room on the disk."""
    path = firm.folder / "large.csv"
    with path.open("wb") as file:
        file.truncate(2**31)
    return str(path)


def deep(firm) -> str:
    return firm.write("deep.json", '{"a":' * 10_000 + "1" + "}" * 10_000)


def endless_number(firm) -> str:
    return firm.write("number.json", '{"report_id": ' + "9" * 5_000 + "}")


def packed(firm, *members: tuple[str | zipfile.ZipInfo, str]) -> str:
    path = firm.folder / "packed.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in members:
            archive.writestr(name, content)
    return str(path)


def leading_out(name: str):
    def climbing(firm) -> str:
        plain = zipfile.ZipInfo()
        plain.filename = name
        return packed(firm, (plain, csv_text([make_row()])), ("good.csv", csv_text([make_row(report_id="R3")])))

    return climbing


def link_in_archive(firm) -> str:
    link = zipfile.ZipInfo("link.csv")
    link.create_system, link.external_attr = 3, (stat.S_IFLNK | 0o777) << 16
    return packed(firm, (link, "/etc/passwd"))


def long_list_of_members(firm) -> str:
    """An archive that says that its list of members takes more than is read of one."""
    path = Path(packed(firm, ("a.csv", HEADER)))
    content = bytearray(path.read_bytes())
    at = content.rfind(b"PK\5\6") + 12
    content[at : at + 4] = (limits.LARGEST_DIRECTORY + 1).to_bytes(4, "little")
    path.write_bytes(bytes(content))
    return str(path)


def many_rows_of_parquet(firm) -> str:
    """Equal rows in a dictionary: their number costs nothing."""
    place = pa.array([0]).take(pa.array([0] * 1)).cast(pa.int8())
    rows = pa.concat_arrays([place]).take(pa.nulls(limits.MOST_ROWS + 1, pa.int8()).fill_null(0))
    columns = {name: pa.DictionaryArray.from_arrays(rows, pa.array([value])) for name, value in make_row().items()}
    pq.write_table(pa.table(columns), firm.folder / "rows.parquet", row_group_size=2**30)
    return str(firm.folder / "rows.parquet")


def long_texts_of_parquet(firm) -> str:
    """A few kilobytes that stand for four gigabytes: one long text that each of a thousand rows points to."""
    columns = {name: [value] * 1000 for name, value in make_row().items()}
    columns["region"] = pa.DictionaryArray.from_arrays(pa.array([0] * 1000, pa.int8()), pa.array(["x" * 4_000_000]))
    path = firm.folder / "texts.parquet"
    pq.write_table(pa.table(columns), path, compression="zstd", store_schema=False, dictionary_pagesize_limit=2**30)
    assert path.stat().st_size < 50_000
    return str(path)


def damaged_parquet(firm) -> str:
    path = firm.folder / "damaged.parquet"
    pq.write_table(pa.table({name: [value] * 1000 for name, value in make_row().items()}), path, compression="none")
    content = bytearray(path.read_bytes())
    content[4:400:3] = b"\xff" * len(content[4:400:3])
    path.write_bytes(bytes(content))
    return str(path)


LEADS_OUT = "the path of a member leads out of it"
HOSTILE = [
    (wide, "it has 900,007 columns, more than any table of reports"),
    (long_line, "it has a line of over 16 MB"),
    (pipe, "it is not a regular file"),
    (folder, "it is not a regular file"),
    (device, "it is not a regular file"),
    (link_to_itself, "it is a link to a file that is not there"),
    (unreadable, "it cannot be opened"),
    (larger_than_read, "it has 2,048 MB, and at most 1,024 are read"),
    (deep, "it nests too deep to be a report"),
    (endless_number, "it holds a number of thousands of digits"),
    (leading_out("../../out.csv"), LEADS_OUT),
    (leading_out("deep/../../out.csv"), LEADS_OUT),
    (leading_out("/tmp/out.csv"), LEADS_OUT),
    (leading_out("C:out.csv"), LEADS_OUT),
    (leading_out("..\\out.csv"), LEADS_OUT),
    (link_in_archive, "a member is a link to another file"),
    (long_list_of_members, "it lists more files than the 2,000"),
    (many_rows_of_parquet, "it has over 5,000,000 rows"),
    (long_texts_of_parquet, "it is too large to open"),
    (damaged_parquet, "it is not a Parquet file, or it is damaged"),
]


@pytest.mark.skipif(sys.platform == "win32", reason="pipes, devices and links")
@pytest.mark.parametrize(("make", "says"), HOSTILE)
def test_a_hostile_file_is_refused_with_its_reason_and_the_others_load(firm, monkeypatch, make, says):
    monkeypatch.setattr(limits, "CHILD_MEMORY", 2**30)  # half of what it is, for half of the time
    bad, good = make(firm), firm.write("good.csv", [make_row(report_id="R2")])
    summary = firm.load(bad, good)
    assert (summary.rows_loaded, [file.file for file in summary.unreadable]) == (1, [bad])
    assert says in str(summary.unreadable[0].problem)
    with pytest.raises(UsageError, match=says if make is not unreadable else "error"):
        suggest(find_sources([bad], firm.folder), firm.folder)


@pytest.mark.parametrize(("make", "says"), [(deep, "nests too deep"), (damaged_parquet, "it is damaged")])
def test_so_it_is_by_a_layout(firm, make, says):
    bad, good = make(firm), firm.write("good.csv", [make_row(report_id="R2")])
    summary = firm.load(bad, good, layout=Path(firm.write("layout.toml", AS_IT_IS)))
    assert (summary.rows_loaded, [file.file for file in summary.unreadable]) == (1, [bad])
    assert says in str(summary.unreadable[0].problem)


#: What is refused beyond a limit is tried with a small one: the limit, a file beyond it, and what is said.
SMALL = [
    ("MOST_ROWS", "rows.csv", csv_text([make_row(observation_no=str(i)) for i in range(9)]), "over 5 lines"),
    ("MOST_CELLS", "rows.csv", csv_text([make_row()]) + "\n", "over 5 cells"),
    ("MOST_BROKEN", "rows.csv", csv_text([make_row()]) + "a,b\n" * 6, "the first: row 3, wrong_width"),
    ("MOST_VALUES", "rows.json", json.dumps(document([make_row()])), "over 5 values"),
    ("LARGEST_DOCUMENTS", "rows.json", json.dumps(document([make_row()])), "at most 0 are read"),
]


@pytest.mark.parametrize(("limit", "name", "content", "says"), SMALL)
def test_beyond_a_limit_a_file_is_refused_and_the_others_load(firm, monkeypatch, limit, name, content, says):
    good = firm.write("good.csv", csv_text([make_row(report_id="R2")]))
    monkeypatch.setattr(limits, limit, 5)
    summary = firm.load(firm.write(name, content), good)
    assert summary.rows_loaded == 1
    assert says in str(summary.unreadable[0].problem)


def test_an_archive_that_would_unpack_to_too_much_is_not_unpacked(firm, monkeypatch):
    monkeypatch.setattr(limits, "LARGEST_FILE", 1_000)
    path = packed(firm, *((f"{number}.csv", csv_text([make_row()] * 9)) for number in range(4)))
    (source,) = find_sources([path], firm.folder)
    assert "it would unpack to" in str(source.problem)
    assert list(firm.folder.iterdir()) == [Path(path)]


def test_an_archive_within_an_archive_is_not_read(firm):
    path = packed(firm, ("within.zip", "PK"), ("rows.csv", csv_text([make_row()])))
    summary = firm.load(path)
    assert summary.rows_loaded == 1
    assert "an archive within an archive is not read" in str(summary.unreadable[0].problem)


def test_a_child_that_takes_too_long_is_ended(firm, monkeypatch):
    monkeypatch.setattr(limits, "CHILD_SECONDS", 0.01)
    summary = firm.load(many_rows_of_parquet(firm), firm.write("good.csv", [make_row()]))
    assert summary.rows_loaded == 1
    assert "could not be opened within" in str(summary.unreadable[0].problem)


def test_a_file_that_vanishes_while_others_load(firm, monkeypatch):
    """Gone between the look for files and their reading."""
    bad, good = firm.write("gone.csv", [make_row()]), firm.write("good.csv", [make_row(report_id="R2")])
    monkeypatch.setattr("etl.load.find_sources", lambda *asked: _without(Path(bad), find_sources(*asked)))
    summary = firm.load(bad, good)
    assert (summary.rows_loaded, summary.unreadable[0].file) == (1, bad)
    assert summary.unreadable[0].problem == "it cannot be opened (No such file or directory)"


def _without(path: Path, sources: list) -> list:
    path.unlink()
    return sources


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("a\n\x1b[31m=b.csv", "a\\n\\x1b[31m=b.csv"),
        (os.fsdecode(b"caf\xe9.csv"), "caf\\udce9.csv"),
        ("st*r?.csv", "st*r?.csv"),
    ],
)
@pytest.mark.skipif(sys.platform != "linux", reason="names that other systems do not have")
def test_names_of_files_are_shown_without_control_characters(firm, name, shown):
    path = firm.folder / name
    path.write_text(csv_text([make_row(), make_row(report_id="R2", call="maybe")]))
    firm.write("star.csv", [make_row(report_id="R8")])
    summary = firm.load(str(path))
    assert (summary.rows_loaded, summary.rows_rejected) == (1, 1)
    assert [Path(file.file).name for file in summary.loads] == [shown]
    assert Path(firm.rejects()[0]["file"]).name == shown


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("# " + "x" * model.LARGEST, "more than any layout"),
        ("x = " + "[\n" * 100_000, "nests too deep"),
        ("\0", "it is not TOML"),
        ("a." * 100_000 + "b = 1", "a line of over 4,000 signs"),
        (AS_IT_IS + "part = '" + "(" * 501 + "'", "longer than the 500 signs"),
        (AS_IT_IS + "part = '(?=a)(b)'", "it is no pattern"),
        (AS_IT_IS + "part = '(a{60000}){60000}'", "it is no pattern"),
        (AS_IT_IS + "part = '(a)(b)'", "it needs exactly one group"),
    ],
)
def test_a_hostile_layout_is_refused_with_its_reason(firm, text, says):
    with pytest.raises(LayoutError, match=says):
        firm.load(firm.write("good.csv", [make_row()]), layout=Path(firm.write("layout.toml", text)))


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes")
def test_a_pipe_in_place_of_a_layout_is_not_waited_for(firm):
    os.mkfifo(firm.folder / "layout.toml")
    with pytest.raises(LayoutError, match="it is not a regular file"):
        firm.load(firm.write("good.csv", [make_row()]), layout=firm.folder / "layout.toml")


def test_no_pattern_keeps_a_load_busy():
    """Python's own matching would be busy for longer than the world is old."""
    assert pattern.taken("^((?:a+)+)$", ["a" * 10_000 + "!", "aa", None]) == [None, "aa", None]
    assert pattern.taken(r"of (\d+)", ["6 of 14", "6"]) == ["14", None]
    assert pattern.taken(r"[(]([^)]+)[)]", ["NE (rear)"]) == ["rear"]
    assert pattern.problem("(?P<named>a)") is None
