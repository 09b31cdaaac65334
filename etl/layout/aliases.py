"""What a foreign label or word is like: an alias first, then letter by letter, below a cut-off nothing."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from functools import cache
from typing import NamedTuple

from rapidfuzz import fuzz, process

from etl import contract, vocabulary
from etl.comments.told import Told, told_call, told_topic
from etl.layout import written
from etl.layout.model import SKIP
from etl.layout.spelling import Bag, bag, catalog, normal, of_ids, rough

#: Two names that are less alike than this, of 100, say nothing about each other: at 88 "guard hieght" still is guard
#: height, and "joist span" is no beam span. Words shorter than five letters are never compared letter by letter.
CUT_OFF = 88
_SHORTEST = 5
#: Two words of such names that are less alike are two words.
_WORDS_ALIKE = 75
#: A longer cell is no word of a list.
LONGEST_WORD = 80
#: Columns of things that firms give a code or a name.
OF_IDS = (
    "report_id",
    "inspector_id",
    "region",
    "property_id",
    "deck_id",
    "builder",
    "observation_no",
    "topic",
    "call",
    "place",
    "code_basis",
)

#: In a label, and in a topic, small words say nothing. Of a word for a call they can be all there is: no, none, there.
_LOOSE = ("columns", "topics")

_UNIT_AT_END = re.compile(
    r"[\s(\[,_/.-]+(?:in |\()?("
    + "|".join(re.escape(word) for word in sorted(written.UNITS, key=len, reverse=True))
    + r")[\s)\].]*$",
    re.I,
)


class Likeness(NamedTuple):
    """What a name stands for, and whether it was found as an alias (sure) or is only like one."""

    meant: str
    sure: bool


#: Units that stand before what they are of: ``cmAboveGround``. A label may begin with ``in`` for other reasons.
_UNIT_BEFORE = re.compile(r"^(mm|cm|ft)[ _]+(?=\w)", re.I)


def without_unit(label: str) -> str:
    """A label without the unit at its end, or before it."""
    return _UNIT_BEFORE.sub("", _UNIT_AT_END.sub("", label))


def unit_of(label: str) -> str | None:
    """The unit that a label names at its end: ``Guard ht (cm)``, ``DeckHeightFt``."""
    label = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", label)
    match = _UNIT_AT_END.search(label) or _UNIT_BEFORE.match(re.split(r"[./]\s*", label)[-1])
    return written.UNITS[match[1].lower()] if match else None


@cache
def _names(kind: str, column: str = "") -> dict[str, str]:
    """Every alias of a list of the catalog, with what it stands for; ids and titles are aliases of themselves."""
    found: dict[str, str] = {}
    match kind:
        case "columns":
            found |= {normal(name): name for name in contract.columns()}
            found |= {normal(measure.title): measure.id for measure in vocabulary.measures().values()}
        case "topics":
            found |= {
                normal(text): topic.id for topic in vocabulary.topics().values() for text in (topic.id, topic.title)
            }
        case "calls":
            found |= {normal(call): call for call in vocabulary.CALLS}
        case "kinds":
            found |= {normal(choice): choice for choice in contract.columns()[column].rule.choices}
    listed: Mapping[str, list[str]] = catalog()["kinds"].get(column, {}) if kind == "kinds" else catalog()[kind]
    return found | {normal(alias): meant for meant, aliases in listed.items() for alias in aliases}


@cache
def _bags(kind: str, column: str, roughly: bool) -> dict[Bag, str]:
    """The aliases of a list as bags of words; one that stands for two things is left out."""
    found: dict[Bag, str | None] = {}
    for alias, meant in _names(kind, column).items():
        words = bag(alias, whole=kind not in _LOOSE)
        words = rough(words) if roughly else words
        found[words] = meant if found.get(words, meant) == meant else None
    return {words: meant for words, meant in found.items() if words and meant is not None}


def like(name: str, kind: str, column: str = "") -> Likeness | None:
    """What a name stands for in a list of the catalog; None where nothing is like it.

    An alias is sure, in whatever order its words stand and however short they are written. What is found only by words
    that mean the same, or letter by letter, is not.
    """
    names, wanted = _names(kind, column), normal(name)
    if not wanted:
        return None
    # One word more or less for several things is common: hangers, hanger.
    for spelled in (wanted, wanted.removesuffix("s"), f"{wanted}s"):
        if spelled in names:
            return Likeness(names[spelled], True)
    loose = kind in _LOOSE
    words = bag(re.sub(r"\(.*?\)", " ", name), whole=not loose) or bag(name, whole=not loose)
    if meant := _bags(kind, column, False).get(words):
        return Likeness(meant, True)
    if loose and (meant := _bags(kind, column, True).get(rough(words))):
        return Likeness(meant, False)
    in_full = " ".join(words)
    if len(in_full) < _SHORTEST:
        return None
    listed = {" ".join(each): meant for each, meant in _bags(kind, column, False).items()}
    found = process.extractOne(in_full, list(listed), scorer=fuzz.token_sort_ratio, score_cutoff=CUT_OFF)
    return Likeness(listed[found[0]], False) if found and _are_alike(words, tuple(found[0].split())) else None


def _are_alike(one: Bag, other: Bag) -> bool:
    """Whether each word of the one that the other has not is like one of it: a lowest riser is no tallest."""
    left = [word for word in other if word not in one]
    return all(
        max((fuzz.ratio(word, each) for each in left), default=0) >= _WORDS_ALIKE for word in one if word not in other
    )


def column_like(label: str) -> Likeness | None:
    """The column of the contract that a label names, with or without a unit at its end."""
    label = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", label)
    best: Likeness | None = None
    for text in (label, without_unit(label)):
        found = like(text, "columns")
        if found and text != label and contract.columns()[found.meant].rule.kind != "number":
            continue  # an area in square meters is no region
        if found and found.sure:
            return found
        best = best or found
    return best or _named_thing(label)


def _named_thing(label: str) -> Likeness | None:
    """The column of things that have a code or a name, where a label says that it holds one: ``surveyor_cd``."""
    words = bag(label, of_ids())
    if not words or words == bag(label):
        return None
    meant = _bags("columns", "", False).get(words)
    return Likeness(meant, True) if meant in OF_IDS else None


@cache
def column_within(label: str) -> str | None:
    """The column whose alias of two words or more stands within a longer label; None where none, or two, do."""
    words = Counter(rough(bag(re.sub(r"\(.*?\)", " ", without_unit(label)))))
    found: dict[str, int] = {}
    for alias, meant in _bags("columns", "", True).items():
        if len(alias) > 1 and not Counter(alias) - words:
            found[meant] = max(found.get(meant, 0), len(alias))
    longest = [meant for meant, size in found.items() if size == max(found.values())]
    return longest[0] if len(longest) == 1 else None


def word_like(word: str, column: str) -> Likeness | None:
    """What a word of a column stands for; a topic or a call that is in no list may be told by it as by a comment."""
    rule = contract.columns()[column].rule
    if column == "topic":
        return like(word, "topics") or _told(told_topic, word)
    if column == "call":
        skipped = normal(word) in {normal(each) for each in catalog()["calls"]["skip"]}
        return Likeness(SKIP, True) if skipped else like(word, "calls") or _told(told_call, word)
    if column == "consequence":
        return like(word, "consequence")
    if rule.kind == "yes_no":
        found = like(word, "yes_no")
        return found if found and found.sure else None
    return like(word, "kinds", column)


def word_told(text: str, column: str) -> bool:
    """Whether a text tells a topic, or a call, by itself."""
    return (told_topic if column == "topic" else told_call)(text) is not None


def severity(word: str) -> str | None:
    """The consequence that a word for a call names beside it: ``fault, minor``; None where none, or two."""
    words = Counter(bag(word))
    found = {meant for alias, meant in _bags("consequence", "", False).items() if not Counter(alias) - words}
    return found.pop() if len(found) == 1 else None


@cache
def _told(teller: Callable[[str], Told | None], word: str) -> Likeness | None:
    told = teller(re.sub(r"[?_.]+", " ", word)) if len(word) <= LONGEST_WORD else None
    return Likeness(told.value, False) if told else None


def is_private(label: str) -> bool:
    """Whether a label says that its column tells of people outside the firm."""
    known = catalog()["private"]
    words = [*normal(label).split(), *bag(label)]
    if normal(label) in known["labels"]:
        return True
    if not set(words) & set(known["words"]) or set(words) & set(known["unless"]):
        return False
    return not _is_told_to_people(normal(label), known["words"])


def _is_told_to_people(label: str, people: list[str]) -> bool:
    """Whether a label is of what the firm tells people: ``Advice to client`` is advice."""
    match = re.fullmatch(r"(.+) (?:to|for)(?: the)? (\w+)", label)
    told = column_like(match[1]) if match and match[2] in people else None
    return told is not None and told.sure and told.meant in ("comment", "recommendation")
