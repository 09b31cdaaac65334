"""What else changed over time: by plain rules, on small firms whose changes are known."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import duckdb
import pandas as pd
import pytest

from dashboard.filters import Filters
from dashboard.measures.changes import changes, changes_of, guidelines
from dashboard.warehouse import Snapshot
from tests.dashboard.builders import Firm


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Callable[..., Snapshot]]:
    """Publish a firm, run statements on its snapshot, and open it."""
    found: list[Snapshot] = []

    def publish(firm: Firm, *statements: str) -> Snapshot:
        folder = firm.publish(tmp_path / str(len(found)))
        with duckdb.connect(folder / "snapshots" / "0001.duckdb") as connection:
            for statement in statements:
                connection.execute(statement)
        found.append(Snapshot.open(folder))
        return found[-1]

    yield publish
    for snapshot in found:
        snapshot.close()


NEEDS_GAP = "update criteria set needs = ['joist_gap_in'] where topic = 'joist_gap'"
CATALOGS = (
    "create or replace table catalogs (catalog varchar, code_basis varchar, load_id varchar, first_used_at timestamp)"
)


def firm(months: int = 12, a_month: int = 10, gap_from: int = 8, every: int = 2) -> Firm:
    """Reports on the joist gap; from a month on the gap is written down in every second call."""
    made = Firm()
    for month in range(months):
        for number in range(a_month):
            gap = "0.1" if month >= gap_from and number % every == 0 else None
            made.note("joist_gap", "passed", inspected_on=date(2025, month + 1, 2), joist_gap_in=gap)
    return made


def test_a_measure_that_goes_from_never_to_often_is_told_with_its_month_and_counts(opened) -> None:
    found = changes(opened(firm(), NEEDS_GAP))
    assert found.to_dict("records") == [
        {"since": pd.Timestamp("2025-09-01"), "kind": "measure", "topic": "joist_gap", "what": "joist gap in"}
        | {"before": 80, "recorded": 20, "calls": 40}
    ]


@pytest.mark.parametrize(
    "made",
    [
        firm(gap_from=5),  # five months before
        firm(a_month=6, gap_from=8),  # 48 calls before
        firm(every=10),  # in one of ten calls since
        firm(a_month=8, gap_from=10),  # 16 calls since
        firm(gap_from=0),
    ],
)
def test_what_was_there_before_or_is_seldom_or_has_too_few_calls_is_no_change(opened, made: Firm) -> None:
    assert changes(opened(made, NEEDS_GAP)).empty


def test_a_topic_that_is_called_first_after_many_reports_is_told(opened) -> None:
    made = firm(gap_from=99).many(20, "guard_height", "passed", "cannot_tell", inspected_on=date(2025, 9, 2))
    found = changes(opened(made))
    assert found[["kind", "topic", "what", "before", "recorded", "calls"]].to_numpy().tolist() == [
        ["topic", "guard_height", "Guard height", 80, 20, 60]
    ]


def test_catalogs_after_the_first_are_changes_and_an_older_snapshot_tells_none(opened) -> None:
    made = Firm().note("joist_gap", "passed")
    assert changes(opened(made)).empty
    found = changes(
        opened(
            made,
            CATALOGS,
            "insert into catalogs values ('b', null, '0002', '2026-02-03 10:00'), ('a', null, '0001', '2026-01-02 10:00')",
        )
    )
    assert found[["since", "kind", "topic", "what"]].to_numpy().tolist() == [
        [pd.Timestamp("2026-02-03T10:00"), "catalog", "all", "b"]
    ]


def named(*guidelines: str) -> list[str]:
    """One guideline a month, named by two reports of three."""
    return [
        f"update reports set code_basis = '{which}' where month(inspected_on) = {month} and "
        "right(report_id, 1) not in ('1', '4', '7')"
        for month, which in enumerate(guidelines, 1)
        if which
    ]


def test_the_guideline_that_most_reports_name_is_told_where_it_changes_and_not_where_it_scatters(opened) -> None:
    old, new = ["IRC 2018"] * 4, ["IRC 2021"] * 5
    snapshot = opened(firm(months=9), *named(*old, *new))
    found = guidelines(snapshot)
    assert found[["since", "kind", "what", "recorded", "calls"]].to_numpy().tolist() == [
        [pd.Timestamp("2025-05-01"), "guideline", "IRC 2021", 35, 50]
    ]
    assert guidelines(snapshot, Filters(first_day=date(2025, 5, 1))).empty
    assert guidelines(snapshot, Filters(regions=("Nowhere",))).empty
    assert guidelines(opened(firm(months=9), *named(*old, "IRC 2021", *old))).empty
    unnamed = guidelines(opened(firm(months=9), *named(*old, *[""] * 5)))
    assert unnamed["what"].tolist() == [""]


def test_changes_of_a_topic_are_its_own_and_those_of_all_among_its_months() -> None:
    found = pd.DataFrame(
        {
            "since": pd.to_datetime(["2025-01-01", "2025-03-01", "2025-03-05", "2025-03-01", "2025-07-01"]),
            "kind": ["measure", "measure", "catalog", "measure", "catalog"],
            "topic": ["joist_gap", "joist_gap", "all", "guard_height", "all"],
        }
    )
    rows = pd.DataFrame({"month": pd.to_datetime(["2025-01-01", "2025-04-01"]), "period": "quarter"})
    assert changes_of(found, "joist_gap", rows)["since"].dt.month.tolist() == [3, 3]
    assert len(changes_of(found, "all", rows)) == 3
