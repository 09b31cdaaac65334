"""The input tables: observations, and the further ones of the contract, each recognized by its columns.

A row of a further table is checked by its pydantic model, whatever kind of file it came in: such tables are short.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from pydantic import BaseModel, ConfigDict

from etl import contract, vocabulary
from etl.contract import CODE, SENTENCES, Column, Rule, choice, text, typed

#: The name of the table whose rows stand in reports; see :mod:`etl.contract`.
OBSERVATIONS = "observations"
#: Nobody who inspects today began before it.
FIRST_STARTED = date(1940, 1, 1)


class SecondLook(BaseModel):
    """A person's ruling on an observation, with how the observation was chosen for it."""

    model_config = ConfigDict(extra="ignore")

    report_id: text(CODE, required=True)  # type: ignore[valid-type]
    observation_no: text(CODE, required=True)  # type: ignore[valid-type]
    looked_by: text(CODE, required=True)  # type: ignore[valid-type]
    looked_on: typed(date, Rule("date"), required=True)  # type: ignore[valid-type]
    chosen: choice(vocabulary.CHOSEN, required=True)  # type: ignore[valid-type]
    ruling: choice(vocabulary.RULINGS, required=True)  # type: ignore[valid-type]
    reason: text(SENTENCES) = None  # type: ignore[valid-type]


class RoundCall(BaseModel):
    """What one inspector called one item of a calibration round, on one topic."""

    model_config = ConfigDict(extra="ignore")

    round_id: text(CODE, required=True)  # type: ignore[valid-type]
    held_on: typed(date, Rule("date"), required=True)  # type: ignore[valid-type]
    item_id: text(CODE, required=True)  # type: ignore[valid-type]
    topic: choice(tuple(vocabulary.topics()), required=True)  # type: ignore[valid-type]
    inspector_id: text(CODE, required=True)  # type: ignore[valid-type]
    call: choice(vocabulary.CALLS, required=True)  # type: ignore[valid-type]
    observation_id: text(2 * CODE + 1) = None  # type: ignore[valid-type]
    known_verdict: choice(vocabulary.KNOWN_VERDICTS) = None  # type: ignore[valid-type]


class Attendance(BaseModel):
    """One inspector at one training session, on one topic."""

    model_config = ConfigDict(extra="ignore")

    session_id: text(CODE, required=True)  # type: ignore[valid-type]
    held_on: typed(date, Rule("date"), required=True)  # type: ignore[valid-type]
    topic: choice(tuple(vocabulary.topics()), required=True)  # type: ignore[valid-type]
    inspector_id: text(CODE, required=True)  # type: ignore[valid-type]
    hours: typed(Decimal, Rule("number", Decimal(0), Decimal(200), unit="hours")) = None  # type: ignore[valid-type]


class StaffMember(BaseModel):
    """An inspector of the firm."""

    model_config = ConfigDict(extra="ignore")

    inspector_id: text(CODE, required=True)  # type: ignore[valid-type]
    display_name: text(CODE) = None  # type: ignore[valid-type]
    started_on: typed(date, Rule("date", first_day=FIRST_STARTED)) = None  # type: ignore[valid-type]
    office: text(CODE) = None  # type: ignore[valid-type]
    role: text(CODE) = None  # type: ignore[valid-type]
    email: text(CODE) = None  # type: ignore[valid-type]


@dataclass(frozen=True)
class FurtherTable:
    """A further input table.

    Attributes
    ----------
    name
        Its name, in the snapshot too.
    title
        What its rows are called in a sentence.
    model
        The pydantic model of a row.
    key
        The columns that say which row it is: a row with the same ones stands in its place.
    marks
        The columns by which it is recognized.
    not_kept
        Columns that are read, and whose content is stored nowhere.
    """

    name: str
    title: str
    model: type[BaseModel]
    key: tuple[str, ...]
    marks: frozenset[str]
    not_kept: frozenset[str] = frozenset()

    @cached_property
    def columns(self) -> dict[str, Column]:
        return contract.columns_of(self.model, "row")

    @property
    def required(self) -> tuple[str, ...]:
        return tuple(column.name for column in self.columns.values() if column.required)

    @property
    def kept(self) -> tuple[str, ...]:
        """The columns that are stored."""
        return tuple(name for name in self.columns if name not in self.not_kept)


FURTHER = {
    table.name: table
    for table in (
        FurtherTable(
            "second_looks",
            "second looks",
            SecondLook,
            ("report_id", "observation_no", "looked_by", "looked_on"),
            frozenset({"looked_by", "looked_on", "ruling"}),
        ),
        FurtherTable(
            "rounds",
            "calibration rounds",
            RoundCall,
            ("round_id", "item_id", "topic", "inspector_id"),
            frozenset({"round_id", "item_id"}),
        ),
        FurtherTable(
            "sessions",
            "training sessions",
            Attendance,
            ("session_id", "topic", "inspector_id"),
            frozenset({"session_id", "held_on"}),
        ),
        FurtherTable(
            "staff",
            "staff",
            StaffMember,
            ("inspector_id",),
            frozenset({"inspector_id", "display_name"}),
            frozenset({"email"}),
        ),
    )
}
#: What an observation has and no further table but that of second looks.
_OF_A_REPORT = {"report_id", "observation_no", "call"}


def recognized(names: Collection[str]) -> FurtherTable | None:
    """The further table that a set of columns is one of; None where they are those of observations, or of nothing."""
    given = set(names)
    if given >= set(contract.required_columns()):
        return None
    if given >= FURTHER["second_looks"].marks:
        return FURTHER["second_looks"]
    if given >= _OF_A_REPORT:
        return None
    return next((table for table in FURTHER.values() if given >= table.marks), None)


def columns_of_table(name: str) -> dict[str, Column]:
    """The columns of an input table, by its name."""
    return contract.columns() if name == OBSERVATIONS else FURTHER[name].columns
