"""The folder: one load at a time, published by one step, kept snapshots, and readers that are not disturbed."""

from __future__ import annotations

import subprocess
import sys

import duckdb
import pytest

from etl import build
from etl.errors import AuditError, CatalogError, LockedError, UsageError, WarehouseError
from etl.warehouse import SCHEMA_VERSION, Warehouse
from tests.etl.conftest import make_look, make_row


def snapshots(firm):
    return [snapshot.id for snapshot in Warehouse(firm.warehouse).snapshots()]


def test_the_last_three_snapshots_are_kept_and_the_history_of_all(firm):
    for number in range(5):
        firm.load_rows([make_row(report_id=f"R{number}")])
    assert snapshots(firm) == ["0003", "0004", "0005"]
    assert len(list((firm.warehouse / "history").iterdir())) == 5


def test_rollback_turns_the_pointer_and_the_next_load_builds_on_it(firm):
    for number in range(3):
        firm.load_rows([make_row(report_id=f"R{number}")])
    Warehouse(firm.warehouse).rollback("0001")
    assert firm.query("select report_id from reports") == [("R0",)]
    summary = firm.load_rows([make_row(report_id="R9")])
    assert summary.snapshot == "0004"
    assert firm.query("select report_id from reports order by 1") == [("R0",), ("R9",)]


def test_rollback_to_what_is_not_kept_is_wrong_usage(firm):
    firm.load_rows([make_row()])
    with pytest.raises(UsageError, match=r"no snapshot 0007\. Kept are: 0001"):
        Warehouse(firm.warehouse).rollback("0007")


def test_a_second_load_at_the_same_time_is_refused(firm):
    with Warehouse(firm.warehouse).locked(), pytest.raises(LockedError, match="Another load is running"):
        firm.load_rows([make_row()])


