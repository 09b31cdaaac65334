"""Kinds, yes and no, and what is said in words alone: ``flashing is missing``, ``tight``, ``all holes filled``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from etl.comments.reads import Value
from etl.comments.rules import KindRule, Rules
from etl.comments.scopes import Stops, clause_of, sentence_of, stopped
from etl.comments.words import Words

#: Right before a phrase they deny it, with at most these between.
_DENY = frozenset(["no", "not", "never", "without", "non", "nor", "zero", "neither", "none"])
_WITH_DENIAL = frozenset(
    [
        "any",
        "a",
        "an",
        "the",
        "been",
        "be",
        "visible",
        "of",
        "signs",
        "sign",
        "evidence",
        "apparent",
        "noticeable",
        "significant",
        "found",
        "yet",
        "really",
        "at",
        "all",
    ]
)
_DENIAL_WORDS = frozenset(
    f"{verb} not" for verb in ["can", "is", "are", "was", "were", "does", "do", "did", "has", "have", "could", "should"]
)


@dataclass(frozen=True)
class BoundKind:
    """A phrase that states a value: its tokens, and how strongly (longer and more certain phrases first)."""

    rule: KindRule
    value: Value
    first: int
    after: int
    words: str


def bind_kinds(words: Words, rules: Rules, stops: Stops, topic: str | None) -> Iterator[BoundKind]:
    """Each phrase of a kind that stands in the comment and is neither denied nor said of something else."""
    for rule, pattern in rules.kinds_by_word.there(words.there):
        for first, after, _ in words.find(pattern):
            if stopped(stops, range(first, after), "kind", rule.through):
                continue
            if not _is_at(words, rule, first, topic):
                continue
            value = rule.denied if _denied(words, first) else rule.value
            if value is not None:
                told = Decimal(str(value)) if isinstance(value, float) else value
                yield BoundKind(rule, told, first, after, pattern)


def _denied(words: Words, first: int) -> bool:
    at = first - 1
    while at >= 0 and words.tokens[at].word in _WITH_DENIAL:
        at -= 1
    return at >= 0 and (words.tokens[at].word in _DENY or words.tokens[at].word in _DENIAL_WORDS)


def _is_at(words: Words, rule: KindRule, first: int, topic: str | None) -> bool:
    """Whether what the rule asks for is near, and nothing that speaks against it is in the clause."""
    begin, end = clause_of(words, first)
    if any(begin <= at < end for pattern in rule.never for at, _, _ in words.find(pattern)):
        return False
    if not rule.near or topic in rule.topics:
        return True
    begin, end = sentence_of(words, first)
    return any(at < end for pattern in rule.near for at, _, _ in words.find(pattern))


def strongest(found: list[BoundKind], worst: tuple[str, ...]) -> BoundKind | None:
    """Of phrases for one measure the one that stands: within another it does not count; the worst of several; none
    where they contradict each other and none is worse."""
    kept = [one for one in found if not any(_within(one, other) for other in found)]
    most = max(one.rule.strength for one in kept)
    kept = [one for one in kept if one.rule.strength == most]
    values = {str(one.value) for one in kept}
    if len(values) > 1:
        ranked = [value for value in worst if value in values]
        if len(ranked) < len(values):
            return None
        kept = [one for one in kept if str(one.value) == ranked[0]]
    return max(kept, key=lambda one: one.after - one.first)


def _within(one: BoundKind, other: BoundKind) -> bool:
    longer = other.after - other.first > one.after - one.first
    return longer and other.first <= one.first and one.after <= other.after
