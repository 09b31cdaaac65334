"""Nominal sizes: each is bound to the member whose word stands beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from etl import vocabulary
from etl.comments.rules import Rules, SizeRule
from etl.comments.scopes import CLAUSE_ENDS, Stops, clause_of, stopped
from etl.comments.words import Words

#: How many words may stand between a size and its noun.
_FARTHEST = 5


@dataclass(frozen=True)
class BoundSize:
    """A size that states a member's: the token, the member's word, and the words by which it was bound."""

    rule: SizeRule
    token: int
    first: int
    after: int
    words: str


def bind_sizes(words: Words, rules: Rules, stops: Stops, topic: str | None) -> Iterator[BoundSize]:
    """Each size with the member that it is of; none where two stand equally near."""
    exact = {bound.token: bound for bound in reversed([*_exact(words, rules)])}
    sizes = [
        number
        for number, token in enumerate(words.tokens)
        if token.quantity is not None and token.quantity.kind == "size" and token.quantity.size != "5/4"
    ]
    found = {number: exact.get(number) or _beside(words, rules, number) for number in sizes}
    named = {bound.rule.measure for bound in found.values() if bound is not None}
    for number, bound in found.items():
        bound = bound or _by_topic(words, rules, number, topic, named)
        if bound is not None and bound.rule.measure and not stopped(stops, [number], "number"):
            yield bound


def _exact(words: Words, rules: Rules) -> Iterator[BoundSize]:
    for rule in rules.size:
        for pattern in rule.exact:
            for first, after, found in words.find(pattern):
                for name in found.groupdict():
                    if name.startswith("q") and found[name]:
                        yield BoundSize(rule, words.token_at(found.start(name)), first, after, pattern)


def _by_topic(words: Words, rules: Rules, token: int, topic: str | None, named: set[str]) -> BoundSize | None:
    """A size that stands alone is that of the topic's member, if no other member is named in its clause."""
    begin, end = clause_of(words, token)
    others = [at for at in _nouns(words, rules) if begin <= at < end]
    for rule in rules.size:
        own = all(_nouns(words, rules)[at][0] is rule for at in others)
        if topic in rule.topics and rule.measure not in named and own:
            return BoundSize(rule, token, token, token + 1, "the topic")
    return None


def _beside(words: Words, rules: Rules, token: int) -> BoundSize | None:
    before, after = _noun_before(words, rules, token), _noun_after(words, rules, token)
    chosen = after or before
    if before and after and before[0].measure != after[0].measure:
        # "joists 2x10 hangers 2x8": the noun of a size stands where that of the clause's first size does.
        noun_first = _noun_first(words, rules, token) and not (after[3] == 0 < before[3])
        chosen = before if noun_first else after
    if chosen is None:
        return None
    rule, first, last, _ = chosen
    return BoundSize(rule, token, min(first, token), max(last, token + 1), words.tokens[first].word)


def _noun_first(words: Words, rules: Rules, token: int) -> bool:
    begin, end = clause_of(words, token)
    sizes = [at for at in range(begin, end) if (found := words.tokens[at].quantity) and found.kind == "size"]
    return _noun_before(words, rules, sizes[0]) is not None


Noun = tuple[SizeRule, int, int, int]


def _nouns(words: Words, rules: Rules) -> dict[int, tuple[SizeRule, int]]:
    """The nouns of a comment by their first token: the rule, and the token after the last."""
    return {first: (rule, after) for rule in rules.size for noun in rule.nouns for first, after, _ in words.find(noun)}


def _noun_after(words: Words, rules: Rules, token: int) -> Noun | None:
    nouns = _nouns(words, rules)
    for at in range(token + 1, min(token + 1 + _FARTHEST, len(words.tokens))):
        word = words.tokens[at]
        if at in nouns:
            rule, after = nouns[at]
            return rule, at, after, at - token - 1
        if word.word in CLAUSE_ENDS or word.word in rules.beside_sizes.parts:
            return None
        if word.quantity is not None and word.quantity.kind == "size":
            return None
    return None


def _noun_before(words: Words, rules: Rules, token: int) -> Noun | None:
    nouns = _nouns(words, rules)
    ends = {after: (rule, first) for first, (rule, after) in nouns.items()}
    for at in range(token, max(token - _FARTHEST, 0), -1):
        if at in ends and _is_place(words, ends[at][1]):
            return None
        if at in ends:
            rule, first = ends[at]
            return rule, first, at, token - at
        if words.tokens[at - 1].word not in rules.beside_sizes.links:
            return None
    return None


def _is_place(words: Words, first: int) -> bool:
    """Whether a noun tells where something is: "at the left bay of the ledger: 2x8 on 2x10 joists"."""
    at = first - 1
    while at >= 0 and words.tokens[at].word in ("the", "a", "an", "each", "this", "both"):
        at -= 1
    return at >= 0 and words.tokens[at].word in (
        "of",
        "at",
        "along",
        "on",
        "near",
        "below",
        "above",
        "by",
        "in",
        "from",
        "to",
    )


def size_value(rule: SizeRule, size: str, plies: int | None) -> str | None:
    """The value that a measure holds for a size; none where it cannot hold it."""
    measure = vocabulary.measures()[rule.measure]
    if measure.kind == "choice":
        return size if size in measure.choices else None
    if "-" in size:
        return size if measure.kind == "size_range" else None
    if measure.kind == "beam" and plies:
        return f"{plies}-{size}"
    return size
