"""The bulk check: SQL made from the contract, that types a table of text and names what it refuses.

Its verdicts equal those of the pydantic models (a test holds both to the same dirty rows). Both read the same
patterns, from :mod:`etl.values`.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

from etl import contract, values
from etl.contract import Column, Rule
from etl.tables import quoted, sql_type


def _text(value: str) -> str:
    """A Python string as an SQL literal."""
    return "'" + value.replace("'", "''") + "'"


def _trimmed(expression: str) -> str:
    """The text without white space around it; null where nothing is left.

    Trimming by a set of characters is slow, so only text that begins or ends with one of them, or with nothing
    at all, goes through it: all but the no-break space sort up to the space.
    """
    blanks = " || ".join(f"chr({ord(sign)})" for sign in values.BLANKS)
    ends = (f"left({expression}, 1)", f"right({expression}, 1)")
    suspect = " or ".join(f"{end} <= ' ' or {end} = chr({ord(values.NO_BREAK_SPACE)})" for end in ends)
    return f"case when {suspect} then nullif(trim({expression}, {blanks}), '') else {expression} end"


def _trimmed_columns(columns: list[Column]) -> str:
    return ", ".join(f"{_trimmed(quoted(column.name))} as {quoted(column.name)}" for column in columns)


def _present(names: Collection[str]) -> list[Column]:
    return [column for name, column in contract.columns().items() if name in names]


def _full(text: str, pattern: str) -> str:
    return f"regexp_full_match({text}, {_text(pattern)})"


#: Stands for a number too large to be held, and so out of every range.
_TOO_LARGE = "999999.999999::decimal(12, 6)"


def number_macros() -> str:
    """Macros that read a written number; created once on the connection of a load."""
    plain_fractions = "written"
    for sign, fraction in values.UNICODE_FRACTIONS.items():
        plain_fractions = f"replace({plain_fractions}, {_text(sign)}, {_text(' ' + fraction)})"
    whole, upper, lower = (
        f"try_cast(regexp_extract(spelled, {_text(f'^(?:{values.FRACTION})$')}, {group}) as integer)"
        for group in (1, 2, 3)
    )
    return f"""
    create or replace temp macro held(digits) as coalesce(try_cast(digits as decimal(12, 6)), {_TOO_LARGE});
    create or replace temp macro spelled_out(written) as trim({plain_fractions}, ' ');
    create or replace temp macro fraction(spelled) as
        (coalesce({whole}, 0) + {upper} / nullif({lower}, 0))::decimal(12, 6);
    """


def _spelled(column: Column) -> str:
    """A number's text with its inch mark off and its fractions in plain digits; plain numbers stay as they are."""
    text = quoted(column.name)
    unmarked = f"regexp_replace({text}, {_text(values.INCH_MARK)}, '')" if column.rule.inches else text
    blanks = " || ".join(f"chr({ord(sign)})" for sign in values.BLANKS)
    # Most numbers are plain, and a cast tells that sooner than a pattern; the pattern then has the last word.
    spelled = f"spelled_out(rtrim({unmarked}, {blanks}))"
    return f"case when try_cast({text} as double) is not null then {text} else {spelled} end"


def _reading(rule: Rule, text: str) -> str:
    """The value of ``text`` by its kind, before its range is looked at; null where it is not of the kind.

    A number's text is the spelled-out one (:func:`_spelled`).
    """
    match rule.kind:
        case "text":
            return f"replace({text}, chr(13) || chr(10), chr(10))" if rule.has_lines else text
        case "number":
            comma = f"when {_full(text, values.DECIMAL_COMMA)} then held(replace({text}, ',', '.'))"
            return f"case when {_full(text, values.PLAIN)} then held({text}) {comma} else fraction({text}) end"
        case "integer":
            digits = f"split_part({text}, '.', 1)"
            held = f"coalesce(try_cast({digits} as integer), 2147483647)"
            return f"case when {_full(text, values.INTEGER)} then {held} end"
        case "date":
            return f"case when {_full(text, values.DATE)} then try_cast(left({text}, 10) as date) end"
        case "yes_no":
            yes, no = (", ".join(map(_text, words)) for words in (values.YES, values.NO))
            return f"case when lower({text}) in ({yes}) then true when lower({text}) in ({no}) then false end"
        case "choice":
            word = f"regexp_replace(lower({text}), '[ -]+', '_', 'g')"
            listed = ", ".join(map(_text, rule.choices))
            return f"case when {text} in ({listed}) then {text} when {word} in ({listed}) then {word} end"
        case "size":
            size = f"regexp_replace(translate(lower({text}), '×–*', 'x-x'), '[ \"”″]', '', 'g')"
            return f"case when {_full(size, rule.pattern or '')} then {size} end"


def _limits(rule: Rule, value: str) -> str | None:
    """The condition that a value of the right kind has to meet; null where there is none."""
    if rule.kind == "date":
        return f"{value} between date '{contract.FIRST_DAY}' and date '{contract.last_day()}'"
    if rule.kind == "text":
        return f"length({value}) <= {rule.longest} and not contains({value}, chr(0))"
    if rule.low is not None:
        return f"{value} between {rule.low} and {rule.high}"
    return None


