"""The command as its users call it, as a process of its own: what it prints where, and how it exits."""

from __future__ import annotations

import csv
import io
import json
import os
import signal
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

from tests.commands import ROOT, Command
from tests.etl.conftest import csv_text, make_look, make_row


@pytest.fixture(scope="module")
def command(tmp_path_factory):
    """Two reports: hangers one size down written up, a wide gap passed, a gap not measured, one refused row."""
    folder = tmp_path_factory.mktemp("command")
    rows = [
        make_row(topic="hanger_size", call="written_up", joist_nominal="2x10", hanger_nominal="2x8", comment="=1+1"),
        make_row(observation_no="2", joist_gap_in="3/4"),
        make_row(observation_no="3", joist_gap_in="1/4 or so"),
        make_row(report_id="R2", inspector_id="CD", topic="hanger_size", call="written_up", joist_nominal="2x12", hanger_height_in="7.25"),
        make_row(report_id="R2", inspector_id="CD", observation_no="2"),
    ]  # fmt: skip
    (folder / "rows.csv").write_text(csv_text(rows))
    run = Command(folder)
    run("load", "rows.csv")
    return run


def rows_of(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_load_tells_a_person_what_came_of_it(tmp_path):
    (tmp_path / "rows.csv").write_text(csv_text([make_row(), make_row(observation_no="2", call="maybe")]))
    told = Command(tmp_path)("load", "rows.csv", in_full=True).stdout
    assert "Read 2 rows from 1 file: 1 new, 1 refused." in told
    assert "evenhand rejects" in told
    assert "Published snapshot 0001: 1 report, 1 observation." in told


def test_load_as_json_gives_one_object_on_stdout(command):
    summary = json.loads(command("load", "rows.csv", "--json").stdout)
    assert {
        "files", "rows_read", "rows_loaded", "rows_replaced", "rows_unchanged", "rows_rejected", "reports",
        "observations", "unknown_columns", "verdicts", "outcomes", "snapshot", "catalog",
    } <= set(summary)  # fmt: skip
    assert (summary["rows_read"], summary["rows_unchanged"], summary["rows_rejected"]) == (5, 4, 1)
    assert summary["outcomes"]["overcalled"] == 2
    assert sum(summary["outcomes"].values()) == summary["observations"] == 4


def test_strict_and_unreadable_files_exit_with_one_and_wrong_usage_with_two(command, tmp_path):
    (tmp_path / "broken.xlsx").write_bytes(b"no workbook")
    assert "broken.xlsx: it is not an XLSX workbook" in command("load", str(tmp_path / "broken.xlsx"), code=1).stderr
    command("load", "rows.csv", "--strict", code=1)
    assert "does not exist" in command("load", "nowhere.csv", code=2).stderr
    assert "no table 'patern'" in command("table", "patern", code=2).stderr
    assert "colour" in command("table", "patterns", "--where", "colour=red", code=2).stderr
    assert "no topic and no rule hanger_sise" in command("criteria", "hanger_sise", code=2).stderr
    assert "Kept are: 0001" in command("rollback", "0042", code=2).stderr
    command("note", "--topic", "hanger_size", "--pattern", "x", "--out", "n.html", code=2)
    command("note", "--topic", "hanger_sise", "--out", "n.html", code=2)
    command("note", "--pattern", "none:such", "--out", "n.html", code=2)
    command("load", code=2)


def test_an_empty_warehouse_is_a_sentence_not_a_trace(tmp_path):
    run = Command(tmp_path)
    assert "evenhand load" in run("table", "patterns", code=1).stderr
    assert "evenhand load" in run("snapshots").stdout
    assert "Nothing was loaded" in run("rejects", code=2).stderr
    run("note", "--topic", "hanger_size", "--out", "n.html", code=1)


def test_what_the_system_refuses_is_a_sentence_not_a_trace(command, tmp_path):
    nowhere = str(tmp_path / "nowhere")
    assert "nowhere" in command("table", "patterns", "--out", f"{nowhere}/x.csv", code=1).stderr
    command("table", "patterns", "--format", "parquet", "--out", f"{nowhere}/x.parquet", code=1)
    command("note", "--topic", "hanger_size", "--out", f"{nowhere}/n.md", code=1)


def test_a_damaged_snapshot_and_an_emptied_pointer_say_what_to_do(tmp_path):
    (tmp_path / "rows.csv").write_text(csv_text([make_row()]))
    run = Command(tmp_path)
    run("load", "rows.csv")
    snapshot, pointer = tmp_path / "warehouse" / "snapshots" / "0001.duckdb", tmp_path / "warehouse" / "current"
    pointer.write_text("")
    assert "names no snapshot" in run("load", "rows.csv", code=1).stderr
    run("rollback", "0001")
    snapshot.write_bytes(b"x" * 100)
    for arguments in (("load", "rows.csv"), ("table", "patterns")):
        assert "evenhand rollback ID" in run(*arguments, code=1).stderr


def test_rejects_come_as_csv_that_goes_back_in_when_mended(command, tmp_path):
    (row,) = rows_of(command("rejects").stdout)
    assert (row["row"], row["report_id"], row["joist_gap_in"]) == ("4", "R1", "1/4 or so")
    assert row["file"].endswith("rows.csv")
    assert "not a number of inches" in row["reasons"]
    (tmp_path / "rows.csv").write_text(csv_text([make_row(), make_row(observation_no="2", joist_gap_in="wide")]))
    run = Command(tmp_path)
    run("load", "rows.csv")
    (tmp_path / "mended.csv").write_text(run("rejects").stdout.replace("wide,", "1/4,").replace(",wide", ",1/4"))
    summary = json.loads(run("load", "mended.csv", "--mend", "--json").stdout)
    assert (summary["rows_replaced"], summary["rows_rejected"], summary["observations"]) == (1, 0, 2)


def test_a_person_who_looked_again_stands_above_the_rule(tmp_path):
    """A gap that fails its rule was passed; a chief inspector looked again, and one look names what is not there."""
    run = Command(tmp_path)
    (tmp_path / "rows.csv").write_text(csv_text([make_row(joist_gap_in="3/4")]))
    (tmp_path / "staff.csv").write_text("inspector_id,display_name,email\nAB,Alba,a@b.example\n")
    (tmp_path / "looks.csv").write_text(
        csv_text([make_look(reason="Measured again: 1/8 in."), make_look(observation_no="9", chosen="dispute")])
    )
    run("load", "rows.csv")

    told = run("load", "looks.csv", "staff.csv").stdout

    assert "Read 3 rows from 2 files: 2 new, 1 refused." in told
    assert "staff.csv: the column email is known, and its content is not stored." in told
    assert "Published snapshot 0002: 1 report, 1 observation, 1 second look, 1 staff member." in told
    (row,) = rows_of(run("table", "outcomes").stdout)
    assert (row["verdict"], row["basis"], row["outcome"]) == ("acceptable", "second_look", "cleared")
    assert row["reason"] == "A person looked again (random look, 1 Apr 2026): acceptable. Measured again: 1/8 in."
    assert row["criterion_id"] == ""
    (refused,) = rows_of(run("rejects").stdout)
    assert (refused["table"], refused["row"]) == ("second_looks", "3")
    assert refused["reasons"].startswith("unknown_observation: report R1 has no observation 9")

    again = json.loads(run("load", "looks.csv", "staff.csv", "--json").stdout)
    assert (again["rows_unchanged"], again["rows_rejected"], again["published"]) == (2, 1, False)
    assert (again["outcomes"]["cleared"], again["second_looks"], again["staff"]) == (1, 1, 1)
    run("load", "looks.csv", "--strict", code=1)


def test_tables_are_unrounded_csv_with_lower_case_truth(command):
    rows = rows_of(command("table", "outcomes").stdout)
    assert [(row["observation_id"], row["outcome"]) for row in rows] == [
        ("R1:1", "overcalled"),
        ("R1:2", "missed"),
        ("R2:1", "overcalled"),
        ("R2:2", "undecided"),
    ]
    assert rows[2]["reason"] == "hanger 7-1/4 in is 64 % of the 11-1/4 in joist; 60 % needed (IRC 2021 R507.6.2)"
    assert [row["measured"] for row in rows] == ["true", "true", "true", "false"]
    (pattern,) = rows_of(command("table", "patterns", "--where", "recorded=2x10 joist in 2x8 hanger").stdout)
    assert (pattern["written_up"], pattern["overcalled"], pattern["share"]) == ("1", "1", "1.0")
    # Wilson's lower limit for 1 of 1 is 1 / (1 + z²) with z = 1.959964 (Wilson 1927).
    assert float(pattern["share_low"]) == pytest.approx(1 / (1 + 1.959963984540054**2), abs=1e-12)


def test_conditions_on_one_column_are_ored_and_on_different_columns_anded(command):
    def ids(*conditions):
        where = [part for condition in conditions for part in ("--where", condition)]
        return [row["observation_id"] for row in rows_of(command("table", "outcomes", *where).stdout)]

    assert ids("topic=hanger_size") == ["R1:1", "R2:1"]
    assert ids("topic=hanger_size", "topic=joist_gap") == ["R1:1", "R1:2", "R2:1", "R2:2"]
    assert ids("topic=hanger_size", "report_id=R2") == ["R2:1"]


def test_tables_as_json_and_parquet_hold_the_same_rows(command):
    listed = json.loads(command("table", "outcomes", "--format", "json").stdout)
    assert [row["inspected_on"] for row in listed] == ["2026-03-04"] * 4
    command("table", "outcomes", "--out", "outcomes.parquet")
    import pandas as pd

    frame = pd.read_parquet(command.folder / "outcomes.parquet")
    assert frame["observation_id"].tolist() == [row["observation_id"] for row in listed]


def test_every_table_is_listed_and_can_be_had(command):
    listed = command("table").stdout
    for name in ("outcomes", "defect_rates", "misses", "inspectors", "loads"):
        assert name in listed
        assert rows_of(command("table", name).stdout)


def test_how_far_training_reaches_enters_one_table_and_is_wrong_usage_elsewhere(command):
    usual, full = (
        rows_of(command("table", "training_topics", "--where", "topic=hanger_size", *reach).stdout)[0]
        for reach in ((), ("--reach", "rule=1", "--reach", "eye=0"))
    )
    assert float(full["avoidable"]) == pytest.approx(2 * float(usual["avoidable"]))
    assert "--reach rule=2: not understood" in command("table", "training_topics", "--reach", "rule=2", code=2).stderr
    assert "it enters training_topics" in command("table", "months", "--reach", "rule=1", code=2).stderr


def test_text_that_looks_like_a_formula_cannot_start_one(command):
    assert "'=1+1" in command("table", "outcomes", "--where", "observation_id=R1:1").stdout


@pytest.mark.parametrize("ending", ["html", "md"])
def test_a_note_is_written_for_a_topic_and_for_a_pattern(command, ending):
    command("note", "--topic", "hanger_size", "--out", f"topic.{ending}")
    command("note", "--pattern", "hanger_size:2x10-joist-in-2x8-hanger", "--out", f"pattern.{ending}")
    for kind, source in (("topic", "R507.6.2"), ("pattern", "common practice")):
        text = (command.folder / f"{kind}.{ending}").read_text()
        assert source in text
        assert "snapshot 0001" in text


@pytest.mark.parametrize(("ending", "start"), [("docx", b"PK"), ("pdf", b"%PDF")])
def test_a_note_is_written_for_paper_too(command, ending, start):
    command("note", "--topic", "hanger_size", "--out", f"paper.{ending}")
    assert (command.folder / f"paper.{ending}").read_bytes().startswith(start)


def test_a_brief_for_a_deck_that_cannot_be_says_what_can(command):
    assert "222 is not in the range" in command("brief", "--deck-age", "222", code=2).stderr
    assert "There is no builder 'Nobody'. Known: " in command("brief", "--builder", "Nobody", code=2).stderr


def test_a_note_in_a_format_that_is_not_there_says_which_are(command):
    assert ".pdf, .html or .md" in command("note", "--topic", "hanger_size", "--out", "note.odt", code=2).stderr


def test_criteria_are_listed_and_told_in_full(command):
    assert "hanger_size" in command("criteria").stdout
    told = command("criteria", "hanger_size").stdout
    assert "R507.6.2" in told
    assert "Load capacity is not checked" in " ".join(told.split())
    assert json.loads(command("criteria", "hanger_size", "--json").stdout)["id"] == "hanger_size"
    assert "Source" in command("criteria", "hanger_size.height").stdout


def test_a_firms_own_rules_are_checked_and_hold_from_the_next_load_on(tmp_path):
    rule = """
[local]
jurisdiction = "Tallow County"
regions = "all"
author = "Chief inspector"
date = 2026-03-01

[[criterion]]
id = "joist_gap.county"
topic = "joist_gap"
title = "County limit"
needs = ["joist_gap_in"]
defect = "joist_gap_in > 0.25"
source = { document = "Tallow County order", section = "7", known = "read" }
plain = "Over 1/4 in is a defect in Tallow County."
weight = 3

[criterion.reason]
defect = "gap {joist_gap_in} in; the county allows 0.25 in"
"""
    run = Command(tmp_path)
    (tmp_path / "rows.csv").write_text(csv_text([make_row(joist_gap_in="0.3")]))
    run("load", "rows.csv")
    assert [row["verdict"] for row in rows_of(run("table", "outcomes").stdout)] == ["judgment"]

    (tmp_path / "wrong.toml").write_text(rule.replace("joist_gap_in >", "joist_gapp_in >"))
    told = run("criteria", "check", "wrong.toml", code=1).stderr
    assert "joist_gap.county" in told
    assert "joist_gapp_in" in told
    run("criteria", "check", code=2)

    (tmp_path / "warehouse" / "criteria.toml").write_text(rule)
    assert "could be used" in run("criteria", "check", "warehouse/criteria.toml").stdout
    assert "1 verdict" in run("load", "rows.csv").stdout
    (row,) = rows_of(run("table", "outcomes").stdout)
    assert (row["verdict"], row["reason"]) == (
        "defect",
        "gap 0.3 in; the county allows 0.25 in (Tallow County order 7: local rule)",
    )


def test_what_a_rule_or_a_guideline_would_flip_is_told_and_nothing_is_published(tmp_path):
    run = Command(tmp_path)
    post = {"topic": "post_height", "post_nominal": "4x4", "post_height_in": "108", "code_basis": ""}
    rows = [
        make_row(report_id="R1", joist_gap_in="0.3"),
        make_row(report_id="R2", **post, tributary_area_sqft="40", joist_species="southern_pine"),
    ]
    (tmp_path / "rows.csv").write_text(csv_text(rows))
    run("load", "rows.csv")
    county = (ROOT / "docs" / "tallow_county.toml").read_text(encoding="utf-8")
    (tmp_path / "county.toml").write_text(county.replace('["Ridge", "Lakeshore"]', '"all"'))

    older = json.loads(run("rejudge", "--code-basis", "IRC 2018", "--json").stdout)
    county = json.loads(run("rejudge", "--criteria", "county.toml", "--json").stdout)

    assert older["flips_by_topic"] == {"post_height": 1}
    assert [(each["before"], each["after"]) for each in older["changes"]] == [("acceptable", "defect")]
    assert county["flips_by_topic"] == {"joist_gap": 1}
    assert "0 verdicts of 2 would flip" in run("rejudge").stdout
    assert "no guideline that the rules know" in run("rejudge", "--code-basis", "IRC 2020", code=2).stderr
    assert [each["snapshot"] for each in json.loads(run("snapshots", "--json").stdout)["snapshots"]] == ["0001"]


def test_rules_given_with_a_load_are_kept_once_they_are_published(tmp_path):
    run = Command(tmp_path)
    (tmp_path / "rows.csv").write_text(csv_text([make_row(joist_gap_in="0.3")]))
    (tmp_path / "county.toml").write_text(
        (ROOT / "docs" / "tallow_county.toml").read_text(encoding="utf-8").replace('["Ridge", "Lakeshore"]', '"all"')
    )

    run("load", "rows.csv", "--criteria", "county.toml")

    (row,) = rows_of(run("table", "outcomes").stdout)
    assert (row["verdict"], row["criterion_id"]) == ("defect", "joist_gap.gap")
    assert (tmp_path / "warehouse" / "criteria.toml").read_bytes() == (tmp_path / "county.toml").read_bytes()
    assert "Nothing new" in run("load", "rows.csv").stdout


def test_snapshots_and_rollback(tmp_path):
    run = Command(tmp_path)
    for number in (1, 2):
        (tmp_path / "rows.csv").write_text(csv_text([make_row(report_id=f"R{number}")]))
        run("load", "rows.csv")
    run("rollback", "0001")
    listed = json.loads(run("snapshots", "--json").stdout)["snapshots"]
    assert [(each["snapshot"], each["current"]) for each in listed] == [("0001", True), ("0002", False)]
    assert len(rows_of(run("table", "outcomes").stdout)) == 1


def test_help_imports_nothing_heavy():
    """What keeps `--help` quick, held without a clock: none of the large libraries is imported for it."""
    code = (
        "import sys\nfrom dashboard.cli import evenhand\n"
        "try: evenhand(['--help'])\nexcept SystemExit: pass\n"
        "print(sorted({'pandas', 'numpy', 'scipy', 'streamlit', 'altair', 'duckdb', 'pyarrow'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


def test_the_dashboard_is_served_on_this_machine_only_and_ends_with_zero(command):
    server = subprocess.Popen(
        [sys.executable, "-m", "dashboard.cli", "dashboard", "--no-browser"],
        cwd=command.folder,
        env=command.environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        start_new_session=True,
    )
    try:
        assert server.stdout is not None
        line = next(line for line in server.stdout if "http://127.0.0.1:" in line and "Ctrl-C" in line)
        address = next(word for word in line.split() if word.startswith("http"))
        with urllib.request.urlopen(address, timeout=10) as page:
            assert page.status == 200
        listening = _addresses_of(int(address.rsplit(":", 1)[1]))
        assert listening in (None, {"127.0.0.1"})
        os.killpg(server.pid, signal.SIGINT)
        assert server.wait(timeout=20) == 0
    finally:
        if server.poll() is None:
            os.killpg(server.pid, signal.SIGKILL)
    time.sleep(0.1)
    with pytest.raises(OSError):  # noqa: PT011  refused or reset, as the system likes
        urllib.request.urlopen(address, timeout=2)


def _addresses_of(port: int) -> set[str] | None:
    """The addresses on which the port is listened to, from Linux's table; None on other systems."""
    tables = [path for path in map(Path, ("/proc/net/tcp", "/proc/net/tcp6")) if path.exists()]
    if not tables:
        return None
    found = set()
    for table in tables:
        for line in table.read_text().splitlines()[1:]:
            local, state = line.split()[1], line.split()[3]
            address, listening_port = local.split(":")
            if int(listening_port, 16) == port and state == "0A":
                octets = bytes.fromhex(address)[::-1]
                found.add(".".join(map(str, octets)) if len(octets) == 4 else "ipv6")
    return found
