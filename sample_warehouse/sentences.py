"""What inspectors write in plain words."""

from __future__ import annotations

from fractions import Fraction
from string import Formatter
from typing import Any

from sample_warehouse.calls import Called
from sample_warehouse.dice import Dice
from sample_warehouse.truth import parameters
from sample_warehouse.visits import Visit, inspectors


def comment(visit: Visit, called: Called, dice: Dice) -> str | None:
    """The report's sentence on an observation; those who reuse stock sentences do so for write-ups."""
    writing, stock = parameters()["writing"], parameters()["sentences"]
    says, reuses = dice.happens(writing["comment_share"][called.call]), dice.happens(writing["stock_share"])
    if not says:
        return None
    if called.call == "written_up":
        if reuses and inspectors()[visit.inspector_id].get("stock"):
            return dice.pick(stock["stock"])
        return _filled(dice.pick(called.case.kind.sentences or called.case.topic.sentences), called)
    return _filled(dice.pick(stock[called.call]), called)


def recommendation(called: Called, dice: Dice) -> str | None:
    """What the report asks to be done."""
    wanted = dice.happens(parameters()["writing"]["recommendation_share"][called.call])
    sentence = dice.pick(called.case.topic.recommend)
    if called.call == "not_seen":
        sentence = "Look again when it can be seen."
    return sentence if wanted else None


def _filled(sentence: str, called: Called) -> str:
    """The sentence with its gaps filled; without the measures it names, the topic's plainest sentence."""
    known: dict[str, Any] = called.case.measures | {"place": called.case.place}
    if not _gaps(sentence) <= set(known):
        fitting = (plain for plain in called.case.topic.sentences if _gaps(plain) <= set(known))
        sentence = next(fitting, "See the photos.")
    return sentence.format_map({name: spoken(value) for name, value in known.items()})


def _gaps(sentence: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(sentence) if name}


def spoken(value: Any) -> str:
    """A measure in a sentence: ``1-1/2`` for 1.5, words without underscores."""
    if isinstance(value, float):
        return fraction(value)
    return str(value).replace("_", " ")


def fraction(value: float) -> str:
    """A number as inspectors write it: ``3/8``, ``1-1/2``, ``36``."""
    whole, part = divmod(Fraction(value).limit_denominator(64), 1)
    if not part:
        return str(whole)
    return f"{whole}-{part}" if whole else str(part)
