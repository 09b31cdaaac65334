"""Rows that a load must not take as they are: damaged values, and observations that stand there twice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from etl.contract import columns
from sample_warehouse.dice import Dice
from sample_warehouse.reports import Row
from sample_warehouse.truth import parameters
from sample_warehouse.visits import inspectors

_REFUSED = 5
#: In these files every row carries its report's and its deck's facts, so that one row can have them wrong.
_FLAT = ("csv", "xlsx")


@dataclass(frozen=True)
class Expected:
    """A row that a load must refuse, and the rule that it breaks."""

    report_id: str
    observation_no: str
    column: str
    code: str


def plant(reports: list[list[Row]], seed: int) -> list[Expected]:
    """Spoil some rows of the reports in place; returns those that must be refused, in the order of the reports."""
    dice = Dice.of(seed, _REFUSED)
    taken: set[tuple[str, str]] = set()
    expected = []
    for damage in parameters()["refused"]:
        for _ in range(_wanted(damage["rows"], damage["small"], len(reports))):
            row = _choose(reports, damage, taken, dice)
            row[damage["column"]] = damage["value"]
            expected.append(_expected(row, damage["column"], damage["code"]))
    expected += _plant_duplicates(reports, taken, dice)
    return sorted(expected, key=lambda one: (one.report_id, one.observation_no))


def _wanted(rows: int, small: int, reports: int) -> int:
    return max(round(rows * reports / parameters()["firm"]["reports"]), small)


def _choose(reports: list[list[Row]], damage: dict[str, Any], taken: set[tuple[str, str]], dice: Dice) -> Row:
    while True:
        row = dice.pick(dice.pick(reports))
        if _suits(row, damage) and _key(row) not in taken:
            taken.add(_key(row))
            return row


def _suits(row: Row, damage: dict[str, Any]) -> bool:
    column = damage["column"]
    wanted_topic = damage.get("topic", row["topic"])
    in_its_row = columns()[column].level == "observation" or _format(row) in _FLAT
    # A value is spoiled only where one stands.
    return row["topic"] == wanted_topic and in_its_row and row.get(column) is not None


def _plant_duplicates(reports: list[list[Row]], taken: set[tuple[str, str]], dice: Dice) -> list[Expected]:
    """Add equal and differing second rows of an observation; every row of a differing pair is refused."""
    wanted = parameters()["duplicates"]
    expected = []
    for _ in range(_wanted(wanted["equal_rows"], wanted["equal_small"], len(reports))):
        _add_second(reports, taken, dice, {})
    for _ in range(_wanted(wanted["differing_rows"], wanted["differing_small"], len(reports))):
        row = _add_second(reports, taken, dice, {"call": "referred"})
        expected += [_expected(row, "observation_no", "duplicate_observation")] * 2
    return expected


def _add_second(reports: list[list[Row]], taken: set[tuple[str, str]], dice: Dice, other: Row) -> Row:
    while True:
        report = dice.pick(reports)
        row = dice.pick(report)
        if _format(row) == "csv" and _key(row) not in taken and row["call"] == "passed":
            taken.add(_key(row))
            report.append(row | other)
            return row


def _format(row: Row) -> str:
    inspector = inspectors().get(row["inspector_id"])
    return inspector["format"] if inspector else "csv"


def _key(row: Row) -> tuple[str, str]:
    return row["report_id"], row["observation_no"]


def _expected(row: Row, column: str, code: str) -> Expected:
    return Expected(row["report_id"], row["observation_no"], column, code)
