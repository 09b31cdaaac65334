"""All cases of a module judged in one go: planning the judge takes a second, a row next to nothing."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import pytest

from tests.etl.criteria.published.cells import Case, Wrong


@pytest.fixture(scope="module")
def wrong(request: pytest.FixtureRequest, judge: Callable[..., list[dict[str, Any]]]) -> Wrong:
    """Those of some cases out of the module's ``CASES`` that are not judged as their source says."""
    cases: list[Case] = request.module.CASES
    rows = judge(*(case.row() for case in cases))
    verdicts = {case: row["verdict"] for case, row in zip(cases, rows, strict=True)}

    def differing(some: Iterable[Case]) -> list[str]:
        listed = list(some)
        assert listed, "no case at all"
        return [
            f"{case.recorded}: {verdicts[case]}, not {case.verdict} ({case.source})"
            for case in listed
            if verdicts[case] != case.verdict
        ]

    return differing
