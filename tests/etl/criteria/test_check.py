"""A firm's own rules are tried out before they judge anything, and told exactly what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.check import check_criterion
from etl.errors import CriterionError
from tests.etl.criteria.test_conditions import own_criteria

EXAMPLE = Path(__file__).parents[3] / "docs" / "tallow_county.toml"


def check(path: Path) -> None:
    catalog = load_catalog(extra=path)
    for criterion in catalog.criteria:
        if criterion.local:
            check_criterion(catalog, criterion)


def with_acceptable(path: Path, condition: str) -> Path:
    text = path.read_text(encoding="utf-8")
    both = f'acceptable = "{condition}"\nreason = {{ defect = "over", acceptable = "fine" }}\n'
    path.write_text("\n".join(both if line.startswith("reason") else line for line in text.splitlines()))
    return path


def test_the_example_of_the_docs_can_be_used() -> None:
    check(EXAMPLE)


@pytest.mark.parametrize("defect", ["joist_gap_in > 25", "joist_gap_in > 0.25 or joist_gap_in > 300"])
def test_a_limit_that_the_measure_cannot_reach_is_called_another_unit(tmp_path: Path, defect: str) -> None:
    with pytest.raises(
        CriterionError, match=r"joist_gap_in is in inches and lies between .* write the limit in inches"
    ):
        check(own_criteria(tmp_path, defect))


@pytest.mark.parametrize(
    ("acceptable", "told"),
    [("joist_gap_in <= 0.3125", "joist_gap_in = 5/16"), ("joist_gap_in < 3", "joist_gap_in = ")],
)
def test_a_defect_that_is_acceptable_too_is_refused_with_an_example(tmp_path: Path, acceptable: str, told: str) -> None:
    with pytest.raises(CriterionError, match="both hold where") as refused:
        check(with_acceptable(own_criteria(tmp_path), acceptable))

    assert told in str(refused.value)


def test_conditions_that_just_touch_are_fine(tmp_path: Path) -> None:
    check(with_acceptable(own_criteria(tmp_path), "joist_gap_in <= 0.25"))


@pytest.mark.parametrize(
    "defect", ["joist_gap_in > 2 and joist_gap_in < 1", "joist_gap_in is null and joist_gap_in > 1"]
)
def test_a_rule_that_can_never_decide_is_refused(tmp_path: Path, defect: str) -> None:
    with pytest.raises(CriterionError, match="it can never decide"):
        check(own_criteria(tmp_path, defect))


def test_every_rule_of_the_catalog_passes_the_same_check(catalog: Catalog) -> None:
    for criterion in catalog.criteria:
        check_criterion(catalog, criterion)
