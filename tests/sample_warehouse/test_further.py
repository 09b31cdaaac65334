"""Second looks, rounds, training and staff of the sample firm: as planted, to within sampling error.

Counted from the files, as in :mod:`test_planted_truth`; the contract's models (:mod:`etl.input_tables`) refuse none of
their rows.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from etl.input_tables import FURTHER
from sample_warehouse.generate import write_firm
from sample_warehouse.truth import parameters
from tests.sample_warehouse.test_planted_truth import _close

Row = dict[str, Any]
TABLES = {
    "second_looks": "second_looks.csv",
    "rounds": "calibration_rounds.csv",
    "sessions": "training_sessions.csv",
    "staff": "staff.csv",
}


@pytest.fixture(scope="module")
def further(tmp_path_factory: pytest.TempPathFactory, read_back: Callable[[Path], list[Row]]) -> dict[str, list[Row]]:
    """The rows of the whole firm's further tables, as they stand in their files."""
    folder = tmp_path_factory.mktemp("wrenfield")
    write_firm(folder)
    return {table: read_back(folder / name) for table, name in TABLES.items()}


def test_the_contract_refuses_no_row_and_every_key_stands_once(further: dict[str, list[Row]]) -> None:
    for name, table in FURTHER.items():
        rows = [table.model.model_validate(row).model_dump() for row in further[name]]
        assert set(further[name][0]) == set(table.columns)
        assert len({tuple(row[column] for column in table.key) for row in rows}) == len(rows) > 0


def test_looks_are_drawn_as_planned_at_loaded_observations_of_their_time(
    further: dict[str, list[Row]], rows: list[Row]
) -> None:
    plan, looks = parameters()["second_looks"], further["second_looks"]
    wanted: Counter[str] = Counter()
    for draw in plan["draw"]:
        wanted[draw["chosen"]] += draw["rows"]
    assert Counter(look["chosen"] for look in looks) == wanted
    written = {(row["report_id"], row["observation_no"]): row for row in rows}
    for look in looks:
        row = written[look["report_id"], look["observation_no"]]
        visited = date.fromisoformat(str(row["inspected_on"]))
        assert plan["first_visit"] <= visited <= plan["last_visit"]
        assert plan["days_after"][0] <= (date.fromisoformat(look["looked_on"]) - visited).days <= plan["days_after"][1]
        assert row["call"] != "not_seen"
        assert look["looked_by"] not in {inspector["id"] for inspector in parameters()["inspector"]}
    assert {look["ruling"] for look in looks if look["chosen"] == "targeted"} >= {"acceptable", "defect"}


def test_in_rounds_two_write_up_one_size_down_and_one_passes_wide_gaps_as_on_decks(
    further: dict[str, list[Row]],
) -> None:
    items = {held["id"]: held["items"] for held in parameters()["round"]}
    calls = [row | {"kind": items[row["round_id"]][int(row["item_id"]) - 1][1]} for row in further["rounds"]]
    assert Counter(row["inspector_id"] for row in calls) == dict.fromkeys(
        (one["id"] for one in parameters()["inspector"]), sum(map(len, items.values()))
    )
    for name in ("one_size_down", "wide_gap_passed"):
        planted = parameters()["planted"][name]
        own, peers = [], []
        for row in calls:
            if row["topic"] == planted["topic"] and row["kind"] in planted["kinds"]:
                (own if row["inspector_id"] in planted["inspectors"] else peers).append(row["call"] == planted["call"])
        assert _close(sum(own), len(own), planted["share"])
        assert _close(sum(peers), len(peers), planted["peers_share"])
        assert sum(own) / len(own) > 2 * sum(peers) / len(peers)


def test_most_items_are_known_and_come_from_observations_of_their_topic(
    further: dict[str, list[Row]], rows: list[Row]
) -> None:
    topics = {f"{row['report_id']}:{row['observation_no']}": row["topic"] for row in rows}
    items = {(row["round_id"], row["item_id"]): row for row in further["rounds"]}
    known = [row for row in items.values() if row["known_verdict"]]
    assert len(items) > len(known) > 0.8 * len(items)
    assert all(topics[row["observation_id"]] == row["topic"] for row in items.values() if row["observation_id"])
    assert sum(bool(row["observation_id"]) for row in items.values()) > 0.6 * len(items)


def test_everybody_who_inspects_is_on_the_staff_and_the_training_was_one_day(further: dict[str, list[Row]]) -> None:
    everybody = {one["id"] for one in parameters()["inspector"]}
    assert {row["inspector_id"] for row in further["staff"]} == everybody
    assert {row["inspector_id"] for row in further["sessions"]} < everybody
    assert {(row["held_on"], row["topic"]) for row in further["sessions"]} == {("2026-03-12", "joist_gap")}
