"""Columns of measurements whose labels do not say of what: by their size, or by the item beside them."""

from __future__ import annotations

from decimal import Decimal

from etl import contract
from etl.layout import written
from etl.layout.aliases import unit_of, without_unit, word_like
from etl.layout.choice.chosen import Choice, Chosen, Foreign
from etl.layout.choice.labels import parts_of
from etl.layout.profile import Profile
from etl.layout.spelling import bag, catalog, rough
from etl.layout.tables import plain

#: Words that name no part of a deck.
_DIRECTIONS = frozenset(["height", "depth", "length", "opening", "maximum", "minimum", "spacing", "gap", "above"])


def by_size(result: Chosen, free: list[Foreign]) -> None:
    """Lengths whose labels name but a part, ``Rail (cm)``: the one length of that part which is usual at this size."""
    lengths = {name: column for name in catalog()["typical"] if (column := contract.columns()[name])}
    for table, profile in list(free):
        unit = unit_of(profile.label)
        words = {*rough(bag(without_unit(parts_of(profile.label)[-1])))}
        if unit is None or profile.numbers < 0.7:
            continue
        found = [
            name
            for name, column in lengths.items()
            if words & ({*rough(bag(name.removesuffix("_in")))} - _DIRECTIONS)
            and (table is None or column.level != "observation")
            and is_typical(profile, name, unit)
        ]
        if len(found) == 1 and found[0] not in result.columns:
            why = f"of what '{profile.label}' could be, only this is usual at that size"
            result.columns[found[0]] = Choice(profile.label, profile, table, False, why)
            free.remove((table, profile))


def by_item(result: Chosen, left: list[Foreign]) -> None:
    """A column of measurements that are one thing or another by the item beside them."""
    topic = result.columns.get("topic")
    taken = {choice.label for choice in result.columns.values()}
    labels = {bag(label) for label in catalog()["by_item"]["labels"]}
    for table, profile in left:
        free = profile.label not in taken and table is None and profile.numbers > 0.6
        if topic is None or topic.table or not free or bag(without_unit(profile.label)) not in labels:
            continue
        found: dict[str, list[str]] = {}
        for word, _ in topic.profile.words:
            meant = word_like(topic.codes.get(plain(word), word), "topic")
            own = _beside(profile, topic.profile, word)
            if meant and own.counts and (name := _measure_of(meant.meant, own)):
                found.setdefault(name, []).append(word)
        for name, words in found.items():
            if name not in result.columns:
                own = _beside(profile, topic.profile, *words)
                why = f"'{profile.label}' would be one thing or another by {topic.label}"
                result.columns[name] = Choice(profile.label, own, None, False, why, only={topic.label: words})
        return


def _beside(profile: Profile, other: Profile, *words: str) -> Profile:
    """A column's cells in the rows in which another column holds one of these words."""
    cells = [cell for cell, word in zip(profile.cells, other.cells, strict=True) if word in words]
    return Profile.of(profile.label, cells)


def _measure_of(topic: str, profile: Profile) -> str | None:
    """The one measure of a topic that numbers can be; of several that which is usual at that size."""
    rules = {name: contract.columns()[name].rule for name, home in catalog()["home"].items() if home == topic}
    names = [name for name, rule in rules.items() if rule.kind == "number" and rule.unit == "in"]
    if len(names) > 1:
        names = [name for name in names if is_typical(profile, name, "in")]
    return names[0] if len(names) == 1 and len(rules) <= 3 else None


def is_typical(profile: Profile, name: str, unit: str) -> bool:
    """Whether the middle one of the bare numbers is usual for a length, were they in a unit."""
    limits = catalog()["typical"].get(name)
    numbers = sorted(
        Decimal(told)
        for word, count in profile.words
        if written.own_unit(word) is None
        and (told := written.quantity(word, unit, ".", "in") or written.quantity(word, unit, ",", "in"))
        for _ in range(count)
    )
    return bool(limits and numbers) and Decimal(limits[0]) <= numbers[len(numbers) // 2] <= Decimal(limits[1])
