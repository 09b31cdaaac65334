"""Sentences of the catalog: templates with what was recorded, and how a measure is called in a sentence."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from etl.criteria.conditions import Place
from etl.vocabulary import Measure

_PIECE = re.compile(
    r"\[(?P<optional>[^\[\]]*)\]|\{(?P<name>[a-z0-9_]*)(?P<feet>:ft)?\}|(?P<plain>[^\[\]{}]+)|(?P<stray>.)", re.DOTALL
)


@dataclass(frozen=True)
class Value:
    """A place in a template that stands for what was recorded; ``{name:ft}`` tells inches in feet and inches."""

    name: str
    feet: bool = False


@dataclass(frozen=True)
class Template:
    """Plain text, values, and parts (nested templates) that are left out where one of their values is missing."""

    pieces: tuple[str | Value | Template, ...]

    def values(self) -> frozenset[Value]:
        """All values in it."""
        found = [
            piece.values() if isinstance(piece, Template) else {piece}
            for piece in self.pieces
            if not isinstance(piece, str)
        ]
        return frozenset[Value]().union(*found)

    def names(self) -> frozenset[str]:
        """The names of all values in it."""
        return frozenset(value.name for value in self.values())


def read_template(place: Place, known: Collection[str], text: str | None = None) -> Template:
    """The template of a text; ``{name}`` must be a known name.

    Raises
    ------
    CriterionError
        Where a bracket is left open or a name is unknown.
    """
    pieces: list[str | Value | Template] = []
    for match in _PIECE.finditer(place.text if text is None else text):
        if match["stray"]:
            raise place.error(f"a bracket {match['stray']} is left open or nested; close it")
        if match["optional"] is not None:
            pieces.append(read_template(place, known, match["optional"]))
        elif match["plain"]:
            pieces.append(match["plain"])
        elif match["name"] in known:
            pieces.append(Value(match["name"], match["feet"] is not None))
        else:
            raise place.error(f"{{{match['name']}}} is no measure, deck column or derived value; correct it")
    return Template(tuple(pieces))


def template_sql(template: Template, value_sql: Callable[[Value], str]) -> str:
    """The SQL text of a template; null where a value outside square brackets is missing."""
    written = []
    for piece in template.pieces:
        if isinstance(piece, str):
            written.append(text_sql(piece))
        elif isinstance(piece, Value):
            written.append(value_sql(piece))
        else:
            written.append(f"coalesce({template_sql(piece, value_sql)}, '')")
    return "(" + " || ".join(written) + ")"


def value_as_text(sql: str, kind: str, choices: Collection[str] = (), feet: bool = False) -> str:
    """The SQL text of a value: numbers as on a tape measure, words of a closed list of ``choices`` spelled out."""
    if feet:
        return _feet_as_text(sql)
    if kind.upper().startswith("DECIMAL"):
        return _number_as_text(sql)
    if kind.upper() == "BOOLEAN":
        return f"case when {sql} then 'yes' when not {sql} then 'no' end"
    if choices:
        spelled = [f"when {text_sql(word)} then {text_sql(_WORDS[word])}" for word in choices if word in _WORDS]
        blanks = f"replace({sql}, '_', ' ')"
        return f"case {sql} {' '.join(spelled)} else {blanks} end" if spelled else blanks
    return f"{sql}::varchar"


def _number_as_text(sql: str) -> str:
    """``15/16``, ``4-3/8``, ``24``; a number that is no sixteenth keeps its decimals, without trailing zeros."""
    # Whole numbers first: most are, and the rest of it takes ten times as long.
    mixed = f"concat(' ', floor({sql})::bigint, {_SIXTEENTHS}[1 + (16 * {sql})::bigint % 16])"
    decimal = f"rtrim(rtrim({sql}::decimal(18, 6)::varchar, '0'), '.')"
    fraction = f"when (16 * {sql}) % 1 = 0 then ltrim(replace({mixed}, ' 0-', ''))"
    return f"case when {sql} % 1 = 0 then {sql}::bigint::varchar {fraction} else {decimal} end"


def number_in_words(number: Decimal) -> str:
    """A number as :func:`value_as_text` writes it: ``1/16``, ``4-3/8``, ``0.4``."""
    whole, rest = divmod(Fraction(number), 1)
    if rest.denominator > 16 or 16 % rest.denominator or not rest:
        return f"{number.normalize():f}"
    return f"{whole}-{rest}" if whole else str(rest)


def _feet_as_text(sql: str) -> str:
    """Inches as ``11 ft 10 in``, ``12 ft``, ``9-1/2 in``."""
    feet, inches = f"floor({sql} / 12)::bigint || ' ft'", f"{_number_as_text(f'({sql} % 12)')} || ' in'"
    told = f"concat_ws(' ', nullif({feet}, '0 ft'), nullif({inches}, '0 in'))"
    return f"case when {sql} is not null then {told} end"


def word_in_words(word: str) -> str:
    """A word of a closed list as a person says it: ``deck screw``, ``1-1/4 in``."""
    return _WORDS.get(word, word.replace("_", " "))


def text_sql(text: str) -> str:
    """A text as an SQL constant."""
    return "'" + text.replace("'", "''") + "'"


_SIXTEENTHS = '(\'["", ' + ", ".join(f"-{Fraction(part, 16)}" for part in range(1, 16)) + "]'::varchar[])"
#: Words of closed lists that the underscore alone does not make readable.
_WORDS = {
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
#: Measures whose title does not make a sentence with "was not recorded".
_SPOKEN = {
    "lumber_kind": "the kind of lumber",
    "hanger_for": "what the hanger is made for",
    "joist_angled": "whether the joist is angled",
    "hanger_skewed": "whether the hanger is made for an angle",
    "hanger_bent_to_fit": "whether the hanger was bent to fit",
    "flange_bent": "whether the flange is bent",
    "hanger_below_ledger_in": "how far the hanger reaches below the ledger",
    "nails_below_ledger": "whether nails are below the ledger",
    "fastener_kind": "the kind of fastener",
    "bearing_on": "what the joist bears on",
    "joist_end": "what holds the joist end",
    "guard_present": "whether there is a guard",
    "guard_post_fixing": "what holds the guard post",
    "guard_post_notched": "whether the guard post is notched",
    "guard_movement": "how the guard moves when pushed",
    "riser_opening_in": "the opening of the riser",
    "handrail_present": "whether there is a handrail",
    "graspable": "whether the handrail can be grasped",
    "stringer_kind": "the kind of stringer",
    "wire_kind": "the kind of wire",
    "wire_above_deck_in": "the height of the wire above the deck",
}


def in_a_sentence(measure: Measure) -> str:
    """What is called missing: ``hanger height``, ``the number of risers``, ``whether the flange is bent``."""
    if measure.id in _SPOKEN:
        return _SPOKEN[measure.id]
    name = measure.title.split(",")[0]
    name = name[0].lower() + name[1:]
    if measure.kind == "count":
        return f"the {name}"
    return f"{name} (yes or no)" if measure.kind == "yes_no" else name
