"""From a snapshot to a case pack: the printed quiz with its answers, and the sheet of a round to fill in."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.case_packs import draw_cases
from dashboard.measures.cases import Case, case
from dashboard.measures.catalog import criteria
from dashboard.measures.choices import choices
from dashboard.measures.patterns import UnknownPattern as NoSuchKind
from dashboard.notes import case_pack_wording as wording
from dashboard.notes import note_wording
from dashboard.notes.compose import kinds, said_without_names, telling_names, topic_with_rule
from dashboard.notes.errors import FormatNotThere, NoCases, UnknownPattern
from dashboard.notes.model import Answer, CasePack, Question
from dashboard.notes.names import without_names
from dashboard.notes.writing import FORMATS
from dashboard.warehouse import Snapshot

#: The columns of a calibration round, as a load reads them; after them those for the reader, which it does not keep.
ROUND_COLUMNS = (
    *("round_id", "held_on", "item_id", "topic", "inspector_id", "call", "observation_id", "known_verdict"),
)
READ_COLUMNS = ("case", "recorded", "sentence")
SHEETS = (".csv", ".xlsx")
#: Of the columns to fill in, the words to choose from.
TO_CHOOSE = {"call": (*wording.BOXES, "not_seen")}


@dataclass(frozen=True)
class DrawnPack:
    """A case pack and, apart from what people see of it, where its cases come from.

    Attributes
    ----------
    pack
        The quiz and its answers.
    cases
        Rows of ``draw_cases``, one a question, in the same order.
    topic, round_id
        The topic's id, and the id of the round in which it is called.
    """

    pack: CasePack
    cases: pd.DataFrame
    topic: str
    round_id: str


def pack_on(
    snapshot: Snapshot,
    topic: str,
    kind: str | None = None,
    count: int = 12,
    round_id: str | None = None,
    filters: Filters = EVERYTHING,
) -> DrawnPack:
    """A case pack on a topic, or on one kind of call of it; the same snapshot gives the same pack.

    Parameters
    ----------
    topic, kind
        A topic's id, and a ``pattern_id`` of the tables patterns and misses.
    count
        How many cases, if there are so many.
    round_id
        The id of the round; None for one made from the cases.

    Raises
    ------
    UnknownTopic, UnknownPattern
        With what there is instead.
    NoCases
    """
    about = topic_with_rule(snapshot, topic)
    title = str(about["title"])
    drawn = _draw(snapshot, topic, kind, count, filters)
    if drawn.empty:
        raise NoCases(labels.in_sentence(title))
    named = round_id or f"{topic}-{_code(drawn)}"
    found = [case(snapshot, identity) for identity in drawn["observation_id"]]
    rules = criteria(snapshot, topic).to_dict("records")
    needs = [measure for rule in rules for measure in rule["needs"]]
    groups = {str(group): int(number) for group, number in drawn["group"].value_counts().items()}
    everybody = choices(snapshot)
    names = {*everybody.inspectors, *everybody.builders, *everybody.regions}
    rows = list(zip(range(1, len(found) + 1), found, drawn.to_dict("records"), strict=True))
    pack = CasePack(
        kicker=wording.kicker(title, named),
        title=wording.title(title, len(found)),
        how=wording.HOW,
        fields=wording.FIELDS,
        boxes=tuple(wording.BOXES.values()),
        more=wording.MORE,
        questions=tuple(_question(at, one, str(row["item_id"]), needs, names) for at, one, row in rows),
        answers_heading=wording.ANSWERS,
        drawn=wording.drawn(groups, drawn["inspector_id"].nunique(), count, snapshot.info.snapshot),
        answers=tuple(_answer(at, one, str(row["group"]), names) for at, one, row in rows),
        judged=wording.JUDGED,
        **_around(snapshot, about, rules),
    )
    return DrawnPack(pack, drawn, topic, named)


def _draw(snapshot: Snapshot, topic: str, kind: str | None, count: int, filters: Filters) -> pd.DataFrame:
    try:
        if kind is not None and kind.partition(":")[0] != topic:
            raise NoSuchKind(kind)
        return draw_cases(snapshot, topic, kind, count, filters)
    except NoSuchKind:
        within = kinds(snapshot, replace(filters, topics=(topic,)))
        raise UnknownPattern(str(kind), list(within["pattern_id"])) from None


def _code(drawn: pd.DataFrame) -> str:
    """A short code that the cases make: another set of cases is another round."""
    return hashlib.sha256(" ".join(drawn["item_id"]).encode()).hexdigest()[:6].upper()


def _around(snapshot: Snapshot, about: pd.Series, rules: list[dict[Any, Any]]) -> dict[str, Any]:
    """The rule of the topic with its sources, what to do, cautions, and what the pack was made from.

    ``about``: the topic's row of the catalog.
    """
    caution = str(about["caution"]) if labels.is_known(about["caution"]) else ""
    return {
        "rule_heading": note_wording.RULE,
        "rule": str(about["plain"]),
        "source": note_wording.rule_source(rules, caution, choices(snapshot).regions),
        "habit_heading": note_wording.HABIT,
        "habit": str(about["habit"]),
        "cautions": " ".join(labels.CAUTIONS),
        "origin": note_wording.origin(snapshot.info),
        "made_at": snapshot.info.created_at,
    }


def _question(number: int, found: Case, code: str, needs: list[str], names: set[str]) -> Question:
    said = said_without_names(found, names)
    return Question(
        number=str(number),
        code=code,
        recorded=wording.recorded(found, needs),
        sentence=f"“{said}”" if said else wording.NO_SENTENCE,
    )


def _answer(number: int, found: Case, group: str, names: set[str]) -> Answer:
    facts = found.facts
    outcome, by_person = str(facts["outcome"]), facts["basis"] == "second_look"
    told = note_wording.why(found, cited_above=True)
    return Answer(
        number=str(number),
        outcome_id=outcome,
        glyph=labels.GLYPHS.get(outcome, ""),
        verdict=wording.verdict(str(facts["verdict"])),
        called=wording.called(str(facts["call"]), outcome, group),
        # A person's reason may name somebody; a rule's never does, and a code of an inspector may be a figure of it.
        why=without_names(told, telling_names(found, names)) if by_person else told,
        source=wording.source(found.criterion),
    )


# ---- the sheet to fill in --------------------------------------------------------------------------------------------


def sheet(
    made: DrawnPack, inspectors: Sequence[str] = (), held_on: date | None = None, with_answers: bool = False
) -> pd.DataFrame:
    """The sheet of a calibration round: one row a case and inspector, to be filled in and loaded.

    Parameters
    ----------
    inspectors
        Their codes; where there is none, one block of rows has the code left blank.
    held_on
        The day of the round; blank where it is not known yet.
    with_answers
        Whether known_verdict and the report's number go with it. Without them the snapshot tells the truth of a case by
        its code, when the round is read.

    Returns
    -------
    DataFrame
        The columns of a calibration round in their order, then case, recorded and sentence.
    """
    rows = [
        _round_row(made, question, drawn, who, held_on, with_answers)
        for who in (tuple(inspectors) or (None,))
        for question, drawn in zip(made.pack.questions, made.cases.to_dict("records"), strict=True)
    ]
    return pd.DataFrame(rows, columns=[*ROUND_COLUMNS, *READ_COLUMNS])


def _round_row(
    made: DrawnPack, question: Question, drawn: dict[Any, Any], who: str | None, held_on: date | None, answers: bool
) -> dict[str, Any]:
    known = drawn["known_verdict"] if answers and labels.is_known(drawn["known_verdict"]) else None
    return {
        "round_id": made.round_id,
        "held_on": held_on,
        "item_id": question.code,
        "topic": made.topic,
        "inspector_id": who,
        "call": None,
        "observation_id": drawn["observation_id"] if answers else None,
        "known_verdict": known,
        "case": int(question.number),
        "recorded": "; ".join(f"{name}: {value}" for name, value in question.recorded),
        "sentence": question.sentence,
    }


def check_suffix(path: Path) -> str:
    """The ending of a file that a pack can be written to: of a quiz to print, or of a sheet to fill in.

    Raises
    ------
    FormatNotThere
    """
    suffix = path.suffix.lower()
    if suffix not in FORMATS and suffix not in SHEETS:
        raise FormatNotThere(path.suffix, [*FORMATS, *SHEETS], "A case pack")
    return suffix
