"""What another guideline would change: asked of the real command on a real warehouse, and the ways in which it fails."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pandas as pd
import pytest

from dashboard import what_if as module
from dashboard.warehouse import Snapshot
from dashboard.what_if import GUIDELINES, NotTried, WhatIf, what_if
from etl.criteria.settings import FirmSettings
from etl.load import load

ROWS = """report_id,inspected_on,inspector_id,region,observation_no,topic,call,guard_infill
R1,2026-03-04,I1,Ridge,1,guard_climbable,written_up,horizontal
R2,2026-03-04,I1,Ridge,1,guard_climbable,passed,cable
"""


@pytest.fixture
def snapshot(tmp_path: Path) -> Iterator[Snapshot]:
    """Two calls that the IRC allows, and of which DCA 6 says nothing."""
    (tmp_path / "in.csv").write_text(ROWS, encoding="utf-8")
    load([str(tmp_path / "in.csv")], tmp_path / "warehouse")
    with Snapshot.open(tmp_path / "warehouse") as opened:
        yield opened


@pytest.fixture
def told(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Let a command of our own stand in for the real one: what it writes, and how it ends."""

    def tell(code: str) -> None:
        monkeypatch.setattr(module, "_command", lambda folder, guideline: [sys.executable, "-c", code])

    return tell


def test_what_flips_is_told_by_topic_call_and_way(snapshot: Snapshot) -> None:
    found = what_if(snapshot, "DCA 6")
    assert (found.guideline, found.calls, found.flips, found.rules_changed) == ("DCA 6", 2, 2, False)
    assert found.by_topic == {"Guard that can be climbed": 2}
    assert found.by_verdict == {"cannot_tell": 2}
    assert found.changes.drop(columns=["topic", "title"]).to_dict("records") == [
        {"call": call, "before": "acceptable", "after": "cannot_tell", "observations": 1, "decks": 1}
        for call in ("passed", "written_up")
    ]


def test_a_guideline_that_changes_nothing_has_no_row(snapshot: Snapshot) -> None:
    found = what_if(snapshot, "IRC 2021")
    assert (found.flips, found.by_topic, found.by_verdict, len(found.ways)) == (0, {}, {}, 0)


@pytest.mark.parametrize("guideline", GUIDELINES)
def test_every_guideline_that_is_offered_is_one_that_a_firm_may_choose(guideline: str) -> None:
    assert FirmSettings(code_basis=guideline).code_basis == guideline


def test_a_way_adds_up_its_calls_and_stands_with_its_topic() -> None:
    rows = [
        ("beam_span", "Beam span", "passed", "acceptable", "cannot_tell", 2, 2),
        ("beam_span", "Beam span", "passed", "defect", "cannot_tell", 4, 4),
        ("beam_span", "Beam span", "written_up", "acceptable", "cannot_tell", 3, 3),
        ("post_height", "Post height", "written_up", "no_rule", "defect", 9, 1),
    ]
    columns = ["topic", "title", "call", "before", "after", "observations", "decks"]
    found = WhatIf("IRC 2015", 100, pd.DataFrame(rows, columns=columns), False)
    assert list(found.ways.itertuples(index=False, name=None)) == [
        ("Beam span", "acceptable", "cannot_tell", 5, 3),
        ("Beam span", "defect", "cannot_tell", 4, 0),
        ("Post height", "no_rule", "defect", 9, 9),
    ]
    assert found.by_verdict == {"cannot_tell": 9, "defect": 9}
    assert found.by_topic == {"Beam span": 9, "Post height": 9}


def test_the_commands_own_sentence_is_passed_on(snapshot: Snapshot) -> None:
    with pytest.raises(NotTried) as error:
        what_if(snapshot, "IRC 1900")
    assert error.value.sentence.startswith("IRC 1900 is no guideline that the rules know")
    assert str(error.value) == f"{error.value.sentence} {error.value.next_step}"


@pytest.mark.parametrize(
    "code",
    ["raise ValueError('secret')", "print('no json: secret')", "import sys; sys.exit('Usage: secret')"],
    ids=["a trace", "no answer", "wrong usage"],
)
def test_a_fault_of_the_program_is_a_sentence_and_its_trace_stays_in_the_log(
    snapshot: Snapshot, told: Callable[..., None], code: str, caplog: pytest.LogCaptureFixture
) -> None:
    told(code)
    with pytest.raises(NotTried, match="could not be worked out") as error:
        what_if(snapshot, "DCA 6")
    assert "secret" not in str(error.value)
    assert "secret" in caplog.text


def test_it_is_ended_when_it_takes_too_long(
    snapshot: Snapshot, told: Callable[..., None], monkeypatch: pytest.MonkeyPatch
) -> None:
    told("import time; time.sleep(60)")
    monkeypatch.setattr(module, "LONGEST_SECONDS", 0.2)
    with pytest.raises(NotTried, match="was ended"):
        what_if(snapshot, "DCA 6")


def test_a_command_that_cannot_be_started_is_a_sentence(snapshot: Snapshot, monkeypatch: pytest.MonkeyPatch) -> None:
    def not_there(*_: object, **__: object) -> None:
        raise FileNotFoundError("python")

    monkeypatch.setattr(subprocess, "run", not_there)
    with pytest.raises(NotTried, match="could not be worked out"):
        what_if(snapshot, "DCA 6")


def test_an_answer_on_another_snapshot_is_not_taken_for_one_on_this(
    snapshot: Snapshot, told: Callable[..., None]
) -> None:
    told(f"print({json.dumps(json.dumps({'snapshot': '0002', 'changes': []}))})")
    with pytest.raises(NotTried, match="Other reports were published"):
        what_if(snapshot, "DCA 6")
