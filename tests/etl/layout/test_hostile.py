"""Files that would hang a load or fill its memory: each is refused by name with its reason, and the others load."""

from __future__ import annotations

import os
import sys

import pytest

from etl.errors import UsageError
from etl.layout.suggest import suggest
from etl.readers import find_sources
from etl.readers.delimited import LONGEST_LINE
from tests.etl.conftest import csv_text, make_row

HEADER = ",".join(make_row())


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


HOSTILE = [
    (wide, "it has 900,007 columns, more than any table of reports"),
    (long_line, "it has a line of over 16 MB"),
    pytest.param(
        pipe, "it is not a regular file", marks=pytest.mark.skipif(sys.platform == "win32", reason="no pipes")
    ),
    (folder, "it is not a regular file"),
]


@pytest.mark.parametrize(("make", "says"), HOSTILE)
def test_a_hostile_file_is_refused_with_its_reason_and_the_others_load(firm, make, says):
    bad, good = make(firm), firm.write("good.csv", [make_row(report_id="R2")])
    summary = firm.load(bad, good)
    assert (summary.rows_loaded, [file.file for file in summary.unreadable]) == (1, [bad])
    assert says in str(summary.unreadable[0].problem)
    with pytest.raises(UsageError, match=says):
        suggest(find_sources([bad], firm.folder), firm.folder)
