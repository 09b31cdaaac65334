"""Which foreign column is which of the contract by its label, where its cells do not contradict."""

from __future__ import annotations

import re

from etl import contract
from etl.layout.aliases import Likeness, column_like, without_unit
from etl.layout.choice.chosen import Choice, Chosen, Foreign
from etl.layout.profile import Profile
from etl.layout.spelling import bag, normal, of_ids

#: Sizes are no words, and the calls are asked for by themselves.
_ASKED_ANYWAY = ("call", "post_nominal")


def parts_of(label: str) -> list[str]:
    """The ways to read a label: the whole; of a path or a band the last parts, ``a.b[gap].value`` as gap."""
    label = re.sub(r"\.(?:value|val|amount|reading)$", "", label, flags=re.I)
    pieces = [piece for piece in re.split(r"[.\[\]]+(?=\S)|[\[\]]| [/:–|-] |: ", label) if piece]
    ways = [label, *([" ".join(pieces[-2:]), pieces[-1]] if len(pieces) > 1 else [])]
    return list(dict.fromkeys(ways))


def named(label: str) -> Likeness | None:
    """The column that a label names in one of these ways, one that is sure before one that is like it."""
    found = [name for way in parts_of(label) if (name := column_like(way))]
    return next((name for name in found if name.sure), found[0] if found else None)


def by_label(result: Chosen, left: list[Foreign], keys: set[str]) -> None:
    """The columns whose labels name them and whose cells do not contradict; the better name, and the rows, first."""
    offers: list[tuple[int, str, Choice]] = []
    for place, (table, profile) in enumerate(left):
        found = named(profile.label)
        if found is None:
            continue
        level = contract.columns()[found.meant].level
        if not profile.fits(found.meant) or (table is not None and level == "observation"):
            continue
        why = "" if found.sure else f"'{profile.label}' is like it"
        if found.sure and contract.columns()[found.meant].rule.kind == "choice" and found.meant not in _ASKED_ANYWAY:
            why = "" if not profile.counts or profile.known_as(found.meant) >= 0.2 else "hardly a word of it is known"
        rank = 1000 * _rank(profile, found, profile.label in keys) - place
        offers.append((rank, found.meant, Choice(profile.label, profile, table, found.sure and not why, why)))
    for _, name, choice in sorted(offers, key=lambda offer: -offer[0]):
        if name not in result.columns and choice.label not in {taken.label for taken in result.columns.values()}:
            result.columns[name] = choice
            _doubt(choice, [other for _, meant, other in offers if meant == name])


def _rank(profile: Profile, found: Likeness, is_key: bool) -> int:
    """How much speaks for a column that a label names: that it is sure, the very name, filled, and no mere key."""
    exact = normal(without_unit(profile.label)) == normal(found.meant)
    is_code = found.meant == "inspector_id" and profile.people > 0.5
    same_everywhere = len(profile.counts) == 1 and profile.n_filled > 5
    against = 60 * ((is_key and found.meant != "report_id") or is_code) + 30 * same_everywhere
    return 100 * found.sure + 50 * exact + 10 * bool(profile.counts) + _speaks(profile, found.meant) - against


def _doubt(choice: Choice, offers: list[Choice]) -> None:
    """A column is asked for where another label names it as surely and holds something else."""
    if not choice.sure or choice.label.casefold().endswith(("name", "nm")):
        return
    own = choice.profile.counts
    for other in offers:
        is_other = other.label != choice.label and other.table == choice.table and other.profile.counts
        if is_other and other.sure and other.profile.counts != own and not _is_id_of(other.label, choice.label):
            choice.sure, choice.why = False, f"'{other.label}' is called like it too"
            return


def _is_id_of(label: str, other: str) -> bool:
    """Whether a label is another one's with a word for codes, or the other way round: ``area_id`` of ``area``."""
    return bag(label, of_ids()) == bag(other, of_ids())


def _speaks(profile: Profile, name: str) -> int:
    """How much the cells speak for a column, 0 to 9: of two labels for one column the better filled is taken."""
    if name in ("topic", "call"):
        return int(9 * profile.known_as(name))
    return int(9 * profile.n_filled / profile.n_rows) if profile.n_rows else 0
