"""What the firm keeps beside its reports: second looks, calibration rounds, a training session, its staff."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from sample_warehouse.calls import call_shares
from sample_warehouse.dice import Dice, at_share
from sample_warehouse.refused import Expected
from sample_warehouse.reports import Row, Written
from sample_warehouse.truth import Kind, parameters, topics
from sample_warehouse.visits import inspectors

_LOOKS, _ROUNDS = 7, 8


def tables(reports: list[list[Written]], refused: Iterable[Expected], seed: int) -> dict[str, list[Row]]:
    """The rows of the further tables, by the name of the file that they stand in."""
    refused_rows = {(one.report_id, one.observation_no) for one in refused}
    loaded = [one for report in reports for one in report if _key(one.row) not in refused_rows]
    return {
        "second_looks.csv": _second_looks(loaded, len(reports), seed),
        "calibration_rounds.csv": list(_round_calls(loaded, seed)),
        "training_sessions.csv": list(_attendances()),
        "staff.csv": list(_staff()),
    }


def write(directory: Path, rows_by_file: dict[str, list[Row]]) -> list[Path]:
    """Write each table into its file; returns the paths in order of name."""
    for name, rows in rows_by_file.items():
        with (directory / name).open("w", encoding="utf-8", newline="") as stream:
            writer = csv.DictWriter(stream, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)
    return [directory / name for name in sorted(rows_by_file)]


def _key(row: Row) -> tuple[str, str]:
    return row["report_id"], row["observation_no"]


# ---- second looks ----------------------------------------------------------------------------------------------------


def _second_looks(loaded: list[Written], n_reports: int, seed: int) -> list[Row]:
    """Looks drawn as planned, by day; each at an observation that no other is at."""
    plan = parameters()["second_looks"]
    dice = Dice.of(seed, _LOOKS)
    open_to = [one for one in loaded if _in_time(one.row, plan) and one.called.call != "not_seen"]
    taken: set[tuple[str, str]] = set()
    found = []
    for draw in plan["draw"]:
        drawn_from = [one for one in open_to if _suits(one, draw) and _key(one.row) not in taken]
        wanted = max(round(draw["rows"] * n_reports / parameters()["firm"]["reports"]), draw["small"])
        for _ in range(min(wanted, len(drawn_from))):
            one = drawn_from.pop(int(dice.uniform() * len(drawn_from)))
            taken.add(_key(one.row))
            found.append(_look(one, draw["chosen"], plan, dice))
    return sorted(found, key=lambda look: (look["looked_on"], look["report_id"], look["observation_no"]))


def _in_time(row: Row, plan: dict[str, Any]) -> bool:
    day = row["inspected_on"]
    return isinstance(day, date) and plan["first_visit"] <= day <= plan["last_visit"]


def _suits(one: Written, draw: dict[str, Any]) -> bool:
    case, call = one.called.case, one.called.call
    return (
        case.topic.id in draw.get("topics", (case.topic.id,))
        and case.kind.name in draw.get("kinds", (case.kind.name,))
        and call in draw.get("calls", (call,))
        and bool(one.called.measures) == draw.get("measured", bool(one.called.measures))
    )


def _look(one: Written, chosen: str, plan: dict[str, Any], dice: Dice) -> Row:
    days = dice.whole(*plan["days_after"])
    looked_by = dice.pick(plan["looked_by"])
    ruling = _ruling(one, plan, dice)
    return {
        "report_id": one.row["report_id"],
        "observation_no": one.row["observation_no"],
        "looked_by": looked_by,
        "looked_on": one.row["inspected_on"] + timedelta(days=days),
        "chosen": chosen,
        "ruling": ruling,
        "reason": dice.pick(plan["reasons"][ruling]),
    }


def _ruling(one: Written, plan: dict[str, Any], dice: Dice) -> str:
    """What is there, where the photos show it."""
    hidden, leans = dice.happens(plan["cannot_tell_share"]), dice.happens(plan["judgment_defect_share"])
    if hidden and not one.called.measures:
        return "cannot_tell"
    standing = one.called.case.kind.standing
    return standing if standing != "judgment" else "defect" if leans else "acceptable"


# ---- calibration rounds ----------------------------------------------------------------------------------------------


def _round_calls(loaded: list[Written], seed: int) -> Iterator[Row]:
    """Every inspector's call on every item, sizes and tape in plain view."""
    for number, held in enumerate(parameters()["round"]):
        dice = Dice.of(seed, _ROUNDS, number)
        before = [one for one in loaded if _was_written_up_before(one, held["held_on"])]
        for item, (topic, name) in enumerate(held["items"], start=1):
            kind = next(kind for kind in topics()[topic].kinds if kind.name == name)
            photo = dice.uniform()
            examples = [one for one in before if (one.called.case.topic.id, one.called.case.kind) == (topic, kind)]
            from_row = examples[int(photo * len(examples))].row if examples else None
            for inspector in inspectors():
                yield {
                    "round_id": held["id"],
                    "held_on": held["held_on"],
                    "item_id": f"{item:02d}",
                    "topic": topic,
                    "inspector_id": inspector,
                    "call": at_share(dice.uniform(), call_shares(inspector, topic, kind, measured=True)),
                    "observation_id": ":".join(_key(from_row)) if from_row else "",
                    "known_verdict": _known(kind),
                }


def _was_written_up_before(one: Written, day: date) -> bool:
    visited = one.row["inspected_on"]
    return isinstance(visited, date) and visited < day and one.called.call == "written_up" and bool(one.called.measures)


def _known(kind: Kind) -> str:
    return kind.standing if kind.standing in ("defect", "acceptable") else ""


# ---- training and staff ----------------------------------------------------------------------------------------------


def _attendances() -> Iterator[Row]:
    for session in parameters()["session"]:
        for inspector in session["inspectors"]:
            yield {
                "session_id": session["id"],
                "held_on": session["held_on"],
                "topic": session["topic"],
                "inspector_id": inspector,
                "hours": session["hours"],
            }


def _staff() -> Iterator[Row]:
    for member in parameters()["staff"]:
        yield member | {"email": f"{member['inspector_id'].lower()}@wrenfield.example"}
