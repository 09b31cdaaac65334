"""Numbers with their units in the letters of a comment: lengths, sizes, counts, loads; and numbers that are none."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from typing import Literal

from etl.values import PLACES

Kind = Literal["len", "num", "pair", "size", "load", "area", "force", "angle", "penny", "skip"]


@dataclass(frozen=True)
class Quantity:
    """What a stretch of letters says: lengths in inches from ``low`` to ``high``, a pair "4 of 10", a nominal size."""

    kind: Kind
    start: int
    end: int
    low: Decimal = Decimal(0)
    high: Decimal = Decimal(0)
    size: str = ""
    plies: int | None = None
    #: A number that is written in words alone: "two".
    in_words: bool = False
    #: The plies may as well be how many members there are: "two 2x8", "(2) 2x8".
    counted: bool = False

    @property
    def word(self) -> str:
        """How it stands among the words: ``#len:0.5``, ``#len:0.25~0.5``, ``#pair:4:10``, ``#size:2x10``."""
        if self.kind == "size":
            plies = f"{self.plies}-" if self.plies else ""
            return f"#size:{plies}{self.size}"
        if self.kind in ("penny", "skip"):
            return f"#{self.kind}"
        if self.kind == "pair":
            return f"#pair:{_written(self.low)}:{_written(self.high)}"
        upper = f"~{_written(self.high)}" if self.high != self.low else ""
        return f"#{self.kind}:{_written(self.low)}{upper}"


def _written(number: Decimal) -> str:
    return f"{number.quantize(PLACES, ROUND_HALF_UP).normalize():f}"


# -- Numbers

