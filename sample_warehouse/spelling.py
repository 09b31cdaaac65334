"""How a value is written down: each inspector has a way with numbers, sizes and yes or no."""

from __future__ import annotations

from datetime import date
from typing import Any

from etl.contract import columns
from sample_warehouse.dice import Dice
from sample_warehouse.sentences import fraction
from sample_warehouse.visits import inspectors

_UNICODE = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}
_NO = {"yes": "no", "Yes": "No", "YES": "NO", "1": "0", "TRUE": "FALSE"}


class Hand:
    """One inspector's way of writing."""

    def __init__(self, inspector_id: str, dice: Dice) -> None:
        self._ways = inspectors()[inspector_id]
        self._dice = dice

    def text(self, column: str, value: Any) -> str:
        """The value as text, for delimited files."""
        written = self.typed(column, value)
        if isinstance(written, bool):
            return str(written).lower()
        return _decimal(written) if isinstance(written, float) else str(written)

    def typed(self, column: str, value: Any) -> Any:
        """The value with its type where the inspector leaves it one: for workbooks and documents."""
        if isinstance(value, bool):
            yes = self._ways["yes"]
            return value if yes == "true" else yes if value else _NO[yes]
        if columns()[column].rule.kind == "number" and not isinstance(value, str):
            return self._number(column, float(value))
        if columns()[column].rule.kind == "size" and self._dice.happens(0.5):
            return value.replace("x", self._ways["size"].strip("210"))
        return value.isoformat() if isinstance(value, date) else value

    def _number(self, column: str, value: float) -> float | str:
        if self._ways["number"] == "decimal" or value.is_integer() or not columns()[column].rule.inches:
            return value
        if self._ways["number"] == "fraction":
            return fraction(value)
        return self._mixed(value)

    def _mixed(self, value: float) -> float | str:
        """Now a decimal, now a fraction, a single sign, or with the inch mark."""
        written = fraction(value)
        whole, _, part = written.rpartition("-")
        single = whole + _UNICODE[part] if part in _UNICODE else written
        ways: tuple[float | str, ...] = (value, value, written, single, f'{written}"', written.replace("-", " "))
        return self._dice.pick(ways)


def _decimal(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")
