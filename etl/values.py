"""How a written value is read: numbers, fractions, sizes, dates, yes and no.

The patterns here are the one definition: :mod:`etl.contract` uses them in Python and :mod:`etl.checks` in SQL
(both engines read the same regular expressions). Every function takes text that is already stripped and not
empty, and returns the value or None where the text is not of that kind.
"""

from __future__ import annotations

import re
from datetime import date
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation

#: What counts as white space around a value.
NO_BREAK_SPACE = "\u00a0"
BLANKS = " \t\r\n" + NO_BREAK_SPACE
#: Digits after the point that are kept: a 64th of an inch is 0.015625.
PLACES = Decimal("0.000001")
#: Largest magnitude that a stored number can hold, decimal(12, 6).
NUMBER_LIMIT = Decimal(10) ** 6

PLAIN = r"[+-]?([0-9]+(\.[0-9]*)?|\.[0-9]+)([eE][+-]?[0-9]{1,2})?"
#: A comma is the decimal sign where it cannot be a thousands mark: not before exactly three digits,
#: unless nothing or a zero stands before it.
DECIMAL_COMMA = r"[+-]?([0-9]+,[0-9]{1,2}|[0-9]+,[0-9]{4,}|0?,[0-9]+)"
FRACTION = r"(?:([0-9]{1,4})(?:[ ]+|[ ]?-[ ]?))?([0-9]{1,4})/([0-9]{1,3})"
#: Unicode fractions are spelled out before FRACTION is tried.
UNICODE_FRACTIONS = {
    "½": "1/2",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅓": "1/3",
    "⅔": "2/3",
}
INCH_MARK = "(\"|''|”|″|in\\.?|inch|inches)$"
INTEGER = r"[+-]?[0-9]+(\.0*)?"
#: A time of day after the date is allowed and dropped; a time zone is not, since it can move the day.
DATE = r"[0-9]{4}-[0-9]{2}-[0-9]{2}([T ][0-9]{2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?)?"
YES = ("true", "yes", "1")
NO = ("false", "no", "0")

_SIZE = "[23468]x(2|3|4|6|8|10|12|14|16)"
SIZE = _SIZE
SIZE_RANGE = f"{_SIZE}(-{_SIZE})?"
BEAM = f"([1-5]-)?{_SIZE}"


def read_number(text: str, inches: bool = False) -> Decimal | None:
    """A number to six decimals: ``36``, ``3,5``, ``1/2``, ``1-1/2``, ``1 1/2``, ``½``; in inches also ``1 1/2"``."""
    if inches:
        text = re.sub(INCH_MARK, "", text).rstrip(BLANKS)
    if re.fullmatch(PLAIN, text):
        return _to_places(text)
    if re.fullmatch(DECIMAL_COMMA, text):
        return _to_places(text.replace(",", "."))
    for sign, spelled in UNICODE_FRACTIONS.items():
        text = text.replace(sign, " " + spelled)
    match = re.fullmatch(FRACTION, text.strip(" "))
    if match is None or int(match[3]) == 0:
        return None
    whole, upper, lower = (Decimal(part or 0) for part in match.groups())
    return (whole + upper / lower).quantize(PLACES, ROUND_HALF_UP)


def _to_places(text: str) -> Decimal:
    """The number at six decimals, or the limit itself where it is too large to hold (and so out of any range)."""
    try:
        number = Decimal(text)
    except InvalidOperation:  # pragma: no cover - the patterns admit only what Decimal reads
        raise ValueError(text) from None
    if abs(number) >= NUMBER_LIMIT:
        return NUMBER_LIMIT.copy_sign(number)
    return number.quantize(PLACES, ROUND_HALF_UP)


def read_integer(text: str) -> int | None:
    """A whole number: ``36`` or ``36.0``, of at most nine digits."""
    if re.fullmatch(INTEGER, text) is None:
        return None
    digits = text.split(".")[0]
    return int(digits) if len(digits.lstrip("+-").lstrip("0")) <= 9 else 10**9


def read_date(text: str) -> date | None:
    """An ISO date, ``2026-03-04``."""
    if re.fullmatch(DATE, text) is None:
        return None
    try:
        return date.fromisoformat(text[:10])
    except ValueError:
        return None


def read_yes_no(text: str) -> bool | None:
    """true/false, yes/no, 1/0, in any case."""
    lowered = text.lower()
    return True if lowered in YES else False if lowered in NO else None


def read_word(text: str) -> str:
    """A word of a closed list: case, hyphens and spaces do not matter."""
    return re.sub(r"[ -]+", "_", text.lower())


def read_size(text: str) -> str:
    """A size as ``2x10``: ``2 x 10``, ``2X10``, ``2×10``, ``2"x10"`` are the same."""
    return re.sub(r"[ \"”″]", "", text.lower().replace("×", "x").replace("–", "-").replace("*", "x"))
