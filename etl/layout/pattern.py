"""The pattern of a column's ``part``: what its one group finds in a cell is taken.

It is matched by RE2, through Arrow, in a time that grows with the length of the cell alone: a pattern that would keep
Python's own matching busy for years (``(a+)+$``) is none there.
"""

from __future__ import annotations

import re

import pyarrow as pa
import pyarrow.compute as pc

#: A longer pattern takes no part of a cell; it is a mistake, or worse.
LONGEST = 500
#: An escaped sign, a class of signs, or a parenthesis that begins a group without a name.
_TOKEN = re.compile(r"\\.|\[\^?\]?(?:\\.|[^\]\\])*\]|\((?!\?)", re.DOTALL)


def problem(pattern: str) -> str | None:
    """Why a pattern cannot be used, as a sentence; None where it can."""
    if len(pattern) > LONGEST:
        return f"it is longer than the {LONGEST} signs that a pattern may have"
    try:
        groups = pc.extract_regex(pa.array([""]), _named(pattern)).type.num_fields
    except pa.ArrowInvalid as error:
        if "unnamed" not in str(error) and "group" not in str(error):
            return f"it is no pattern: {str(error).removeprefix('Invalid regular expression: ')}"
        groups = 0
    return None if groups == 1 else "it needs exactly one group, (…), which is what is taken"


def taken(pattern: str, cells: list[str | None]) -> list[str | None]:
    """What the pattern's group finds in each cell; None where it finds nothing."""
    found = pc.extract_regex(pa.array(cells, pa.string()), _named(pattern))
    return [None if match is None else next(iter(match.values())) or None for match in found.to_pylist()]


def _named(pattern: str) -> str:
    """The pattern with a name for each group that has none, as Arrow wants them."""
    numbers = iter(range(1, LONGEST))
    return _TOKEN.sub(lambda token: f"(?P<part{next(numbers)}>" if token[0] == "(" else token[0], pattern)
