"""The sentences on luck and on what held."""

from __future__ import annotations

import pytest

from dashboard.notes.luck_wording import held_afterwards


@pytest.mark.parametrize(
    ("counts", "told"),
    [
        ((9, 9, 3), "9 signals would have shown so far; 3 held in the reports after it."),
        ((1, 1, 1), "1 signal would have shown so far; 1 held in the reports after it."),
        ((9, 7, 3), "3 of the 7 that later reports can speak to held in the reports after it."),
        ((2, 0, 0), "No signal is old enough to see whether later reports bear it out."),
    ],
)
def test_the_record_is_told_with_its_counts(counts, told):
    assert held_afterwards(*counts).replace("\u00a0", " ").endswith(told)
