"""Columns that come again with a number, ``Item 1``, ``Item 2``: an observation for each number."""

from __future__ import annotations

import re
from collections import Counter

from etl.layout.choice.cells import by_cells, consequence_of_call
from etl.layout.choice.chosen import Block, Choice, Chosen, Foreign
from etl.layout.choice.labels import by_label, named
from etl.layout.choice.measures import by_item
from etl.layout.found import Shape
from etl.layout.profile import Profile


def groups_of(main: Shape, left: list[Foreign]) -> dict[str, dict[int, str]]:
    """Labels that come again with a number, ``Item 1``, ``Item 2``: by what they share, each with its numbers.

    Two labels at least come again with the same numbers, from 1 on, and one of them names a topic, a call or a comment.
    """
    found: dict[str, dict[int, str]] = {}
    for table, profile in left:
        match = re.fullmatch(r"(\D*?)[ _#.-]*(\d{1,2})[ _:.-]*(\D*)", profile.label)
        if match and table is None and (stem := f"{match[1]} {match[3]}".strip()):
            found.setdefault(stem, {}).setdefault(int(match[2]), profile.label)
    sizes = Counter(frozenset(numbers) for numbers in found.values() if 1 in numbers and 2 in numbers)
    if not sizes or sizes.most_common(1)[0][1] < 2:
        return {}
    common = sizes.most_common(1)[0][0]
    groups = {stem: numbers for stem, numbers in found.items() if frozenset(numbers) == common}
    names = {name.meant for stem in groups if (name := named(stem))}
    return groups if names & {"topic", "call", "comment"} else {}


def take_groups(result: Chosen, groups: dict[str, dict[int, str]], main: Shape) -> None:
    """An observation for each number: what a group's columns are is found of all its numbers together."""
    numbers = sorted(next(iter(groups.values())))
    together = Chosen()
    profiles: list[Foreign] = [
        (None, Profile.of(stem, [cell for number in numbers for cell in main.cells(labels[number])]))
        for stem, labels in groups.items()
    ]
    by_label(together, profiles, set())
    by_cells(together, profiles, set())
    by_item(together, profiles)
    consequence_of_call(together)
    result.grouped = together.columns
    for name in together.columns:
        result.columns.pop(name, None)
    for number in numbers:
        block = Block(None)
        for name, choice in together.columns.items():
            label = groups[choice.label][number]
            only = {groups[stem][number]: words for stem, words in choice.only.items()}
            # What is usual for a measurement is seen of all numbers together.
            own = choice.profile if only else Profile.of(label, main.cells(label))
            block.columns[name] = Choice(label, own, None, choice.sure, choice.why, only=only)
        result.wide.append(block)
