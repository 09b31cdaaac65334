"""Both sides of every published limit of guards, stairs and handrails, under each edition that has it."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tests.etl.criteria.published.cells import Case
from tests.etl.criteria.published.guards_stairs import GROUPS, cases

CASES = cases()


@pytest.mark.parametrize("case", CASES, ids=str)
def test_each_side_of_a_limit_gets_its_verdict(case: Case, verdict_of: Callable[[Case], str]) -> None:
    assert verdict_of(case) == case.verdict, case.source


def test_there_are_rows_of_every_limit() -> None:
    assert sum(len(group.rows.strip().splitlines()) for group in GROUPS) >= 60
    assert len({(case.topic, case.recorded) for case in CASES}) == len(CASES)
