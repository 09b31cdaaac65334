"""Opening a snapshot: every way in which it can fail has its own sentence; readers can only read."""

import re
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files
from pathlib import Path

import duckdb
import pytest

from dashboard.filters import EVERYTHING
from dashboard.measures.cases import cases
from dashboard.warehouse import (
    SCHEMA_VERSION,
    EmptyWarehouse,
    NoWarehouse,
    Snapshot,
    SnapshotTooNew,
    SnapshotTooOld,
    SnapshotUnreadable,
    WarehouseError,
    current_file,
    default_folder,
)


def test_no_folder_says_to_load_or_to_name_another(tmp_path):
    with pytest.raises(NoWarehouse, match=r"no warehouse at .*nowhere.*evenhand load.*--warehouse"):
        Snapshot.open(tmp_path / "nowhere")


def test_a_folder_without_a_pointer_is_empty(tmp_path):
    with pytest.raises(EmptyWarehouse, match=r"No reports are loaded.*evenhand demo"):
        Snapshot.open(tmp_path)


@pytest.mark.parametrize("pointer", [b"", b"../../etc/passwd", b"0001\n0002", b"\xff\xfe"])
def test_a_pointer_that_names_no_snapshot_is_refused(tmp_path, pointer):
    (tmp_path / "current").write_bytes(pointer)
    with pytest.raises(SnapshotUnreadable, match="pointer"):
        Snapshot.open(tmp_path)


def test_a_missing_file_is_named(tmp_path):
    (tmp_path / "current").write_text("0007", encoding="utf-8")
    with pytest.raises(SnapshotUnreadable, match=r"Snapshot 0007 is named .*missing.*evenhand rollback"):
        Snapshot.open(tmp_path)


def test_a_damaged_file_gives_a_sentence(tmp_path, firm):
    warehouse = firm.publish(tmp_path)
    (warehouse / "snapshots" / "0001.duckdb").write_bytes(b"not a database" * 1000)
    with pytest.raises(SnapshotUnreadable, match="Snapshot 0001 cannot be opened"):
        Snapshot.open(warehouse)


def test_a_database_of_something_else_gives_a_sentence(tmp_path):
    (tmp_path / "snapshots").mkdir()
    duckdb.connect(tmp_path / "snapshots" / "0001.duckdb").close()
    (tmp_path / "current").write_text("0001", encoding="utf-8")
    with pytest.raises(SnapshotUnreadable, match="not a snapshot of Evenhand"):
        Snapshot.open(tmp_path)


def test_a_newer_snapshot_says_update_and_an_older_one_says_load(tmp_path, firm):
    with pytest.raises(SnapshotTooNew, match="Update Evenhand"):
        Snapshot.open(firm.publish(tmp_path / "new", schema_version=SCHEMA_VERSION + 1))
    with pytest.raises(SnapshotTooOld, match="Load any report again"):
        Snapshot.open(firm.publish(tmp_path / "old", schema_version=SCHEMA_VERSION - 1))


def test_every_error_has_a_sentence_and_a_next_step(tmp_path):
    with pytest.raises(WarehouseError) as caught:
        Snapshot.open(tmp_path)
    assert str(caught.value) == f"{caught.value.sentence} {caught.value.next_step}"
    assert caught.value.sentence.endswith(".")


def test_the_facts_of_a_snapshot_are_there(firm, published):
    info = published(firm).info
    assert (info.snapshot, info.schema_version, info.code_basis) == ("0001", SCHEMA_VERSION, "IRC 2021")


def test_the_pointer_decides_which_snapshot_is_opened(tmp_path, firm):
    firm.note("joist_gap", "passed").publish(tmp_path, "0001")
    with Snapshot.open(tmp_path) as before:
        firm.note("joist_gap", "passed").publish(tmp_path, "0002")
        with Snapshot.open(tmp_path) as after:
            assert (len(cases(before)), len(cases(after))) == (1, 2)
    assert current_file(tmp_path).stem == "0002"


def test_the_folder_comes_from_the_environment_else_from_here(monkeypatch):
    monkeypatch.setenv("EVENHAND_WAREHOUSE", "/srv/decks")
    assert default_folder() == Path("/srv/decks")
    monkeypatch.delenv("EVENHAND_WAREHOUSE")
    assert default_folder() == Path("warehouse")


def test_threads_get_the_rows_that_they_asked_for(firm, published):
    for at in range(20):
        firm.note("joist_gap", "passed", report=f"R{at}", region=f"Region {at}")
    snapshot = published(firm)

    def regions(at: int) -> set[str]:
        return set(cases(snapshot, by="region", group=f"Region {at % 20}")["region"])

    with ThreadPoolExecutor(8) as pool:
        for at, found in enumerate(pool.map(regions, range(200))):
            assert found == {f"Region {at % 20}"}


@pytest.mark.parametrize(
    "statement",
    [
        "select * from read_text('/etc/hostname')",
        "copy (select 1) to 'out.csv'",
        "attach 'other.duckdb'",
        "set enable_external_access = true",
        "delete from trials",
    ],
)
def test_a_reader_can_neither_reach_out_nor_write(statement, firm, published):
    snapshot = published(firm)
    with pytest.raises(duckdb.Error):
        snapshot._connection.cursor().execute(statement)


#: What reads trials or observations whatever the filters: the choices that filters offer, one case, one pair, what came in.
UNFILTERED = {
    *("choices.sql", "intake.sql", "observation.sql", "recorded_kinds.sql"),
    *("incomplete_reports.sql", "observation_columns.sql", "cases_of_pair.sql"),
    "round_calls.sql",  # a round is filtered by its own days and topics
    *("measures_by_month.sql", "topics_by_month.sql"),  # the form is the whole firm's, and the page says so
}


def test_every_query_over_calls_uses_every_filter():
    """A query that forgot one would show numbers of the whole firm under a filter's name."""
    texts = {file.name: file.read_text(encoding="utf-8") for file in files("dashboard").joinpath("queries").iterdir()}
    within = texts.pop("within.sql")
    assert [name for name in EVERYTHING.parameters() if f"${name}" not in within] == []
    # Parts that several queries name: what is known of the truth of trials, and of decks as they stood, and expressions.
    parts = {name: texts.pop(name) for name, text in list(texts.items()) if text.startswith("-- Not a query")}
    assert "/* within.sql */" in parts["verified.sql"]
    assert "/* verified.sql */" in parts["deck_states.sql"]
    over_calls = {
        name for name, text in texts.items() if re.search(r"(from|join) (trials|outcomes|observations)\b", text)
    }
    with_filters = re.compile(r"/\* (within|verified|deck_states)\.sql \*/")
    filtered = {name for name, text in texts.items() if with_filters.search(text)}
    assert over_calls - UNFILTERED - filtered == set()
    assert UNFILTERED & filtered == set()
    assert all(text.startswith("-- One row") for text in texts.values())
