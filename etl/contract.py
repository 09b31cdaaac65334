"""The contract of an input table, version 1: what a report, a deck and an observation may hold.

The pydantic models are the one definition. JSON documents are checked by them row by row
(:class:`ObservationRow`); for flat tables :mod:`etl.checks` writes SQL from the same definition
(:func:`columns`), and a test demands that both refuse the same rows for the same reasons.
"""

from __future__ import annotations

import math
import os
import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from functools import cache
from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, create_model, model_validator
from pydantic_core import PydanticCustomError

from etl import values, vocabulary

CONTRACT_VERSION = 1
FIRST_DAY = date(1990, 1, 1)
FIRST_BUILT = 1900

#: A complaint shows at most this many characters of the value received.
SHOWN = 60

ColumnKind = Literal["text", "date", "integer", "number", "yes_no", "choice", "size"]
#: Where a column stands in a document; the rows of further tables are flat.
Level = Literal["report", "deck", "observation", "row"]


def today() -> date:
    """Today in UTC; ``EVENHAND_TODAY`` stands in for it in tests."""
    fixed = os.environ.get("EVENHAND_TODAY")
    return date.fromisoformat(fixed) if fixed else datetime.now(UTC).date()


def last_day() -> date:
    """The latest day that a report may carry: tomorrow, since it is tomorrow already east of UTC."""
    return today() + timedelta(days=1)


@dataclass(frozen=True)
class Rule:
    """What a column admits: its kind, and the limits that go with the kind."""

    kind: ColumnKind
    low: Decimal | int | None = None
    high: Decimal | int | None = None
    choices: tuple[str, ...] = ()
    pattern: str | None = None
    unit: str | None = None
    longest: int | None = None
    first_day: date = FIRST_DAY

    @property
    def inches(self) -> bool:
        return self.unit == "in"

    @property
    def has_lines(self) -> bool:
        """Whether it is text of several lines, in which a line end is a line end however a system writes it."""
        return self.longest == SENTENCES


@dataclass(frozen=True)
class Column:
    """A column of the contract: its name, where it stands in a document, and its rule."""

    name: str
    level: Level
    required: bool
    rule: Rule


def complaint(code: str, name: str, rule: Rule) -> str:
    """The sentence for a refused value; ``{value}`` in it stands for what was received."""
    unit = f" {rule.unit}" if rule.unit else ""
    measured = {"in": " of inches", "psf": " of psf", "sq ft": " of square feet"}.get(rule.unit or "", "")
    # A list as short as the calls is told whole; of a long one the first few, and where the rest stands.
    listed = ", ".join(rule.choices[:16]) + (", … (see the contract)" if len(rule.choices) > 16 else "")
    low, high = (str(rule.first_day), "tomorrow") if rule.kind == "date" else map(_plain, (rule.low, rule.high))
    sentences = {
        "required": f"{name} is blank; every row needs it",
        "too_long": f"{name} is longer than {rule.longest} characters; shorten it",
        "control_character": f"{name} holds a NUL character; take it out",
        "not_a_value": f"{name} holds a list, an object, NaN or half a character, not one value",
        "not_a_number": f"{name} '{{value}}' is not a number{measured}; write 0.25, 1/4 or 1-1/2",
        "not_an_integer": f"{name} '{{value}}' is not a whole number; write 36",
        "not_a_date": f"{name} '{{value}}' is not a date; write it as 2026-03-04",
        "not_yes_or_no": f"{name} '{{value}}' is neither true nor false; write true or false",
        "not_a_size": f"{name} '{{value}}' is not a lumber size; write it as 2x10",
        "not_listed": f"{name} '{{value}}' is not one of {listed}",
        "out_of_range": f"{name} '{{value}}' is not between {low} and {high}{unit}",
        "built_after_inspection": f"{name} '{{value}}' is later than the year after the inspection",
    }
    return sentences[code]


def _plain(number: Decimal | int | None) -> str:
    return "" if number is None else f"{number:f}".rstrip("0").rstrip(".") if "." in f"{number:f}" else str(number)


#: The code for a value that is not of the rule's kind.
WRONG_KIND: dict[ColumnKind, str] = {
    "number": "not_a_number",
    "integer": "not_an_integer",
    "date": "not_a_date",
    "yes_no": "not_yes_or_no",
    "choice": "not_listed",
    "size": "not_a_size",
}


