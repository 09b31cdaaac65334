"""The rules by which comments are read, as ``catalog/comments_*.toml`` hold them, checked and made ready."""

from __future__ import annotations

import hashlib
import re
import tomllib
from functools import cache, cached_property
from importlib.resources import files
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationInfo, field_validator, model_validator

from etl import vocabulary
from etl.comments.patterns import Index, Pattern, compile_pattern
from etl.errors import CatalogError

NAMES = ("words", "scopes", "numbers", "kinds", "topics", "calls")
#: Raised when the code reads the same rules otherwise.
READER = "2"


class _Rule(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Scope(_Rule):
    """Words that say that what stands near them is not found on this deck today.

    reach: how far. ``match`` these words alone; ``number`` the quantity right before, else the next one of the clause;
    ``next`` the next one; ``rest`` to the end of the clause; ``onward`` to the end of the sentence; ``before`` from the
    clause's beginning; ``clause``, ``sentence``, ``comment``.
    stops: only what stands under this name is not read, ``number`` or ``kind``; both if not said.
    until: words that end it. unless: patterns within which the words mean something else.
    lifted: words of the sentence with which nothing of this holds.
    """

    name: str
    words: tuple[str, ...] = Field(min_length=1)
    reach: Literal["match", "number", "next", "rest", "onward", "before", "clause", "sentence", "comment"]
    stops: Literal["number", "kind", "both"] = "both"
    until: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    lifted: tuple[str, ...] = ()


class NumberRule(_Rule):
    """What binds a quantity to a measure.

    heads: words that name the quantity; the nearest quantity is bound to them. exact: patterns with the quantity in
    them (``Q``: a length or bare number, ``L`` a length, ``N`` a count), certain enough to go before heads. near: one
    of these must be in the clause, in the sentence, or be what the row's topic is about (topics). never: none of these
    may be in the clause; not_with: nor these in the sentence. low, high: what is taken for such a measure. worse: the
    end of a range that is read. bare: whether a number without a unit is one. alone: topics whose row needs no word at
    all. other_end: the measure that the better end of a range is read as.
    """

    measure: str
    heads: tuple[str, ...] = ()
    exact: tuple[str, ...] = ()
    near: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    not_with: tuple[str, ...] = ()
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

    together: instead of a phrase, patterns that must all stand in one sentence, in any order.
    near, never, topics: as for numbers; in a row on one of ``topics`` the first of ``together`` may be missing.
    through: scopes that do not stop it. denied: the value where "not" or "no"
    stands right before; without it nothing is then read.
    """

    measure: str
    value: str | int | bool | float
    words: tuple[str, ...] = ()
    together: tuple[str, ...] = ()
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
        if bool(self.words) == bool(self.together) or len(self.together) == 1:
            raise ValueError(f"{self.measure}: either words, or several patterns together")
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


class TopicRule(_Rule):
    """What speaks for a topic in a comment; the fields are told in ``catalog/comments_topics.toml``."""

    id: str
    names: tuple[str, ...] = ()
    hints: tuple[str, ...] = ()
    measures: tuple[str, ...] = ()
    also_measures: tuple[str, ...] = ()
    not_: tuple[str, ...] = Field((), alias="not")

    @model_validator(mode="after")
    def _known(self) -> TopicRule:
        if self.id not in vocabulary.topics():
            raise ValueError(f"{self.id} is no topic")
        if unknown := set(self.measures + self.also_measures) - set(vocabulary.measures()):
            raise ValueError(f"{self.id}: {', '.join(sorted(unknown))} is no measure")
        return self


class Weights(_Rule):
    """What a measure, a name and a hint are worth; the least that tells a topic, and how far it must be ahead."""

    measure: float
    name: float
    hint: float
    least: float
    ahead: float


class CallRule(_Rule):
    """Words by which an inspector calls what he found; none counts that begins within one of ``unless``."""

    call: Literal["written_up", "passed", "advised", "referred", "not_seen"]
    words: tuple[str, ...] = Field(min_length=1)
    unless: tuple[str, ...] = ()


class Alone(_Rule):
    """Words that may stand around a length that needs none; after one of ``places`` any word may."""

    words: frozenset[str]
    places: frozenset[str]


class Lists(_Rule):
    """What joins the readings of a list and may follow them, and words with which another thing begins."""

    links: frozenset[str]
    follows: frozenset[str]
    members: frozenset[str]
    parts: frozenset[str]


class BesideSizes(_Rule):
    """Words between a member and its size: those that link them, and those that part them."""

    links: frozenset[str]
    parts: frozenset[str]


class Rules(_Rule):
    """All rules. ``version``: see :func:`rules_version`; ``real_words``: such as dictionaries lack."""

    words: dict[str, tuple[str, ...]]
    alone: Alone
    beside_sizes: BesideSizes
    lists: Lists
    meant: dict[str, dict[str, str]]
    real_words: frozenset[str]
    shorthand: dict[str, str]
    scope: tuple[Scope, ...]
    number: tuple[NumberRule, ...]
    size: tuple[SizeRule, ...]
    pair: tuple[PairRule, ...]
    kind: tuple[KindRule, ...]
    worst: dict[str, tuple[str, ...]]
    weights: Weights
    topic: tuple[TopicRule, ...]
    call: tuple[CallRule, ...]
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

    @cached_property
    def patterns(self) -> dict[str, Pattern]:
        """Every pattern that the rules use."""
        return {words: compile_pattern(words, self.shorthand) for words in _patterns(self)}

    @cached_property
    def patterns_by_word(self) -> Index[str]:
        """All patterns, to be asked for those that can be in a comment."""
        return Index([(text, text) for text in self.patterns], self.patterns)

    @cached_property
    def scopes_by_word(self) -> Index[Scope]:
        """The scopes with their words, to be asked for those that can be in a comment."""
        return Index([(scope, words) for scope in self.scope for words in scope.words], self.patterns)

    @cached_property
    def kinds_together(self) -> Index[KindRule]:
        """Those that ask for several patterns in one sentence, by the second: the first may be left out."""
        return Index([(rule, rule.together[1]) for rule in self.kind if rule.together], self.patterns)

    @cached_property
    def kinds_by_word(self) -> Index[KindRule]:
        """The rules of kinds likewise."""
        return Index([(rule, words) for rule in self.kind for words in rule.words], self.patterns)


@cache
def rules_version() -> str:
    """A hash of the files of rules and of how they are read; what it changes with, comments are read anew."""
    return hashlib.sha256("\n".join([READER, *map(_text, NAMES)]).encode()).hexdigest()[:12]


def _text(name: str) -> str:
    return files("etl").joinpath("catalog", f"comments_{name}.toml").read_text(encoding="utf-8")


@cache
def comment_rules() -> Rules:
    """The rules of the catalog.

    Raises
    ------
    CatalogError
        Where a file does not hold what it should.
    """
    held: dict[str, object] = {}
    for name in NAMES:
        held |= tomllib.loads(_text(name))
    try:
        rules = Rules.model_validate(held | {"version": rules_version()})
        rules.patterns  # noqa: B018 - a pattern that is none is refused here
    except (ValueError, KeyError, re.error) as error:
        raise CatalogError(f"catalog/comments_*.toml: {error}") from error
    return rules


@cache
def written_forms() -> dict[str, str]:
    """Each way in which a word is written, with plurals, and the canonical word that it stands for."""
    forms: dict[str, str] = {}
    for word, variants in comment_rules().words.items():
        spoken = word.replace("_", " ")
        for form in (spoken, *variants):
            for written in (form, f"{form}s", f"{form}'s"):
                if not (written != form and form[-1] in ".'/~)s"):
                    forms.setdefault(written, word)
        forms |= {spoken: word, **dict.fromkeys(variants, word)}
    return forms


def _patterns(rules: Rules) -> list[str]:
    patterns = [word for scope in rules.scope for word in (*scope.words, *scope.until, *scope.unless, *scope.lifted)]
    for number in rules.number:
        patterns += [*number.heads, *number.exact, *number.near, *number.never, *number.not_with]
    for size in rules.size:
        patterns += [*size.nouns, *size.exact]
    for pair in rules.pair:
        patterns += [*pair.words, *pair.near]
    for kind in rules.kind:
        patterns += [*kind.words, *kind.together, *kind.near, *kind.never]
    for topic in rules.topic:
        patterns += [*topic.names, *topic.hints, *topic.not_]
    for call in rules.call:
        patterns += [*call.words, *call.unless]
    return patterns
