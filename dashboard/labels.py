"""Every word, glyph and number format that a reader sees; charts, tables and notes take them from here.

Nothing here computes: a share comes in as 0 to 1 and leaves as text. User text becomes Markdown or a cell of an
exported table only through :func:`escape_markdown` and :func:`safe_cell`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pandas as pd

NO_BREAK = "\u00a0"
NO_VALUE = "not recorded"
PRODUCT = "Evenhand"

CALLS = {
    "written_up": "written up",
    "referred": "referred",
    "advised": "advised",
    "passed": "no defect noted",
    "not_seen": "not seen",
}
#: What a rule says of a call; that it leaves a call to the inspector is a verdict, no outcome.
SAID = {
    "defect": "a defect",
    "acceptable": "acceptable",
    "judgment": "left to the inspector",
    "cannot_tell": "cannot be told",
}
VERDICTS = {verdict: f"by the rule: {said}" for verdict, said in SAID.items()}
#: How often a rule's verdict on a call came, as a row of a small table.
VERDICT_ROWS = {verdict: SAID[verdict].capitalize() for verdict in ("defect", "acceptable", "judgment")}
OUTCOMES = {
    "upheld": "holds",
    "overcalled": "does not hold",
    "missed": "missed",
    "understated": "understated",
    "cleared": "no issue",
    "judgment": "inspector's call",
    "undecided": "could not be judged",
    "no_rule": "no rule yet",
    "not_seen": "not seen",
}
#: The same said of many calls, where that is another word.
OUTCOMES_OF_MANY = OUTCOMES | {"upheld": "hold", "overcalled": "do not hold"}
#: What a case is called in its heading; the outcomes that carry a statement about a call.
OUTCOME_HEADINGS = {
    "upheld": "This call holds",
    "overcalled": "This write-up does not hold",
    "missed": "This was passed over",
    "understated": "This was advised, and is a defect",
    "cleared": "No issue here",
    "judgment": "This is the inspector's call",
    "undecided": "This could not be judged",
    "no_rule": "There is no rule for this yet",
    "not_seen": "This was not seen",
}
#: Shape beside color, so that print in black and white and color-blind readers lose nothing.
GLYPHS = {
    "upheld": "●",
    "overcalled": "▲",
    "missed": "▼",
    "understated": "▽",
    "judgment": "◆",
    "undecided": "○",
}
#: Streamlit's names for the colors of the two ways to be wrong; the theme gives them ours.
GLYPH_COLORS = {"overcalled": "orange", "missed": "blue", "understated": "blue"}
BASES = {
    "measured": "Verdict from the recorded measures.",
    "second_look": "Verdict from a second look.",
    "comment": "Verdict from measures read out of the comment.",
}
#: How an observation came to be looked at again.
LOOKS = {
    "random": "It was drawn at random.",
    "targeted": "It was chosen for what it may show.",
    "dispute": "It was asked for after a dispute.",
}
#: How the value of a rule is known; the catalog's pages say it in the same words.
KNOWN = {
    "read": "read in the document",
    "secondary": "from a public transcription or the trade press",
    "computed": "computed from published equations",
    "from memory": "from memory, not confirmed",
    "common practice": "common practice, no published source",
}
#: Why a row was refused, said of the column that is at fault.
REFUSALS = {
    "required": "left blank",
    "not_a_number": "not a number",
    "not_an_integer": "not a whole number",
    "not_a_date": "not a date",
    "not_yes_or_no": "neither yes nor no",
    "not_a_size": "not a lumber size",
    "not_listed": "not a word of its list",
    "out_of_range": "beyond what is plausible",
    "built_after_inspection": "later than the inspection",
    "too_long": "too long",
    "control_character": "holds a control character",
    "not_a_value": "a list where a value should be",
    "wrong_width": "more or fewer cells than the header",
    "not_readable": "cannot be taken apart",
    "not_a_report": "not a report",
    "no_observations": "lists no observation",
    "duplicate_observation": "the same observation twice, with different content",
    "report_disagrees": "rows disagree on a fact of their report or deck",
    "duplicate_row": "the same row of a further table twice, with different content",
    "unknown_observation": "a second look at an observation that is not loaded",
    "refused_by_layout": "a word that the layout refuses",
    "not_told": "no column for its topic or call, and a comment that does not tell it",
    "not_joined": "no row of the table that the layout joins to it",
    "joined_twice": "several rows of the table that the layout joins to it, which differ",
}
#: What kind of thing a measure without a unit is.
MEASURE_KINDS = {
    "number": "a number",
    "count": "a count",
    "yes_no": "yes or no",
    "choice": "a kind, in words",
    "size": "a size, as 2x10",
    "size_range": "a size, as 2x10 or 2x8-2x10",
    "beam": "a beam, as 2-2x10",
}
#: Words of closed lists that the underscore alone does not make readable; verdicts spell them in the same way.
#: What of a row was read out of its comment.
READ_FROM_COMMENT = {
    "topic": "The topic was",
    "call": "The call was",
    "topic_and_call": "The topic and the call were",
}
_CHOICES = {
    "half_in_lag": "lag screws",
    "half_in_bolt": "bolts",
    "half_in_bolt_spaced": "bolts with stacked washers",
    "three_eighths_lag": "3/8 in lag screws",
    "five_quarter": "1-1/4 in",
    "two_by": "2 in",
    "douglas_fir_larch": "Douglas fir-larch",
    "hem_fir": "hem-fir",
    "spruce_pine_fir": "spruce-pine-fir",
    "i_joist": "I-joist",
    "lvl": "LVL",
    "g185": "G185",
}
SPLITS = {"deck_age": "Deck age", "builder": "Builder", "region": "Region", "deck_height": "Deck height"}
SPLIT_HEADS = {
    "deck_age": "Deck age, years",
    "builder": "Builder",
    "region": "Region",
    "deck_height": "Deck height",
}
AGE_BANDS = ("under 5", "5 to 9", "10 to 14", "15 to 19", "20 to 29", "30 and more")
HEIGHT_BANDS = ("30 in or less", "31 to 72 in", "73 to 120 in", "over 120 in")
#: Whether a group differs from all others by more than luck and the mix of deck ages.
STANDS_OUT = {"higher": "more often", "lower": "less often", "none": "no", "too_few": "too few to say"}
#: What is shown month by month: of which calls it is a share, and of how many.
OVER_TIME = {
    "written_up": "Written up",
    "overcalled": "Do not hold",
    "missed": "Missed",
    "judged": "Could be judged",
}
#: Whether a month lies beyond what luck allows.
MONTH_SIGNALS = {
    "higher": "more",
    "lower": "fewer",
    "none": "no",
    "too_few": "too few to say",
    "session": "month of a session",
}
#: What a comparison with peers came to.
COMPARED = {
    "higher": "more than luck allows",
    "lower": "fewer than luck allows",
    "none": "within what luck allows",
    "too_few": "too few to compare",
    "cannot_separate": "cannot be told apart from the decks",
}
#: In place of figures, where nothing could be compared; the second for a narrow cell.
NOT_COMPARED = {"too_few": "too few", "cannot_separate": "not separable"}
NOT_COMPARED_SHORT = {"too_few": "too few", "cannot_separate": "–"}
MORE_OR_FEWER = {"higher": "more", "lower": "fewer"}
#: The three comparisons of an inspector with peers, and what each counts.
COMPARISONS = {
    "written_up": "Written up",
    "overcalled": "Sound work written up",
    "missed": "Defects passed over",
}
COUNTED = {"written_up": "written up", "overcalled": "sound ones written up", "missed": "defects passed over"}
#: Whom training on a topic should reach.
WHOM = {"whole team": "the whole team", "a few": "a few colleagues", "one": "one colleague"}
BANDS = {"deck_age": AGE_BANDS, "deck_height": HEIGHT_BANDS}
#: Short forms of bands for the narrow columns of a grid.
SHORT_GROUPS = {
    "under 5": "< 5",
    "5 to 9": "5–9",
    "10 to 14": "10–14",
    "15 to 19": "15–19",
    "20 to 29": "20–29",
    "30 and more": "30 +",
    "30 in or less": "≤ 30 in",
    "31 to 72 in": "31–72 in",
    "73 to 120 in": "73–120 in",
    "over 120 in": "> 120 in",
}
UNKNOWN = "unknown"
UNKNOWN_SHOWN = "not known"

MISSES_CAUTION = (
    "Misses show only where a measure was written down and fails its rule, or a second look says so; there may be more."
)
CAUTIONS = (
    "Verdicts rest on what was recorded: no finding of code compliance, no engineer's opinion, and no statement that a "
    "deck is safe. Nobody should act on a structure by this alone.",
    "Calls are measured against the guideline named with each rule; an older deck may have met the rules of its day.",
    "Local codes and their amendments, the maker's instructions, an engineer's letter and licensed practice stand "
    "above it.",
    "The 60 percent rule is about holding a joist upright; load capacity is not checked.",
    "A miss shows only where a measure was written down, and not seen is not fine.",
    "Do not pry, load or climb to get a measure.",
    "An issued report found wrong in a safety matter goes to a person that day.",
    "Figures on people are for learning, not for pay or dismissal.",
)

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_BLANKS = re.compile(r"[ \t\r\n\f\v]+")
#: What Markdown, and Streamlit's colors, icons, arrows and formulas, are made of; addresses would become links.
_MARKUP = re.compile(r"[\\`*_\[\]<>|~&$^{}]|:(?=[A-Za-z/])|-(?=-)|(?<=-)-|(?<=www)\.")
#: Where an address begins that Streamlit makes a link of, escaped or not: it looks once more at what it has unescaped.
_ADDRESS = re.compile(r"(?=https?://|www\.)|(?<=[\w.+-])(?=@)", re.IGNORECASE)
_JOINER = "\u2060"  # seen by nobody, and no part of an address
_LINE_START = re.compile(r"^(\d+(?=[.)](?:\s|$))|(?=[#+=-]))")
_FORMULA_STARTS = ("=", "+", "-", "@", "＝", "＋", "－", "＠")


def join(*parts: object) -> str:
    """The parts as text that a line break never takes apart: ``join("6.5", "in")``."""
    return NO_BREAK.join(str(part).replace(" ", NO_BREAK) for part in parts)


def is_known(value: object) -> bool:
    """Whether a value of a frame is there at all (None, NaN and NaT are not)."""
    return value is not None and not (isinstance(value, float) and math.isnan(value)) and value is not pd.NaT


def _points(share: float) -> str:
    points = 100 * share
    if round(points, 1) >= 10 or points == 0:
        return f"{points:.0f}"
    return f"{points:.1f}"


def percent(share: float) -> str:
    """A share (0 to 1) as ``12 %``; one decimal below 10 %."""
    return join(_points(share), "%")


def whole_percent(share: float) -> str:
    """``9%``, for the narrow cells of a grid; the tooltip has the rest."""
    return f"{100 * share:.0f}%"


def interval(low: float, high: float) -> str:
    """The bounds of a share (0 to 1) as ``12 to 19``, in percent without the sign."""
    return join(_points(low), "to", _points(high))


def percent_with_interval(share: float, low: float, high: float) -> str:
    """``12 % (9.8 to 15)``, the form used in tables and captions."""
    return f"{percent(share)} ({interval(low, high)})"


def points(share: float) -> str:
    """A difference of shares (0 to 1) as ``12 points``."""
    return join(_points(share), "points")


def coefficient(value: float) -> str:
    """A figure of agreement, -1 to 1, as ``0.43``; minus as the minus sign."""
    return f"{value:.2f}".replace("-0.00", "0.00").replace("-", "−")


def coefficient_with_interval(value: float, low: float, high: float) -> str:
    """``0.43 (0.34 to 0.52)``."""
    return f"{coefficient(value)} ({join(coefficient(low), 'to', coefficient(high))})"


def count(number: int) -> str:
    """A count with commas: ``1,263``."""
    return f"{int(number):,}"


def few(number: float) -> str:
    """An expected number: ``0.7``, ``3.4``, ``12``."""
    return f"{number:.1f}" if round(number, 1) < 10 else count(round(number))


def more_or_fewer(change: float) -> str:
    """A change of a number: ``2.5 fewer``, ``12 more``; ``0.0`` where it is none as shown."""
    return "0.0" if few(abs(change)) == "0.0" else join(few(abs(change)), "fewer" if change < 0 else "more")


def tenths(number: float) -> str:
    """A number to a tenth, however large, so that parts add up as shown: ``1,204.5``."""
    return f"{number:,.1f}"


def more_or_fewer_tenths(change: float) -> str:
    """A part of a difference: ``2.5 fewer``, ``12.0 more``."""
    return join(tenths(abs(change)), "fewer" if change < 0 else "more")


def times(ratio: float, low: float, high: float) -> str:
    """``1.2 times, 1.1 to 1.3``; with two decimals where one would show an end as 1, which it is not."""
    ends = [ratio, low, high]
    digits = 2 if any(0 < abs(end - 1) < 0.05 for end in ends) else 1
    told = [f"{end:.{digits}f}" if is_known(end) else "any number" for end in ends]
    return f"{join(told[0], 'times')}, {join(told[1], 'to', told[2])}"


def factor(value: float) -> str:
    """How many times as much: ``1.1``."""
    return f"{value:.1f}"


def part_of(part: int, whole: int) -> str:
    """``45 of 48`` on one line."""
    return join(count(part), "of", count(whole))


def plural(number: int, one: str, many: str | None = None) -> str:
    """``1 write-up`` or ``12 write-ups``."""
    return join(count(number), one if number == 1 else many or f"{one}s")


def all_of(number: int, one: str, many: str | None = None) -> str:
    """``all 83 write-ups``, of one ``the one write-up``."""
    return join("the one", one) if number == 1 else f"all {plural(number, one, many)}"


def are(number: int) -> str:
    """``is`` of one, ``are`` of any other number."""
    return "is" if number == 1 else "are"


def do_not_hold(number: int) -> str:
    """``1 does not hold`` or ``12 do not hold``."""
    return f"{count(number)} {'does' if number == 1 else 'do'} not hold"


def in_sentence(title: str) -> str:
    """A title within a sentence: a small letter at its start."""
    return title[:1].lower() + title[1:]


def missing_most(title: str) -> str:
    """``Missing most: hanger height``, of the measure for want of which most calls were left undecided."""
    return f"Missing most: {in_sentence(title)}"


def number(value: float) -> str:
    """A measure without needless zeros: 6.5, 0.375, 36; minus as the minus sign."""
    text = f"{float(value):.4f}".rstrip("0").rstrip(".")
    return text.replace("-", "−")


def quantity(value: float, unit: str | None) -> str:
    """A measure with its unit: ``6.5 in``."""
    return join(number(value), unit) if unit else number(value)


def inches(value: float) -> str:
    """Inches as a tape shows them: ``3/8 in``, ``7-3/4 in``; decimals where no sixteenth fits."""
    sixteenths = round(float(value) * 16)
    whole, rest = divmod(sixteenths, 16)
    if value < 0 or not rest or not math.isclose(sixteenths, float(value) * 16, abs_tol=1e-6):
        return quantity(value, "in")
    part = Fraction(rest, 16)
    return join(f"{whole}-{part}" if whole else str(part), "in")


def feet(value: float) -> str:
    """Inches as a long measure is told: ``11 ft 10 in``, ``12 ft``, ``9-1/2 in``."""
    whole, rest = divmod(float(value), 12)
    parts = [join(number(whole), "ft")] if whole else []
    return join(*parts, inches(rest)) if rest or not whole else parts[0]


def day(value: date | datetime | pd.Timestamp) -> str:
    """``4 Mar 2026``, in English whatever the machine's language."""
    return join(value.day, _MONTHS[value.month - 1], value.year)


