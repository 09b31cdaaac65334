"""What a load makes of comments: judged where nothing was recorded, never in the place of what was."""

from __future__ import annotations

from dataclasses import replace

import pytest

import etl.load

GAP = 'Gap of 5/8" behind the joist.'


def wants(firm, what):
    firm.warehouse.mkdir(parents=True, exist_ok=True)
    (firm.warehouse / "firm.toml").write_text(f'comments = "{what}"\n', encoding="utf-8")
    return firm


@pytest.fixture
def trusting(firm):
    """The firm lets comments decide."""
    return wants(firm, "decide")


def judged(firm):
    return {
        observation: (verdict, basis, outcome)
        for observation, verdict, basis, outcome in firm.query(
            "select observation_id, verdict, basis, outcome from outcomes order by observation_id"
        )
    }


def test_comments_decide_unless_the_firm_wants_them_unread_or_only_shown(firm, row):
    written = row(call="written_up", comment=GAP)
    firm.load_rows([written])
    assert judged(firm) == {"R1:1": ("defect", "comment", "upheld")}
    assert wants(firm, "shown").load_rows([written]).flips == 1
    assert judged(firm) == {"R1:1": ("cannot_tell", None, "undecided")}
    assert firm.query("select measure, value from comment_reads") == [("joist_gap_in", "0.625")]
    wants(firm, "unread").load_rows([written])
    assert firm.query("select * from comment_reads") == []
    assert wants(firm, "decide").load_rows([written]).flips == 1
    assert judged(firm) == {"R1:1": ("defect", "comment", "upheld")}


def test_so_many_comments_that_reading_takes_long_are_read_only_when_asked_for_and_the_load_says_so(
    firm, row, monkeypatch
):
    monkeypatch.setattr("etl.by_comment._READ_UNASKED", 1)
    many = [row(observation_no=number, call="written_up", comment=f"Gap of {number}/8 in.") for number in ("1", "3")]
    (notice,) = firm.load_rows(many).notices
    assert notice.startswith("over 1 different comments were left unread")
    assert firm.query("select * from comment_reads") == []
    summary = wants(firm, "decide").load_rows(many)
    assert (summary.flips, summary.notices) == (2, [])


def test_a_comment_decides_where_nothing_was_recorded_and_is_never_stored_as_if_it_were(trusting, row):
    trusting.load_rows(
        [
            row(observation_no="1", call="written_up", comment=GAP),
            row(observation_no="2", call="written_up", comment=GAP, joist_gap_in="0.0625"),
            row(observation_no="3", call="written_up", comment="Gap seen."),
            row(observation_no="4", call="passed", comment=GAP),
        ]
    )
    assert judged(trusting) == {
        "R1:1": ("defect", "comment", "upheld"),
        "R1:2": ("acceptable", "measured", "overcalled"),
        "R1:3": ("cannot_tell", None, "undecided"),
        "R1:4": ("defect", "comment", "missed"),
    }
    assert trusting.query("select joist_gap_in from recorded where observation_id = 'R1:1'") == [(None,)]
    assert trusting.query("select * exclude rule from comment_reads where observation_id = 'R1:1'") == [
        ("R1:1", "joist_gap_in", "0.625", '5/8" behind the joist', 7, 28)
    ]
    assert trusting.query("select observation_id, measure, recorded, read from comment_conflicts") == [
        ("R1:2", "joist_gap_in", "0.062500", "0.625")
    ]


def test_the_same_rows_again_are_unchanged_and_a_new_version_takes_its_reads_with_it(trusting, row):
    trusting.load_rows([row(comment=GAP)])
    assert trusting.load_rows([row(comment=GAP)]).rows_unchanged == 1
    trusting.load_rows([row(comment="Tight, no gap.")])
    assert trusting.query("select value from comment_reads") == [("0",)]
    assert judged(trusting) == {"R1:1": ("acceptable", "comment", "cleared")}


def test_when_the_rules_change_the_comments_are_read_again_and_flips_are_counted(trusting, row, monkeypatch):
    monkeypatch.setattr("etl.by_comment._read", lambda wordings: _no_reads())
    trusting.load_rows([row(call="written_up", comment=GAP)])
    assert judged(trusting)["R1:1"][0] == "cannot_tell"
    monkeypatch.undo()
    read = etl.load.read_catalog
    monkeypatch.setattr(etl.load, "read_catalog", lambda *given: replace(read(*given), version="others"))
    assert trusting.load_rows([row(call="written_up", comment=GAP)]).flips == 1
    assert judged(trusting)["R1:1"] == ("defect", "comment", "upheld")


def test_an_engineers_letter_that_the_comment_tells_of_stands_above_a_recorded_measure(trusting, row):
    facts = {"topic": "joist_gap", "call": "written_up", "joist_gap_in": "0.625"}
    trusting.load_rows([row(**facts, comment="An engineer's letter was provided.")])
    assert judged(trusting)["R1:1"][:2] == ("judgment", "comment")


def _no_reads():
    from etl.by_comment import _WORDINGS

    return _WORDINGS.empty_table()
