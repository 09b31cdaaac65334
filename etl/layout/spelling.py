"""Labels and words as aliases are written: no accents, no punctuation, short words in full, empty ones left out."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from functools import cache
from importlib.resources import files
from typing import Any

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_ON_CENTER = re.compile(r"\bc/c\b|\bo\.\s?c\b\.?|\bon[ -]cent(?:er|re)s?\b")


@cache
def catalog() -> dict[str, Any]:
    """The file of aliases."""
    return tomllib.loads(files("etl").joinpath("catalog", "aliases.toml").read_text(encoding="utf-8"))


def normal(name: str) -> str:
    """A name as aliases are written: lower case, words apart, no accents, no punctuation."""
    name = _CAMEL.sub(" ", name)
    decomposed = unicodedata.normalize("NFKD", name)
    name = "".join(sign for sign in decomposed if not unicodedata.combining(sign))
    name = (
        re.sub(r"\bnum(?:ber)?\.?\b|\bnr\.?(?!\w)|#|№", " no ", name.casefold()) if len(name) > 3 else name.casefold()
    )
    return " ".join(re.sub(r"[^a-z0-9✓✔]+", " ", _ON_CENTER.sub(" oc ", name)).split())


@cache
def _in_full() -> dict[str, str]:
    return {short: full for full, shorts in catalog()["abbreviations"].items() for short in shorts}


@cache
def _one_for_all() -> dict[str, str]:
    return {_single(word): one for one, words in catalog()["same"].items() for word in words}


def _single(word: str) -> str:
    """A word without the s of several: ``hangers``, but not ``grass``."""
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


#: The words of a name whatever their order, each as often as it stands there.
Bag = tuple[str, ...]


def bag(name: str, without: frozenset[str] = frozenset(), whole: bool = False) -> Bag:
    """The words of a name in full, in the singular, sorted; without those that say nothing, unless ``whole``."""
    empty = () if whole else {*catalog()["empty"]["always"], *without}
    words = (_in_full().get(word, word) for word in normal(name).split())
    return tuple(sorted(_single(word) for word in words if word not in empty))


def rough(words: Bag) -> Bag:
    """A bag with one word for all that mean the same: ``guard`` for a railing."""
    return tuple(sorted(_one_for_all().get(word, word) for word in words))


def of_ids() -> frozenset[str]:
    """Words that may be left out of the label of a thing which has a code or a name."""
    return frozenset(catalog()["empty"]["of_ids"])
