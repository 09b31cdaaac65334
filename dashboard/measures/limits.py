"""The limit that a rule sets for a measure, read out of the rule that the snapshot was judged with.

A drawing shows the limit of the very rule that decided, the firm's own included. Where a condition does not compare
the measure with one number, there is no limit to draw, and the words of the verdict stand alone.
"""

from __future__ import annotations

import operator
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from dashboard import labels

Rule = Mapping[str, Any]
Verdict = Literal["defect", "acceptable", "judgment"]
_NUMBER = r"(\d+(?:\.\d+)?)"


@dataclass(frozen=True)
class Limit:
    """A number of inches, and how the rule compares with it: ``>``, ``>=``, ``<`` or ``<=``."""

    inches: float
    compared: str

    @property
    def words(self) -> str:
        """``over 3/8 in``, ``up to 1/8 in``, ``under 3 in``, ``3 in or more``."""
        form = {">": "over {}", ">=": "{} or more", "<": "under {}", "<=": "up to {}"}[self.compared]
        return form.format(labels.inches(self.inches))

    def holds_of(self, value: float) -> bool:
        """Whether the comparison is true of a value."""
        compare = {">": operator.gt, ">=": operator.ge, "<": operator.lt, "<=": operator.le}[self.compared]
        return bool(compare(value, self.inches))


def limit(rule: Rule | None, verdict: Verdict, measure: str) -> Limit | None:
    """The number with which a verdict's condition compares a measure.

    Parameters
    ----------
    rule
        A row of ``catalog.criteria``.

    Returns
    -------
    Limit or None
        None where the condition compares it with no number, or with several.
    """
    found = set(re.findall(rf"\b{measure} (>=|<=|<|>) {_NUMBER}", _condition(rule, verdict)))
    return _only(found)


def limit_at(rule: Rule | None, verdict: Verdict, measure: str, place: str) -> Limit | None:
    """The same for a rule whose number depends on the place: ``case guard_place when 'deck' then 4 …``."""
    condition = _condition(rule, verdict)
    named = re.escape(place)
    cases = re.findall(rf"\b{measure} (>=|<=|<|>) case \w+ .*?when '{named}' then {_NUMBER}", condition)
    pairs = re.findall(rf"\w+ = '{named}' and {measure} (>=|<=|<|>) {_NUMBER}", condition)
    return _only({*cases, *pairs})


def compared_with(rule: Rule | None, measure: str) -> list[float]:
    """Every number with which a rule's conditions compare a measure, smallest first; a number worked out is none."""
    found: set[str] = set()
    verdicts: tuple[Verdict, ...] = ("defect", "acceptable")
    for verdict in verdicts:
        condition = _condition(rule, verdict)
        found |= set(re.findall(rf"\b{measure} (?:>=|<=|<|>) {_NUMBER}(?![\d.]| \*)", condition))
        for both in re.findall(rf"\b{measure} (?:not )?between {_NUMBER} and {_NUMBER}", condition):
            found |= set(both)
        for cases in re.findall(rf"\b{measure} (?:>=|<=|<|>) case (.*?) end", condition):
            found |= set(re.findall(rf"then {_NUMBER}", cases))
    return sorted(map(float, found))


def riser_spread(recorded: Mapping[str, Any]) -> float | None:
    """The spread of a flight's risers in inches: as recorded, else the tallest less the lowest, as the catalog has it.

    None where neither is known.
    """
    if labels.is_known(recorded.get("riser_spread_in")):
        return float(recorded["riser_spread_in"])
    tallest, lowest = recorded.get("riser_max_in"), recorded.get("riser_min_in")
    return float(tallest - lowest) if tallest is not None and lowest is not None else None


def _condition(rule: Rule | None, verdict: Verdict) -> str:
    condition = rule[verdict] if rule else None
    return " ".join(str(condition).split()) if labels.is_known(condition) else ""


def _only(found: set[tuple[str, str]]) -> Limit | None:
    if len(found) != 1:
        return None
    ((compared, number),) = found
    return Limit(float(number), compared)
