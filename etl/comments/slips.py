"""Slips and abbreviations: a word that no dictionary has is read as the word of the trade that it stands for."""

from __future__ import annotations

import re
from functools import cache
from importlib.resources import files

from rapidfuzz.distance import OSA

from etl.comments.rules import comment_rules, written_forms
from etl.comments.spelling import Spelled

#: The shortest word that may have a letter wrong, and that may have two; a shorter one may have two exchanged.
_LEAST, _ONE_LETTER, _TWO_LETTERS = 3, 4, 8
_WORD = re.compile(r"(?<![a-z0-9'/.])[a-z]{2,}(?![a-z0-9'/]|\.[a-z])")


def mend(spelled: Spelled) -> Spelled:
    """The comment with its slips mended; each letter still knows where in the comment it stood."""
    text, origin, at = spelled.text, spelled.origin, 0
    letters: list[str] = []
    places: list[int] = []
    for found in _WORD.finditer(text):
        meant = meant_by(found.group())
        if meant != found.group():
            letters += [text[at : found.start()], meant]
            places += origin[at : found.start()]
            last = origin[found.end() - 1]
            places += [min(origin[found.start()] + offset, last) for offset in range(len(meant) - 1)] + [last]
            at = found.end()
    if not letters:
        return spelled
    return Spelled(spelled.comment, "".join(letters) + text[at:], (*places, *origin[at:]))


@cache
def meant_by(word: str) -> str:
    """The word that an abbreviation stands for, or a slip was meant for where one alone is as near; else the word."""
    if word in _dictionary():
        return word
    if "_" not in (spelled_out := written_forms().get(word, "_")):
        return spelled_out
    if word in _vocabulary() or len(word) < _LEAST:
        return word
    most = 2 if len(word) >= _TWO_LETTERS else 1
    near: dict[int, set[str]] = {}
    for known in _vocabulary():
        distance = OSA.distance(known, word, score_cutoff=most)
        if distance <= most and (len(word) >= _ONE_LETTER or _are_exchanged(word, known)):
            near.setdefault(distance, set()).add(known)
    nearest = near[min(near)] if near else set()
    for likely in (_are_exchanged, _are_left_out):
        if len(nearest) > 1 and (so := {known for known in nearest if likely(word, known)}):
            nearest = so
    forms = written_forms()
    return min(nearest) if len({forms.get(known, known) for known in nearest}) == 1 else word


def _are_exchanged(word: str, known: str) -> bool:
    return sorted(word) == sorted(known)


def _are_left_out(word: str, known: str) -> bool:
    """Whether letters are missing, and no other is wrong: "naild"."""
    letters = iter(known)
    return all(letter in letters for letter in word)


@cache
def _vocabulary() -> frozenset[str]:
    """Every plain word that the rules know, as it may be written."""
    rules = comment_rules()
    told = " ".join([*written_forms(), *rules.patterns, *rules.shorthand.values()])
    return frozenset(re.findall(r"(?<![a-z_\\])[a-z]{3,}(?![a-z_?\]])", told))


@cache
def _dictionary() -> frozenset[str]:
    """English words, from the frequency list that comes with symspellpy."""
    listed = files("symspellpy").joinpath("frequency_dictionary_en_82_765.txt").read_text(encoding="utf-8-sig")
    return frozenset(line.split(" ", 1)[0] for line in listed.splitlines()) | comment_rules().real_words
