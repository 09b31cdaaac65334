"""Every published joist overhang at its limit and an eighth over it; the quarter of older editions."""

from __future__ import annotations

from tests.etl.criteria.published.cells import EIGHTH, NOT_PERMITTED, Case, Wrong, case, grid, inches
from tests.etl.criteria.published.joist_overhangs import IRC_2021, QUARTER, TABLE

BACK_SPANS_FT = (4, 6, 8, 10, 12, 14, 16, 18)
CELLS = {(size, feet): cell for size, feet, cell in grid(IRC_2021)}
LIMITS = {key: inches(cell) for key, cell in CELLS.items() if cell != NOT_PERMITTED}
NOT_PERMITTED_AT = [key for key, cell in CELLS.items() if cell == NOT_PERMITTED]


def overhang(
    verdict: str, length: object, back_span: object, size: str | None, species: str = "southern_pine", **more: object
) -> Case:
    recorded = {"overhang_in": length, "joist_span_in": back_span, "joist_nominal": size, "joist_species": species}
    return case("joist_overhang", verdict, QUARTER if "code_basis" in more else TABLE, **(recorded | more))


AT_THE_LIMIT = [overhang("acceptable", limit, 12 * feet, size) for (size, feet), limit in LIMITS.items()]
AN_EIGHTH_OVER = [overhang("defect", limit + EIGHTH, 12 * feet, size) for (size, feet), limit in LIMITS.items()]
#: NP: none at all.
NONE_PERMITTED = [
    overhang(verdict, length, 12 * feet, size)
    for size, feet in NOT_PERMITTED_AT
    for verdict, length in (("acceptable", 0), ("defect", 1), ("defect", 12 * feet / 6))
]
#: A foot short of a back span of the table that one holds, with the quarter of the span itself beside it.
BETWEEN_ROWS = [
    overhang(verdict, length, 12 * feet - 12, size)
    for (size, feet), limit in LIMITS.items()
    if feet > 4
    for most in [min(limit, 3 * feet - 3)]
    for verdict, length in (("acceptable", most), ("defect", most + EIGHTH))
]
#: The editions without such columns: a quarter of the back span, whatever the size and species.
BY_THE_QUARTER = [
    overhang(verdict, length, 12 * feet, size, species, code_basis=edition)
    for edition in ("IRC 2015", "IRC 2018")
    for size, species in (("2x6", "southern_pine"), ("2x12", "hem_fir"), (None, "unknown"))
    for feet in BACK_SPANS_FT
    for verdict, length in (("acceptable", 3 * feet), ("defect", 3 * feet + EIGHTH))
]
#: Over a quarter is too much in every edition, known or not what the joist is.
OVER_A_QUARTER = [
    overhang("defect", 3 * feet + EIGHTH, 12 * feet, size, species)
    for feet in BACK_SPANS_FT
    for size, species in (("2x8", "hem_fir"), (None, "unknown"))
]
#: Since 2021 the size decides between a sixth and a quarter.
SIZE_UNKNOWN = [overhang("cannot_tell", length, 144, None) for length in (24 + EIGHTH, 30, 36)]
MISSING = [overhang("cannot_tell", None, 144, "2x8"), overhang("cannot_tell", 20, None, "2x8")]

CASES = [
    *AT_THE_LIMIT,
    *AN_EIGHTH_OVER,
    *NONE_PERMITTED,
    *BETWEEN_ROWS,
    *BY_THE_QUARTER,
    *OVER_A_QUARTER,
    *SIZE_UNKNOWN,
    *MISSING,
]


def test_all_cells_are_there_and_those_that_permit_none_are_these() -> None:
    assert len(CELLS) == 4 * len(BACK_SPANS_FT)
    assert NOT_PERMITTED_AT == [
        ("2x6", 10),
        ("2x6", 12),
        ("2x6", 14),
        ("2x6", 16),
        ("2x6", 18),
        ("2x8", 14),
        ("2x8", 16),
        ("2x8", 18),
        ("2x10", 18),
    ]


def test_at_the_published_overhang_a_joist_is_acceptable(wrong: Wrong) -> None:
    assert wrong(AT_THE_LIMIT) == []


def test_an_eighth_over_it_is_a_defect(wrong: Wrong) -> None:
    assert wrong([*AN_EIGHTH_OVER, *OVER_A_QUARTER]) == []


def test_where_none_is_permitted_every_overhang_is_a_defect(wrong: Wrong) -> None:
    assert wrong(NONE_PERMITTED) == []


def test_between_two_back_spans_the_longer_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_ROWS) == []


def test_before_2021_a_quarter_of_the_back_span_is_the_limit(wrong: Wrong) -> None:
    assert wrong(BY_THE_QUARTER) == []


def test_with_a_measure_missing_nothing_is_told(wrong: Wrong) -> None:
    assert wrong([*SIZE_UNKNOWN, *MISSING]) == []
