"""The decks of Tallow County: how each is built, and what reports can know of it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from sample_warehouse.dice import Dice
from sample_warehouse.truth import parameters

SIZES = ("2x4", "2x6", "2x8", "2x10", "2x12", "2x14")
#: Dressed depth in inches, PS 20.
DEPTH_IN = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}
#: Longest span in inches at 16 in spacing and 40 psf, IRC 2021 Table R507.6: the weakest and the strongest species.
SPAN_WEAKEST_IN = {"2x6": 96, "2x8": 127, "2x10": 156, "2x12": 181}
SPAN_STRONGEST_IN = {"2x6": 108, "2x8": 142, "2x10": 168, "2x12": 198}


@dataclass(frozen=True)
class Deck:
    """A deck as it really is, and under which names and facts reports know it (None: reports do not say)."""

    number: int
    property_id: str
    deck_id: str | None
    region: str
    built_year: int
    reported_year: int | None
    reported_basis: str | None
    builder: str | None
    height_in: int
    reported_height_in: int | None
    ledger: bool
    reported_ledger: bool | None
    on_top: bool
    stairs: bool
    guard: bool
    drop_in: int
    joist: str
    span_in: int
    holes: int
    post: str

    @cached_property
    def words(self) -> dict[str, Any]:
        """What ``$word`` stands for in ``kinds.toml``."""
        size = SIZES.index(self.joist)
        return {
            "joist": self.joist,
            "one_down": SIZES[size - 1],
            "two_down": SIZES[max(size - 2, 0)],
            "one_up": SIZES[size + 1],
            "range": f"{self.joist}-{SIZES[size + 1]}",
            "depth": DEPTH_IN[self.joist],
            "ledger": self.joist if size > 1 else "2x8",
            "span": self.span_in,
            "table_span": SPAN_STRONGEST_IN[self.joist],
            "holes": self.holes,
            "post": self.post,
            "drop": self.drop_in,
            "risers": self.risers,
            "rise": self.rise_in,
        }

    @property
    def risers(self) -> int:
        return max(1, round(self.height_in / 7.3))

    @property
    def rise_in(self) -> int:
        return round(self.risers * 7.3)

    @cached_property
    def traits(self) -> frozenset[str]:
        """What ``needs`` and ``when`` in ``kinds.toml`` ask for."""
        holds = {
            "ledger": self.ledger,
            "on_top": self.on_top,
            "hangers": not self.on_top,
            "stairs": self.stairs,
            "guard": self.guard,
            "no_guard": not self.guard,
            "drop_over_30": self.drop_in > 30,
            "drop_up_to_30": self.drop_in <= 30,
            "few_risers": self.risers < 4,
            "many_risers": self.risers >= 4,
            "low_stair": self.rise_in <= 30,
            "tall_stair": self.rise_in >= 56,
            "deep_joists": self.joist != "2x6",
            "not_2x12": self.joist != "2x12",
            "long_span": self.span_in > 120,
            "middle_span": 100 <= self.span_in <= 168,
            "built_before_2009": self.built_year < 2009,
            "built_2004_on": self.built_year >= 2004,
            "built_before_2021": self.built_year < 2021,
        }
        return frozenset(trait for trait, held in holds.items() if held)


@dataclass(frozen=True)
class Site:
    """Where and when decks were built: two decks of one property share it."""

    property_id: str
    region: str
    built_year: int


def build(dice: Dice, site: Site, number: int, letter: str) -> Deck:
    """Draw a deck of a site. ``letter`` is blank where reports give the deck no id of its own."""
    shares = parameters()["decks"]
    joist = dice.weighted(shares["joists"])
    height = _height(dice, site.region)
    falls_away = dice.happens(shares["ground_falls_away_share"])
    drop = height + (dice.whole(12, 40) if falls_away else dice.whole(0, 5))
    guarded = shares["guard_share_over_30_in" if drop > 30 else "guard_share_up_to_30_in"]
    ledger = dice.happens(shares["ledger_share"])
    reported_year, basis = _reported_year(dice, site.built_year)
    return Deck(
        number=number,
        property_id=site.property_id,
        deck_id=f"{site.property_id}-{letter}" if letter else None,
        region=site.region,
        built_year=site.built_year,
        reported_year=reported_year,
        reported_basis=basis,
        builder=_builder(dice),
        height_in=height,
        reported_height_in=None if dice.happens(shares["height_unknown_share"]) else height,
        ledger=ledger,
        reported_ledger=None if dice.happens(shares["ledger_unknown_share"]) else ledger,
        on_top=dice.happens(shares["joists_on_top_share"]),
        stairs=dice.happens(shares["stairs_share"]),
        guard=dice.happens(guarded),
        drop_in=drop,
        joist=joist,
        span_in=round(SPAN_WEAKEST_IN[joist] * (0.6 + 0.38 * dice.uniform())),
        holes=dice.whole(10, 20),
        post=dice.pick(("4x4", "6x6", "6x6", "4x6")),
    )


def _height(dice: Dice, region: str) -> int:
    typical = next(entry["typical_height_in"] for entry in parameters()["region"] if entry["name"] == region)
    return min(max(round(typical * math.exp(dice.normal(0, 0.55))), 8), 230)


def _reported_year(dice: Dice, built_year: int) -> tuple[int | None, str | None]:
    shares = parameters()["decks"]
    unknown = dice.happens(shares["built_year_unknown_share"])
    basis = dice.weighted(shares["built_basis"])
    if unknown:
        return None, None
    # An estimate is a round year, and never later than the true one.
    return (built_year // 5 * 5 if basis == "estimate" else built_year), basis or None


def _builder(dice: Dice) -> str | None:
    shares = parameters()["builders"]
    problem = parameters()["planted"]["builder_with_a_problem"]["builder"]
    unknown, by_problem = dice.happens(shares["unknown_share"]), dice.happens(shares["problem_share"])
    other = dice.pick([name for name in shares["names"] if name != problem])
    return None if unknown else problem if by_problem else other
