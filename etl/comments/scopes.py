"""What parts of a comment are not found on this deck today: limits, advice, earlier visits, hearsay, doubt."""

from __future__ import annotations

from collections.abc import Iterable

from etl.comments.rules import Rules, Scope
from etl.comments.words import ENDS, Words

#: Signs and words at which a clause ends.
CLAUSE_ENDS = frozenset(
    [",", ";", ".", ":", "!", "?", "(", ")", "-", "but", "however", "though", "although", "while", "whereas", "yet"]
)
#: After a comma these go on with what was said before it.
_GOES_ON = frozenset({"and", "or", "nor"})
#: How far before a limit's word its number may stand, and what parts the two.
_BEFORE = 3
_PARTS = frozenset({"and", "or", "code", "irc", "rule", "table", "standard", "guide", "than"})

#: With one of these a number that follows a limit was found.
_FOUND_HERE = frozenset({"measured", "found", "is", "are", "was", "were", "it", "here", "actual", "has", "have", "got"})

Stops = list[set[tuple[str, str]]]


def clause_of(words: Words, token: int) -> tuple[int, int]:
    """The first token of a clause and the one after its last; what stands in brackets does not end it."""
    first, after = token, token
    while first > 0 and words.tokens[first - 1].word not in CLAUSE_ENDS:
        first -= 1
        first = _over_brackets(words, first, -1)
    while after < len(words.tokens) and words.tokens[after].word not in CLAUSE_ENDS:
        after += 1
        after = _over_brackets(words, after, 1)
    return first, max(after, token + 1)


def _over_brackets(words: Words, at: int, step: int) -> int:
    """The place beyond brackets that begin, or end, here; the same place where none do or they do not close."""
    opens, closes = ("(", ")") if step > 0 else (")", "(")
    beside = at if step > 0 else at - 1
    if not (0 <= beside < len(words.tokens)) or words.tokens[beside].word != opens:
        return at
    end = beside + step
    while 0 <= end < len(words.tokens) and words.tokens[end].word not in (closes, *ENDS):
        end += step
    inside = 0 <= end < len(words.tokens) and words.tokens[end].word == closes
    return at if not inside else (end + 1 if step > 0 else end)


def sentence_of(words: Words, token: int) -> tuple[int, int]:
    """The first token of a sentence and the one after its last."""
    first, after = token, token
    while first > 0 and words.tokens[first - 1].word not in ENDS:
        first -= 1
    while after < len(words.tokens) and words.tokens[after].word not in ENDS:
        after += 1
    return first, max(after, token + 1)


def find_stops(words: Words, rules: Rules) -> Stops:
    """For each token the scopes that it lies in, each with what it stops (``number``, ``kind`` or ``both``)."""
    stops: Stops = [set() for _ in words.tokens]
    for scope, pattern in rules.scopes_by_word.there(words.there):
        for first, after, _ in words.find(pattern):
            if any(begin <= first and after <= end for other in scope.unless for begin, end, _ in words.find(other)):
                continue
            begin, end = sentence_of(words, first)
            if any(begin <= at < end for other in scope.lifted for at, _, _ in words.find(other)):
                continue
            for token in _reached(words, rules, scope, first, after):
                stops[token].add((scope.name, scope.stops))
    _spread_limits(words, stops)
    for at, token_of_sign in enumerate(words.tokens):
        if token_of_sign.word == "?":
            for token in range(sentence_of(words, at - 1)[0] if at else 0, at):
                stops[token].add(("question", "both"))
    return stops


def _spread_limits(words: Words, stops: Stops) -> None:
    """ "Minimum 1-1/2 on wood and 3 on masonry": what is joined to a limit by "and" or "or" is one too."""
    for at, token in enumerate(words.tokens):
        before = next((n for n in range(at - 1, max(at - 7, -1), -1) if words.tokens[n].quantity is not None), None)
        if token.quantity is None or before is None or ("limit", "number") not in stops[before]:
            continue
        between = {word.word for word in words.tokens[before + 1 : at]}
        if between & {"and", "or"} and not between & (CLAUSE_ENDS | _FOUND_HERE):
            stops[at].add(("limit", "number"))


def _reached(words: Words, rules: Rules, scope: Scope, first: int, after: int) -> Iterable[int]:
    match scope.reach:
        case "match":
            return range(first, after)
        case "number":
            return _numbers(words, first, after, both_ways=True)
        case "next":
            return _numbers(words, first, after, both_ways=False)
        case "rest":
            return range(after - 1, _until(words, rules, scope, after, _clause_end(words, after)))
        case "onward":
            return range(after - 1, _until(words, rules, scope, after, sentence_of(words, after - 1)[1]))
        case "before":
            return range(clause_of(words, first)[0], after)
        case "clause":
            begins, _ = clause_of(words, first)
            return range(begins, _until(words, rules, scope, after, clause_of(words, after - 1)[1]))
        case "comment":
            return range(len(words.tokens))
        case "sentence":
            begins, ends = sentence_of(words, first)
            return range(begins, _until(words, rules, scope, after, ends))


def _clause_end(words: Words, after: int) -> int:
    """The end of a clause; a comma before "and" or "or" does not end it."""
    at = after
    while at < len(words.tokens):
        if words.tokens[at].word in CLAUSE_ENDS:
            goes_on = words.tokens[at].word == "," and at + 1 < len(words.tokens)
            if not (goes_on and words.tokens[at + 1].word in _GOES_ON):
                return at
        at += 1
    return at


def _until(words: Words, rules: Rules, scope: Scope, after: int, end: int) -> int:
    """The end, or the word before it that ends the scope."""
    for pattern in scope.until:
        for first, _, _ in words.find(pattern):
            if after <= first < end:
                end = first
    return end


def _numbers(words: Words, first: int, after: int, both_ways: bool) -> list[int]:
    """The number that a limit's word belongs to: right before it, else the next of its clause; both, if both adjoin."""
    before = _number_before(words, first) if both_ways else None
    following = _number_after(words, after)
    if before is None:
        return [] if following is None else [following]
    adjoins = following is not None and following - after <= 1 and _is_size(words, before) == _is_size(words, following)
    return [before, following] if adjoins and following is not None else [before]


def _is_size(words: Words, token: int) -> bool:
    quantity = words.tokens[token].quantity
    return quantity is not None and quantity.kind == "size"


def _number_before(words: Words, first: int) -> int | None:
    for at in range(first - 1, max(first - 2 - _BEFORE, -1), -1):
        token = words.tokens[at]
        if token.quantity is not None and token.quantity.kind != "skip":
            return at
        if token.word in CLAUSE_ENDS or token.word in _PARTS:
            return None
    return None


def _number_after(words: Words, after: int) -> int | None:
    for at in range(after, min(_clause_end(words, after) + 1, len(words.tokens))):
        quantity = words.tokens[at].quantity
        if quantity is not None and quantity.kind != "skip":
            return at
        if words.tokens[at].word in ENDS or words.tokens[at].word in CLAUSE_ENDS - {":", "("}:
            return None
    return None


def stopped(stops: Stops, tokens: Iterable[int], what: str, through: tuple[str, ...] = ()) -> bool:
    """Whether any of the tokens lies in a scope that stops a ``number`` or a ``kind``."""
    return any(applies in (what, "both") and name not in through for token in tokens for name, applies in stops[token])
