"""A layout as choices and back: what no choice touches stays as it was, and each choice does what it says."""

from __future__ import annotations

import tomllib
from collections.abc import Callable

import pytest

from dashboard.uploads import toml
from dashboard.uploads.layout_form import (
    NOT_NEEDED,
    PRIVATE,
    UNUSED,
    confirm,
    drop_skip,
    elsewhere,
    give_source,
    kept,
    set_values,
    take,
    uses,
)
from dashboard.uploads.questions import is_understood, questions
from dashboard.uploads.work import Work
from etl.layout.model import parsed, settled
from tests.dashboard.uploads.conftest import export_of
from tests.etl.layout.test_foreign_firms import NAMES, REVIEWED

EVERY_REVIEWED = sorted(REVIEWED.glob("*.toml"))


@pytest.mark.parametrize("file", EVERY_REVIEWED, ids=lambda file: file.stem)
def test_a_reviewed_layout_is_written_back_the_same(file):
    text = file.read_text(encoding="utf-8")
    tree = tomllib.loads(text)
    again = toml.written(tree, "A comment")
    assert tomllib.loads(again) == tree
    assert settled("again", again) == settled("first", text)


def test_every_kind_of_value_is_written_back_the_same():
    tree = {
        "layout": 1,
        "ask": 'He said "no"\\\n\ttwice\x7f ½ ✓',
        "private": [],
        "dates": {"/": "day month year", "a b": "?"},
        "half": 0.5,
        "split": {"from": "Text", "confirmed": False},
        "tables": [
            {"files": "*.csv", "join": {"Job No": "Job"}, "skip": [{"equals": ["x", "y"]}, {"blank": True}]},
            {},
        ],
        "columns": {
            "call": {"words": {}, "from": ["A", "B"]},
            "topic": {},
            "place": {"only": {"Item": ["a.b", 'c"d']}},
        },
        "wide": [{"topic": "joist_gap", "columns": {"call": {"from": "x.y", "words": {"": "skip", "é": ""}}}}],
    }
    assert tomllib.loads(toml.written(tree)) == tree


@pytest.mark.parametrize("firm", [name for name in NAMES if name != "titled_workbook"])
def test_what_is_suggested_for_a_firm_can_be_shown_and_is_written_back_the_same(uploaded, firm):
    work: Work = uploaded(*export_of(firm))
    assert tomllib.loads(toml.written(work.tree)) == tomllib.loads(work.tried.layout) == work.tree
    assert work.changed(work.tree) is work
    found = uses(work.tree, work.tried)
    assert len(found) == len(work.tried.columns)
    settles = [path for question in work.questions for path in question.paths]
    assert len(settles) == len(set(settles)) > 0
    # A choice that is made as it stands changes nothing, for whichever column.
    for use in found:
        if use.is_simple:
            assert take(work.tree, use.column, use.what, work.tried.contract) == work.tree


def named(work: Work, label: str):
    return next(column for column in work.tried.columns if column.label == label)


def used(work: Work, tree) -> dict[str, str]:
    return {use.column.label: use.what for use in uses(tree, work.tried)}


def test_each_column_of_the_files_is_for_one_thing(uploaded: Callable[..., Work]):
    work = uploaded()
    assert used(work, work.tree) == {
        "Job No": "report_id", "Quonk": "inspected_on", "Insp": "inspector_id", "Client": PRIVATE, "Item": "topic",
        "Rating": "call", "Joist": "joist_nominal", "Gap (mm)": "joist_gap_in", "Remarks": "comment",
    }  # fmt: skip
    assert [(path, entry["from"]) for path, entry in elsewhere(work.tree, work.tried)] == [
        (("columns", "region"), "(above: office)")
    ]
    open_parts = {path for question in work.questions for path in question.paths}
    known = [use for use in uses(work.tree, work.tried) if is_understood(use, open_parts)]
    assert len(known) == 7  # neither the day nor the call is settled


