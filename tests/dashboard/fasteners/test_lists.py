"""The lists say where each row comes from and load without the rest of the program."""

from __future__ import annotations

import csv
import subprocess
import sys
from pathlib import Path

import pytest

import dashboard.fasteners
from dashboard.fasteners import lists

HERE = Path(dashboard.fasteners.__file__).parent


@pytest.mark.parametrize("file", sorted(HERE.glob("*.csv")), ids=lambda file: file.name)
def test_every_row_has_its_source_and_how_it_is_known(file):
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert len(rows) >= 6
    assert all(row["source"] and row["known"] in {"read", "secondary", "computed", "from memory"} for row in rows)


def test_a_nail_is_found_by_its_name_and_by_its_length():
    assert (lists.nail("common", "10d").diameter_in, lists.nail("common", "10d").length_in) == (0.148, 3.0)
    assert lists.nail_of_length("sinker", 2.875).pennyweight == "10d"
    assert lists.nail_of_length("common", 2.55).pennyweight == "8d"
    assert lists.nail_of_length("common", 2.75) is None
    assert lists.nail_of_length("gun", 2.5) is None
    # Nails of one length are as thick as each other, so that a length names a thickness.
    sizes = {(nail.kind, nail.length_in): nail.diameter_in for nail in lists.nails()}
    assert len(sizes) == len(lists.nails())


def test_what_is_not_listed_is_named_with_what_is():
    with pytest.raises(KeyError, match="common 9d"):
        lists.nail("common", "9d")
    with pytest.raises(KeyError, match="20, 18, 16"):
        lists.thickness_in(19)
    with pytest.raises(KeyError, match="Hem-Fir"):
        lists.specific_gravity("Balsa")


def test_the_functions_load_without_the_rest():
    program = (
        "import sys, dashboard.fasteners.hanger, dashboard.fasteners.withdrawal, dashboard.fasteners.adjustments;"
        "print(*sorted({'numpy', 'pandas', 'duckdb', 'scipy', 'streamlit', 'altair'} & set(sys.modules)))"
    )
    found = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert found.stdout.split() == []