def typed_sql(present: Collection[str]) -> str:
    """The rows of ``raw_rows`` typed: raw_id, file_no, ``bad`` (something is refused), and the columns present.

    Rows with nothing in any of the contract's columns are no rows. Takes no parameters.
    """
    columns = _present(present)
    typed = ",\n        ".join(f"{_within(c)}::{sql_type(c.name)} as {_typed_name(c)}" for c in columns)
    bad = " or ".join(_bad(column) for column in columns)
    names = ", ".join(f"{_typed_name(column)} as {quoted(column.name)}" for column in columns)
    blank = " and ".join(f"{quoted(column.name)} is null" for column in columns)
    late = f"coalesce({_built_late(_typed_name)}, false)" if set(present) >= _LATE else "false"
    return f"""
    with stripped as (select raw_id, file_no, {_trimmed_columns(columns)} from raw_rows),
    {_readings(columns, f"stripped where not ({blank})")},
    typed as (
        select *,
        {typed}
        from readings
    )
    select raw_id, file_no, {names}, ({bad}) or {late} as bad from typed
    """


#: The columns that together say when a deck was built and when it was inspected.
_LATE = {"deck_built_year", "inspected_on"}


def _readings(columns: list[Column], source: str) -> str:
    """Two common table expressions: numbers spelled out, then every column read by its kind.

    Each step refers to the one before by name: the text of a macro's argument is repeated wherever the macro uses
    it, and nested repetition made planning slower than reading.
    """
    numbers = [column for column in columns if column.rule.kind == "number"]
    spelled = "".join(f", {_spelled(column)} as {_spelled_name(column)}" for column in numbers)
    readings = ",\n        ".join(
        f"{_reading(c.rule, _spelled_name(c) if c.rule.kind == 'number' else quoted(c.name))} as {_read_name(c)}"
        for c in columns
    )
    return f"""
    spelled as (select *{spelled} from {source}),
    readings as (
        select *,
        {readings}
        from spelled
    )"""


def _spelled_name(column: Column) -> str:
    return quoted("spelled " + column.name)


def _read_name(column: Column) -> str:
    return quoted("read " + column.name)


def _typed_name(column: Column) -> str:
    return quoted("typed " + column.name)


def _within(column: Column) -> str:
    """The reading where it keeps its limits, else null."""
    limits = _limits(column.rule, _read_name(column))
    return f"(case when {limits} then {_read_name(column)} end)" if limits else _read_name(column)


def _bad(column: Column) -> str:
    if column.required:
        return f"{_typed_name(column)} is null"
    return f"({quoted(column.name)} is not null and {_typed_name(column)} is null)"


def _built_late(name_of: Callable[[Column], str]) -> str:
    year, day = (name_of(contract.columns()[name]) for name in ("deck_built_year", "inspected_on"))
    return f"{year} > year({day}) + 1"


def reasons_sql(present: Collection[str]) -> str:
    """Why each bad row of ``raw_rows`` is refused: raw_id and ``reasons``, a list of ``code: sentence``.

    Only for rows that :func:`typed_sql` found bad, given as ``bad_rows(raw_id)``.
    """
    columns = _present(present)
    found = ",\n        ".join(_reason(column) for column in columns)
    late = "null"
    if set(present) >= _LATE:
        says = _sentence("built_after_inspection", contract.columns()["deck_built_year"])
        late = f"case when {_built_late(_read_name)} then {says} end"
    return f"""
    with stripped as (
        select raw_id, {_trimmed_columns(columns)} from raw_rows where raw_id in (select raw_id from bad_rows)
    ),
    {_readings(columns, "stripped")},
    told as (
        select raw_id, list_filter([
        {found}
        ], lambda reason: reason is not null) as reasons, {late} as late
        from readings
    )
    select raw_id, case when len(reasons) > 0 then reasons else [late] end as reasons from told
    """


def _reason(column: Column) -> str:
    rule, text = column.rule, quoted(column.name)
    branches = []
    if column.required:
        branches.append(f"when {text} is null then {_sentence('required', column)}")
    else:
        branches.append(f"when {text} is null then null")
    if rule.kind == "text":
        branches.append(f"when contains({text}, chr(0)) then {_sentence('control_character', column)}")
        branches.append(f"when length({_read_name(column)}) > {rule.longest} then {_sentence('too_long', column)}")
        return f"case {' '.join(branches)} end"
    reading = _read_name(column)
    branches.append(f"when {reading} is null then {_sentence(contract.WRONG_KIND[rule.kind], column)}")
    if limits := _limits(rule, reading):
        branches.append(f"when not ({limits}) then {_sentence('out_of_range', column)}")
    return f"case {' '.join(branches)} end"


def _sentence(code: str, column: Column) -> str:
    """The complaint as an SQL expression, with the value received in its place."""
    before, _, after = f"{code}: {contract.complaint(code, column.name, column.rule)}".partition("{value}")
    shown = f" || left({quoted(column.name)}, {contract.SHOWN}) || " if after else ""
    return f"{_text(before)}{shown}{_text(after) if after else ''}"
