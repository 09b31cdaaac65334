"""The closed lists: one word for one thing, in code, tables and SQL alike.

Topics and measures are data (``catalog/*.toml``); this module only reads and checks them.
"""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Literal

from pydantic import BaseModel, ConfigDict, model_validator

CALLS = ("written_up", "referred", "advised", "passed", "not_seen")
VERDICTS = ("defect", "acceptable", "judgment", "cannot_tell")
OUTCOMES = (
    "upheld",
    "overcalled",
    "missed",
    "understated",
    "cleared",
    "judgment",
    "undecided",
    "no_rule",
    "not_seen",
)
#: Whether a report lists what was passed, or leaves it to be understood from what it does not mention.
PASSES = ("explicit", "implied")
#: What of a row was read out of its comment, since its report has no column for it.
READ_FROM_COMMENT = ("topic", "call", "topic_and_call")
#: How an observation came to be looked at again; what is true of a random draw may not be mixed with the others.
CHOSEN = ("random", "targeted", "dispute")
#: What a person who looked again can rule.
RULINGS = ("defect", "acceptable", "cannot_tell")
#: What an item of a calibration round can be known to be.
KNOWN_VERDICTS = ("defect", "acceptable")
DECK_BUILT_BASES = ("permit", "owner", "estimate")
NOT_SEEN_REASONS = (
    "low_clearance",
    "skirting",
    "snow_ice",
    "stored_items",
    "vegetation",
    "finished_ceiling",
    "no_access",
    "unsafe",
    "other",
)

#: Call x verdict -> outcome; a topic without a rule, and not_seen, are decided before this table.
OUTCOME_OF: dict[tuple[str, str], str] = {
    ("written_up", "defect"): "upheld",
    ("written_up", "acceptable"): "overcalled",
    ("referred", "defect"): "upheld",
    ("referred", "acceptable"): "cleared",
    ("advised", "defect"): "understated",
    ("advised", "acceptable"): "cleared",
    ("passed", "defect"): "missed",
    ("passed", "acceptable"): "cleared",
} | {
    (call, verdict): outcome
    for call in CALLS
    if call != "not_seen"
    for verdict, outcome in (("judgment", "judgment"), ("cannot_tell", "undecided"))
}

MeasureKind = Literal["number", "count", "yes_no", "choice", "size", "size_range", "beam"]


class Topic(BaseModel):
    """What was looked at. ``judged`` is false where topics are counted and compared, never judged."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str
    title: str
    group: str
    judged: bool = True


class Measure(BaseModel):
    """A quantity (with unit and plausible range) or kind (one of ``choices``) that a report can record."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    id: str
    kind: MeasureKind
    title: str
    unit: str | None = None
    low: float | None = None
    high: float | None = None
    choices: tuple[str, ...] = ()

    @model_validator(mode="after")
    def _complete(self) -> Measure:
        if self.kind == "number" and (self.unit is None or self.low is None or self.high is None):
            raise ValueError(f"measure {self.id}: a number needs unit, low and high")
        if self.kind == "choice" and not self.choices:
            raise ValueError(f"measure {self.id}: a choice needs its choices")
        return self


def _read(name: str) -> dict[str, list[dict[str, object]]]:
    text = files("etl").joinpath("catalog", name).read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def topics() -> dict[str, Topic]:
    """All topics by id, in load-path order."""
    return {topic.id: topic for topic in (Topic.model_validate(entry) for entry in _read("topics.toml")["topic"])}


@cache
def measures() -> dict[str, Measure]:
    """All measures by id, in the order of the parts of a deck."""
    return {
        measure.id: measure
        for measure in (Measure.model_validate(entry) for entry in _read("measures.toml")["measure"])
    }
