"""What is told of a rule beside its verdicts, and what another guideline would change, as a person would say it."""

from __future__ import annotations

from typing import Any

import pandas as pd
import pytest

from dashboard.notes import rules_wording, wording
from dashboard.notes.note_wording import rule_source
from dashboard.what_if import WhatIf

RULE: dict[str, Any] = {
    "document": "IRC",
    "edition": "2021",
    "section": "Tables R507.5(1) to (5)",
    "known": "secondary",
    "defect_told": "beam span over the table's span",
    "acceptable_told": None,
    "judgment_told": "beam span at most 11 ft",
    "applies": None,
    "rows_known": "beam_spans, 9 rows: 9 read in the document",
    "jurisdiction": None,
    "author": None,
    "dated": None,
}
LOCAL = RULE | {
    "document": "Tallow ordinance",
    "edition": "",
    "section": "4",
    "known": "common practice",
    "applies": "in Ridge",
    "jurisdiction": "Tallow County",
    "author": "A. Tester",
    "dated": "2026-01-31",
}


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("reason", "left"),
    [
        ("9 ft is the most (IRC 2021 Tables R507.5(1) to (5)); 40 psf taken", "9 ft is the most; 40 psf taken"),
        ("beyond DCA 6 (2x12; cut 72 in) (IRC 2021 R5)", "beyond DCA 6 (2x12; cut 72 in)"),
        ("beam size was not recorded", "beam size was not recorded"),
        ("a bracket that is left open (IRC 2021", "a bracket that is left open"),
    ],
)
def test_a_reason_loses_its_source_and_nothing_else(reason: str, left: str) -> None:
    assert wording.without_source(reason, RULE) == left


def test_a_local_rule_is_cited_by_its_document_and_common_practice_by_its_name() -> None:
    assert wording.without_source("too wide (Tallow ordinance 4: local rule)", LOCAL) == "too wide"
    common = RULE | {"document": "common practice, no published source", "known": "common practice"}
    assert wording.without_source("gap 1/2 in is over 3/8 in (common practice)", common) == "gap 1/2 in is over 3/8 in"


def test_what_a_rule_never_says_has_no_limit() -> None:
    assert wording.limits(RULE) == [
        ("A defect", "beam span over the table's span"),
        ("Left to the inspector", "beam span at most 11 ft"),
    ]
    assert wording.looked_up(RULE) == "Looked up in beam spans, 9 rows: 9 read in the document."
    assert wording.looked_up(RULE | {"rows_known": None}) == ""


def test_a_local_rule_says_whose_it_is_by_whom_and_of_when() -> None:
    told = plain(wording.local_rule(LOCAL))
    assert told == "A local rule of Tallow County, written down by A. Tester on 31 Jan 2026."
    assert wording.local_rule(RULE) == ""


def test_a_note_names_neither_the_place_nor_the_author_of_a_local_rule() -> None:
    told = rule_source([LOCAL], "", ("Ridge",))
    assert ", a local rule." in told
    assert "Applies where: in …." in told
    assert not any(name in told for name in ("Tallow County", "Tester", "Ridge"))


def test_limits_that_would_fill_the_sheet_are_left_to_the_page_of_rules() -> None:
    assert rule_source([RULE | {"defect_told": "long " * 80}], "", ()).startswith("Source: ")


# ---- another guideline -----------------------------------------------------------------------------------------------


def tried(*changes: tuple[str, str, str, int], rules_changed: bool = False) -> WhatIf:
    rows = [(title, title, "passed", *way, number, number) for title, *way, number in changes]
    columns = ["topic", "title", "call", "before", "after", "observations", "decks"]
    return WhatIf("IRC 2015", 1200, pd.DataFrame(rows, columns=columns), rules_changed)


BEAM = ("Beam span", "acceptable", "cannot_tell", 45)
POST = ("Post height", "acceptable", "defect", 12)
RISER = ("Open riser", "judgment", "acceptable", 1)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ([], "Of 1,200 calls, none would get another verdict under IRC 2015."),
        (
            [RISER],
            "Of 1,200 calls, 1 would get another verdict under IRC 2015: it would be acceptable. It is on open riser.",
        ),
        (
            [BEAM],
            "Of 1,200 calls, 45 would get another verdict under IRC 2015: all of them could no longer be judged. "
            "All are on beam span.",
        ),
        (
            [POST, BEAM],
            "Of 1,200 calls, 57 would get another verdict under IRC 2015: 45 could no longer be judged and 12 would be "
            "a defect. They are on beam span (45) and post height (12).",
        ),
        (
            [POST, BEAM, RISER],
            "Of 1,200 calls, 58 would get another verdict under IRC 2015: 45 could no longer be judged, 12 would be a "
            "defect and 1 would be acceptable. Most are on beam span (45) and post height (12), the others on 1 more "
            "topic.",
        ),
    ],
)
def test_what_would_change_is_one_answer(changes: list[tuple[str, str, str, int]], told: str) -> None:
    assert plain(rules_wording.would_change(tried(*changes)).plain) == told


def test_why_a_call_could_no_longer_be_judged_is_told_where_there_is_one() -> None:
    assert "sets no such limit in the catalog" in rules_wording.no_longer_judged(tried(BEAM))
    assert rules_wording.no_longer_judged(tried(POST)) == ""


def test_rules_that_have_changed_since_the_load_are_told() -> None:
    assert "changed since the last load" in rules_wording.rules_changed(tried(POST, rules_changed=True))
    assert rules_wording.rules_changed(tried(POST)) == ""
