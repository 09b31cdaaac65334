"""A comment in plain letters, each of which knows where in the comment it stood."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from etl.values import UNICODE_FRACTIONS

#: Signs that are written in several ways, and the one that is read.
_SIGNS = {
    **dict.fromkeys("“”″‶„＂〃", '"'),
    **dict.fromkeys("‘’′ʼ`´‵", "'"),
    **dict.fromkeys("×✕✖∗*", "x"),
    **dict.fromkeys("–—―−‐‑‒", "-"),
    **dict.fromkeys("⁄∕", "/"),
    **dict.fromkeys("\u00a0\u2009\u202f\u2007\t\r", " "),
    "\n": ";",
    "º": "°",
    "≈": "~",
    "≤": "<",
    "≥": ">",
    "@": " at ",
    "→": ";",
    "•": ";",
    "·": ";",
    "\u00ad": "",
    "\u200b": "",
    "\ufeff": "",
}
_MORE_FRACTIONS = {"⅙": "1/6", "⅚": "5/6", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5"}
#: Marks that some exports leave in the text.
_ENTITIES = {"&quot;": '"', "&amp;": "&", "&apos;": "'", "&#39;": "'", "&#34;": '"', "&nbsp;": " ", "&frac12;": "½"}
_ENTITY = re.compile("|".join(map(re.escape, _ENTITIES)))


@dataclass(frozen=True)
class Spelled:
    """Small letters of a comment; ``origin[i]`` is where in it letter ``i`` stood, the last one its length."""

    comment: str
    text: str
    origin: tuple[int, ...]

    def place(self, start: int, end: int) -> tuple[int, int]:
        """Where in the comment a stretch of ``text`` stands."""
        return self.origin[start], self.origin[end - 1] + 1 if end > start else self.origin[start]


def spell(comment: str) -> Spelled:
    """Small letters, one kind of quotation marks, dashes and multiplication signs, fractions spelled out."""
    letters: list[str] = []
    origin: list[int] = []
    for at, letter in _letters(comment):
        for plain in _plain(letter, letters[-1] if letters else ""):
            letters.append(plain)
            origin.append(at)
    return Spelled(comment, "".join(letters), (*origin, len(comment)))


def _letters(comment: str) -> Iterator[tuple[int, str]]:
    """Each sign with its place, an entity as the sign that it stands for."""
    at = 0
    for entity in _ENTITY.finditer(comment):
        yield from enumerate(comment[at : entity.start()], start=at)
        yield entity.start(), _ENTITIES[entity.group()]
        at = entity.end()
    yield from enumerate(comment[at:], start=at)


def _plain(letter: str, before: str) -> str:
    fraction = UNICODE_FRACTIONS.get(letter) or _MORE_FRACTIONS.get(letter)
    if fraction:
        return f" {fraction}" if before.isdigit() else fraction
    if letter in _SIGNS:
        return _SIGNS[letter]
    if letter.isascii():
        return letter.lower()
    bare = unicodedata.normalize("NFKD", letter)[:1].lower()
    return bare if bare.isascii() and bare.isalnum() else letter.lower()[:1]