def as_text(value: object) -> str | None:
    """A received value as the text that it would be in a flat table; None where it is blank.

    ``36``, ``"36"`` and ``36.0`` give the same text, and so do ``true`` and ``"true"``.
    """
    if value is None:
        return None
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    if isinstance(value, datetime) and value.time() == datetime.min.time():
        value = value.date()
    if isinstance(value, int | float | Decimal | date):
        return str(value)
    if not isinstance(value, str):
        raise TypeError(type(value).__name__)
    return value.strip(values.BLANKS) or None


def admits(rule: Rule, value: object) -> bool:
    """Whether :func:`read` takes a value as it stands."""
    try:
        read(rule, value)
    except PydanticCustomError:
        return False
    return True


def read(rule: Rule, value: object) -> Any:
    """The typed value of a received one, None where it is blank.

    Raises
    ------
    PydanticCustomError
        With the reason code as its type, where the value is not of the rule's kind or out of its range.
    """
    if isinstance(value, float) and not math.isfinite(value):
        raise PydanticCustomError("not_a_value", "no number")
    try:
        text = as_text(value)
    except TypeError:
        raise PydanticCustomError("not_a_value", "not one value") from None
    if text is None:
        return None
    if not text.isascii() and any("\ud800" <= character <= "\udfff" for character in text):
        raise PydanticCustomError("not_a_value", "half a character")
    typed = _READERS[rule.kind](rule, text)
    if typed is None:
        raise PydanticCustomError(WRONG_KIND[rule.kind], "wrong kind")
    if rule.kind == "text":
        if "\0" in text:
            raise PydanticCustomError("control_character", "NUL character")
        if rule.longest is not None and len(typed) > rule.longest:
            raise PydanticCustomError("too_long", "too long")
    low, high = (rule.first_day, last_day()) if rule.kind == "date" else (rule.low, rule.high)
    if (low is not None and typed < low) or (high is not None and typed > high):
        raise PydanticCustomError("out_of_range", "out of range")
    return typed


def _read_choice(rule: Rule, text: str) -> str | None:
    word = values.read_word(text)
    return word if word in rule.choices else None


def _read_size(rule: Rule, text: str) -> str | None:
    size = values.read_size(text)
    return size if rule.pattern and re.fullmatch(rule.pattern, size) else None


_READERS = {
    "text": lambda rule, text: text.replace("\r\n", "\n") if rule.has_lines else text,
    "number": lambda rule, text: values.read_number(text, rule.inches),
    "integer": lambda rule, text: values.read_integer(text),
    "date": lambda rule, text: values.read_date(text),
    "yes_no": lambda rule, text: values.read_yes_no(text),
    "choice": _read_choice,
    "size": _read_size,
}


def typed(python_type: Any, rule: Rule, required: bool = False) -> Any:
    """The type of a model's field whose values are read by a rule; None is admitted where it is not required."""

    def validate(value: object) -> Any:
        found = read(rule, value)
        if required and found is None:
            raise PydanticCustomError("required", "blank")
        return found

    return Annotated[python_type if required else python_type | None, BeforeValidator(validate), rule]


def text(longest: int, required: bool = False) -> Any:
    return typed(str, Rule("text", longest=longest), required)


def choice(choices: tuple[str, ...], required: bool = False) -> Any:
    return typed(str, Rule("choice", choices=choices), required)


def integer(low: int, high: int) -> Any:
    return typed(int, Rule("integer", low=low, high=high))


CODE = 200  # characters of a code or a name
SENTENCES = 20_000  # characters of a comment

_PATTERNS = {"size": values.SIZE, "size_range": values.SIZE_RANGE, "beam": values.BEAM}


class Report(BaseModel):
    """One inspector's visit to one property on one day."""

    model_config = ConfigDict(extra="ignore")

    report_id: text(CODE, required=True)  # type: ignore[valid-type]
    inspected_on: typed(date, Rule("date"), required=True)  # type: ignore[valid-type]
    inspector_id: text(CODE, required=True)  # type: ignore[valid-type]
    region: text(CODE, required=True)  # type: ignore[valid-type]
    property_id: text(CODE) = None  # type: ignore[valid-type]
    code_basis: text(CODE) = None  # type: ignore[valid-type]
    passes: choice(vocabulary.PASSES) = None  # type: ignore[valid-type]