@pytest.mark.parametrize(
    ("label", "what", "entry"),
    [
        ("Joist", NOT_NEEDED, {}),
        ("Joist", PRIVATE, {}),
        ("Joist", UNUSED, {}),
        ("Joist", "ledger_nominal", {"ledger_nominal": {"from": "Joist"}}),
        ("Joist", "place", {"place": {"from": "Joist"}}),
        # What was taken for it before no longer is, with its words.
        ("Joist", "topic", {"topic": {"from": "Joist"}}),
        ("Client", "builder", {"builder": {"from": "Client"}, "joist_nominal": {"from": "Joist"}}),
        # A column that every row needs is asked for again.
        ("Job No", NOT_NEEDED, {"report_id": {"default": "?"}, "joist_nominal": {"from": "Joist"}}),
    ],
)
def test_a_column_is_taken_for_something_else(uploaded, label, what, entry):
    work: Work = uploaded()
    changed = take(work.tree, named(work, label), what, work.tried.contract)
    assert used(work, changed)[label] == what
    before = dict(work.tree["columns"])
    before.pop("report_id" if label == "Job No" else "joist_nominal")
    assert changed["columns"] == before | entry
    assert changed["private"] == [each for each in ["Client", label] if used(work, changed)[each] == PRIVATE][:2] or (
        label == "Client"
    )
    assert work.tree == tomllib.loads(work.tried.layout)  # the old one is as it was
    parsed("changed", toml.written(changed))


def test_a_column_that_the_form_cannot_say_is_left_alone(uploaded):
    work: Work = uploaded()
    only = set_values(work.tree, ("columns", "joist_gap_in"), {"only": {"Item": ["Joist gap"]}})
    assert used(work, only)["Gap (mm)"] == "kept"
    assert take(only, named(work, "Gap (mm)"), NOT_NEEDED, work.tried.contract) == only


def test_what_no_column_says_is_taken_from_one(uploaded):
    work: Work = uploaded()
    without = take(work.tree, named(work, "Insp"), UNUSED, work.tried.contract)
    given = give_source(without, ("columns", "inspector_id"), named(work, "Insp"), work.tried.contract)
    assert given["columns"] == work.tree["columns"]
    wide = {
        "tables": [{}],
        "wide": [{"topic": "joist_gap", "columns": {"call": {"default": "?"}}}],
        "ignored": ["Insp"],
    }
    given = give_source(wide, ("wide", 0, "columns", "call"), named(work, "Insp"), work.tried.contract)
    assert given["wide"] == [{"topic": "joist_gap", "columns": {"call": {"from": "Insp"}}}]
    assert given["ignored"] == []


def test_a_part_is_confirmed_only_where_it_holds_no_question_mark(uploaded):
    work: Work = uploaded()
    call = ("columns", "call")
    assert confirm(work.tree, call) == work.tree
    words = work.tree["columns"]["call"]["words"] | {"MON": "advised"}
    said = confirm(set_values(work.tree, call, {"words": words}), call)
    assert said["columns"]["call"] == {"from": "Rating", "words": words}
    skip = ("tables", 0, "skip", 0)
    assert confirm(work.tree, skip)["tables"][0]["skip"] == [{"starts": "total"}]
    assert "skip" not in drop_skip(work.tree, skip)["tables"][0]


def test_answered_questions_go_one_by_one(uploaded):
    work: Work = uploaded()
    assert [(question.kind, question.path) for question in work.questions] == [
        ("columns", ("columns", "inspected_on")),
        ("column", ("columns", "call")),
        ("skip", ("tables", 0, "skip", 0)),
    ]
    work = work.changed(confirm(work.tree, ("columns", "inspected_on")))
    work = work.changed(confirm(work.tree, ("tables", 0, "skip", 0)))
    assert [question.path for question in questions(work.tree, work.tried)] == [("columns", "call")]
    words = work.tree["columns"]["call"]["words"] | {"MON": "advised"}
    work = work.changed(confirm(set_values(work.tree, ("columns", "call"), {"words": words}), ("columns", "call")))
    assert work.questions == []
    settled("layout.toml", work.text)


@pytest.mark.parametrize(
    ("firm", "kinds"),
    [
        ("wide_words", {"wide"}),
        ("two_sheets", {"join", "implied"}),
        ("mixed_units", {"only"}),
        ("file_a_report", {"only"}),
        ("three_date_orders", {"several"}),
        ("semicolon_1252", set()),
    ],
)
def test_what_the_form_cannot_say_is_told(firm, kinds):
    tree = tomllib.loads((REVIEWED / f"{firm}.toml").read_text(encoding="utf-8"))
    assert {part.kind for part in kept(tree)} == kinds
