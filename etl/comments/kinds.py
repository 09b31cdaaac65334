"""Kinds, yes and no, and what is said in words alone: ``flashing is missing``, ``tight``, ``all holes filled``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from etl.comments.reads import Value
from etl.comments.rules import KindRule, Rules
from etl.comments.scopes import Stops, clause_of, sentence_of, stopped
from etl.comments.words import Words

#: Right before a phrase they deny it, with at most these between.
_DENY = frozenset(["no", "not", "never", "without", "non", "nor", "zero", "neither", "none"]) | {
    f"{verb} not" for verb in ["can", "is", "are", "was", "were", "does", "do", "did", "has", "have", "could", "should"]
}
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
#: Anywhere before a phrase of the clause they deny it: "none of the hanger flanges is bent".
_DENY_ALL = frozenset(["none", "nothing", "neither", "nobody"])
_DENY_EACH = ("not a single", "not one")
_DENIALS = _DENY | _DENY_ALL
#: A phrase that speaks of a denial itself.
_SAYS_NOT = re.compile(r"\b(?:no|not|never|none|nothing|neither|nor|without|gone|zero)\b")


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
            if not _is_at(words, rule, first, topic) or _denied_within(words, pattern, first, after):
                continue
            value = rule.denied if _denied(words, first) else rule.value
            if value is not None:
                yield BoundKind(rule, _as_told(value), first, after, pattern)
    for rule, _ in rules.kinds_together.there(words.there):
        yield from _together(words, rule, stops, topic)


def _together(words: Words, rule: KindRule, stops: Stops, topic: str | None) -> Iterator[BoundKind]:
    """A rule whose patterns all stand in one sentence; each in the place that is nearest to the first's.

    In a row on one of its topics the first, which names the thing, may be left out.
    """
    places = [words.find(pattern) for pattern in rule.together]
    if not places[0] and topic in rule.topics:
        del places[0]
    if not all(places):
        return
    for first, after, _ in places[0]:
        begin, end = sentence_of(words, first)
        own = [[(a, b) for a, b, _ in found if begin <= a < end] for found in places[1:]]
        if not all(own) or any(begin <= at < end for pattern in rule.never for at, _, _ in words.find(pattern)):
            continue
        spans = [(first, after), *(min(found, key=lambda place: abs(place[0] - first)) for found in own)]
        said = [token for span in spans for token in range(*span)]
        if not stopped(stops, said, "kind", rule.through) and not any(_denied(words, span[0]) for span in spans):
            yield BoundKind(rule, _as_told(rule.value), min(said), max(said) + 1, " + ".join(rule.together))


def _as_told(value: Value | float) -> Value:
    return Decimal(str(value)) if isinstance(value, float) else value


def _denied_within(words: Words, pattern: str, first: int, after: int) -> bool:
    """Whether a denial stands among the words that a phrase leaves open: "hanger ... not bent"."""
    return not _SAYS_NOT.search(pattern) and any(word.word in _DENIALS for word in words.tokens[first:after])


def _denied(words: Words, first: int) -> bool:
    before = [token.word for token in words.tokens[clause_of(words, first)[0] : first]]
    if _DENY_ALL.intersection(before) or any(said in " ".join(before) for said in _DENY_EACH):
        return True
    at = first - 1
    while at >= 0 and words.tokens[at].word in _WITH_DENIAL:
        at -= 1
    return at >= 0 and words.tokens[at].word in _DENY


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
    kept = [one for one in found if one.rule.together or not any(_within(one, other) for other in found)]
    most = max(_strength(one) for one in kept)
    kept = [one for one in kept if _strength(one) == most]
    values = {str(one.value) for one in kept}
    if len(values) > 1:
        ranked = [value for value in worst if value in values]
        if len(ranked) < len(values):
            return None
        kept = [one for one in kept if str(one.value) == ranked[0]]
    return max(kept, key=lambda one: one.after - one.first)


def _strength(one: BoundKind) -> tuple[bool, int]:
    """A phrase is more certain than words that only stand in one sentence."""
    return not one.rule.together, one.rule.strength


def _within(one: BoundKind, other: BoundKind) -> bool:
    if other.rule.together:
        return False
    longer = other.after - other.first > one.after - one.first
    return longer and other.first <= one.first and one.after <= other.after
