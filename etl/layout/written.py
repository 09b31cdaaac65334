"""How foreign files write values: dates by the order of their parts, lengths in any unit, sizes as dressed.

Every function takes text that is stripped and not empty, and gives the text that the contract reads, or None where
the text is not of that kind; the check then refuses it as it came.
"""

from __future__ import annotations

import csv
import re
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal
from functools import cache
from importlib.resources import files

from etl import contract, values
from etl.readers.workbook_child import DAY_ZERO, SERIALS

# ---- dates -----------------------------------------------------------------------------------------------------------

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_TIME = r"(?:[T ,]+\d{1,2}[:.]\d{2}(?:[:.]\d{2}(?:\.\d+)?)?(?: ?[AaPp]\.?[Mm]\.?)?"
_TIME += r"(?: ?(?:Z|UTC|[+-]\d{2}:?\d{2}))?)?"  # the day is the one that is written, in whatever zone
_NUMERIC = re.compile(rf"(\d{{1,4}})([/. -])(\d{{1,2}})\2(\d{{1,4}}){_TIME}")
_WEEKDAY = r"(?:(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,? )?"
_DAY_FIRST = re.compile(
    rf"{_WEEKDAY}(\d{{1,2}})(?:st|nd|rd|th|\.)?[ -]([a-z]{{3,9}})\.?,?[ -](\d{{4}}|\d{{2}}){_TIME}", re.I
)
_MONTH_FIRST = re.compile(
    rf"{_WEEKDAY}([a-z]{{3,9}})\.?[ -](\d{{1,2}})(?:st|nd|rd|th)?,?[ -](\d{{4}}|\d{{2}}){_TIME}", re.I
)
_COMPACT = re.compile(r"(\d{4})(\d{2})(\d{2})")


def numeric_date(text: str) -> tuple[str, tuple[int, int, int]] | None:
    """The sign between the parts of a date in figures, and its parts as they stand; None where it is none."""
    match = _NUMERIC.fullmatch(text)
    return (match[2], (int(match[1]), int(match[3]), int(match[4]))) if match else None


def spelled_date(text: str) -> str | None:
    """A date that needs no order: with its month in letters, the year first, or eight figures."""
    if values.read_date(text):
        return text
    if match := _DAY_FIRST.fullmatch(text):
        return _date(match[3], _month(match[2]), int(match[1]))
    if match := _MONTH_FIRST.fullmatch(text):
        return _date(match[3], _month(match[1]), int(match[2]))
    if match := _COMPACT.fullmatch(text):
        return _date(match[1], int(match[2]), int(match[3]))
    found = _NUMERIC.fullmatch(text)
    if found and len(found[1]) == 4:
        return _date(found[1], int(found[3]), int(found[4]))
    return None


def date_text(text: str, order: str | dict[str, str] | None, from_1904: bool = False) -> str | None:
    """A date as ``2026-03-04``; ``order`` is that of its parts, or of each sign that stands between them."""
    if spelled := spelled_date(text):
        return spelled
    if order == "workbook days" and re.fullmatch(r"\d{5}(\.\d+)?", text) and int(text[:5]) in SERIALS:
        return (DAY_ZERO[from_1904] + timedelta(days=int(text[:5]))).isoformat()
    match = _NUMERIC.fullmatch(text)
    if match is None:
        return None
    of_sign = order.get(match[2]) if isinstance(order, dict) else order
    first, second, third = match[1], match[3], match[4]
    match of_sign:
        case "month day year":
            return _date(third, int(first), int(second))
        case "day month year":
            return _date(third, int(second), int(first))
        case "year month day":
            return _date(first, int(second), int(third))
    return None


def _month(name: str) -> int:
    return next((number for number, month in enumerate(_MONTHS, 1) if name.lower().startswith(month)), 0)


def _date(year: str, month: int, day: int) -> str | None:
    """The date; two figures of a year are the newest one that is not past next year."""
    if len(year) not in (2, 4):
        return None
    number = int(year)
    if len(year) == 2:
        last = contract.last_day().year + 1
        number += last // 100 * 100
        number -= 100 if number > last else 0
    try:
        return date(number, month, day).isoformat()
    except ValueError:
        return None


# ---- lengths and other quantities --------------------------------------------------------------------------------