def month(value: date | datetime | pd.Timestamp) -> str:
    """``Mar 2026``."""
    return join(_MONTHS[value.month - 1], value.year)


def month_name(value: date | datetime | pd.Timestamp) -> str:
    """``Mar``, where the year stands beside."""
    return _MONTHS[value.month - 1]


def month_of_year(number: int) -> str:
    """``Mar`` for 3."""
    return _MONTHS[number - 1]


def period_of(length: str, start: date | datetime | pd.Timestamp) -> str:
    """A month, quarter or year by its first day: ``Mar 2026``, ``Jan to Mar 2026``, ``2026``."""
    if length == "year":
        return str(start.year)
    if length == "quarter":
        return join(_MONTHS[start.month - 1], "to", _MONTHS[start.month + 1], start.year)
    return month(start)


def moment(value: datetime | pd.Timestamp) -> str:
    """``4 Mar 2026, 07:10 UTC``."""
    return f"{day(value)}, {join(value.strftime('%H:%M'), 'UTC')}"


def period(first: date, last: date) -> str:
    """``1 Apr 2025 to 30 Sep 2026``, or the one day."""
    return day(first) if first == last else f"{day(first)} to {day(last)}"


def group(name: str) -> str:
    """A group as shown; ``unknown`` reads "not known"."""
    return UNKNOWN_SHOWN if name == UNKNOWN else name


