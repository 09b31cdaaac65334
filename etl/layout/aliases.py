"""What a foreign label or word is like: an alias first, then letter by letter, below a cut-off nothing."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple

from rapidfuzz import fuzz, process

from etl import contract, vocabulary
from etl.layout import written
from etl.layout.model import SKIP

#: Two names that are less alike than this, of 100, say nothing about each other: at 88 "guard hieght" still is guard
#: height, and "joist span" is no beam span. Words shorter than five letters are never compared letter by letter.
CUT_OFF = 88
_SHORTEST = 5

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


@cache
def catalog() -> dict[str, Any]:
    """The file of aliases."""
    return tomllib.loads(files("etl").joinpath("catalog", "aliases.toml").read_text(encoding="utf-8"))


def normal(name: str) -> str:
    """A name as aliases are written: lower case, words apart, no punctuation."""
    name = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name)
    name = (
        re.sub(r"\bnum(?:ber)?\.?\b|\bnr\.?(?!\w)|#|№", " no ", name.casefold()) if len(name) > 3 else name.casefold()
    )
    return " ".join(re.sub(r"[^a-z0-9✓✔]+", " ", name).split())


def without_unit(label: str) -> str:
    """A label without the unit at its end."""
    return _UNIT_AT_END.sub("", label)


def unit_of(label: str) -> str | None:
    """The unit that a label names at its end: ``Guard ht (cm)``, ``DeckHeightFt``."""
    match = _UNIT_AT_END.search(re.sub(r"(?<=[a-z])(?=[A-Z])", " ", label))
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


def like(name: str, kind: str, column: str = "") -> Likeness | None:
    """What a name stands for in a list of the catalog; None where nothing is like it."""
    names, wanted = _names(kind, column), normal(name)
    if not wanted:
        return None
    # One word more or less for several things is common: hangers, hanger.
    for spelled in (wanted, wanted.removesuffix("s"), f"{wanted}s"):
        if spelled in names:
            return Likeness(names[spelled], True)
    if len(wanted) < _SHORTEST:
        return None
    found = process.extractOne(wanted, list(names), scorer=fuzz.token_sort_ratio, score_cutoff=CUT_OFF)
    return Likeness(names[found[0]], False) if found else None


def column_like(label: str) -> Likeness | None:
    """The column of the contract that a label names, with or without a unit at its end."""
    label = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", label)
    best: Likeness | None = None
    for text in (label, without_unit(label)):
        found = like(text, "columns")
        if found and found.sure:
            return found
        best = best or found
    return best


def word_like(word: str, column: str) -> Likeness | None:
    """What a word of a column stands for."""
    rule = contract.columns()[column].rule
    if column == "topic":
        return like(word, "topics")
    if column == "call":
        skipped = normal(word) in {normal(each) for each in catalog()["calls"]["skip"]}
        return Likeness(SKIP, True) if skipped else like(word, "calls")
    if column == "consequence":
        return like(word, "consequence")
    if rule.kind == "yes_no":
        found = like(word, "yes_no")
        return found if found and found.sure else None
    return like(word, "kinds", column)


def is_private(label: str) -> bool:
    """Whether a label says that its column tells of people outside the firm."""
    known = catalog()["private"]
    words = set(normal(label).split())
    if normal(label) in known["labels"]:
        return True
    return bool(words & set(known["words"])) and not words & set(known["unless"])
