"""Reports that list only what is not passed: what they do not mention, of what the checklist covers, is passed."""

from __future__ import annotations

from dataclasses import dataclass, field

import pyarrow as pa
from pydantic_core import PydanticCustomError

from etl import contract
from etl.layout.rows import Cells
from etl.readers.flat import Flat

#: The number of such an observation begins with it; its topic follows.
PREFIX = "implied-"
_FACTS = (*contract.level_columns("report"), *contract.level_columns("deck"))


@dataclass
class _Deck:
    """A deck of a report: where it first stands, its facts, and which topics its rows mention."""

    home: list[Flat]
    place: int
    facts: dict[str, str | None]
    mentioned: set[str | None] = field(default_factory=set)


class ImpliedPasses:
    """Gathers what reports mention, and makes the passes that they imply.

    Parameters
    ----------
    topics
        What the firm's checklist covers.
    """

    def __init__(self, topics: list[str]) -> None:
        self.topics = topics
        self.decks: dict[tuple[str | None, str | None], _Deck] = {}

    def see(
        self, home: list[Flat], columns: dict[str, Cells], places: list[int], bare: list[bool], refused: Cells
    ) -> None:
        """Note the rows of a table; a bare one stands for a report without findings.

        A topic whose word the layout refuses is one that a person has looked at: it is none of those covered. One that
        no comment tells may be any of them.
        """
        blank: Cells = [None] * len(places)
        reports, decks, topics = (columns.get(name, blank) for name in ("report_id", "deck_id", "topic"))
        for i, (report, deck, topic) in enumerate(zip(reports, decks, topics, strict=True)):
            if report is None:
                continue
            if (report, deck) not in self.decks:
                facts = {name: columns[name][i] for name in _FACTS if name in columns}
                self.decks[report, deck] = _Deck(home, places[i], facts)
            if not bare[i] and not (topic is None and (refused[i] or "").startswith("refused_by_layout")):
                self.decks[report, deck].mentioned.add(topic)

    def add(self) -> None:
        """Add the implied passes to the files in which their reports stand.

        Where a row of a deck names no topic that is known, it could be any: nothing is implied for that deck.
        """
        known = {*contract.columns()["topic"].rule.choices}
        homes: dict[int, tuple[list[Flat], list[tuple[_Deck, str]], int]] = {}
        for deck in self.decks.values():
            if not _is_readable(deck.facts):
                continue  # its own rows are refused: there is no report of which anything could be implied
            home, found, unclear = homes.setdefault(id(deck.home), (deck.home, [], 0))
            if deck.mentioned <= known:
                found += [(deck, topic) for topic in self.topics if topic not in deck.mentioned]
            else:
                unclear += 1
            homes[id(deck.home)] = (home, found, unclear)
        for home, found, unclear in homes.values():
            home.append(_passes(found, unclear))


def _passes(found: list[tuple[_Deck, str]], unclear: int) -> Flat:
    columns = {name: [deck.facts.get(name) for deck, _ in found] for name in _FACTS}
    columns = {name: cells for name, cells in columns.items() if any(cells) or name in contract.required_columns()}
    columns["observation_no"] = [f"{PREFIX}{topic}" for _, topic in found]
    columns["topic"] = [topic for _, topic in found]
    columns["call"] = ["passed" for _ in found]
    columns["passes"] = ["implied" for _ in found]
    arrays = {name: pa.array(cells, pa.string()) for name, cells in columns.items()}
    rows = pa.table({"row_no": pa.array([deck.place for deck, _ in found], pa.int64()), **arrays})
    told = [f"{len(found):,} passes that are implied, since what was not mentioned is passed"]
    if unclear:
        told.append(
            f"nothing is implied for {unclear:,} deck{'s' * (unclear != 1)} with a row whose topic is not known"
        )
    return Flat(list(columns), [], rows, notices=told, part="implied passes")


def _is_readable(facts: dict[str, str | None]) -> bool:
    """Whether the facts of a report could be stored: those that it needs are there, and all can be read."""
    for name, column in contract.columns().items():
        if column.level not in ("report", "deck"):
            continue
        try:
            value = contract.read(column.rule, facts.get(name))
        except PydanticCustomError:
            return False
        if column.required and value is None:
            return False
    return True
