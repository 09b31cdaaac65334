"""Firms for the tests of charts, notes and pages: small, and each with a finding that a reader must be told."""

from __future__ import annotations

from datetime import date
from typing import Any

from tests.dashboard.builders import Firm

#: Text that would fetch a picture, run a script, color a word or start a formula, were it not escaped.
HOSTILE = "=HYPERLINK(1) ![x](http://example.com/p.png) <script>alert(1)</script> :red[no] [go](http://example.com)"


def one_size_down() -> Firm:
    """30 write-ups one size down, of which none holds; 12 two sizes down, which hold; 3 lack a measure; 5 misses."""
    firm = Firm()
    reason = "hanger 7.25 in is 78 % of the 9.25 in joist; 60 % needed"
    sizes = {"joist_nominal": "2x10", "hanger_nominal": "2x8", "recorded": "2x10 joist in 2x8 hanger"}
    for number in range(30):
        firm.note(
            "hanger_size",
            "written_up",
            "acceptable",
            inspector_id=f"I{number % 3}",
            comment="Undersized hanger seen by I0 at the stair.",
            place="the stair",
            reason=reason,
            **sizes,
        )
    two_down = {"joist_nominal": "2x10", "hanger_nominal": "2x6", "recorded": "2x10 joist in 2x6 hanger"}
    firm.many(12, "hanger_size", "written_up", "defect", comment="Hanger covers half of the joist.", **two_down)
    firm.many(3, "hanger_size", "written_up", "cannot_tell", joist_nominal="2x12", hanger_nominal="2x8")
    firm.many(5, "joist_gap", "passed", "defect", recorded="gap 1/2 in or more", joist_gap_in=0.5)
    return firm


def old_decks_gap() -> Firm:
    """Gaps on 24 of 40 decks of 30 and more years, on 4 of 80 younger ones; two inspectors, two regions."""
    firm = Firm()
    for age, defects, sound in (("30 and more", 24, 16), ("under 5", 2, 38), ("10 to 14", 2, 38)):
        for number in range(defects + sound):
            firm.note(
                "joist_gap",
                "written_up" if number < defects else "passed",
                "defect" if number < defects else "acceptable",
                deck_age=age,
                inspector_id=f"I{number % 2}",
                region=("Ridge", "Flats")[number % 2],
                recorded="gap 1/2 in or more" if number < defects else "gap up to 1/8 in",
                joist_gap_in=0.5 if number < defects else 0.1,
            )
    return firm


def hostile() -> Firm:
    """Every free text of the reports is hostile."""
    firm = Firm()
    for number in range(25):
        firm.note(
            "hanger_size",
            "written_up",
            "acceptable",
            builder=HOSTILE,
            region=HOSTILE,
            place=HOSTILE,
            comment=HOSTILE + " and more",
            recommendation=HOSTILE,
            inspector_id=f"I{number % 3}",
            recorded="2x10 joist in 2x8 hanger",
            joist_nominal="2x10",
            hanger_nominal="2x8",
        )
    return firm


def look(firm: Firm, deck: str, inspector: str, call: str, day: date, topic: str = "joist_gap", **facts: Any) -> str:
    """Add one inspector's look at a topic on a deck; the report's id."""
    report = str(facts.pop("report", f"{deck}-{inspector}"))
    firm.note(topic, call, report=report, deck=deck, inspector_id=inspector, inspected_on=day, **facts)
    return report


def seen_twice(firm: Firm, both: int, earlier: int, later: int, neither: int, **facts: Any) -> Firm:
    """Add so many decks that two inspectors saw a month apart: written up by both, by one look only, by neither.

    ``first`` is the number of the first deck of each kind: the same decks again where it is the same.
    """
    up, passed, first = "written_up", "passed", facts.pop("first", 0)
    kinds = (((up, up), both), ((up, passed), earlier), ((passed, up), later), ((passed, passed), neither))
    for place, ((one, other), decks) in enumerate(kinds):
        for number in range(first, first + decks):
            look(firm, f"D{place}-{number}", "I1", one, date(2026, 5, 1), **facts)
            look(firm, f"D{place}-{number}", "I2", other, date(2026, 6, 1), **facts)
    return firm


def calibration_round(firm: Firm, calls: str, known: str = "", **facts: Any) -> Firm:
    """Add a round: an item a word, an inspector a letter (u written up, p passed, r referred, n not seen).

    ``known`` has a letter an item: d defect, a acceptable, any other for not known.
    """
    letters = {"u": "written_up", "p": "passed", "r": "referred", "n": "not_seen"}
    verdicts = {"d": "defect", "a": "acceptable"}
    for number, item in enumerate(calls.split()):
        truth = verdicts.get(known[number]) if known else None
        for inspector, letter in enumerate(item):
            firm.round_call(f"item {number}", f"I{inspector}", letters[letter], truth, **facts)
    return firm


def colleagues() -> Firm:
    """A to D call alike; E writes up five times as much hanger size, most of it sound, and passes over wide gaps.

    F alone covers Flats; G looked at five hangers.
    """
    firm = Firm()
    hanger = {"recorded": "2x10 joist in 2x8 hanger", "joist_nominal": "2x10", "hanger_nominal": "2x8"}
    gap = {"recorded": "gap 1/2 in or more", "joist_gap_in": 0.5}
    # Written up that hold, written up that do not, passed; wide gaps written up, wide gaps passed over.
    plan = dict.fromkeys("ABCD", (3, 3, 54, 18, 2)) | {"E": (3, 27, 30, 5, 15), "F": (20, 20, 20, 10, 10)}
    for person, (hold, fail, passed, found, missed) in plan.items():
        own = {"inspector_id": person, "region": "Flats" if person == "F" else "Ridge"}
        firm.many(hold, "hanger_size", "written_up", "defect", **own)
        firm.many(fail, "hanger_size", "written_up", "acceptable", **own, **hanger)
        firm.many(passed, "hanger_size", "passed", "acceptable", **own, **hanger)
        firm.many(found, "joist_gap", "written_up", "defect", **own, **gap)
        firm.many(missed, "joist_gap", "passed", "defect", **own, **gap)
        firm.many(4, "joist_gap", "not_seen", "cannot_tell", **own)
    return firm.many(5, "hanger_size", "passed", "acceptable", inspector_id="G", **hanger)
