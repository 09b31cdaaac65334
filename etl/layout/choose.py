"""Which foreign column is which of the contract: by its label, by what it holds, or not at all."""

from __future__ import annotations

from etl.layout.choice.cells import by_cells, consequence_of_call
from etl.layout.choice.chosen import Chosen, Foreign
from etl.layout.choice.groups import groups_of, take_groups
from etl.layout.choice.labels import by_label, named
from etl.layout.choice.measures import by_item
from etl.layout.choice.private import people_of_the_firm, why_private
from etl.layout.choice.units import take_units
from etl.layout.choice.wide import is_wide, widen
from etl.layout.found import Shape
from etl.layout.tables import plain

#: A list of codes with more is a table of its own.
MOST_CODES = 400


def choose(main: Shape, joined: list[Shape]) -> Chosen:
    """Choose a foreign column for each of the contract where one speaks for itself."""
    result = Chosen()
    left = _not_private(result, main, joined)
    groups = groups_of(main, left)
    grouped = {label for group in groups.values() for label in group.values()}
    in_groups = [each for each in left if each[0] is None and each[1].label in grouped]
    left = [each for each in left if each not in in_groups]
    keys = {label for shape in joined for label in (*shape.join, *shape.join.values())}
    by_label(result, left, keys)
    by_cells(result, left, keys)
    _take_codes(result, joined)
    consequence_of_call(result)
    people_of_the_firm(result, left)
    _alternatives(result, left, main)
    by_item(result, left)
    if groups:
        take_groups(result, groups, main)
        left += in_groups
    elif is_wide(result, left):
        widen(result, left)
    _round_off(result, left, main)
    return result


def _not_private(result: Chosen, main: Shape, joined: list[Shape]) -> list[Foreign]:
    """The columns to choose from: those of people are put aside, and the keys of joined tables left out."""
    left: list[Foreign] = []
    for shape in (main, *joined):
        for label in shape.labels:
            profile = shape.profile(label)
            if why := why_private(profile):
                result.private.append((label, why))
            elif shape is main or label not in shape.join:
                left.append((None if shape is main else shape.name, profile))
    return left


def _take_codes(result: Chosen, joined: list[Shape]) -> None:
    """Give the topic and the call what their codes mean, where a list of codes is joined."""
    lists = _code_lists(joined)
    for name in ("topic", "call"):
        if (choice := result.columns.get(name)) and choice.label in lists:
            choice.codes = lists[choice.label]


def _code_lists(joined: list[Shape]) -> dict[str, dict[str, str]]:
    """What codes mean, by the label of the column that holds them: of small tables with a key and one text."""
    found: dict[str, dict[str, str]] = {}
    for shape in joined:
        texts = [label for label in shape.labels if label not in shape.join and shape.profile(label).length > 3]
        if len(shape.join) == 1 and len(texts) == 1 and shape.n_rows <= MOST_CODES:
            (own, theirs), told = next(iter(shape.join.items())), shape.cells(texts[0])
            codes = zip(shape.cells(own), told, strict=True)
            found[theirs] = {plain(code): text for code, text in codes if code is not None and text is not None}
    return found


def _alternatives(result: Chosen, left: list[Foreign], main: Shape) -> None:
    """Columns that bear another label in some files: named alike or of the same kind, and never side by side."""
    taken = {choice.label for choice in result.columns.values()}
    for name, choice in result.columns.items():
        if choice.table is not None or not main.lacks(choice.label):
            continue
        for table, profile in left:
            if table is not None or profile.label in taken or not profile.fits(name):
                continue
            called = named(profile.label)
            is_named = called is not None and called.meant == name
            beside = any(each.column(choice.label) and each.column(profile.label) for each in main.tables)
            in_place = main.header is not None and main.place_of(profile.label) == main.place_of(choice.label)
            if not beside and (is_named or in_place or (name == "inspected_on" and profile.dates > 0.9)):
                choice.else_from.append(profile.label)
                taken.add(profile.label)
                choice.sure = False
                choice.why = choice.why or "other files call it otherwise"


def _round_off(result: Chosen, left: list[Foreign], main: Shape) -> None:
    """What is known only of all choices: which columns some files lack, which say a unit, which are not taken."""
    choices = [choice for _, choice in result.by_name()]
    taken = {label for choice in choices for label in (choice.label, *choice.else_from)}
    for choice in choices:
        choice.optional = choice.table is None and main.lacks(choice.label)
    take_units(result, left, taken)
    known = {*taken, *(label for label, _ in result.private), *result.unit_of.values()}
    result.unused += [profile.label for _, profile in left if profile.label not in known]
