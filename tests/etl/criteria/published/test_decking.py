"""Every published joist spacing under deck boards at its limit and an eighth over it."""

from __future__ import annotations

from tests.etl.criteria.published.cells import EIGHTH, Case, Wrong, case
from tests.etl.criteria.published.decking import IRC_2018, IRC_2021, READ, SECOND_HAND


def boards(verdict: str, source: str, decking: str | None, angle: str | None, spacing: object, edition: str) -> Case:
    recorded = {"decking": decking, "decking_angle": angle, "joist_spacing_in": spacing, "code_basis": edition}
    return case("decking_span", verdict, source, **recorded)


OF_2018 = [
    boards(verdict, READ, *key, spacing, edition)
    for edition in ("IRC 2015", "IRC 2018")
    for key, limit in IRC_2018.items()
    for verdict, spacing in (("acceptable", limit), ("defect", limit + EIGHTH))
]
#: How many bays a board spans is not recorded: what is enough over one bay, and too much over several, is decided.
OF_2021 = [
    boards(verdict, SECOND_HAND, *key, spacing, edition)
    for edition in ("IRC 2021", "IRC 2024")
    for key, (one_bay, several) in IRC_2021.items()
    for verdict, spacing in (("acceptable", one_bay), ("defect", several + EIGHTH))
]
OTHER_KINDS = [
    boards("cannot_tell", SECOND_HAND, decking, angle, spacing, "IRC 2021")
    for decking in ("composite", "other")
    for angle in ("straight", "diagonal")
    for spacing in (8, 48)
]
MISSING = [
    boards("cannot_tell", SECOND_HAND, "two_by", "straight", None, "IRC 2021"),
    boards("cannot_tell", SECOND_HAND, None, "straight", 14, "IRC 2021"),
]

CASES = [*OF_2018, *OF_2021, *OTHER_KINDS, *MISSING]


def test_each_side_of_a_spacing_gets_its_verdict(wrong: Wrong) -> None:
    assert wrong([*OF_2018, *OF_2021]) == []


def test_other_boards_and_missing_measures_are_not_told(wrong: Wrong) -> None:
    assert wrong([*OTHER_KINDS, *MISSING]) == []
