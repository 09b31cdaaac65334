"""What holds for the whole of a proposed layout: what was passed over, who is private, how numbers are written."""

from __future__ import annotations

import re
from pathlib import Path

from etl.layout.aliases import is_private, word_like
from etl.layout.proposal.draft import Draft
from etl.layout.proposal.units import bare_lengths, usual_unit
from etl.layout.tables import plain
from etl.private import masked


def write_head(draft: Draft) -> None:
    """What stands before the first table."""
    out = draft.out
    out.comment("A layout: how these files map to the input table of Evenhand. Written by `evenhand layout suggest`.")
    out.comment("Review it: each question mark and each `confirmed = false` has to be settled before it can be used.")
    out.comment('Write the word of the contract, or "" (blank), "skip" (no observation), "refuse".')
    for text in draft.passed_over:
        out.comment(f"Passed over: {text}.")
    out.pair("layout", 1)
    _write_numbers(draft)
    if labels := _private(draft):
        out.comment(
            "Never stored, and masked in sentences: " + "; ".join(f"{name} ({why})" for name, why in labels) + "."
        )
        out.pair("private", [name for name, _ in labels])
    names = [Path(source.name).stem for source in draft.sources]
    if any(masked(name.replace("_", " ")) != name.replace("_", " ") for name in names):
        out.comment("The files' names tell of people.")
        out.pair("private_file_names", True)
    if draft.chosen.unused:
        out.comment(f"Not taken, since nothing of the contract is like them: {', '.join(draft.chosen.unused)}.")


def _private(draft: Draft) -> list[tuple[str, str]]:
    """The labels of private columns and facts, each with what tells that it is one."""
    found = list(draft.chosen.private)
    above = dict.fromkeys(label for table in draft.main.tables for label in table.above)
    found += [(label, "above the header") for label in above if is_private(label)]
    chosen = {label for _, choice in draft.chosen.by_name() for label in (choice.label, *choice.else_from)}
    elsewhere = [label for label in draft.labels_of_people if label not in {*draft.main.labels, *chosen}]
    return list(dict([*((label, "its label") for label in elsewhere), *found]).items())


def _write_numbers(draft: Draft) -> None:
    """How numbers are written, their unit, and whether what was passed is told at all."""
    _write_decimal(draft)
    if asks := [*_write_length_unit(draft), *_write_passes(draft)]:
        draft.out.question(" ".join(asks))


def _write_decimal(draft: Draft) -> None:
    """The decimal mark where the values prove it."""
    choices = [choice for _, choice in draft.chosen.by_name()]
    cells = [word for choice in choices if choice.profile.numbers > 0.5 for word, _ in choice.profile.words]
    commas = [word for word in cells if re.search(r"\d,\d", word)]
    points = [word for word in cells if re.search(r"\d\.\d", word)]
    if commas and not points:
        draft.out.pair("decimal", ",", f"proved by {commas[0]}")
    elif commas:
        draft.out.pair("decimal", ".", f"found: {points[0] if points else ''} and {commas[0]}")


def _write_length_unit(draft: Draft) -> list[str]:
    """The unit of lengths that do not say theirs, and the question whether it is so."""
    bare = bare_lengths(draft)
    if not bare:
        return []
    unit = usual_unit(draft, bare)
    draft.out.pair("length_unit", unit, "in, ft, mm, cm, m")
    spelled = "inches" if unit == "in" else unit
    return [f"Are lengths in {spelled} where neither label nor cell says a unit ({', '.join(bare[:8])})?"]


def _write_passes(draft: Draft) -> list[str]:
    """Where calls have no word for passed: what is assumed, and the question whether it is so."""
    calls = [choice for name, choice in draft.chosen.by_name() if name == "call"]
    words = {choice.codes.get(plain(word), word) for choice in calls for word, _ in choice.profile.words}
    meant = {found.meant for word in words if (found := word_like(word, "call"))}
    if not calls or "passed" in meant:
        return []
    draft.out.pair("passes", "explicit")
    return [
        "No word for passed is known here. Do the reports list what was passed? If they list only what was "
        "found, write passes = 'implied' with covered_topics, what the checklist covers."
    ]
