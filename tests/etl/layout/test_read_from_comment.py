"""A topic and a call that no column holds: read out of the row's comment and marked, or the row is refused."""

from __future__ import annotations

import pytest

from etl.comments.told import told_call, told_topic
from etl.errors import LayoutError
from etl.layout.model import settled
from tests.etl.conftest import csv_text

LAYOUT = """
[[tables]]
files = "*.csv"
[columns]
report_id.from = "Visit"
inspected_on = {from = "Day", dates = "year month day"}
inspector_id.from = "Who"
region.default = "Ridge"
comment.from = "Remarks"
"""
TOPIC, CALL = '[columns.topic]\nfrom = "(comment)"\n', '[columns.call]\nfrom = "(comment)"\n'


def loaded(firm, layout: str, *remarks: str, **columns: list[str]):
    rows = [{"Visit": "1", "Day": "2026-03-02", "Who": "AB", "Remarks": remark} for remark in remarks]
    for name, cells in columns.items():
        for row, cell in zip(rows, cells, strict=True):
            row[name] = cell
    path = firm.write("visits.csv", csv_text(rows))
    return firm.load(path, layout=firm.folder / firm.write("layout.toml", layout))


def test_topic_and_call_are_read_and_marked_and_a_row_that_tells_none_is_refused_with_its_number(firm):
    summary = loaded(
        firm,
        LAYOUT + TOPIC + CALL,
        "No flashing over the ledger. Needs flashing.",
        "Nice clean job",
        "Guard 34-1/2 in. high on the deck. OK.",
        "Joist gap 5/8 at NE",
    )
    assert (summary.rows_read, summary.rows_loaded, summary.rows_rejected) == (4, 2, 2)
    assert firm.query("select topic, call, read_from_comment from recorded order by observation_id") == [
        ("ledger_flashing", "written_up", "topic_and_call"),
        ("guard_height", "passed", "topic_and_call"),
    ]
    refused = [(reject["row"], reject["reasons"]) for reject in firm.rejects()]
    assert refused == [
        (3, "not_told: no column holds the topic, and the comment does not tell one"),
        (5, "not_told: no column holds the call, and the comment does not tell one"),
    ]


def test_what_a_column_holds_is_not_read_again_and_a_default_stands_where_a_comment_tells_nothing(firm):
    layout = LAYOUT + '[columns.topic]\nfrom = "Item"\n' + CALL + 'default = "written_up"\n'
    loaded(firm, layout, "Flashing is fine.", "Flashing at the door", Item=["joist_gap", "ledger_flashing"])
    assert firm.query("select topic, call, read_from_comment from recorded order by observation_id") == [
        ("joist_gap", "passed", "call"),
        ("ledger_flashing", "written_up", None),
    ]


def test_a_deck_with_a_comment_that_tells_no_topic_gets_no_implied_pass(firm):
    covered = 'passes = "implied"\ncovered_topics = ["joist_gap", "ledger_flashing"]\n'
    summary = loaded(
        firm, covered + LAYOUT + TOPIC + CALL, "No flashing at the ledger, must be added.", "Something off"
    )
    assert summary.rows_rejected == 1
    assert firm.query("select topic, call from recorded") == [("ledger_flashing", "written_up")]


@pytest.mark.parametrize(
    ("layout", "wrong"),
    [
        (LAYOUT.replace("comment.from", "place.from") + TOPIC + CALL, "no column is the comment"),
        (LAYOUT + TOPIC + CALL + '[columns.place]\nfrom = "(comment)"\n', "place is not read out of a comment"),
        (LAYOUT + CALL + '[columns.topic]\nfrom = ["Item", "(comment)"]\n', "stands alone"),
    ],
)
def test_a_layout_that_cannot_read_them_is_refused(layout, wrong):
    with pytest.raises(LayoutError, match=wrong):
        settled("layout.toml", layout)


@pytest.mark.parametrize(
    ("comment", "topic", "call"),
    [
        ("4 of 10 hanger nail holes empty, fill them", "hanger_fasteners_missing", "written_up"),
        ("Footings not visible, buried in mulch", "footing_depth", "not_seen"),
        ("Rust on the hangers; monitor.", "hanger_corrosion", "advised"),
        ("Stair guard is loose. Have a licensed contractor evaluate it.", "guard_movement", "referred"),
        ("ldgr on stucco, 3/8 lags @ 32 o.c.", None, None),
        ("The neighbor's deck has no guard.", None, None),
        ("Guards must be at least 36 inches high.", None, None),
        ("Riser 8-1/4", "stair_riser", None),
    ],
)
def test_one_topic_and_one_call_are_told_or_none(comment, topic, call):
    topic_told, call_told = told_topic(comment), told_call(comment)
    assert (topic_told and topic_told.value, call_told and call_told.value) == (topic, call)
    for told in (topic_told, call_told):
        assert told is None or comment[told.start : told.end] == told.text
