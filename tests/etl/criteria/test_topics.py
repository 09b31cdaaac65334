"""What is recorded, and the verdict that the published limit or stated practice gives for it.

The cases stand in verdicts.csv: what was recorded, the verdict, and the source of that verdict. The limits are typed
in there and here from those sources, none is read from the catalog. "Common practice" has no published source.
Not checked here: wording, and which of a topic's criteria decided.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from etl import contract, vocabulary
from etl.criteria.catalog import Catalog

D, A, J, C = "defect", "acceptable", "judgment", "cannot_tell"
#: PS 20: minimum dressed depths, dry, in inches.
DRESSED = {"2x4": "3.5", "2x6": "5.5", "2x8": "7.25", "2x10": "9.25", "2x12": "11.25"}
#: 60 percent of them, worked out by hand.
LEAST_HEIGHT = {"2x4": "2.10", "2x6": "3.30", "2x8": "4.35", "2x10": "5.55", "2x12": "6.75"}
A_HAIR = "0.000001"

#: Joist (down) in hanger (across) by stamped size alone: the same size, one size smaller from 2x8 on.
BY_SIZE = """
        2x4           2x6           2x8           2x10          2x12
2x4     acceptable    judgment      judgment      judgment      judgment
2x6     cannot_tell   acceptable    judgment      judgment      judgment
2x8     defect        acceptable    acceptable    judgment      judgment
2x10    defect        defect        acceptable    acceptable    judgment
2x12    defect        defect        cannot_tell   acceptable    acceptable
"""
BY_STAMPED_RANGE = [
    ("2x8", "2x8-2x10", A),
    ("2x10", "2x8-2x10", A),
    ("2x8", "2x6-2x10", A),
    ("2x12", "2x8-2x10", A),
    ("2x12", "2x6-2x8", C),
    ("2x10", "2x4-2x6", D),
    ("2x6", "2x8-2x10", J),
]


Case = tuple[str, dict[str, Any], str, str]


def _cases() -> list[Case]:
    with (Path(__file__).parent / "verdicts.csv").open(newline="", encoding="utf-8") as file:
        return [
            (line["topic"], dict(map(_value, line["recorded"].split())), line["verdict"], line["source"])
            for line in csv.DictReader(file)
        ]


def _value(written: str) -> tuple[str, Any]:
    """``joist_gap_in=0.25``, as a report's value; a blank in it is written as an underscore."""
    name, value = written.split("=")
    return name, contract.read(contract.columns()[name].rule, value.replace("_", " "))


def _hanger_cases() -> list[Case]:
    head, *lines = (line.split() for line in BY_SIZE.strip().splitlines())
    sizes = [
        (joist, hanger, verdict) for joist, *verdicts in lines for hanger, verdict in zip(head, verdicts, strict=True)
    ]
    return [
        ("hanger_size", {"joist_nominal": joist, "hanger_nominal": hanger}, verdict, "by stamped size")
        for joist, hanger, verdict in sizes + BY_STAMPED_RANGE
    ]


CASES = [*_cases(), *_hanger_cases()]


@pytest.fixture(scope="module")
def verdicts(judge: Callable[..., list[dict[str, Any]]]) -> list[str]:
    """All cases judged in one go."""
    return [row["verdict"] for row in judge(*({"topic": topic, **row} for topic, row, _, _ in CASES))]


@pytest.mark.parametrize("number", range(len(CASES)), ids=[f"{t}-{r}" for t, r, _, _ in CASES])
def test_what_is_recorded_gets_the_verdict_of_its_source(number: int, verdicts: list[str]) -> None:
    _, recorded, verdict, source = CASES[number]

    assert verdicts[number] == verdict, f"{recorded}: {source}"


def test_every_topic_that_has_rules_is_tried_on_every_verdict_that_its_rules_can_give(catalog: Catalog) -> None:
    tried = {(topic, verdict) for topic, _, verdict, _ in CASES}
    possible = {
        (criterion.topic, verdict)
        for criterion in catalog.criteria
        for verdict in ("defect", "judgment", "acceptable")
        if getattr(criterion, verdict)
    } | {(topic, "cannot_tell") for topic in vocabulary.topics() if catalog.of_topic(topic)}

    assert possible - tried == set()


@pytest.mark.parametrize("size", DRESSED)
def test_a_hanger_of_exactly_60_percent_is_enough_and_a_hair_less_is_not(
    size: str, judge: Callable[..., list[dict[str, Any]]]
) -> None:
    limit, depth, hair = Decimal(LEAST_HEIGHT[size]), Decimal(DRESSED[size]), Decimal(A_HAIR)
    heights = [limit - hair, limit, limit + hair, depth, depth + hair]

    rows = judge(*({"topic": "hanger_size", "joist_nominal": size, "hanger_height_in": height} for height in heights))

    assert [row["verdict"] for row in rows] == [D, A, A, A, J]
