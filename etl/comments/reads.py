"""What is read out of a comment, and how sizes are told apart: the types of the reader."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

#: A value as the contract holds it.
Value = str | int | bool | Decimal


@dataclass(frozen=True)
class Read:
    """One value read: the measure, the value in its unit, the words it was read from with their place in the comment
    (characters from ``start`` up to, not including, ``end``), and the rule that read it."""

    measure: str
    value: Value
    text: str
    start: int
    end: int
    rule: str
