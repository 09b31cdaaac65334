"""Who looked at which decks on which day: four years of the firm's work."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any

from sample_warehouse import decks
from sample_warehouse.decks import Deck
from sample_warehouse.dice import Dice
from sample_warehouse.truth import parameters

# One stream of draws for each matter, so that a change in one leaves the others as they are.
_SCHEDULE, _DECK = 1, 2


@dataclass(frozen=True)
class Visit:
    """One inspector's visit to one property on one day: a report."""

    inspected_on: date
    inspector_id: str
    decks: tuple[Deck, ...]
    code_basis: str | None
    report_id: str = ""

    @property
    def region(self) -> str:
        return self.decks[0].region


def inspectors() -> dict[str, dict[str, Any]]:
    """The inspectors by id, as ``planted_truth.toml`` describes them."""
    return {entry["id"]: entry for entry in parameters()["inspector"]}


def schedule(reports: int, seed: int) -> list[Visit]:
    """All visits of the firm, by day, with their report ids."""
    shares = parameters()["visits"]
    dice = Dice.of(seed, _SCHEDULE)
    pairs, again = round(reports * shares["pairs_share"]), round(reports * shares["again_share"])
    first = [_first_visit(dice, number, seed) for number in range(reports - pairs - again)]
    others = _pairs(dice, first, pairs) + _seen_again(dice, first, again)
    return _numbered(sorted(first + others, key=lambda visit: (visit.inspected_on, visit.decks[0].number)))


def _numbered(visits: list[Visit]) -> list[Visit]:
    return [
        replace(visit, report_id=f"W{visit.inspected_on:%y}-{number:04d}")
        for number, visit in enumerate(visits, start=1)
    ]


def _first_visit(dice: Dice, number: int, seed: int) -> Visit:
    shares = parameters()
    day = _day(dice)
    region = dice.weighted({entry["name"]: entry["share"] for entry in shares["region"]})
    inspector = dice.weighted(_who_covers(region))
    built_year = day.year - _age(dice, inspector)
    letters = ["A", "B"] if dice.happens(shares["visits"]["two_decks_share"]) else ["A"]
    if dice.happens(shares["decks"]["unlabelled_share"]) and len(letters) == 1:
        letters = [""]
    at = decks.Site(property_id=f"TC-{number + 101:05d}", region=region, built_year=built_year)
    seen = tuple(
        decks.build(Dice.of(seed, _DECK, number, place), at, 2 * number + place, letter)
        for place, letter in enumerate(letters)
    )
    return Visit(day, inspector, seen, dice.weighted(shares["visits"]["code_basis"]) or None)


def _who_covers(region: str) -> dict[str, float]:
    return {id_: entry["regions"][region] for id_, entry in inspectors().items() if region in entry["regions"]}


def _age(dice: Dice, inspector: str) -> int:
    planted = parameters()["planted"]["old_decks_only"]
    low, high, _ = dice.weighted({tuple(band): band[2] for band in parameters()["decks"]["ages"]})
    if inspector == planted["inspector"]:
        low, high = planted["least_age_years"], planted["least_age_years"] + 21
    return dice.whole(low, high)


def _day(dice: Dice) -> date:
    """A working day of the firm's years, busier in summer."""
    first, last = parameters()["firm"]["first_day"], parameters()["firm"]["last_day"]
    season = parameters()["firm"]["season"]
    while True:
        day = first + timedelta(days=dice.whole(0, (last - first).days))
        if dice.happens(season[day.month - 1] / max(season)) and day.weekday() < 5:
            return day


def _pairs(dice: Dice, first: list[Visit], wanted: int) -> list[Visit]:
    """Second visits within 60 days by another inspector who covers the region."""
    low, high = parameters()["visits"]["pair_days"]
    found: dict[int, Visit] = {}
    for _ in range(100 * wanted):
        if len(found) == wanted:
            break
        visit = dice.pick(first)
        day = visit.inspected_on + timedelta(days=dice.whole(low, high))
        if visit.decks[0].number not in found and _may_be_worked(day):
            other = _another(dice, visit, day, but_not=visit.inspector_id)
            if other is not None:
                found[visit.decks[0].number] = replace(visit, inspected_on=day, inspector_id=other)
    return list(found.values())


def _seen_again(dice: Dice, first: list[Visit], wanted: int) -> list[Visit]:
    """Visits to the same decks years later, by whoever is there then."""
    low, high = parameters()["visits"]["again_days"]
    found: dict[int, Visit] = {}
    for _ in range(1000 * wanted):
        if len(found) == wanted:
            break
        visit = dice.pick(first)
        day = visit.inspected_on + timedelta(days=dice.whole(low, high))
        if visit.decks[0].number not in found and _may_be_worked(day):
            inspector = _another(dice, visit, day, but_not=None)
            if inspector is not None:
                found[visit.decks[0].number] = replace(visit, inspected_on=day, inspector_id=inspector)
    return list(found.values())


def _may_be_worked(day: date) -> bool:
    return day <= parameters()["firm"]["last_day"] and day.weekday() < 5


def _another(dice: Dice, visit: Visit, day: date, but_not: str | None) -> str | None:
    planted = parameters()["planted"]["old_decks_only"]
    young = day.year - visit.decks[0].built_year < planted["least_age_years"]
    able = {
        id_: share
        for id_, share in _who_covers(visit.region).items()
        if id_ != but_not and not (young and id_ == planted["inspector"])
    }
    return dice.weighted(able) if able else None
