"""The planted proportions are in the files, to within sampling error.

Counted from the files by the few lines below, which share nothing with the product: what the product finds is tested
elsewhere. A trial is a report x deck x topic; a share may be off by 3.3 standard errors (one draw in a thousand).
"""

from __future__ import annotations

import math
import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations
from typing import Any

import pytest

from sample_warehouse.truth import parameters

Row = dict[str, Any]
PLANTED = parameters()["planted"]


@pytest.fixture(scope="session")
def sound_rows(rows: list[Row]) -> list[Row]:
    """The rows whose report, inspector, day and call are as they should be, with the days as dates."""
    return [
        row | {"inspected_on": day, "deck": row.get("deck_id") or row.get("property_id")}
        for row in rows
        if row["inspector_id"] and (day := _day(row["inspected_on"])) and row["call"] != "writen_up"
    ]


def _day(value: object) -> date | None:
    text = str(value)
    return date.fromisoformat(text) if re.fullmatch(r"\d{4}-\d\d-\d\d", text) else None


def _size(value: object) -> str:
    return str(value or "").lower().replace("×", "x").replace(" ", "")


def _number(value: object) -> Fraction | None:
    """A number as the sample's inspectors write it; None where none is recorded or it is spoiled."""
    signs = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8"}
    text = str("" if value is None else value).strip('"')
    for sign, spelled in signs.items():
        text = text.replace(sign, spelled)
    parts = text.replace("-", " ").split()
    return sum(map(Fraction, parts), Fraction(0)) if parts and re.fullmatch(r"[\d./ ]+", " ".join(parts)) else None


def _one_per_trial(rows: Iterable[Row]) -> list[Row]:
    return list({(row["report_id"], row["deck"], row["topic"]): row for row in rows}.values())


def _close(hits: int, n: int, share: float) -> bool:
    return n > 0 and abs(hits / n - share) <= 3.3 * math.sqrt(share * (1 - share) / n)


def _share_holds(trials: list[Row], call: str, inspectors: list[str], share: float, peers_share: float) -> None:
    theirs = [row["call"] == call for row in trials if row["inspector_id"] in inspectors]
    peers = [row["call"] == call for row in trials if row["inspector_id"] not in inspectors]
    assert _close(sum(theirs), len(theirs), share), (sum(theirs), len(theirs))
    assert _close(sum(peers), len(peers), peers_share), (sum(peers), len(peers))


def test_two_inspectors_write_up_hangers_one_size_down(sound_rows: list[Row]) -> None:
    planted = PLANTED["one_size_down"]
    pairs = {("2x8", "2x6"), ("2x10", "2x8"), ("2x12", "2x10")}
    trials = _one_per_trial(
        row
        for row in sound_rows
        if row["topic"] == planted["topic"]
        and (_size(row.get("joist_nominal")), _size(row.get("hanger_nominal"))) in pairs
    )
    assert len(planted["inspectors"]) == 2
    _share_holds(trials, planted["call"], planted["inspectors"], planted["share"], planted["peers_share"])


def test_one_inspector_passes_wide_gaps_that_were_measured(sound_rows: list[Row]) -> None:
    planted = PLANTED["wide_gap_passed"]
    trials = _one_per_trial(
        row
        for row in sound_rows
        if row["topic"] == planted["topic"] and (_number(row.get("joist_gap_in")) or 0) > Fraction(3, 8)
    )
    _share_holds(trials, planted["call"], planted["inspectors"], planted["share"], planted["peers_share"])


def test_one_inspector_sees_old_decks_only(sound_rows: list[Row]) -> None:
    planted = PLANTED["old_decks_only"]
    ages = defaultdict(set)
    for row in sound_rows:
        if (built := _number(row.get("deck_built_year"))) and built > 1900:
            ages[row["inspector_id"]].add(row["inspected_on"].year - built)
    assert {who for who, seen in ages.items() if min(seen) >= planted["least_age_years"]} == {planted["inspector"]}


def test_one_inspector_is_alone_in_a_region_and_the_others_are_several(sound_rows: list[Row]) -> None:
    planted = PLANTED["alone_in_region"]
    covered = defaultdict(set)
    for row in sound_rows:
        covered[row["region"]].add(row["inspector_id"])
    assert covered.pop(planted["region"]) == {planted["inspector"]}
    assert all(len(who) >= 4 and planted["inspector"] not in who for who in covered.values())


def test_one_builder_has_deck_screws_in_the_hangers(sound_rows: list[Row]) -> None:
    planted = PLANTED["builder_with_a_problem"]
    trials = _one_per_trial(row for row in sound_rows if row["topic"] == planted["topic"] and row["call"] != "not_seen")
    its_own = [row for row in trials if row.get("builder") == planted["builder"]]
    others = [row for row in trials if row.get("builder") != planted["builder"]]
    assert len({row["deck"] for row in its_own}) >= planted["least_decks"]
    assert len({row["inspector_id"] for row in its_own}) >= planted["least_inspectors"]
    assert _close_over_calls(its_own, planted["kind"], planted["share"])
    assert _close_over_calls(others, planted["kind"], planted["others_share"])


