"""Whoever reads a note must not learn whose case it is: names, ids, places, days and addresses are taken out.

Rather too much goes than too little: an ordinary word that is somebody's code goes too.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

GONE = "…"
#: So many letters do not stand in other words by chance.
_LONG = 5
_RUN = re.compile(r"[^\W_]+")
_LETTERS_OR_FIGURES = re.compile(r"\d+|[^\W\d_]+")
#: Days in figures and in words, addresses of pages and of mail, telephone numbers.
_TELLING = re.compile(
    r"\b\d{1,4}[-/.]\d{1,2}[-/.]\d{2,4}\b"
    r"|\b\d{1,2}(?:st|nd|rd|th)?\s+(?:of\s+)?MONTH\.?(?:,?\s+\d{4})?\b"
    r"|\bMONTH\.?\s+\d{1,2}(?:st|nd|rd|th)?\b(?:,?\s+\d{4}\b)?"
    r"|\bMONTH\.?\s+\d{4}\b"
    r"|\b(?:[a-z][a-z0-9+.-]*:)?//\S+|\bwww\.\S+|[\w.+-]+@[\w-]+(?:\.[\w-]+)+"
    r"|\+?\(?\d{3}\)?[-. ]\d{3}[-. ]\d{4}\b".replace(
        "MONTH",
        "(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?"
        "|nov(?:ember)?|dec(?:ember)?)",
    ),
    re.IGNORECASE,
)
#: Signs that are not seen: they break a file, end a line, or turn the direction of reading.
_UNSEEN = re.compile(r"[\x00-\x1f\x7f-\x9f\u200b-\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufffe\uffff]+")
_SEVERAL = re.compile(rf"{GONE}(?:[\s,;:./–-]*{GONE})+")


def without_names(text: str, names: Iterable[str]) -> str:
    """A report's sentence without these names and without days and addresses; … stands for what is gone.

    A name is found in any case, with other signs or blanks between its parts, and inside a word, which then goes as a
    whole. A short one of letters only is not looked for among the letters of another word, else "ta" would take
    "stair"; a number only where it stands alone, so that 2x12 and 7.25 stay. Empty where nothing is left to read.

    >>> without_names("Seen by i-7 at the stair on 4 Mar 2026.", ["I7", "the stair"])
    'Seen by … at … on ….'
    """
    text = _UNSEEN.sub(" ", text).strip()
    for name in sorted({name.strip() for name in names}, key=lambda name: (-len(name), name)):
        pattern = _pattern(name)
        if pattern:
            text = pattern.sub(GONE, text)
    text = _TELLING.sub(GONE, text)
    text = _SEVERAL.sub(GONE, text)
    return text if _RUN.search(text) else ""


def _pattern(name: str) -> re.Pattern[str] | None:
    runs = _RUN.findall(name)
    if not runs:
        return None
    # Signs and blanks between words, signs alone between letters and figures: R12 is R-12, and not "or 12".
    loose = r"[\W_]{0,6}".join(r"[-_./]?".join(_LETTERS_OR_FIGURES.findall(run)) for run in runs)
    if loose.isdecimal():
        return re.compile(rf"(?<![\d.])(?<!\dx){loose}(?![\d.]*\d|x\d)", re.IGNORECASE)
    if len(loose) == 1:
        return re.compile(rf"(?<!\w){loose}(?!\w)")
    letters = "".join(runs)
    if letters.isalpha() and len(letters) < _LONG:
        return re.compile(rf"(?<![^\W\d_]){loose}(?![^\W\d_])[\d_]*", re.IGNORECASE)
    return re.compile(rf"\w*{loose}\w*", re.IGNORECASE)
