"""A comment in, the measures that it states out."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from etl import vocabulary
from etl.comments.kinds import BoundKind, bind_kinds, strongest
from etl.comments.numbers import Bound, bind, worst
from etl.comments.reads import Read, Value
from etl.comments.rules import comment_rules
from etl.comments.scopes import Stops, find_stops, stopped
from etl.comments.sizes import BoundSize, bind_sizes, size_value
from etl.comments.spelling import spell
from etl.comments.words import Words, find_words
from etl.values import PLACES

#: Longer than any comment: what is beyond is not read.
LONGEST = 20_000
#: Words farther from their number than this are not shown with it.
_SHOWN_TOGETHER = 8


def read_comment(comment: str, topic: str | None = None) -> list[Read]:
    """The measures that a comment states as found on the deck, each once, in the order of the catalog.

    Parameters
    ----------
    comment
        An inspector's own words.
    topic
        The topic of its row, which helps where the comment leaves out the noun.
    """
    rules = comment_rules()
    words, stops = _looked_through(comment, topic if topic in rules.meant else None)
    found: dict[str, Read] = {}
    for read in (
        *_numbers(words, stops, topic),
        *_sizes(words, stops, topic),
        *_pairs(words, stops, topic),
        *_kinds(words, stops, topic),
    ):
        found.setdefault(read.measure, read)
    return [found[measure] for measure in vocabulary.measures() if measure in found]


@lru_cache(maxsize=8)
def _looked_through(comment: str, topic: str | None) -> tuple[Words, Stops]:
    """What few topics have a say in; the same comment often stands under several."""
    words = find_words(spell(comment[:LONGEST]), topic)
    return words, find_stops(words, comment_rules())


def _numbers(words: Words, stops: Stops, topic: str | None) -> list[Read]:
    by_measure: dict[str, list[Bound]] = {}
    for bound in bind(words, comment_rules(), stops, topic):
        by_measure.setdefault(bound.rule.measure, []).append(bound)
    reads = [_number_read(words, found) for found in by_measure.values()]
    reads += [read for found in by_measure.values() for read in _other_ends(words, found)]
    return [read for read in reads if read is not None]


def _other_ends(words: Words, found: list[Bound]) -> Iterator[Read | None]:
    """ "Risers 7 to 8 in." states the lowest too."""
    rule = found[0].rule
    ends = {end: one for one in found if (of := words.tokens[one.token].quantity) for end in (of.low, of.high)}
    if rule.other_end and len(ends) > 1:
        end = min(ends) if rule.worse == "high" else max(ends)
        yield _read(
            words, rule.other_end, end, ends[end].token, ends[end].token + 1, f"number: {ends[end].words}, other end"
        )


def _number_read(words: Words, found: list[Bound]) -> Read | None:
    quantities = [quantity for one in found if (quantity := words.tokens[one.token].quantity)]
    rule = found[0].rule
    value = worst(rule, quantities)
    if value is None:
        return None
    told = next(one for one, quantity in zip(found, quantities, strict=True) if value in (quantity.low, quantity.high))
    first, after = min(told.head, told.token), max(told.head_after, told.token + 1)
    if after - first > _SHOWN_TOGETHER:
        first, after = told.token, told.token + 1
    return _read(words, told.rule.measure, value, first, after, f"number: {told.words}")


def _read(words: Words, measure: str, value: Value, first: int, after: int, rule: str) -> Read | None:
    start, end = words.place(first, after)
    kind = vocabulary.measures()[measure].kind
    if kind == "number":
        value = Decimal(value).quantize(PLACES, ROUND_HALF_UP)
    elif kind == "count":
        if Decimal(value) != int(value):
            return None
        value = int(value)
    return Read(measure, value, words.spelled.comment[start:end], start, end, rule)


def _sizes(words: Words, stops: Stops, topic: str | None) -> list[Read]:
    by_measure: dict[str, list[tuple[BoundSize, str]]] = {}
    reads: list[Read | None] = []
    for bound in bind_sizes(words, comment_rules(), stops, topic):
        quantity = words.tokens[bound.token].quantity
        if quantity is None:
            continue
        value = size_value(bound.rule, quantity.size, quantity.plies)
        if value is not None:
            by_measure.setdefault(bound.rule.measure, []).append((bound, value))
        plies = {"joist_nominal": "joist_plies", "hanger_nominal": "hanger_plies"}.get(bound.rule.measure)
        if plies and quantity.plies and not quantity.counted:
            reads.append(_read(words, plies, quantity.plies, bound.token, bound.token + 1, "size: plies"))
    for measure, found in by_measure.items():
        if len({value for _, value in found}) == 1:
            bound, value = found[0]
            reads.append(_read(words, measure, value, bound.first, bound.after, f"size: {bound.words}"))
    return [read for read in reads if read is not None]


def _pairs(words: Words, stops: Stops, topic: str | None) -> list[Read]:
    """ "4 of 10 holes empty": two counts in one."""
    reads: list[Read | None] = []
    rules = comment_rules()
    for rule in rules.pair:
        near = rule.near
        if not (topic in rule.topics or any(True for pattern in near for _ in words.find(pattern))):
            continue
        for pattern in rule.words:
            for first, after, found in words.find(pattern):
                token = words.token_at(found.start("q"))
                quantity = words.tokens[token].quantity
                if quantity is None or stopped(stops, [token], "number", ("limit",)):
                    continue
                reads.append(_read(words, rule.part, quantity.low, first, after, f"pair: {pattern}"))
                reads.append(_read(words, rule.whole, quantity.high, first, after, f"pair: {pattern}"))
    return [read for read in reads if read is not None]


def _kinds(words: Words, stops: Stops, topic: str | None) -> list[Read]:
    rules = comment_rules()
    by_measure: dict[str, list[BoundKind]] = {}
    for bound in bind_kinds(words, rules, stops, topic):
        by_measure.setdefault(bound.rule.measure, []).append(bound)
    reads = []
    for measure, found in by_measure.items():
        told = strongest(found, rules.worst.get(measure, ()))
        if told is not None:
            reads.append(_read(words, measure, told.value, told.first, told.after, f"kind: {told.words}"))
    return [read for read in reads if read is not None]
