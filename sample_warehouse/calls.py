"""What an inspector makes of a case: looked at or not, called, measured or not."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from sample_warehouse.cases import Case
from sample_warehouse.dice import Dice, at_share
from sample_warehouse.truth import Kind, Topic, parameters, topics
from sample_warehouse.visits import Visit

CALLS = ("written_up", "referred", "advised", "passed")


@dataclass(frozen=True)
class Called:
    """A case with what the report says of it."""

    case: Case
    call: str
    not_seen_reason: str | None
    measures: dict[str, Any]


def hidden_sides(height_in: int, dice: Dice) -> dict[str, str | None]:
    """The sides of a deck that could not be seen on the day, with the reason where the report gives one."""
    shares = parameters()["not_seen"]
    low = height_in <= shares["low_deck_up_to_in"]
    hidden = {}
    for side in ("under", "ground", "above"):
        point, reasoned, reason = dice.uniform(), dice.happens(shares["reason_share"]), dice.weighted(shares["reasons"])
        if point < shares["under_low_deck" if low and side == "under" else side]:
            reason = "low_clearance" if low and side == "under" else reason
            hidden[side] = reason if reasoned else None
    return hidden


def call_topic(visit: Visit, cases: list[Case], hidden: dict[str, str | None], dice: Dice) -> list[Called]:
    """Call all places of a topic on one deck.

    One draw decides how strictly and one how carefully the inspector works on this topic today, so that the same case
    at two places gets the same call and a tape that is out is used at both.
    """
    topic = cases[0].topic
    strictness, care, left_out = dice.uniform(), dice.uniform(), dice.uniform()
    unseen = _unseen(visit, topic, hidden, dice)
    if unseen is not None:
        return [Called(cases[0], "not_seen", unseen or None, {})]
    called = []
    for case in cases:
        call = at_share(strictness, call_shares(visit.inspector_id, topic.id, case.kind))
        measures = case.measures if care < recorded_share(topic, call) else {}
        called.append(Called(case, call, None, _without_one(measures, left_out)))
    return called


def _unseen(visit: Visit, topic: Topic, hidden: dict[str, str | None], dice: Dice) -> str | None:
    """None where the topic was seen; else the reason, blank where the report gives none."""
    snow = parameters()["planted"]["snow"]
    covered, reasoned = dice.happens(snow["not_seen_share"]), dice.happens(snow["reason_share"])
    snowy = visit.region == snow["region"] and visit.inspected_on.month in snow["months"] and topic.id in snow["topics"]
    if snowy and covered:
        return snow["reason"] if reasoned else ""
    return (hidden[topic.side] or "") if topic.side in hidden else None


def _without_one(measures: dict[str, Any], point: float) -> dict[str, Any]:
    """Now and then one of several measures is not written down."""
    share = parameters()["recorded"]["one_left_out_share"]
    if len(measures) < 2 or point >= share:
        return measures
    left_out = list(measures)[int(point / share * len(measures))]
    return {name: value for name, value in measures.items() if name != left_out}


def recorded_share(topic: Topic, call: str) -> float:
    """In which share of such calls the measures are written down."""
    share = parameters()["recorded"][call]
    return topic.passed if call == "passed" and topic.passed is not None else share


@cache
def call_shares(inspector_id: str, topic_id: str, kind: Kind, measured: bool = False) -> dict[str, float]:
    """How often an inspector makes each call on cases of a kind; ``measured``: on those whose measures are there."""
    shares = {call: parameters()["calls"][kind.standing][call] for call in CALLS}
    for call, own in (("written_up", kind.written_up), ("passed", kind.passed)):
        if own is not None:
            shares = _with_share(shares, call, own)
    for planted in _planted_habits():
        if topic_id == planted["topic"] and kind.name in planted["kinds"]:
            among_recorded = planted["share" if inspector_id in planted["inspectors"] else "peers_share"]
            of_all = _before_recording(shares, topic_id, planted["call"], among_recorded)
            shares = _with_share(shares, planted["call"], among_recorded if measured else of_all)
    return shares


def _planted_habits() -> list[dict[str, Any]]:
    planted = parameters()["planted"]
    return [planted["one_size_down"], planted["wide_gap_passed"]]


def _with_share(shares: dict[str, float], call: str, own: float) -> dict[str, float]:
    """The shares with one of them given, the others in their old proportion."""
    others = sum(share for name, share in shares.items() if name != call)
    return {name: own if name == call else share / others * (1 - own) for name, share in shares.items()}


def _before_recording(shares: dict[str, float], topic_id: str, call: str, among_recorded: float) -> float:
    """The share of all cases that gives this share among those whose measures are recorded.

    With s the wanted share, r the recorded share of the call, and R that of the other calls together:
    p r / (p r + (1 - p) R) = s, so p = s R / (r (1 - s) + s R).
    """
    topic = topics()[topic_id]
    others = {name: share for name, share in shares.items() if name != call}
    recorded_others = sum(share * recorded_share(topic, name) for name, share in others.items()) / sum(others.values())
    recorded_call = recorded_share(topic, call)
    return among_recorded * recorded_others / (recorded_call * (1 - among_recorded) + among_recorded * recorded_others)