def test_a_reader_in_another_process_keeps_its_snapshot_while_a_load_publishes(firm):
    firm.load_rows([make_row()])
    path = firm.warehouse / "snapshots" / "0001.duckdb"
    code = (
        "import duckdb, sys; c = duckdb.connect(sys.argv[1], read_only=True); print('open', flush=True); input();"
        "print(c.execute('select count(*) from reports').fetchall()[0][0])"
    )
    reader = subprocess.Popen(
        [sys.executable, "-c", code, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    assert reader.stdout is not None
    assert reader.stdout.readline() == "open\n"
    assert firm.load_rows([make_row(report_id="R2")]).published
    told, _ = reader.communicate("\n", timeout=30)
    assert told == "1\n"
    assert firm.query("select count(*) from reports") == [(2,)]


def test_a_load_that_fails_its_audit_publishes_nothing_and_leaves_no_half_built_file(firm, monkeypatch):
    firm.load_rows([make_row()])
    real = build.sql
    monkeypatch.setattr(build, "sql", lambda name: "select 1" if name == "audits/observation_unique" else real(name))
    with pytest.raises(AuditError, match="observation_unique"):
        firm.load_rows([make_row(report_id="R2")])
    monkeypatch.undo()
    assert firm.query("select report_id from reports") == [("R1",)]
    monkeypatch.setenv("EVENHAND_TODAY", "2026-11-25")
    assert firm.load_rows([make_row(report_id="R2")]).published
    assert not [*firm.warehouse.rglob("*.part"), *firm.warehouse.glob("scratch-*")]


def test_what_a_killed_load_left_behind_is_cleared_by_the_next(firm):
    firm.load_rows([make_row()])
    (firm.warehouse / "snapshots" / "0002.duckdb.part").write_bytes(b"half")
    (firm.warehouse / "scratch-old").mkdir()
    firm.load_rows([make_row(report_id="R2")])
    assert not [*firm.warehouse.rglob("*.part*"), *firm.warehouse.glob("scratch-*")]


def test_each_audit_can_fail(firm):
    """Each audit is run on a snapshot that was spoiled for it, so that none of them is a test that cannot fail."""
    from etl.warehouse import audits, sql

    firm.load_rows([make_row(call="written_up", joist_gap_in="1/16"), make_row(observation_no="2", joist_gap_in="1/2")])
    firm.load_rows([make_look(ruling="defect")], "looks.csv")
    spoil = {
        "audits/observation_unique": "insert into recorded select * from recorded",
        "audits/observation_has_report": "delete from reports",
        "audits/observation_agrees_with_report": "update reports set region = 'Elsewhere'",
        "audits/one_verdict": "update recorded set verdict = null",
        "audits/outcome_of_call_and_verdict": "update recorded set outcome = 'cleared'",
        "audits/trial_rows": "update trials set rows = rows + 1",
        "audits/load_rows_add_up": "update loads set rows_read = rows_read + 1",
        "audits/second_look_stands": "update standing_looks set ruling = 'acceptable', outcome = 'overcalled'",
        "audits/catalog_told": "update catalogs set catalog = 'another'",
        "audits/further_row_unique": "insert into second_looks select * from second_looks",
    }
    assert set(spoil) == set(audits())
    with duckdb.connect(str(firm.warehouse / "snapshots" / "0002.duckdb")) as connection:
        connection.execute("create temp table outcome_of (call varchar, verdict varchar, outcome varchar)")
        pairs = [(*key, outcome) for key, outcome in build.vocabulary.OUTCOME_OF.items()]
        connection.executemany("insert into outcome_of values (?, ?, ?)", pairs)
        for name, change in spoil.items():
            audit = f"select count(*) from ({sql(name)}) as audit"
            assert connection.execute(audit).fetchall() == [(0,)], name
            connection.execute("begin")
            connection.execute(change)
            assert connection.execute(audit).fetchall()[0][0] > 0, name
            connection.execute("rollback")


def test_a_pointer_to_a_missing_snapshot_says_what_to_do(firm):
    firm.load_rows([make_row()])
    (firm.warehouse / "current").write_text("0009\n")
    with pytest.raises(WarehouseError, match="evenhand snapshots"):
        firm.load_rows([make_row(report_id="R2")])


def test_a_change_of_the_firms_settings_judges_everything_anew(firm):
    post = make_row(
        topic="guard_post",
        guard_post_fixing="bolts",
        guard_post_notched="true",
        post_nominal="4x4",
        deck_built_year="2023",
    )
    firm.load_rows([post])
    before = firm.query("select verdict from observations")
    (firm.warehouse / "firm.toml").write_text("[adopted]\n2021 = 2024\n")
    summary = firm.load_rows([post])
    assert (summary.rows_unchanged, summary.published, summary.flips) == (1, True, 1)
    assert [before, firm.query("select verdict from observations")] == [[("defect",)], [("judgment",)]]


def test_a_snapshot_tells_since_when_each_catalog_has_judged_and_the_next_one_carries_it_on(firm):
    told = "select catalog, load_id from catalogs order by load_id"
    first = firm.load_rows([make_row()]).catalog
    assert firm.query(told) == [(first, "0001")]
    # A snapshot that tells none is taken to have been judged by its own since it was made.
    with duckdb.connect(str(firm.warehouse / "snapshots" / "0001.duckdb")) as connection:
        connection.execute("drop table catalogs")
        made = connection.execute("select catalog, code_basis, snapshot, created_at from snapshot_info").fetchall()
    (firm.warehouse / "firm.toml").write_text("[adopted]\n2021 = 2024\n")
    second = firm.load_rows([make_row()]).catalog
    assert firm.query("select * from catalogs where load_id = '0001'") == made
    firm.load_rows([make_row(report_id="R3")])
    assert firm.query(told) == [(first, "0001"), (second, "0002")]
    (firm.warehouse / "firm.toml").unlink()
    firm.load_rows([make_row()])
    assert firm.query(told) == [(first, "0001"), (second, "0002"), (first, "0004")]


def test_a_snapshot_of_an_earlier_version_is_brought_up_by_the_next_load_whatever_it_brings(firm):
    firm.load_rows([make_row()])
    with duckdb.connect(str(firm.warehouse / "snapshots" / "0001.duckdb")) as connection:
        for table in ("second_looks", "rounds", "sessions", "staff", "standing_looks"):
            connection.execute(f"drop table {table}")
        connection.execute("update snapshot_info set schema_version = 2")
    summary = firm.load_rows([make_row()])
    assert (summary.rows_unchanged, summary.published) == (1, True)
    assert firm.query("select count(*) from second_looks") == firm.query("select count(*) from staff") == [(0,)]
    assert firm.query("select schema_version, looked from snapshot_info, trials") == [(SCHEMA_VERSION, None)]
    assert not firm.load_rows([make_row()]).published


def test_a_wrong_setting_is_refused_by_file_key_and_value(firm):
    firm.load_rows([make_row()])
    (firm.warehouse / "firm.toml").write_text('code_basis = "IRC 2016"\n')
    with pytest.raises(CatalogError, match=r"firm\.toml.*code_basis = 'IRC 2016'"):
        firm.load_rows([make_row()])
