"""Numbers: each quantity of a comment is bound to the one measure whose words stand nearest, or to none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from etl.comments.lists import before_in_list
from etl.comments.quantities import Quantity
from etl.comments.rules import NumberRule, Rules, comment_rules
from etl.comments.scopes import CLAUSE_ENDS, Stops, clause_of, sentence_of, stopped
from etl.comments.words import ENDS, Words

#: How much further away a word counts where something stands between.
_SIGN_COST, _QUANTITY_COST, _SENTENCE_COST, _TOPIC_COST = 10.0, 3.0, 6.0, 2.0
_OPEN_SIGNS = frozenset({":", "(", "-", "=", "@", "~"})
#: The context of a noun matters less than the word that names the quantity.
_NEAR_SHARE, _NEAR_MOST = 0.4, 4.0
#: Two measures nearer to each other than this bind equally: nothing is read.
_EQUAL = 0.5
_FARTHEST = 9.0
#: Two readings that differ by no more than this share are one, in two units.
_THE_SAME = Decimal("0.02")
_ALONE_COST = 12.0
#: What is said of what stands there, not of what should.
_FOUND = frozenset({"found", "measured", "actual", "actually", "is", "it", "here", "now", "got", "was"})
#: Words that a length which needs none may stand among, and those that make it something else's.
_FEW = 6
_OF_A_THING = frozenset({"sphere", "wide", "long", "thick", "diameter", "dia", "from", "screw", "nail", "bolt", "lag"})
_TAKES = {"length": ("len", "num"), "count": ("num",), "load": ("load",), "area": ("area",)}


@dataclass(frozen=True)
class Bound:
    """A quantity that can stand for a measure: the token, the words that name it, and how far they are apart."""

    rule: NumberRule
    token: int
    head: int
    head_after: int
    cost: float
    words: str


def bind(words: Words, rules: Rules, stops: Stops, topic: str | None) -> Iterator[Bound]:
    """Each quantity with the measure that it states, at most one; equal claims state nothing."""
    claims = [*_claims(words, rules, topic)]
    claims += _answers(words, claims, stops)
    claims += _listed(words, rules, claims)
    claims += _only_length(words, rules, claims, stops, topic)
    open_tokens = {claim.token for claim in claims}
    taken: list[Bound] = []
    for token, own in _by_certainty(claims, open_tokens):
        best = own[0]
        rivals = [claim for claim in own[1:] if claim.rule.measure != best.rule.measure]
        if rivals and rivals[0].cost - best.cost < _EQUAL:
            continue
        same = [other for other in taken if _have_one_head(other, best)]
        if any(not _coordinated(words, best.rule, other.token, token) for other in same):
            continue
        if not any(name == "prior" for name, _ in stops[token]):
            taken.append(best)
        if not stopped(stops, [token], "number"):
            yield best


def _have_one_head(one: Bound, other: Bound) -> bool:
    """Whether the same words name both quantities."""
    overlap = one.head < other.head_after and other.head < one.head_after
    return one.rule.measure == other.rule.measure and overlap


def _answers(words: Words, claims: list[Bound], stops: Stops) -> Iterator[Bound]:
    """ "Footing should be 42 in. deep; found 24 in.": what is found answers to the limit that stands before it."""
    claimed = {claim.token for claim in claims}
    for token, word in enumerate(words.tokens):
        if word.quantity is None or word.quantity.kind != "len" or token in claimed:
            continue
        begin, end = clause_of(words, token)
        others = [other.word for other in words.tokens[begin:end] if other.word[0].isalpha()]
        if len(others) > _FEW or not _FOUND.intersection(others):
            continue
        before = [claim for claim in claims if claim.token < token and stopped(stops, [claim.token], "number")]
        nearest = [claim for claim in before if claim.token == max(one.token for one in before)]
        if nearest:
            best = min(nearest, key=lambda claim: claim.cost)
            if _fits(best.rule, word.quantity):
                yield Bound(best.rule, token, token, token + 1, 0.0, best.words)


def _listed(words: Words, rules: Rules, claims: list[Bound]) -> Iterator[Bound]:
    """ "Risers 7-5/8, 7-3/4 and 8": what is named once is said of each in the list."""
    claimed = {claim.token for claim in claims if claim.cost < _ALONE_COST}
    for token, word in enumerate(words.tokens):
        before = before_in_list(words, rules, token)
        own = [claim for claim in claims if claim.token == before]
        if word.quantity is None or not own or token in claimed:
            continue
        best = min(own, key=lambda claim: claim.cost)
        if _fits(best.rule, word.quantity):
            claims.append(Bound(best.rule, token, best.head, best.head_after, best.cost + 1, best.words))
            claimed.add(token)
            yield claims[-1]


def _only_length(words: Words, rules: Rules, claims: list[Bound], stops: Stops, topic: str | None) -> Iterator[Bound]:
    """The one length of a comment in a row on the measure, where its member is named and nothing else claims it."""
    lengths = [at for at, word in enumerate(words.tokens) if word.quantity is not None and word.quantity.kind == "len"]
    if len(lengths) != 1 or any(claim.token == lengths[0] for claim in claims):
        return
    token = lengths[0]
    begin, end = sentence_of(words, token)
    said = {word.word for word in words.tokens[begin:end]}
    for rule in rules.number:
        there = any(begin <= at < end for pattern in rule.near for at, _, _ in words.find(pattern))
        open_to_it = topic in rule.alone and there and _fits(rule, words.tokens[token].quantity)
        if open_to_it and not _OF_A_THING.intersection(said) and not _is_barred(words, rules, rule, begin, end):
            yield Bound(rule, token, token, token + 1, _ALONE_COST, "the topic")


def _by_certainty(claims: list[Bound], tokens: set[int]) -> list[tuple[int, list[Bound]]]:
    own = {token: sorted((c for c in claims if c.token == token), key=lambda c: c.cost) for token in tokens}
    return sorted(own.items(), key=lambda item: (item[1][0].cost, item[0]))


def _coordinated(words: Words, rule: NumberRule, first: int, second: int) -> bool:
    """Whether two quantities stand in one list: "1/4 at the left and 3/8 at the right"."""
    begin, end = min(first, second), max(first, second)
    between = [token.word for token in words.tokens[begin + 1 : end]]
    if any(word in ENDS for word in between) or comment_rules().lists.members.intersection(between).difference(
        rule.near
    ):
        return False
    place = {"from", "away", "off", "long", "wide"}
    after = {token.word for token in words.tokens[end + 1 : end + 2]}
    return len(between) <= 9 and not after & place and bool({"and", ",", "&", "or"} & set(between))


def _claims(words: Words, rules: Rules, topic: str | None) -> Iterator[Bound]:
    quantities = [number for number, token in enumerate(words.tokens) if token.quantity is not None]
    if not quantities:
        return
    for rule in rules.number:
        tokens = [number for number in quantities if _fits(rule, words.tokens[number].quantity)]
        if not tokens:
            continue
        yield from _exact(words, rules, rule, set(tokens), topic)
        heads = [place for pattern in rule.heads for place in words.find(pattern)]
        for token in tokens:
            claim = _nearest(words, rules, rule, token, [(a, b, m.group()) for a, b, m in heads], topic)
            if claim is not None:
                yield claim


def _fits(rule: NumberRule, quantity: Quantity | None) -> bool:
    if quantity is None or quantity.kind not in _TAKES[rule.takes]:
        return False
    if quantity.kind == "num" and rule.takes == "length" and (quantity.in_words or not rule.bare):
        return False
    return rule.low <= quantity.low and quantity.high <= rule.high


def _exact(words: Words, rules: Rules, rule: NumberRule, tokens: set[int], topic: str | None) -> Iterator[Bound]:
    for pattern in rule.exact:
        for first, after, found in words.find(pattern):
            for name, at in ((name, found.start(name)) for name in found.groupdict() if found[name]):
                token = words.token_at(at)
                if not name.startswith("q") or token not in tokens or _is_barred(words, rules, rule, first, after):
                    continue
                if _near_cost(words, rules, rule, token, topic) is not None:
                    # The first token of the pattern stands for its head: two quantities in one pattern are one list.
                    yield Bound(rule, token, first, after, -10 - 0.6 * min(after - first, 6), pattern)


def _is_barred(words: Words, rules: Rules, rule: NumberRule, first: int, after: int) -> bool:
    begin, end = clause_of(words, first)[0], clause_of(words, after - 1)[1]
    begins, ends = sentence_of(words, first)
    in_clause = any(begin <= at < end for pattern in rule.never for at, _, _ in words.find(pattern))
    return in_clause or any(begins <= at < ends for pattern in rule.not_with for at, _, _ in words.find(pattern))


def _nearest(
    words: Words, rules: Rules, rule: NumberRule, token: int, heads: list[tuple[int, int, str]], topic: str | None
) -> Bound | None:
    if _is_barred(words, rules, rule, token, token + 1):
        return None
    near = _near_cost(words, rules, rule, token, topic)
    if near is None:
        return None
    begin, end = sentence_of(words, token)
    found: Bound | None = None
    for first, after, text in heads:
        if begin <= first < end:
            cost = _distance(words, token, first, after) + near
            barred = _is_barred(words, rules, rule, min(first, token), max(after, token + 1))
            if cost <= _FARTHEST and (found is None or cost < found.cost) and not barred:
                found = Bound(rule, token, first, after, cost, text)
    quantity = words.tokens[token].quantity
    if found is None and topic in rule.alone and quantity is not None and _stands_alone(words, token):
        return Bound(rule, token, token, token + 1, _ALONE_COST, "the topic")
    return found


def _stands_alone(words: Words, token: int) -> bool:
    """Whether a length with its unit stands in its clause with hardly a word: "approx 5/8 in. at NE"."""
    begin, end = clause_of(words, token)
    known, others = comment_rules().alone, [other.word for other in words.tokens[begin:end] if other.word[0].isalpha()]
    told = next((at for at, word in enumerate(others) if word in known.places), len(others))
    quantity = words.tokens[token].quantity
    is_length = quantity is not None and quantity.kind == "len"
    return is_length and known.words.issuperset(others[:told]) and not _OF_A_THING.intersection(others)


def _near_cost(words: Words, rules: Rules, rule: NumberRule, token: int, topic: str | None) -> float | None:
    """How far the noun is that the measure asks for; none where it is not there."""
    if not rule.near:
        return 0.0
    begin, end = sentence_of(words, token)
    costs = []
    for pattern in rule.near:
        for first, after, _ in words.find(pattern):
            if begin <= first < end:
                costs.append(min(_NEAR_SHARE * _distance(words, token, first, after), _NEAR_MOST))
            elif first < begin:
                costs.append(_SENTENCE_COST)
    if topic in rule.topics:
        costs.append(_TOPIC_COST)
    return min(costs, default=None)


def _distance(words: Words, token: int, first: int, after: int) -> float:
    """Words between a quantity and a run of words; signs and other quantities between count for more."""
    between = words.tokens[after:token] if after <= token else words.tokens[token + 1 : first]
    cost = 0.0
    for word in between:
        if word.quantity is not None:
            cost += _QUANTITY_COST
        elif word.word in CLAUSE_ENDS and word.word not in _OPEN_SIGNS:
            cost += _SIGN_COST
        else:
            cost += 1.0
    return cost


def worst(rule: NumberRule, quantities: list[Quantity]) -> Decimal | None:
    """The value of several readings of one measure: the worse end; none where they differ and no end is worse."""
    values = {end for quantity in quantities for end in (quantity.low, quantity.high)}
    if len(values) == 1:
        return values.pop()
    if len(quantities) == 2 and max(values) - min(values) <= _THE_SAME * max(values):
        # "16 mm (5/8 in.)" says one thing twice; on a tape it is the rounder of the two.
        return min(values, key=lambda value: abs(value * 32 - round(value * 32)))
    if rule.worse is None:
        return None
    return max(values) if rule.worse == "high" else min(values)
