"""Both sides of every published limit of guards, stairs and handrails, under each edition that has it."""

from __future__ import annotations

import pytest

from tests.etl.criteria.published.cells import Wrong
from tests.etl.criteria.published.guards_stairs import GROUPS, Group, cases

CASES = [case for group in GROUPS for case in cases(group)]


@pytest.mark.parametrize("group", GROUPS, ids=[f"{group.topic}: {group.source}" for group in GROUPS])
def test_each_side_of_a_limit_gets_its_verdict(group: Group, wrong: Wrong) -> None:
    assert wrong(cases(group)) == []


def test_no_row_stands_twice_and_there_are_enough() -> None:
    assert sum(len(group.rows.strip().splitlines()) for group in GROUPS) >= 60
    assert len({(case.topic, case.recorded) for case in CASES}) == len(CASES)