def _close_over_calls(trials: list[Row], kind: str, share: float) -> bool:
    """Kinds are recorded more often for write-ups, so each call stands for all its trials, recorded or not."""
    by_call = defaultdict(list)
    for row in trials:
        by_call[row["call"]].append(row.get("fastener_kind") or "")
    recorded = {call: [found for found in kinds if found] for call, kinds in by_call.items()}
    known = {call: kinds.count(kind) / len(kinds) for call, kinds in recorded.items() if kinds}
    n = sum(len(by_call[call]) for call in known)
    estimate = sum(known[call] * len(by_call[call]) for call in known) / n
    return _close(round(estimate * (n_recorded := sum(map(len, recorded.values())))), n_recorded, share)


def test_snow_hides_footings_and_flashing_and_the_reason_is_often_left_out(sound_rows: list[Row]) -> None:
    planted = PLANTED["snow"]
    winter = [
        row
        for row in sound_rows
        if row["topic"] in planted["topics"]
        and row["region"] == planted["region"]
        and row["inspected_on"].month in planted["months"]
    ]
    hidden = [row for row in winter if row["call"] == "not_seen"]
    reasoned = [row for row in hidden if row.get("not_seen_reason") == planted["reason"]]
    assert _close(len(hidden), len(winter), planted["not_seen_share"])
    assert _close(len(reasoned), len(hidden), planted["reason_share"])
    assert not [row for row in sound_rows if row.get("not_seen_reason") == planted["reason"] and row not in reasoned]


def test_the_largest_unlike_pair_written_up_is_the_planted_one(sound_rows: list[Row]) -> None:
    written_up = Counter(
        pair
        for row in sound_rows
        if row["topic"] == PLANTED["largest_pattern"]["topic"] and row["call"] == "written_up"
        if len(set(pair := (_size(row.get("joist_nominal")), _size(row.get("hanger_nominal"))))) == 2 and all(pair)
    )
    planted = PLANTED["largest_pattern"]
    largest, n_largest = written_up.most_common(1)[0]
    assert largest == (planted["joist_nominal"], planted["hanger_nominal"])
    assert n_largest > sum(
        row["call"] == "written_up" and (gap := _number(row.get("joist_gap_in"))) is not None and gap <= Fraction(1, 8)
        for row in sound_rows
        if row["topic"] == "joist_gap"
    )


def test_about_120_decks_are_seen_by_two_inspectors_within_60_days(sound_rows: list[Row]) -> None:
    visits = defaultdict(set)
    for row in sound_rows:
        visits[row["property_id"]].add((row["inspected_on"], row["inspector_id"]))
    pairs = [
        (one, other)
        for seen in visits.values()
        for one, other in combinations(sorted(seen), 2)
        if one[1] != other[1] and other[0] - one[0] <= timedelta(days=60)
    ]
    wanted = round(parameters()["visits"]["pairs_share"] * parameters()["firm"]["reports"])
    assert wanted == 120
    assert wanted <= len(pairs) <= wanted + 2
    assert any(max(seen)[0] - min(seen)[0] > timedelta(days=500) for seen in visits.values())


def test_unknown_builders_and_years_are_as_frequent_as_planted(sound_rows: list[Row]) -> None:
    decks = {row["deck"]: row for row in sound_rows}.values()
    n_without_builder = sum(not row.get("builder") for row in decks)
    n_without_year = sum(not row.get("deck_built_year") for row in decks)
    assert _close(n_without_builder, len(decks), parameters()["builders"]["unknown_share"])
    assert _close(n_without_year, len(decks), parameters()["decks"]["built_year_unknown_share"])


@pytest.mark.parametrize(
    ("measure", "bad"),
    [
        ("rust", ("pitting", "section_loss")),
        ("decay", ("soft", "advanced")),
        ("guard_movement", ("loose",)),
        ("joist_support", ("toe_nails", "end_nails")),
    ],
)
def test_old_decks_are_worse(sound_rows: list[Row], measure: str, bad: tuple[str, ...]) -> None:
    found: dict[bool, list[bool]] = {True: [], False: []}
    for row in sound_rows:
        built = _number(row.get("deck_built_year"))
        if built and row.get(measure) and not 10 <= (age := row["inspected_on"].year - built) < 20:
            found[age >= 20].append(row[measure] in bad)
    old, young = (sum(hits) / len(hits) for hits in (found[True], found[False]))
    assert old > 1.5 * young


def test_measures_are_recorded_more_often_for_write_ups(sound_rows: list[Row]) -> None:
    recorded: dict[str, list[bool]] = defaultdict(list)
    for row in sound_rows:
        if row["topic"] == "joist_seat":
            recorded[row["call"]].append(row.get("seat_gap_in") not in (None, ""))
    for call in ("written_up", "passed"):
        trials = recorded[call]
        assert _close(sum(trials), len(trials), parameters()["recorded"][call])


def test_heights_differ_by_region(sound_rows: list[Row]) -> None:
    heights = defaultdict(list)
    for row in {row["deck"]: row for row in sound_rows}.values():
        if height := _number(row.get("deck_height_in")):
            heights[row["region"]].append(height)
    typical = {region: sorted(found)[len(found) // 2] for region, found in heights.items()}
    assert sorted(typical, key=lambda region: typical[region]) == ["Flats", "Mill Town", "Ridge", "Lakeshore"]