#: Units as they are written, with the unit of the contract that they are turned into and what one of them is in it.
_INCH = {
    "in": Decimal(1),
    "ft": Decimal(12),
    "mm": 1 / Decimal("25.4"),
    "cm": 1 / Decimal("2.54"),
    "m": 1 / Decimal("0.0254"),
    "yd": Decimal(36),
}
_SPELLED = {
    "in": ("in", "in.", "inch", "inches", '"', "”", "″", "''"),
    "ft": ("ft", "ft.", "foot", "feet", "'", "’", "′"),
    "mm": ("mm", "mm.", "millimeter", "millimeters", "millimetre", "millimetres"),
    "cm": ("cm", "cm.", "centimeter", "centimeters", "centimetre", "centimetres"),
    "m": ("m", "m.", "meter", "meters", "metre", "metres"),
    "yd": ("yd", "yds", "yard", "yards"),
}  # fmt: skip
#: 1 m2 = 10.763910 sq ft and 1 kPa = 20.885434 psf follow from 1 ft = 0.3048 m and 1 lb = 0.45359237 kg (exact) with g.
_OTHER = {
    "sqft": ("sq ft", Decimal(1)),
    "m2": ("sq ft", 1 / (Decimal("0.3048") ** 2)),
    "psf": ("psf", Decimal(1)),
    "kpa": ("psf", Decimal(1000) * Decimal("0.3048") ** 2 / (Decimal("0.45359237") * Decimal("9.80665"))),
}
_SPELLED_OTHER = {
    "sqft": ("sqft", "sq ft", "sq. ft.", "sf", "ft2", "ft²", "square feet"),
    "m2": ("m2", "m²", "sq m", "sqm"),
    "psf": ("psf", "lb/ft2", "lb/sq ft"),
    "kpa": ("kpa", "kn/m2", "kn/m²"),
}
#: Every spelling of a unit, lower case, with the unit.
UNITS = {word: unit for units in (_SPELLED, _SPELLED_OTHER) for unit, words in units.items() for word in words}

_FEET = re.compile(
    r"(\d+)\s*(?:'|’|′|ft\.?|feet|foot)\s*(?:-|–|and)?\s*(?:(\d+(?:\.\d+)?|\d*\s*-?\s*\d+/\d+|\d*\s*[½¼¾⅛⅜⅝⅞])\s*(?:\"|''|”|″|in\.?|inch(?:es)?)?)?",
    re.I,
)
_ABOUT = re.compile(r"^(?:~|≈|approx\.?|about|abt\.?|ca\.?|c\.)\s*", re.I)
#: Spacings are measured from center to center; saying so changes no number.
_ON_CENTER = re.compile(r"\s*(?:\bo\.?\s?c\.?|\bon[ -]cent(?:er|re)s?|\bc/c)$", re.I)
_WITH_UNIT = re.compile(
    rf"(.*?[\d½¼¾⅛⅜⅝⅞⅓⅔])\s*({'|'.join(re.escape(word) for word in sorted(UNITS, key=len, reverse=True))})", re.I
)


def unit_named(text: str) -> str | None:
    """The unit that a word is, None where it is none."""
    return UNITS.get(text.strip().lower())


def own_unit(text: str) -> str | None:
    """The unit that a value carries itself: ``in`` of ``36 in``, ``ft`` of ``7'-6"``."""
    text = _ON_CENTER.sub("", _ABOUT.sub("", text, count=1))
    if _FEET.fullmatch(text):
        return "ft"
    match = _WITH_UNIT.fullmatch(text)
    return UNITS[match[2].lower()] if match else None


#: A space between thousands, as several countries write them.
_SPACED = re.compile(r"(?<=\d)[ \u00a0\u2009\u202f](?=\d{3}(?!\d|/))")


def plain_number(text: str, decimal: str) -> Decimal | None:
    """A bare number as a firm writes it; with a decimal comma, points are marks between thousands, and else commas."""
    text = _SPACED.sub("", text)
    mark = r"\." if decimal == "," else ","
    if re.fullmatch(rf"[+-]?\d{{1,3}}(?:{mark}\d{{3}})+(?:\{decimal}\d+)?", text):
        text = re.sub(mark, "", text)
    return values.read_number(text.replace(",", ".") if decimal == "," else text)