class Deck(BaseModel):
    """A deck seen in a report."""

    model_config = ConfigDict(extra="ignore")

    deck_id: text(CODE) = None  # type: ignore[valid-type]
    deck_built_year: integer(FIRST_BUILT, 2200) = None  # type: ignore[valid-type]
    deck_built_basis: choice(vocabulary.DECK_BUILT_BASES) = None  # type: ignore[valid-type]
    builder: text(CODE) = None  # type: ignore[valid-type]
    deck_height_in: typed(Decimal, Rule("number", Decimal(0), Decimal(1200), unit="in")) = None  # type: ignore[valid-type]
    ledger_attached: typed(bool, Rule("yes_no")) = None  # type: ignore[valid-type]


class Observation(BaseModel):
    """What the report says of one topic at one place of one deck; the measures are added below."""

    model_config = ConfigDict(extra="ignore")

    observation_no: text(CODE, required=True)  # type: ignore[valid-type]
    topic: choice(tuple(vocabulary.topics()), required=True)  # type: ignore[valid-type]
    place: text(CODE) = None  # type: ignore[valid-type]
    call: choice(vocabulary.CALLS, required=True)  # type: ignore[valid-type]
    not_seen_reason: choice(vocabulary.NOT_SEEN_REASONS) = None  # type: ignore[valid-type]
    consequence: integer(1, 3) = None  # type: ignore[valid-type]
    comment: text(SENTENCES) = None  # type: ignore[valid-type]
    read_from_comment: choice(vocabulary.READ_FROM_COMMENT) = None  # type: ignore[valid-type]
    recommendation: text(SENTENCES) = None  # type: ignore[valid-type]
    photo_count: integer(0, 100_000) = None  # type: ignore[valid-type]
    checked: integer(0, 100_000) = None  # type: ignore[valid-type]
    affected: integer(0, 100_000) = None  # type: ignore[valid-type]


def _measure_field(measure: vocabulary.Measure) -> Any:
    low = None if measure.low is None else Decimal(str(measure.low))
    high = None if measure.high is None else Decimal(str(measure.high))
    match measure.kind:
        case "number":
            return typed(Decimal, Rule("number", low, high, unit=measure.unit))
        case "count":
            return integer(int(low or 0), int(high or 200))
        case "yes_no":
            return typed(bool, Rule("yes_no"))
        case "choice":
            return choice(measure.choices)
        case _:
            return typed(str, Rule("size", pattern=_PATTERNS[measure.kind]))


_MEASURES: dict[str, Any] = {measure.id: (_measure_field(measure), None) for measure in vocabulary.measures().values()}
MeasuredObservation = create_model("MeasuredObservation", __base__=Observation, **_MEASURES)


class ObservationRow(MeasuredObservation, Deck, Report):
    """A whole row: report, deck, observation and measures. The base classes stand in reverse reading order."""

    @model_validator(mode="after")
    def _built_by_then(self) -> ObservationRow:
        if self.deck_built_year is not None and self.deck_built_year > self.inspected_on.year + 1:
            raise PydanticCustomError("built_after_inspection", "built after the inspection")
        return self


_LEVELS: dict[Level, type[BaseModel]] = {
    "report": Report,
    "deck": Deck,
    "observation": MeasuredObservation,
}


@cache
def columns() -> dict[str, Column]:
    """Every column of the contract by name, in reading order: report, deck, observation, measures."""
    found: dict[str, Column] = {}
    for level, model in _LEVELS.items():
        found |= columns_of(model, level)
    return found


def columns_of(model: type[BaseModel], level: Level) -> dict[str, Column]:
    """The columns that a model's fields stand for, by name."""
    found = {}
    for name, field in model.model_fields.items():
        rule = next(item for item in field.metadata if isinstance(item, Rule))
        found[name] = Column(name, level, field.is_required(), rule)
    return found


def level_columns(level: str) -> tuple[str, ...]:
    """The names of the columns that stand at one level of a document."""
    return tuple(column.name for column in columns().values() if column.level == level)


def required_columns() -> tuple[str, ...]:
    """The columns without which a table cannot be read."""
    return tuple(column.name for column in columns().values() if column.required)
