"""How a case really looks, before anybody looks at it.

The draws of a case belong to its deck, topic and place alone: whoever comes, and however often, sees the same deck,
only older where the kind wears.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from sample_warehouse.decks import Deck
from sample_warehouse.dice import Dice
from sample_warehouse.truth import Kind, Topic, parameters, topics

_CASE = 3
_MOST_PLACES = 3
_DRAWS = 12  # for one case: its kind, whether it is like the first, and its measures
_SIXTEENTH = 1 / 16


@dataclass(frozen=True)
class Case:
    """One topic at one place of one deck: its kind, and the measures that a tape would give."""

    topic: Topic
    place: str
    kind: Kind
    measures: dict[str, Any]


class CasesOfDeck:
    """The cases of one deck on one day; a topic's cases are drawn when asked for."""

    def __init__(self, deck: Deck, on: date, seed: int) -> None:
        self._deck = deck
        self._on = on
        generator = np.random.default_rng((seed, _CASE, deck.number))
        self._draws = generator.random((len(topics()), _MOST_PLACES, _DRAWS))
        self._row = {id_: row for row, id_ in enumerate(topics())}

    def of(self, topic: Topic) -> list[Case]:
        """The cases of a topic, one a place."""
        draws = self._draws[self._row[topic.id]].tolist()
        first = draws[0]
        places = parameters()["places"][topic.side]
        start = int(first[1] * len(places))
        alike = parameters()["visits"]["same_kind_at_next_place_share"]
        cases = []
        for number in range(_n_places(topic, first[2])):
            own = draws[number]
            point = first[0] if number == 0 or own[3] < alike else own[0]
            kind = self._kind(topic, point)
            measures = _measures(kind, self._deck, Dice(iter(own[4:])))
            cases.append(Case(topic, places[(start + number) % len(places)], kind, measures))
        return cases

    def _kind(self, topic: Topic, point: float) -> Kind:
        for kind in topic.kinds[:-1]:
            point -= self._share(topic, kind)
            if point < 0:
                return kind
        return topic.kinds[-1]

    def _share(self, topic: Topic, kind: Kind) -> float:
        if not set(kind.when) <= self._deck.traits:
            return 0.0
        planted = parameters()["planted"]["builder_with_a_problem"]
        if (topic.id, kind.name) == (planted["topic"], planted["kind"]):
            return planted["share" if self._deck.builder == planted["builder"] else "others_share"]
        end = self._on if kind.wears else parameters()["firm"]["last_day"]
        return _at_age(kind, end.year - self._deck.built_year)


def _n_places(topic: Topic, point: float) -> int:
    for number, share in enumerate(topic.places, start=1):
        point -= share
        if point < 0:
            return number
    return len(topic.places)


def _at_age(kind: Kind, age: int) -> float:
    """The kind's share at an age: its odds at 15 years, times ``per_decade`` for each ten years more."""
    share = kind.share or 0.0
    if share >= 1 or kind.per_decade == 1:
        return share
    odds = share / (1 - share) * kind.per_decade ** ((age - 15) / 10)
    return odds / (1 + odds)


def _measures(kind: Kind, deck: Deck, dice: Dice) -> dict[str, Any]:
    return {name: _value(wanted, deck, dice) for name, wanted in kind.measures.items()}


def _value(wanted: Any, deck: Deck, dice: Dice) -> Any:
    if isinstance(wanted, list):
        return dice.pick(wanted)
    if isinstance(wanted, dict):
        return _number(wanted, deck, dice)
    if isinstance(wanted, str) and wanted.startswith("$"):
        return deck.words[wanted[1:]]
    return wanted


def _number(wanted: dict[str, Any], deck: Deck, dice: Dice) -> float | int:
    """A number of a stretch in whole steps, or a part of one of the deck's, or that less a few."""
    step = wanted.get("step", _SIXTEENTH)
    low, high = wanted["from"], wanted["to"]
    if "part_of" in wanted:
        whole = deck.words[wanted["part_of"][1:]]
        return round(whole * (low + (high - low) * dice.uniform()) / step) * step
    number = low + dice.whole(0, round((high - low) / step)) * step
    return deck.words[wanted["less_than"][1:]] - number if "less_than" in wanted else number