def quantity(text: str, unit: str | None, decimal: str, target: str | None) -> str | None:
    """A quantity in the contract's unit ``target``, of a value in its own unit or else in ``unit``."""
    text = _ON_CENTER.sub("", _ABOUT.sub("", text, count=1))
    if target == "in" and (match := _FEET.fullmatch(text)):
        inches = plain_number(match[2].strip(), decimal) if match[2] else Decimal(0)
        return None if inches is None else _told(int(match[1]) * 12 + inches)
    if match := _WITH_UNIT.fullmatch(text):
        text, unit = match[1].strip(), UNITS[match[2].lower()]
    number = plain_number(text, decimal)
    if number is None:
        return None
    if target is None or unit is None:
        return _told(number)
    factor = _INCH.get(unit) if target == "in" else dict([_OTHER[unit]]).get(target) if unit in _OTHER else None
    return None if factor is None else _told(number * factor)


def whole(text: str, decimal: str) -> str | None:
    """A whole number, or what comes closest to saying one: ``3,0``."""
    number = plain_number(text, decimal)
    return None if number is None else _told(number)


def _told(number: Decimal) -> str:
    rounded = f"{number.quantize(values.PLACES, ROUND_HALF_UP):f}"
    return rounded.rstrip("0").rstrip(".") if "." in rounded else rounded


# ---- sizes -------------------------------------------------------------------------------------------------------

_PIECE = r"(\d+(?:\.\d+)?|\d*\s*-?\s*\d+/\d+|\d*[½¼¾])"
_PLIES = re.compile(r"(?:\(([1-5])\)\s*|([1-5])\s*(?:ply|plies|-|–|/|x|pcs?\.?)\s*(?:of\s*)?)?(.+)", re.I)
_DRESSED = re.compile(rf"{_PIECE}\s*(?:mm|cm|in|\"|”)?\s*(?:x|by)\s*{_PIECE}\s*(mm|cm|in|\"|”)?", re.I)
#: How far a written dressed size may be from the published one: metric sizes are rounded to whole millimeters.
_NEAR_IN = Decimal("0.045")


@cache
def _dressed() -> list[tuple[str, Decimal, Decimal]]:
    """Nominal sizes with their dressed ones, dry and green, in inches (PS 20, as in the catalog)."""
    text = files("etl").joinpath("catalog", "tables", "dressed_sizes.csv").read_text(encoding="utf-8")
    return [
        (row["nominal"], Decimal(row[f"{kind}thickness_in"]), Decimal(row[f"{kind}depth_in"]))
        for row in csv.DictReader(text.splitlines())
        for kind in ("", "green_")
    ]


def size_text(text: str, decimal: str = ".") -> str:
    """A size as the contract writes it: ``2 by 10`` and the dressed ``38x235`` are ``2x10``; else what came."""
    plies = _PLIES.fullmatch(text.strip())
    count, size = (plies[1] or plies[2], plies[3]) if plies else (None, text)
    if values.read_size(text) != text and re.fullmatch(values.SIZE_RANGE, values.read_size(text)):
        return values.read_size(text)
    one = _one_size(size, decimal)
    if one is None:
        one, count = _one_size(text, decimal), None
    if one is None:
        return text
    return f"{count}-{one}" if count and count != "1" else one


def holds_sizes(rule: contract.Rule) -> bool:
    """Whether a list of choices is one of sizes: that of posts, and steel beside them."""
    return "4x4" in rule.choices


def is_read(word: str, rule: contract.Rule) -> bool:
    """Whether a load reads a word of a list as it stands."""
    return contract.admits(rule, size_text(word) if holds_sizes(rule) else word)


def _one_size(text: str, decimal: str) -> str | None:
    plain = values.read_size(re.sub(r"\s*\bby\b\s*", "x", text, flags=re.I)).rstrip("s'")
    if re.fullmatch(values.SIZE_RANGE, plain):
        return plain
    if decimal == ",":
        text = text.replace(",", ".")
    match = _DRESSED.fullmatch(text.replace("×", "x").replace("*", "x").strip())
    if match is None:
        return None
    pieces = [values.read_number(match[i].strip()) for i in (1, 2)]
    if None in pieces:
        return None
    thick, deep = (piece for piece in pieces if piece is not None)
    unit = (match[3] or ("mm" if deep >= 30 else "in")).lower()
    factor = {"mm": _INCH["mm"], "cm": _INCH["cm"]}.get(unit, Decimal(1))
    for nominal, thickness, depth in _dressed():
        if abs(thick * factor - thickness) <= _NEAR_IN and abs(deep * factor - depth) <= _NEAR_IN:
            return nominal
    return None
