"""A report: the rows that an inspector hands in after a visit, as typed values by contract column."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sample_warehouse import sentences
from sample_warehouse.calls import Called, call_topic, hidden_sides
from sample_warehouse.cases import CasesOfDeck
from sample_warehouse.decks import Deck
from sample_warehouse.dice import Dice
from sample_warehouse.truth import Topic, parameters, topics
from sample_warehouse.visits import Visit

Row = dict[str, Any]


@dataclass(frozen=True)
class Written:
    """A row of a report, and what it was written about."""

    row: Row
    called: Called


_REPORT = 4
_CHECKED_UNDER = (4, 18)  # hangers or joists that an inspector counts on one side of a deck


def written(visit: Visit, number: int, seed: int) -> list[Written]:
    """All rows of one visit, numbered; deck after deck, topics in load-path order."""
    dice = Dice.of(seed, _REPORT, number)
    found = [one for place, deck in enumerate(visit.decks) for one in _of_deck(visit, deck, place, dice, seed)]
    return [
        Written(one.row | {"observation_no": f"{number:02d}"}, one.called) for number, one in enumerate(found, start=1)
    ]


def _of_deck(visit: Visit, deck: Deck, place: int, dice: Dice, seed: int) -> list[Written]:
    facts = _report_facts(visit) | _deck_facts(deck)
    looked_at = CasesOfDeck(deck, visit.inspected_on, seed)
    hidden = hidden_sides(deck.height_in, dice)
    called = [
        one for topic in _checklist(deck, place, dice) for one in call_topic(visit, looked_at.of(topic), hidden, dice)
    ]
    return [Written(facts | _observation(visit, one, dice), one) for one in called]


def _report_facts(visit: Visit) -> Row:
    return {
        "report_id": visit.report_id,
        "inspected_on": visit.inspected_on,
        "inspector_id": visit.inspector_id,
        "region": visit.region,
        "property_id": visit.decks[0].property_id,
        "code_basis": visit.code_basis,
    }


def _deck_facts(deck: Deck) -> Row:
    return {
        "deck_id": deck.deck_id,
        "deck_built_year": deck.reported_year,
        "deck_built_basis": deck.reported_basis,
        "builder": deck.builder,
        "deck_height_in": deck.reported_height_in,
        "ledger_attached": deck.reported_ledger,
    }


def _checklist(deck: Deck, place: int, dice: Dice) -> list[Topic]:
    """The topics that the report speaks of: as asked, then filled up or cut to the usual length of a report."""
    lengths = parameters()["visits"]
    open_to = [topic for topic in topics().values() if set(topic.needs) <= deck.traits]
    drawn = {topic.id: dice.uniform() / topic.asked for topic in open_to}
    ranked = sorted(open_to, key=lambda topic: drawn[topic.id])
    wanted, rows_so_far = [], 0.0
    least, most = (lengths["least_rows"], lengths["most_rows"]) if place == 0 else (0, lengths["most_rows"] // 2)
    for topic in ranked:
        if (drawn[topic.id] >= 1 and rows_so_far >= least) or rows_so_far >= most - 1:
            break
        wanted.append(topic)
        rows_so_far += sum(number * share for number, share in enumerate(topic.places, start=1))
    order = list(topics())
    return sorted(wanted, key=lambda topic: order.index(topic.id))


def _observation(visit: Visit, called: Called, dice: Dice) -> Row:
    writing = parameters()["writing"]
    case, call = called.case, called.call
    row: Row = {
        "topic": case.topic.id,
        "place": case.place if dice.happens(writing["place_share"]) else None,
        "call": call,
        "not_seen_reason": called.not_seen_reason,
        "comment": sentences.comment(visit, called, dice),
        "recommendation": sentences.recommendation(called, dice),
        "photo_count": dice.whole(1, 4) if dice.happens(writing["photo_share"][call]) else None,
    }
    row |= called.measures
    if call == "written_up":
        row["consequence"] = _consequence(called, dice)
        row |= _counted(called, dice)
    if case.topic.side in ("under", "ground") and dice.happens(writing["engineer_letter_share"]):
        row["engineer_letter"] = dice.happens(0.5)
    return row


def _consequence(called: Called, dice: Dice) -> int | None:
    writing = parameters()["writing"]
    deserved = called.case.kind.consequence
    if dice.happens(writing["other_consequence_share"]):
        deserved = min(max(deserved + dice.pick((-1, 1)), 1), 3)
    return deserved if dice.happens(writing["consequence_share"]) else None


def _counted(called: Called, dice: Dice) -> Row:
    counted = called.case.topic.side == "under" and dice.happens(parameters()["writing"]["counted_share"])
    checked = dice.whole(*_CHECKED_UNDER)
    affected = dice.whole(1, max(1, checked // 2))
    return {"checked": checked, "affected": affected} if counted else {}
