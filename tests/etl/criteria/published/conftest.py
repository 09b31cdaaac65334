"""All cases of a module judged in one go: planning the judge takes a second, a row takes nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.etl.criteria.published.cells import Case


@pytest.fixture(scope="module")
def verdict_of(request: pytest.FixtureRequest, judge: Callable[..., list[dict[str, Any]]]) -> Callable[[Case], str]:
    """The verdict of a case out of the module's ``CASES``."""
    cases: list[Case] = request.module.CASES
    judged = judge(*(case.row() for case in cases))
    verdicts = {case: row["verdict"] for case, row in zip(cases, judged, strict=True)}
    return verdicts.__getitem__
