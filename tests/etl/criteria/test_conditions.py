"""A firm's own criteria: what is taken up, and what is refused by name before anything is judged."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from etl.criteria.catalog import load_catalog
from etl.errors import CatalogError, CriterionError

Judge = Callable[..., list[dict[str, Any]]]

CRITERION = """
[local]
jurisdiction = "Tallow County"
regions = {regions}
author = "A. Tester"
date = 2026-01-31

[[criterion]]
id = "{id}"
topic = "{topic}"
title = "Our own gap"
needs = {needs}
defect = {defect}
reason = {{ defect = "{reason}" }}
source = {{ document = "firm rule", known = "{known}" }}
plain = "We want it tighter."
weight = {weight}
"""
GIVEN = {
    "id": "joist_gap.ours",
    "topic": "joist_gap",
    "needs": '["joist_gap_in"]',
    "reason": "gap {joist_gap_in} in is over our limit",
    "known": "common practice",
    "weight": 3,
    "regions": '"all"',
}


def own_criteria(folder: Path, defect: str = "joist_gap_in > 0.25", **other: object) -> Path:
    path = folder / "criteria.toml"
    path.write_text(CRITERION.format(**{**GIVEN, "defect": f"'''{defect}'''", **other}), encoding="utf-8")
    return path


def test_a_firms_criterion_is_judged_beside_those_of_the_catalog(tmp_path: Path, judge: Judge) -> None:
    catalog = load_catalog(extra=own_criteria(tmp_path))

    strict, fine = judge(
        {"topic": "joist_gap", "joist_gap_in": 0.3}, {"topic": "joist_gap", "joist_gap_in": 0.1}, under=catalog
    )

    assert (strict["verdict"], strict["criterion_id"]) == ("defect", "joist_gap.ours")
    assert strict["reason"] == "gap 0.3 in is over our limit (firm rule: local rule)"
    assert (fine["verdict"], fine["criterion_id"]) == ("acceptable", "joist_gap.gap")


def test_a_firms_criterion_of_the_same_id_takes_the_place_of_the_catalogs(tmp_path: Path, judge: Judge) -> None:
    catalog = load_catalog(extra=own_criteria(tmp_path, id="joist_gap.gap"))

    rows = judge(*({"topic": "joist_gap", "joist_gap_in": gap} for gap in (0.3, 0.1)), under=catalog)

    assert [row["verdict"] for row in rows] == ["defect", "cannot_tell"]


def test_a_rule_of_a_region_stands_above_the_catalogs_there_and_nowhere_else(tmp_path: Path, judge: Judge) -> None:
    catalog = load_catalog(extra=own_criteria(tmp_path, id="joist_gap.gap", regions='["Ridge"]'))
    gap = {"topic": "joist_gap", "joist_gap_in": 0.3}

    ridge, flats, blank = judge({**gap, "region": "Ridge"}, {**gap, "region": "Flats"}, gap, under=catalog)

    assert (ridge["verdict"], ridge["criterion_id"]) == ("defect", "joist_gap.gap.local")
    assert (flats["verdict"], flats["criterion_id"]) == ("judgment", "joist_gap.gap")
    assert (blank["verdict"], blank["missing"]) == ("cannot_tell", ["region"])


def test_a_file_that_does_not_say_whose_rules_it_holds_is_refused(tmp_path: Path) -> None:
    path = own_criteria(tmp_path)
    path.write_text(path.read_text(encoding="utf-8").split("[[criterion]]")[1].join(["[[criterion]]", ""]))

    with pytest.raises(CatalogError, match=r"criteria.toml does not say whose rules it holds"):
        load_catalog(extra=path)


@pytest.mark.parametrize("lacking", ["jurisdiction", "regions", "author", "date"])
def test_jurisdiction_regions_author_and_date_are_required(tmp_path: Path, lacking: str) -> None:
    path = own_criteria(tmp_path)
    lines = path.read_text(encoding="utf-8").splitlines()
    path.write_text("\n".join(line for line in lines if not line.startswith(lacking)))

    with pytest.raises(CatalogError, match=lacking):
        load_catalog(extra=path)


@pytest.mark.parametrize(
    ("defect", "told"),
    [
        ("joist_gap > 0.25", "did you mean joist_gap_in?"),
        ("nothing_like_it = 1", "nothing_like_it is no measure, deck column or derived value"),
        ("joist_gap_in", "not true or false"),
        ("joist_gap_in >", "does not parse"),
        ("joist_gap_in > 'wide'", "'wide' does not go together with it"),
        ("joist_gap_in + 'wide' > 1", "do not go together"),
        ("joist_gap_in * 1000000000000000000000000000000000 > 1", "do not go together"),
        ("fastener_kind in ('deck_scew', 'staple')", "fastener_kind is never 'deck_scew'"),
        ("joist_nominal = '2 by 10'", "joist_nominal is never '2 by 10'"),
        ("joist_gap_in > (select 1)", "subquery is not allowed"),
        ("joist_gap_in in (select 1)", "subquery is not allowed"),
        ("exists (select 1 from read_csv('secrets.csv'))", "not allowed"),
        ("true from read_csv('secrets.csv')", "more than one expression"),
        ("true from range(3)", "more than one expression"),
        ("true; select 1", "more than one expression"),
        ("true; drop table observations", "does not parse"),
        ("true, false", "more than one expression"),
        ("true order by 1", "more than one expression"),
        ("true where false", "more than one expression"),
        ("read_text('secrets.txt') = 'a'", "the function read_text is not allowed"),
        ("getenv('HOME') = 'a'", "the function getenv is not allowed"),
        ("random() > 0.5", "the function random is not allowed"),
        ("count(*) > 1", "not allowed"),
        ("row_number() over () > 1", "window is not allowed"),
        ("joist_gap_in > $limit", "parameter is not allowed"),
        ("current_date > '2020-01-01'", "current_date is no measure"),
        ("regexp_extract(joist_nominal, '[0-9]') = '2'", "the function regexp_extract is not allowed"),
        ("fact.joist_gap_in > 1", "fact.joist_gap_in is no measure"),
        ("joist_gap_in / 2 > 0.1", "a division is not exact"),
        ("joist_gap_in > 1e-1", "write it out in decimals"),
        ("cast(joist_gap_in as double) > 0.1", "a cast to"),
        ("joist_gap_in > 0.25 and seat_gap_in > 0", "seat_gap_in, which is in neither needs nor uses"),
    ],
)
def test_a_bad_condition_is_refused_by_the_id_of_its_criterion(tmp_path: Path, defect: str, told: str) -> None:
    with pytest.raises(CriterionError) as refused:
        load_catalog(extra=own_criteria(tmp_path, defect))

    assert refused.value.id == "joist_gap.ours"
    assert refused.value.field == "defect"
    assert defect in str(refused.value)
    assert told in str(refused.value)


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [
        ({"topic": "joist_gaps"}, "topic", "there is no such topic"),
        ({"topic": "deck_sway"}, "topic", "counted, never judged"),
        ({"needs": '["joist_gap"]'}, "needs", "no measure, deck column or derived value"),
        ({"weight": 5}, "weight", "1, 3 or 10"),
        ({"known": "hearsay"}, "source.known", "read"),
        ({"reason": "gap {joist_gap} in"}, "reason.defect", "{joist_gap} is no measure"),
        ({"reason": "gap [{joist_gap_in} in"}, "reason.defect", "left open"),
        ({"id": "joist gap"}, "id", "pattern"),
    ],
)
def test_a_criterion_that_does_not_fit_is_refused_by_its_field(
    tmp_path: Path, change: dict[str, object], field: str, told: str
) -> None:
    with pytest.raises(CriterionError) as refused:
        load_catalog(extra=own_criteria(tmp_path, **change))

    assert refused.value.id == change.get("id", "joist_gap.ours")
    assert refused.value.field == field
    assert told in str(refused.value)


def test_an_id_stands_once_in_a_file(tmp_path: Path) -> None:
    path = own_criteria(tmp_path)
    path.write_text(path.read_text() + path.read_text().partition("[[criterion]]")[2].join(["[[criterion]]", ""]))

    with pytest.raises(CriterionError, match="stands twice"):
        load_catalog(extra=path)


def test_an_unknown_field_is_refused(tmp_path: Path) -> None:
    path = own_criteria(tmp_path)
    path.write_text(path.read_text() + 'flavor = "sweet"\n')

    with pytest.raises(CriterionError) as refused:
        load_catalog(extra=path)

    assert refused.value.field == "flavor"


@pytest.mark.parametrize("content", ["not toml", "rules = 1", 'criterion = "joist_gap"'])
def test_a_file_that_holds_no_criteria_is_refused_by_name(tmp_path: Path, content: str) -> None:
    path = tmp_path / "criteria.toml"
    path.write_text(content)

    with pytest.raises(CatalogError, match=r"criteria\.toml"):
        load_catalog(extra=path)


def test_words_of_a_firm_cannot_leave_their_quotes(tmp_path: Path, judge: Judge) -> None:
    """A reason and an id go into the select as constants."""
    extra = own_criteria(tmp_path, reason="it's {joist_gap_in}'; drop table recorded_rows; --")

    (row,) = judge({"topic": "joist_gap", "joist_gap_in": 0.3}, under=load_catalog(extra=extra))

    assert row["reason"] == "it's 0.3'; drop table recorded_rows; -- (firm rule: local rule)"
