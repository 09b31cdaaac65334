"""Sentences that stand in many reports: what is alike, what they come to, and that a habit counts once."""

from __future__ import annotations

import pytest

from dashboard.filters import Filters
from dashboard.measures.cases import cases
from dashboard.measures.stock_sentences import LEAST_REPORTS, stock_sentences
from tests.dashboard.builders import Firm

ALIKE = (
    ("2x10 jsts in 2x8 hgrs at NE, gap 5/8 in", None),
    ("2x12 jsts in 2x10 hgrs at the lake side, gap ½ in.", "the lake side"),
    ("2X8 JSTS in 2x6 hgrs at left, gap 16 mm", None),
)


def written(firm: Firm, comments, outcome="acceptable", **facts):
    for comment, place in comments:
        firm.note("joist_gap", "written_up", outcome, comment=comment, place=place, **facts)
    return firm


def test_places_and_numbers_aside_sentences_are_one(firm, published):
    written(firm, ALIKE * 2)
    written(firm, [("Another sentence.", None)] * (LEAST_REPORTS - 1))
    firm.many(9, "joist_gap", "passed", "defect", comment="2x10 jsts in 2x8 hgrs at NE, gap 5/8 in")
    snapshot = published(firm)
    (row,) = stock_sentences(snapshot).itertuples()
    assert (row.text.lower(), row.uses, row.reports) == ("… jsts in … hgrs at …, gap …", 6, 6)
    behind = cases(snapshot, topic="joist_gap", calls=("written_up",), sentence=row.sentence_id)
    assert len(behind) == 6
    assert stock_sentences(snapshot, Filters(inspectors=("I9",))).empty


def test_forty_of_one_habit_are_one_judgment(firm, published):
    written(firm, [ALIKE[0]] * 40, recorded="small gap")
    (row,) = stock_sentences(published(firm)).itertuples()
    assert (row.judged, row.overcalled, row.share, row.habits) == (40, 40, 1.0, 1)
    # Wilson's lower limit for 1 of 1 is 1 / (1 + z²) with z = 1.959964 (Wilson 1927).
    assert row.share_low == pytest.approx(1 / (1 + 1.959963984540054**2), abs=1e-12)


def test_the_interval_narrows_with_people_and_what_they_put_it_to(firm, published):
    for person in "ABCD":
        for kind in ("small gap", "no gap"):
            written(firm, [ALIKE[0]] * 5, recorded=kind, inspector_id=person)
    written(firm, [ALIKE[0]] * 3, "cannot_tell", inspector_id="E")
    (row,) = stock_sentences(published(firm)).itertuples()
    assert (row.uses, row.judged, row.habits, row.inspectors) == (43, 40, 8, 5)
    assert row.judged_share == pytest.approx(40 / 43)
    assert row.share_low == pytest.approx(8 / (8 + 1.959963984540054**2), abs=1e-12)
