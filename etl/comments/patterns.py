"""Patterns over canonical words, as the catalog writes them, made into regular expressions that are seldom tried.

A pattern that cannot be there without one of certain words is tried only on comments that have one: of the thousand
patterns some dozens are tried on a comment.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Generic, TypeVar

Rule = TypeVar("Rule")

#: Up to four words that stand between, none of them a sign.
_BETWEEN = r" (?:[^ ,;.)/?!#][^ ]* ){0,4}?"
_QUANTITY = {
    "Q": r"#(?:len|num):[0-9.~]+",
    "L": r"#len:[0-9.~]+",
    "N": r"#num:[0-9]+",
    "P": r"#pair:[0-9]+:[0-9]+",
    "S": r"#size:[0-9x/-]+",
}
_PLAIN = re.compile(r"[a-z_]{2,}")
#: A word that must be there: alone, after what may be missing, or before a group that begins with a space.
_WORD = re.compile(r"(?:\(\?:[^()]* \)[?*])*([a-z_]{2,})(?:\(\?: .*)?", re.DOTALL)
#: One of several words: a group of alternatives, each beginning with a plain word.
_CHOICE = re.compile(r"\(\?:([a-z_ |]+)\)(?:\(\?: .*)?", re.DOTALL)


_QUANTITY_PIECE = re.compile(r"([QLNPS])[0-9]?(?:\(\?[:!] .*)?|\(\?P<q>#size:.*", re.DOTALL)
_KINDS = {
    "Q": frozenset({"#len", "#num"}),
    "L": frozenset({"#len"}),
    "N": frozenset({"#num"}),
    "P": frozenset({"#pair"}),
    "S": frozenset({"#size"}),
    None: frozenset({"#size"}),
}


@dataclass(frozen=True)
class Pattern:
    """A pattern as a regular expression; ``words`` are those of which one at least stands where it does (a quantity by
    its kind, ``#len``), None if any may."""

    text: str
    words: frozenset[str] | None

    @cached_property
    def expression(self) -> re.Pattern[str]:
        """Compiled when a comment asks for it: most comments ask for few."""
        return re.compile(self.text)


def compile_pattern(text: str, shorthand: dict[str, str]) -> Pattern:
    """A pattern of the catalog: ``{be}`` is shorthand, `` ... `` up to four words, ``Q`` ``L`` ``N`` ``S`` ``P`` a
    quantity, which is the group ``q`` (``q1`` for ``Q1``)."""
    text = re.sub(r"\{([a-z_]+)\}", lambda found: shorthand[found[1]], text)
    text = re.sub("(?<=[a-z]{2})-(?=[a-z]{2})", " ", text)  # the words of a comment have no hyphens
    words = _needed(text)
    text = text.replace(" ... ", _BETWEEN)
    text = re.sub(r"(?<!\(\?)\b([QLNPS])([0-9]?)\b", lambda found: f"(?P<q{found[2]}>{_QUANTITY[found[1]]})", text)
    return Pattern(rf"(?<![^ ])(?:{text})(?![^ ])", words)


def _needed(text: str) -> frozenset[str] | None:
    """The fewest words of which one must be there; None where the pattern is not plain enough to tell."""
    pieces = _pieces(text)
    if pieces is None:
        return None
    choices = [words for piece in pieces if (words := _needed_of(piece))]
    return min(choices, key=len, default=None)


def _pieces(text: str) -> list[str] | None:
    """The parts between spaces that stand in no group; None where alternatives stand in no group either."""
    pieces, depth, begin = [], 0, 0
    for at, sign in enumerate(text):
        depth += (sign in "([") - (sign in ")]")
        if sign == "|" and depth == 0:
            return None
        if sign == " " and depth == 0:
            pieces.append(text[begin:at])
            begin = at + 1
    return [*pieces, text[begin:]]


def _needed_of(piece: str) -> frozenset[str] | None:
    if found := _QUANTITY_PIECE.fullmatch(piece):
        return _KINDS[found[1]]
    if found := _WORD.fullmatch(piece):
        return frozenset({found[1]})
    if found := _CHOICE.fullmatch(piece):
        firsts = [_PLAIN.match(alternative) for alternative in found[1].split("|")]
        if all(firsts):
            return frozenset(first.group() for first in firsts if first)
    return None


class Index(Generic[Rule]):
    """Rules with their patterns, by the words of which one must be there."""

    def __init__(self, rules: Iterable[tuple[Rule, str]], patterns: Mapping[str, Pattern]) -> None:
        self._always: list[tuple[Rule, str]] = []
        self._by_word: dict[str, list[tuple[int, Rule, str]]] = {}
        for number, (rule, text) in enumerate(rules):
            needed = patterns[text].words
            if needed is None:
                self._always.append((rule, text))
            for word in needed or ():
                self._by_word.setdefault(word, []).append((number, rule, text))

    def there(self, words: frozenset[str]) -> Iterator[tuple[Rule, str]]:
        """The rules and patterns that can be among these words, each once, in their order."""
        found = {entry[0]: entry for word in words for entry in self._by_word.get(word, ())}
        yield from ((rule, text) for _, rule, text in (found[number] for number in sorted(found)))
        yield from self._always
