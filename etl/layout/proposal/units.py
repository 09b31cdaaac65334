"""Units of numbers: what a label, a cell or another column says, and what is plausible where none does."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal

from etl import contract
from etl.layout import written
from etl.layout.aliases import unit_of
from etl.layout.choice.chosen import Choice
from etl.layout.choice.measures import is_typical
from etl.layout.model import UNKNOWN
from etl.layout.profile import Profile
from etl.layout.proposal.draft import Draft
from etl.layout.spelling import catalog


def write_unit(draft: Draft, name: str, choice: Choice) -> list[str]:
    """The unit of a column where its label, its cells or another column say it; else what is plausible."""
    out, rule = draft.out, contract.columns()[name].rule
    if label := draft.chosen.unit_of.get(choice.label):
        out.pair("unit_from", label)
        counts = Profile.of(label, draft.main.cells(label)).words
        unknown = [word for word, _ in counts if written.unit_named(word) is None]
        if unknown:
            out.inline("units", dict.fromkeys(unknown, UNKNOWN))
        return []
    if unit := unit_of(choice.label):
        if unit != rule.unit and not (unit == "sqft" and rule.unit == "sq ft"):
            out.pair("unit", unit, "its label says so")
        elif rule.unit == "in":
            out.pair("unit", "in", "its label says so")
        return []
    if rule.unit == "in" and (better := _unlikely_in_inches(choice.profile, name)):
        unit, share = better
        out.pair("unit", unit or UNKNOWN, "in, ft, mm, cm, m")
        return [f"Nothing says its unit, and as inches only {share:.0%} of the values are plausible. Is it this unit?"]
    return []


def bare_lengths(draft: Draft) -> list[str]:
    """The labels of lengths that do not say their unit, and could be inches."""
    found = []
    for name, choice in draft.chosen.by_name():
        rule = contract.columns()[name].rule
        if rule.unit == "in" and unit_of(choice.label) is None and choice.label not in draft.chosen.unit_of:
            bare = choice.profile.share(_is_bare_number)
            if choice.profile.counts and bare > 0 and _unlikely_in_inches(choice.profile, name) is None:
                found.append(choice.label)
    return found


def usual_unit(draft: Draft, labels: list[str]) -> str:
    """The unit in which most lengths that say none are of a usual size; inches where two units are as good."""
    own = [(name, choice.profile) for name, choice in draft.chosen.by_name() if choice.label in labels]
    known = [(name, profile) for name, profile in own if name in catalog()["typical"]]
    usual = {unit: sum(is_typical(profile, name, unit) for name, profile in known) for unit in ("in", "cm", "mm")}
    best = max(usual, key=lambda unit: usual[unit])
    clear = usual[best] >= 0.7 * len(known) and usual["in"] <= 0.5 * usual[best]
    return best if known and clear else "in"


def _unlikely_in_inches(profile: Profile, name: str) -> tuple[str | None, float] | None:
    """The unit in which bare values are plausible where they are not in inches, and how many are in inches."""
    bare = Counter({word: count for word, count in profile.words if _is_bare_number(word)})
    if not bare:
        return None
    shares = {unit: _plausible(bare, unit, name) for unit in ("in", "ft", "cm", "mm", "m")}
    if shares["in"] >= 0.9:
        return None
    best = max(shares, key=lambda unit: shares[unit])
    rivals = [unit for unit, share in shares.items() if share >= 0.9]
    return (best if len(rivals) == 1 and best != "in" else None), shares["in"]


def _is_bare_number(word: str) -> bool:
    """Whether a value is a number that does not say its unit."""
    numbers = (written.plain_number(word, sign) for sign in ".,")
    return written.own_unit(word) is None and any(number is not None for number in numbers)


def _plausible(bare: Counter[str], unit: str, name: str) -> float:
    """The share of bare values that are possible for a column, were they in a unit."""
    rule = contract.columns()[name].rule
    assert rule.low is not None
    assert rule.high is not None
    inside = 0
    for word, count in bare.items():
        told = written.quantity(word, unit, ".", "in") or written.quantity(word, unit, ",", "in")
        inside += count * (told is not None and rule.low <= Decimal(told) <= rule.high)
    return inside / bare.total()