def short_group(name: str) -> str:
    """A group for a narrow column."""
    return SHORT_GROUPS.get(name, group(name))


def group_in_sentence(by: str, name: str) -> str:
    """A group as part of a sentence: ``decks of 20 to 29 years``."""
    if name == UNKNOWN:
        unknown = {"deck_age": "decks of unknown age", "deck_height": "decks of unknown height"}
        return unknown.get(by, f"decks whose {SPLITS[by].lower()} is not known")
    if by == "deck_age":
        return f"decks {ages_in_sentence(name, name)}"
    forms = {
        "deck_height": "decks {} high",
        "builder": "decks by {}",
        "region": "decks in {}",
    }
    return forms[by].format(name)


def ages_in_sentence(first: str, last: str) -> str:
    """Adjoining bands of deck age as one: ``of 5 to 14 years``, ``under 15 years old``, ``of 20 years and more``."""
    start, end = first.split()[0], last.split()[-1]
    if last == AGE_BANDS[-1]:
        return f"of {start} years and more"
    if first == AGE_BANDS[0]:
        return f"under {int(end) + 1 if first != last else end} years old"
    return f"of {start} to {end} years"


def ordered_groups(by: str, names: Iterable[str]) -> list[str]:
    """Groups in reading order: bands in their own order, others by alphabet, not known last."""
    bands = BANDS.get(by, ())
    return sorted(names, key=lambda name: (name == UNKNOWN, bands.index(name) if name in bands else 0, name.lower()))