_UNITS = {
    word: number
    for number, word in enumerate(
        [
            "zero",
            "one",
            "two",
            "three",
            "four",
            "five",
            "six",
            "seven",
            "eight",
            "nine",
            "ten",
            "eleven",
            "twelve",
            "thirteen",
            "fourteen",
            "fifteen",
            "sixteen",
            "seventeen",
            "eighteen",
            "nineteen",
        ]
    )
}
_TENS = {"twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}
_PARTS = {
    "half": 2, "halves": 2, "third": 3, "thirds": 3, "quarter": 4, "quarters": 4, "fourth": 4, "fourths": 4,
    "eighth": 8, "eighths": 8, "eigth": 8, "eigths": 8, "sixteenth": 16, "sixteenths": 16,
}  # fmt: skip
_UNIT_WORD = "|".join(sorted(_UNITS, key=len, reverse=True))
_COUNT_WORD = rf"(?:(?:{'|'.join(_TENS)})(?:[- ](?:{_UNIT_WORD}))?|{_UNIT_WORD})"
_PART_WORD = "|".join(sorted(_PARTS, key=len, reverse=True))
#: "three eighths", "a half", "half": words for less than one.
_PART = rf"(?:(?:(?:an?|{_UNIT_WORD})[- ])?(?:{_PART_WORD}))"
_FRACTION = r"[0-9]{1,3}/(?:2|3|4|8|16|32|64)(?![0-9/])(?:ths?|nds?|rds?)?"
_DIGITS = r"(?:[0-9]{1,3}(?:,[0-9]{3})+(?![0-9])|[0-9]+(?:\.[0-9]+|,[0-9]{1,2}(?![0-9]))?|\.[0-9]+)"
_NUMBER = (
    rf"(?:(?<![0-9./])[0-9]{{1,3}}(?: ?- ?| +| ?& ?| and ){_FRACTION}"
    rf"|(?<![0-9./])[0-9]{{1,3}} and {_PART}\b"
    rf"|(?<![0-9./]){_FRACTION}"
    rf"|(?<![0-9./,]){_DIGITS}(?![0-9/])"
    rf"|\b{_COUNT_WORD} and {_PART}\b|\b{_COUNT_WORD}[ -]{_PART}\b(?= of| in| "
    rf"|-in)|\b{_PART}\b|\b{_COUNT_WORD}\b)"
)


def number_of(text: str) -> Decimal | None:
    """The number that digits, a fraction or words say: ``7-3/4``, ``1,500``, ``seven and three quarters``."""
    text = re.sub(r"(?<=[0-9])(ths?|nds?|rds?)\b", "", text.strip())
    mixed = re.fullmatch(r"(?:([0-9]+)(?: ?- ?| +| ?& ?| and ))?([0-9]+)/([0-9]+)", text)
    if mixed:
        upper, lower = int(mixed[2]), int(mixed[3])
        if lower == 0 or (mixed[1] and upper >= lower):
            return None
        return Decimal(int(mixed[1] or 0)) + Decimal(upper) / lower
    if re.fullmatch(_DIGITS, text):
        thousands = re.fullmatch(r"[0-9]{1,3}(,[0-9]{3})+", text)
        return Decimal(text.replace(",", "" if thousands else "."))
    return _spelled_number(text)


def _spelled_number(text: str) -> Decimal | None:
    whole, _, part = text.partition(" and ")
    if part:
        first = Decimal(whole) if whole.isdigit() else _spelled_number(whole)
        second = _spelled_number(part)
        return None if first is None or second is None else first + second
    words = re.split(r"[- ]", text)
    if words[-1] in _PARTS:
        count = words[0] if len(words) > 1 else "a"
        upper = 1 if count in ("a", "an") else _UNITS.get(count)
        return None if upper is None or len(words) > 2 else Decimal(upper) / _PARTS[words[-1]]
    total = sum(_TENS.get(word, _UNITS.get(word, 0)) for word in words)
    return Decimal(total) if all(word in _TENS or word in _UNITS for word in words) else None


# -- Lengths

_INCH = r"(?: ?-? ?(?:of )?(?:an? )?(?:\"|''|inches|inchs|inch|ins\b\.?|in\.|in\b(?! ?(?:the|a|an|all|each|every|this|these|those|both|(?!opening|spacing|bearing)[a-z]*ing)\b)))"
_FOOT = r"(?: ?-? ?(?:feet\b|foot\b|ft\b\.?|'(?!')))"
_METRIC = r"(?: ?-?(?:mm|cm|m|millimet(?:er|re)s?|centimet(?:er|re)s?|met(?:er|re)s?)\b\.?)"
_FEET_INCHES = re.compile(
    rf"(?P<feet>{_NUMBER}){_FOOT}(?:(?: ?-? ?| and |, ?)(?P<inches>{_NUMBER}){_INCH}| (?P<spoken>{_COUNT_WORD})(?![- ](?:risers?|steps?|treads?|joists?|posts?|bolts?|nails?|screws?|lags?|holes?|balusters?|by|x|ply|plies|inch|inches|feet|foot|of|or|half|quarters?|eighths?|hundred|percent)\b)|-?(?P<bare>{_NUMBER})(?![0-9\"'/x.]| ?x))?"
)
_ONE_UNIT = re.compile(rf"(?P<number>{_NUMBER})(?P<unit>{_INCH}|{_METRIC})")
_AN_INCH = re.compile(rf"\b(?:an?|one) inch(?: and (?P<part>an? (?:{_PART_WORD})|{_PART}|{_FRACTION}))?\b")
_A_FOOT = re.compile(rf"\ba (?:foot|ft)(?: and (?P<part>{_PART}))?\b")
_METRIC_INCHES = {"mm": Decimal("25.4"), "cm": Decimal("2.54"), "m": Decimal("0.0254")}
_BARE = re.compile(_NUMBER)


@dataclass(frozen=True)
class _Length:
    inches: Decimal
    end: int
    #: The unit that was written; empty where none was.
    unit: str


def _length_at(text: str, at: int) -> _Length | None:
    """The length that begins at a place, the longest way to read it first."""
    found = _FEET_INCHES.match(text, at)
    if found and (feet := number_of(found["feet"])) is not None:
        further = found["inches"] or found["spoken"] or found["bare"]
        inches = number_of(further) if further else Decimal(0)
        if inches is not None and inches < 12:
            return _Length(feet * 12 + inches, found.end(), "ft")
        end = found.end("feet") + len(re.match(_FOOT, text[found.end("feet") :]).group())  # type: ignore[union-attr]
        return _Length(feet * 12, end, "ft")
    for pattern, unit in ((_AN_INCH, Decimal(1)), (_A_FOOT, Decimal(12))):
        if found := pattern.match(text, at):
            part = number_of(found["part"]) if found["part"] else Decimal(0)
            return _Length(unit * (1 + (part or 0)), found.end(), "in")
    if found := _ONE_UNIT.match(text, at):
        number = number_of(found["number"])
        return None if number is None else _with_unit(number, found["unit"], found.end())
    return None


def _with_unit(number: Decimal, unit: str, end: int) -> _Length:
    name = unit.strip(" -.")
    metric = "mm" if name.startswith(("mm", "mill")) else "cm" if name.startswith(("cm", "cent")) else "m"
    if name.startswith("m") or metric == "cm":
        return _Length(number / _METRIC_INCHES[metric], end, metric)
    return _Length(number, end, "in")


_TO = re.compile(r" ?(?:-|to|through|thru|up to|or|and|&) ?(?:as much as |nearly |about |almost |over )?")
_TO_TIGHT = re.compile(r" ?(?:-|to|through|thru|up to) ?(?:as much as |nearly |about |almost |over )?")
_IN_THE_UNIT = {"in": Decimal(1), "ft": Decimal(12), **{unit: 1 / inches for unit, inches in _METRIC_INCHES.items()}}


def _lengths(text: str, at: int, after_between: bool) -> Quantity | None:
    """A length or a range of two; the first may leave the unit to the second."""
    first = _length_at(text, at)
    bare = _BARE.match(text, at)
    start_unit = first.unit if first else ""
    end = first.end if first else bare.end() if bare else None
    if end is None:
        return None
    joint = (_TO if after_between else _TO_TIGHT).match(text, end)
    second = _length_at(text, joint.end()) if joint else None
    if joint and second and not (first and not _same_scale(start_unit, second.unit)):
        lower = first.inches if first else _in_unit(bare.group(), second.unit)  # type: ignore[union-attr]
        if lower is not None and lower != second.inches:
            return Quantity("len", at, second.end, min(lower, second.inches), max(lower, second.inches))
    if joint and first and (upper := _BARE.match(text, joint.end())) and first.unit in ("in", "mm", "cm"):
        inches = _in_unit(upper.group(), first.unit)
        fraction = "/" in upper.group() or re.fullmatch(_PART, upper.group())
        if inches is not None and inches > first.inches and fraction:
            return Quantity("len", at, upper.end(), first.inches, inches)
    return Quantity("len", at, first.end, first.inches, first.inches) if first else None


def _same_scale(first: str, second: str) -> bool:
    return (first in ("in", "ft")) == (second in ("in", "ft"))


def _in_unit(text: str, unit: str) -> Decimal | None:
    number = number_of(text)
    return None if number is None else number * _IN_THE_UNIT[unit]


# -- Sizes

_NOMINAL = {"2", "3", "4", "6", "8"}
_DEPTHS = {"2", "3", "4", "6", "8", "10", "12", "14", "16"}
#: Metric sizes of sawn lumber and the nominal ones that they are (38 mm is 1-1/2 in): PS 20 dressed sizes.
_METRIC_SIZES = {"38": "2", "64": "3", "89": "4", "140": "6", "184": "8", "235": "10", "286": "12"}
_DIGIT_OF = {"two": "2", "three": "3", "four": "4", "six": "6", "eight": "8", "ten": "10", "twelve": "12"}
_SPELLED = "|".join(_DIGIT_OF)
_SIZE_WORDS = (
    rf"(?:[0-9]{{1,3}}(?:\"|''| ?in\b\.?)? ?(?:x|-?by-?| by ) ?[0-9]{{1,3}}"
    rf"|(?:{_SPELLED})[ -]?(?:x|by)[ -]?(?:{_SPELLED})|[2468][ -]by[ -][0-9]{{1,2}})"
)
_MULTIPLE = {"single": 1, "double": 2, "doubled": 2, "dbl": 2, "twin": 2, "triple": 3, "tripled": 3, "quadruple": 4}
_PLIES = (
    r"(?:(?P<times>[1-5])(?: ?ply| ?- ?ply)? ?[-x] ?|\((?P<paren>[1-5])\)[ -]?|(?P<plied>[1-5]|one|two|three|four)[ -]?pl(?:y|ies)(?: of)? "
    rf"|(?P<multiple>{'|'.join(sorted(_MULTIPLE, key=len, reverse=True))})[ -](?:up )?(?:ply )?|(?P<counted>two|three|four|(?<=of )[2-5](?= [0-9]+ ?x)) )"
)
_SIZE_ITSELF = (
    rf"(?P<size>(?:(?<![0-9./])|(?<=[-x])|(?<=[a-z]/)){_SIZE_WORDS})"
    r"(?:\"|''| ?mm\b)?(?P<more>(?:'?s)?(?![a-z0-9]))"
)
_SIZE_STARTS = r"(?:(?<![0-9./a-z])|(?<=[a-z]/))"
_SIZE = re.compile(rf"{_SIZE_STARTS}{_PLIES}?{_SIZE_ITSELF}")
#: In "4x4 x 11'" the first 4 counts no plies.
_SIZE_ALONE = re.compile(rf"{_SIZE_STARTS}{_SIZE_ITSELF}")
_SECOND = re.compile(rf" ?(?:-|/|to|through|thru|up to) ?(?P<size>{_SIZE_WORDS})(?:\"|'')?(?![0-9])")
_FIVE_QUARTER = re.compile(r"(?<![0-9/])5/4(?:\"|ths?| inch| in\b)?(?: ?x ?[0-9](?:\"|s\b|'s)?)?(?![0-9/])")


def _nominal(text: str) -> str | None:
    parts = re.findall(rf"[0-9]+|{_SPELLED}", text)
    parts = [_DIGIT_OF.get(part, part) for part in parts]
    if len(parts) != 2:
        return None
    if parts[0] in _METRIC_SIZES and parts[1] in _METRIC_SIZES:
        parts = [_METRIC_SIZES[part] for part in parts]
    if parts[0] in _NOMINAL and parts[1] in _DEPTHS and int(parts[0]) <= int(parts[1]):
        return "x".join(parts)
    return None


def _size_at(text: str, at: int) -> Quantity | None:
    found = _SIZE.match(text, at)
    if found and _nominal(found["size"]) is None:
        found = _SIZE_ALONE.match(text, at)
    if not found or (size := _nominal(found["size"])) is None:
        return None
    second = _SECOND.match(text, found.end())
    if second and (upper := _nominal(second["size"])) and int(upper.split("x")[1]) > int(size.split("x")[1]):
        return Quantity("size", at, second.end(), size=f"{size}-{upper}")
    return Quantity("size", at, found.end(), size=size, plies=_plies(found), counted=_is_counted(found))


def _is_counted(found: re.Match[str]) -> bool:
    groups = found.groupdict()
    return bool(groups.get("counted") or groups.get("paren"))


def _plies(found: re.Match[str]) -> int | None:
    groups = found.groupdict()
    if groups.get("multiple"):
        return _MULTIPLE[groups["multiple"]]
    counted = next((told for name in ("times", "paren", "plied", "counted") if (told := groups.get(name))), None)
    if counted is None:
        return None
    return int(counted) if counted.isdigit() else _UNITS[counted]


# -- Other numbers

_WHOLE = rf"(?:[0-9]{{1,3}}|{_COUNT_WORD})"
_OTHER_PATTERNS: tuple[tuple[Kind, str], ...] = (
    # What looks like a number and measures nothing: dates, telephones, sections, places in a list.
    ("skip", r"\b[0-9]{1,2}(?P<sign>[/.-])[0-9]{1,2}(?P=sign)(?:[0-9]{4}|[0-9]{2})\b(?![\"'/])"),
    ("skip", r"\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b"),
    ("skip", r"\(?\b[0-9]{3}\)?[-. ][0-9]{3}[-. ][0-9]{4}\b|\b[0-9]{3}-[0-9]{4}\b"),
    ("skip", r"\b(?:irc|ibc|code|dca|section|sec\.?|table|chapter|figure|fig\.?|§) ?-?[a-z]?[0-9][0-9a-z.()]*"),
    ("skip", r"\br[0-9]{3}[0-9.]*(?:\([0-9a-z]\))*"),
    ("skip", r"\b(?:19|20)[0-9]{2}(?:s|'s)?\b(?! ?(?:mm|lb|psf|#|pound))"),
    ("skip", r"\b[0-9]{1,2}:[0-9]{2}(?: ?[ap]m)?\b"),
    ("skip", r"[0-9.]+ ?(?:%|percent\b)"),
    ("skip", r"\b(?:photos?|pics?|pictures?|images?|img|item|unit|apt|lot|page|no\.|nr\.?|bay|number|location|loc\.?) ?#?:? ?[0-9]+(?: ?(?:,|and|&|-|to) ?[0-9]+)*\b(?! ?(?:\"|in\b|inch|feet|ft|mm|'|/|x|of))"),
    ("skip", r"(?<![0-9])# ?[0-9]+\b(?! ?(?:x|lb))"),
    ("skip", r"\b[0-9]+(?:st|nd|rd|th)\b"),
    ("skip", r"\b(?:jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?)\.? [0-9]{1,2}\b(?!-)(?!\"|/|')"),
    ("skip", r"\b[0-9]+(?: ?-? ?)(?:years?|yrs?|days?|weeks?|months?|hours?|hrs?|minutes?|volts?|v|amps?|gal(?:lons?)?|gauge|ga)\b"),
    ("skip", r"\$ ?[0-9][0-9,.]*"),
    ("skip", r"\b(?:j|r|h|p|b|t)[0-9]{1,2}\b(?= |:|,)"),
    ("skip", r"(?:(?<=riser )|(?<=step )|(?<=tread )|(?<=joist )|(?<=jst )|(?<=post )|(?<=hanger )|(?<=hgr )|(?<=beam )|(?<=baluster )|(?<=stringer )|(?<=column )|(?<=girder )|(?<=ledger )|(?<=bolt )|(?<=hole ))#?[0-9]{1,2}(?= (?:is|are|has|was|measures?|gap|soft|shows?|sits?|and|through|thru|at|near|by)\b|:| ?-? ?gap|\.(?: |$)|;|$)"),
    ("skip", r"(?:(?<=joist )|(?<=jst )|(?<=hanger )|(?<=hgr )|(?<=post )|(?<=beam ))#?[0-9]{1,2}(?=, )"),
    ("skip", r"[0-9]/[0-9] of (?!an? inch|inch)"),
    ("angle", rf"(?P<n>{_NUMBER})[ -]?(?:°|degrees?|deg\b)"),
    ("load", rf"(?P<n>{_NUMBER}) ?(?:psf\b|lbs?\.? per (?:sq|square)|pounds per (?:sq|square) ?(?:ft|foot))"),
    ("area", rf"(?P<n>{_NUMBER}) ?(?:sq\.? ?ft\b\.?|sqft\b|s\.?f\.?\b|square ?-?(?:feet|foot|ft)\b|ft2\b|ft²)"),
    ("area", rf"(?P<m>{_NUMBER}) ?(?:m2\b|m²|sq\.? ?m\b|square met(?:er|re)s?)"),
    ("force", rf"(?P<n>{_NUMBER})[ -]?(?:lbf\b|lbs?\b\.?|pounds?\b|#)"),
    ("penny", r"\b(?:6|8|10|12|16|20)d\b"),
    ("pair", rf"(?P<a>{_WHOLE}) (?:out )?of (?:the |its |all )?(?:required |total )?(?P<b>{_WHOLE})\b(?! ?(?:\"|in\b|inch|feet|ft\b|mm|'|/|x|lbs?\b|pounds?\b|#|psf|-? ?pound))"),
    ("pair", r"(?<![0-9./])(?P<a>[0-9]{1,2})/(?P<b>[0-9]{1,2})(?= (?:of the )?(?:[a-z]+ ){0,2}(?:holes?|nails?|fasteners?|screws?)\b)"),
)  # fmt: skip
_OTHERS = tuple((kind, re.compile(pattern)) for kind, pattern in _OTHER_PATTERNS)
#: Those that can begin with a letter.
_OTHERS_OF_WORDS = tuple(
    (kind, pattern) for kind, pattern in _OTHERS if pattern.pattern.startswith((r"\b(?:", r"\br", "(?P<"))
)
#: A nail or screw by its thickness and its length: ".148 x 3", "#9 x 1-1/2".
_THICK_BY_LONG = re.compile(
    rf"(?:#(?:[0-9]{{1,2}})|(?:0?\.[0-9]{{3}})(?:\"| ?in\b\.?)?) ?x ?(?P<long>{_NUMBER})(?:{_INCH})?"
)
_PENNY_BY_LONG = re.compile(rf"\b(?:6|8|10|12|16|20)d ?x ?(?P<long>{_NUMBER})(?:{_INCH})?")
_NUMBER_OR_RANGE = re.compile(rf"(?P<low>{_NUMBER})(?: ?(?:-|to|through|thru) ?(?P<high>{_NUMBER}))?")
_NUMBER_AND_NUMBER = re.compile(rf"(?P<low>{_NUMBER})(?: ?(?:-|to|and|&|or) ?(?P<high>{_NUMBER}))?")
_BETWEEN = re.compile(r"\b(?:between|from|either|btwn|bwtn|b/w) (?:about |approx\.? )?$")
#: What follows a share that is of an inch: "an eighth wide".
_SAID_OF_A_GAP = re.compile(r" (?:wide|gap|deep|high|short|shy|off|away|clear|open|thick|play)\b")
#: A spacing that nobody means in inches: "300 c/c".
_MILLIMETERS = re.compile(r"(?P<n>[1-9][0-9]{2,3})(?= ?(?:c/c|o\.?c\b|on cent|ctrs?\b|centers|centres|crs\b))")
_STARTS = re.compile(
    rf"\b[jrhpbt][0-9]{{1,2}}\b|[0-9.#§$(]|\b(?:an?|one|single|doubled?|dbl|twin|tripled?|quadruple|{_COUNT_WORD}|{_PART_WORD})\b|\b[a-z]+\b"
)


def find_quantities(text: str) -> list[Quantity]:
    """All quantities of a text in small letters, in their order, none inside another."""
    found: list[Quantity] = []
    at = 0
    while start := _STARTS.search(text, at):
        quantity = _quantity_at(text, start.start())
        if quantity is None:
            at = start.end() if start.group()[0].isalpha() else start.start() + 1
            continue
        found.append(quantity)
        at = quantity.end
    return found


def _quantity_at(text: str, at: int) -> Quantity | None:
    for read in (_other_at, _size_at, _nail_at, _five_quarter_at, _length_or_number_at):
        quantity = read(text, at)
        if quantity is not None:
            return quantity
    return None


def _other_at(text: str, at: int) -> Quantity | None:
    for kind, pattern in _OTHERS_OF_WORDS if text[at].isalpha() else _OTHERS:
        found = pattern.match(text, at)
        if not found:
            continue
        groups = found.groupdict()
        if kind in ("skip", "penny"):
            if kind == "penny" and _PENNY_BY_LONG.match(text, at):
                continue
            return Quantity(kind, at, found.end())
        if kind == "pair":
            low, high = number_of(groups["a"]), number_of(groups["b"])
            if low is not None and high is not None and low <= high:
                return Quantity(kind, at, found.end(), low, high)
            continue
        number = number_of(groups.get("n") or groups["m"])
        if number is not None:
            number = number if groups.get("n") else number / Decimal("0.09290304")
            return Quantity(kind, at, found.end(), number, number)
    return None


def _nail_at(text: str, at: int) -> Quantity | None:
    found = _PENNY_BY_LONG.match(text, at) or _THICK_BY_LONG.match(text, at)
    if not found or (number := number_of(found["long"])) is None:
        return None
    return Quantity("len", at, found.end(), number, number)


def _five_quarter_at(text: str, at: int) -> Quantity | None:
    found = _FIVE_QUARTER.match(text, at)
    return Quantity("size", at, found.end(), size="5/4") if found else None


def _length_or_number_at(text: str, at: int) -> Quantity | None:
    if metric := _MILLIMETERS.match(text, at):
        inches = Decimal(metric["n"]) / _METRIC_INCHES["mm"]
        return Quantity("len", at, metric.end(), inches, inches)
    length = _lengths(text, at, bool(_BETWEEN.search(text, 0, at)))
    if length is not None:
        return length
    pattern = _NUMBER_AND_NUMBER if _BETWEEN.search(text, 0, at) else _NUMBER_OR_RANGE
    found = pattern.match(text, at)
    if not found or (low := number_of(found["low"])) is None:
        return None
    if re.fullmatch(_PART, found["low"]):
        # "seven sixteenths" is of an inch; "half" and "a quarter" may be of anything.
        fine = re.fullmatch(rf"(?:{_UNIT_WORD})[- ](?:eighths|sixteenths)", found["low"]) or _SAID_OF_A_GAP.match(
            text, found.end("low")
        )
        return Quantity("len", at, found.end("low"), low, low) if fine else None
    high = number_of(found["high"]) if found["high"] else low
    end = found.end()
    if high is None or high <= low:
        high, end = low, found.end("low")
    fraction = "/" in found.group()
    return Quantity("len" if fraction else "num", at, end, low, high, in_words=found["low"].isalpha())
