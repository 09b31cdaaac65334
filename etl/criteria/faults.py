"""What a comment names beside its topic: a write-up whose comment names another fault goes to a second look."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files

from pydantic import BaseModel, ConfigDict, Field

from etl.criteria.wording import text_sql

#: What is said not to be there is not named: "no rust", "no signs of decay".
_DENIED = (
    r"\b(no|without|free of|not any)( visible| evident| apparent| signs? of| evidence of)* "
    r"(rust|corrosion|rot|decay|gaps?|missing [a-z]+|loose [a-z]+|empty [a-z]+|insect damage)"
)


class Fault(BaseModel):
    """A fault by the words that name it, and the topics whose fault it is."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    topics: tuple[str, ...] = Field(min_length=1)
    words: tuple[str, ...] = Field(min_length=1)


@cache
def faults() -> tuple[Fault, ...]:
    """All faults of ``catalog/faults.toml``."""
    text = files("etl").joinpath("catalog", "faults.toml").read_text(encoding="utf-8")
    return tuple(Fault.model_validate(entry) for entry in tomllib.loads(text)["fault"])


def other_fault_sql(topic: str) -> str:
    """The SQL of the words in ``comment`` that name a fault of another topic; null where none do."""
    words = [word for fault in faults() if topic not in fault.topics for word in fault.words]
    said = f"regexp_replace(lower(comment), {text_sql(_DENIED)}, ' ', 'g')"
    return f"nullif(regexp_extract({said}, {text_sql('|'.join(words))}), '')"