def listed(items: Iterable[str], last: str = "and") -> str:
    """``a, b and c``."""
    texts = list(items)
    if len(texts) < 2:
        return "".join(texts)
    return f"{', '.join(texts[:-1])} {last} {texts[-1]}"


def choice(value: str) -> str:
    """A recorded kind as words: ``deck_screw`` reads "deck screw"."""
    return _CHOICES.get(value, value.replace("_", " "))


def value(recorded: object, unit: object) -> str:
    """A recorded measure as shown: with its unit, yes or no, or the kind in words."""
    if not is_known(recorded):
        return NO_VALUE
    if isinstance(recorded, bool):
        return "yes" if recorded else "no"
    if isinstance(recorded, int | float | Decimal):
        return quantity(float(recorded), str(unit) if is_known(unit) else None)
    return choice(str(recorded))


def file_name(path: str) -> str:
    """The last part of a path, whichever system wrote it."""
    return re.split(r"[\\/]", path)[-1]


def slug(text: str) -> str:
    """Text as a key or a file name: small letters, digits and hyphens."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def on_tape(recorded: object, unit: object) -> str:
    """A recorded measure as shown, inches as a tape shows them with the decimals beside: ``5/8 in (0.625)``."""
    told = value(recorded, unit)
    if unit != "in" or not is_known(recorded):
        return told
    tape = inches(float(str(recorded)))
    return told if tape == told else f"{tape} ({number(float(str(recorded)))})"


def escape_markdown(text: str) -> str:
    """User text as Markdown that shows exactly these characters: no image, link, color or formula is made of it.

    Only what can be markup is escaped, so that a note as Markdown is fit to be read as it is. Line ends become blanks,
    and before an address stands a character that nobody sees.
    """
    escaped = _MARKUP.sub(r"\\\g<0>", _ADDRESS.sub(_JOINER, _BLANKS.sub(" ", text)))
    return _LINE_START.sub(r"\1\\", escaped)


def safe_cell(value: object) -> object:
    """A cell of an exported table that no spreadsheet takes for a formula; only text is changed.

    An apostrophe goes before text that begins with = + - @ (full-width too), after blanks, tabs and line ends.
    """
    if isinstance(value, str) and value.strip().startswith(_FORMULA_STARTS):
        return f"'{value}"
    if isinstance(value, str) and value.startswith(("\t", "\r")):
        return f"'{value}"
    return value
