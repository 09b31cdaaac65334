"""The rules by which comments are read, as ``catalog/comments_*.toml`` hold them, checked and made ready."""

from __future__ import annotations

import hashlib
import re
import tomllib
from functools import cache
from importlib.resources import files
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator, model_validator

from etl import vocabulary
from etl.errors import CatalogError

NAMES = ("words", "scopes", "numbers", "kinds")
#: Up to four words that stand between, none of them a sign.
_BETWEEN = r" (?:[^ ,;.)/?!#][^ ]* ){0,4}?"
_QUANTITY = {
    "Q": r"#(?:len|num):[0-9.~]+",
    "L": r"#len:[0-9.~]+",
    "N": r"#num:[0-9]+",
    "P": r"#pair:[0-9]+:[0-9]+",
    "S": r"#size:[0-9x/-]+",
    "A": r"#angle:[0-9.]+",
    "F": r"#force:[0-9.]+",
    "LOAD": r"#load:[0-9.~]+",
    "AREA": r"#area:[0-9.~]+",
}


class _Rule(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Scope(_Rule):
    """Words that say that what stands near them is not found on this deck today.

    reach: how far. ``match`` these words alone; ``number`` the quantity right before, else the next one of the clause;
    ``next`` the next one; ``rest`` to the end of the clause; ``onward`` to the end of the sentence; ``before`` from the
    clause's beginning; ``clause``, ``sentence``.
    stops: only what stands under this name is not read, ``number`` or ``kind``; both if not said.
    until: words that end it.
    """

    name: str
    words: tuple[str, ...] = Field(min_length=1)
    reach: Literal["match", "number", "next", "rest", "onward", "before", "clause", "sentence"]
    stops: Literal["number", "kind", "both"] = "both"
    until: tuple[str, ...] = ()


class NumberRule(_Rule):
    """What binds a quantity to a measure.

    heads: words that name the quantity; the nearest quantity is bound to them. exact: patterns with the quantity in
    them (``Q``: a length or bare number, ``L`` a length, ``N`` a count), certain enough to go before heads. near: one
    of these must be in the clause, in the sentence, or be what the row's topic is about (topics). never: none of these
    may be in the clause. low, high: what is taken for such a measure. worse: the end of a range that is read.
    bare: whether a number without a unit is one. alone: topics whose row needs no word at all. other_end: the measure
    that the better end of a range is read as.
    """

    measure: str
    heads: tuple[str, ...] = ()
    exact: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    topics: tuple[str, ...] = ()
    alone: tuple[str, ...] = ()
    low: float
    high: float
    worse: Literal["high", "low"] | None = None
    bare: bool = True
    takes: Literal["length", "count", "load", "area"] = "length"
    other_end: str | None = None


class SizeRule(_Rule):
    """Which words name the member whose nominal size stands beside them; ``measure`` is empty where none holds it."""

    measure: str
    nouns: tuple[str, ...] = Field(min_length=1)
    exact: tuple[str, ...] = ()
    topics: tuple[str, ...] = ()


class KindRule(_Rule):
    """Words that state one value of a kind, a yes or no, or a number said in words (``tight``: 0).

    near, never, topics: as for numbers. through: scopes that do not stop it. denied: the value where "not" or "no"
    stands right before; without it nothing is then read.
    """

    measure: str
    value: str | int | bool | float
    words: tuple[str, ...] = Field(min_length=1)
    near: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    topics: tuple[str, ...] = ()
    through: tuple[str, ...] = ()
    denied: str | int | bool | None = None
    strength: int = 0

    @model_validator(mode="after")
    def _fits(self) -> KindRule:
        measure = vocabulary.measures().get(self.measure)
        if measure is None:
            raise ValueError(f"{self.measure} is no measure")
        if measure.kind == "choice" and self.value not in measure.choices:
            raise ValueError(f"{self.value} is not a value of {self.measure}: one of {', '.join(measure.choices)}")
        if measure.kind == "yes_no" and not isinstance(self.value, bool):
            raise ValueError(f"{self.measure} is true or false, not {self.value}")
        return self


class PairRule(_Rule):
    """What "4 of 10" counts: a part and a whole, by the words beside it."""

    part: str
    whole: str
    words: tuple[str, ...] = Field(min_length=1)
    near: tuple[str, ...] = ()
    topics: tuple[str, ...] = ()


class Fuzzy(_Rule):
    """Words that are understood with one letter wrong, and real words that are not such a slip."""

    words: tuple[str, ...]
    not_: tuple[str, ...] = Field(alias="not")


class Rules(_Rule):
    """All rules. ``version`` is a hash of their files."""

    words: dict[str, tuple[str, ...]]
    fuzzy: Fuzzy
    shorthand: dict[str, str]
    scope: tuple[Scope, ...]
    number: tuple[NumberRule, ...]
    size: tuple[SizeRule, ...]
    pair: tuple[PairRule, ...]
    kind: tuple[KindRule, ...]
    worst: dict[str, tuple[str, ...]]
    version: str

    @field_validator("number", "size")
    @classmethod
    def _known(
        cls, rules: tuple[NumberRule | SizeRule, ...], info: ValidationInfo
    ) -> tuple[NumberRule | SizeRule, ...]:
        for rule in rules:
            if rule.measure and rule.measure not in vocabulary.measures():
                raise ValueError(f"{rule.measure} is no measure")
        return rules

    def pattern(self, words: str) -> re.Pattern[str]:
        """A pattern of the files as a regular expression over canonical words, one space between two."""
        return _compiled(words, tuple(self.shorthand.items()))


@cache
def _compiled(words: str, shorthand: tuple[tuple[str, str], ...]) -> re.Pattern[str]:
    known = dict(shorthand)
    text = re.sub(r"\{([a-z_]+)\}", lambda found: known[found[1]], words)
    text = re.sub("(?<=[a-z]{2})-(?=[a-z]{2})", " ", text)  # the words of a comment have no hyphens
    text = text.replace(" ... ", _BETWEEN)
    text = re.sub(r"(?<!\?)\b(Q|L|N|P|S|A|F|LOAD|AREA)([0-9]?)\b", lambda found: _named(found[1], found[2]), text)
    return re.compile(rf"(?<![^ ])(?:{text})(?![^ ])")


def _named(letter: str, number: str) -> str:
    return f"(?P<q{number}>{_QUANTITY[letter]})" if letter in ("Q", "L", "N", "S", "P") else _QUANTITY[letter]


@cache
def comment_rules() -> Rules:
    """The rules of the catalog.

    Raises
    ------
    CatalogError
        Where a file does not hold what it should.
    """
    held: dict[str, object] = {}
    digest = hashlib.sha256()
    for name in NAMES:
        text = files("etl").joinpath("catalog", f"comments_{name}.toml").read_text(encoding="utf-8")
        digest.update(text.encode())
        held |= tomllib.loads(text)
    try:
        rules = Rules.model_validate(held | {"version": digest.hexdigest()[:12]})
        for words in _patterns(rules):
            rules.pattern(words)
    except (ValueError, KeyError, re.error) as error:
        raise CatalogError(f"catalog/comments_*.toml: {error}") from error
    return rules


def _patterns(rules: Rules) -> list[str]:
    patterns = [word for scope in rules.scope for word in (*scope.words, *scope.until)]
    for number in rules.number:
        patterns += [*number.heads, *number.exact, *number.near, *number.never]
    for size in rules.size:
        patterns += [*size.nouns, *size.exact]
    for kind in rules.kind:
        patterns += [*kind.words, *kind.near, *kind.never]
    return patterns
