"""Every published joist span at its limit and an eighth over it, and what holds between and beyond the cells."""

from __future__ import annotations

from decimal import Decimal

from tests.etl.criteria.published.cells import EIGHTH, Case, Wrong, case, grid, inches
from tests.etl.criteria.published.joist_spans import DOUGLAS_FIR, READ, REDWOOD, SECOND_HAND, SOUTHERN_PINE, SPANS

LOADS = (40, 50, 60, 70)
#: By species group, load, size and spacing, in inches.
LIMITS = {
    (group, load, size, spacing): inches(cell)
    for (group, load), table in SPANS.items()
    for size, spacing, cell in grid(table)
}


def span(
    verdict: str, species: str | None, load: object, size: str, spacing: object, length: object, **more: object
) -> Case:
    """A joist of a deck that is too young for the allowance of old ones, unless its year is given."""
    recorded = {
        "joist_species": species,
        "design_load_psf": load,
        "joist_nominal": size,
        "joist_spacing_in": spacing,
        "joist_span_in": length,
        "deck_built_year": 2020,
    }
    return case("joist_span", verdict, READ if Decimal(str(load or 40)) <= 40 else SECOND_HAND, **(recorded | more))


AT_THE_LIMIT = [
    span("acceptable", species, load, size, spacing, limit)
    for (group, load, size, spacing), limit in LIMITS.items()
    for species in group
]
AN_EIGHTH_OVER = [
    span("defect", species, load, size, spacing, limit + EIGHTH)
    for (group, load, size, spacing), limit in LIMITS.items()
    for species in group
]
#: The wider spacing of the table holds: 13 in is read at 16, 19.2 at 24; closer than 12 at 12.
BETWEEN_SPACINGS = [
    span(verdict, group[0], load, size, measured, length)
    for (group, load, size, spacing), limit in LIMITS.items()
    for measured, column in ((12.125, 16), (13, 16), (16.125, 24), ("19.2", 24))
    if column == spacing
    for verdict, length in (("acceptable", limit), ("defect", limit + EIGHTH))
] + [
    span("acceptable", group[0], load, size, 8, limit)
    for (group, load, size, spacing), limit in LIMITS.items()
    if spacing == 12
]
#: The heavier table holds.
BETWEEN_LOADS = [
    span(verdict, group[-1], measured, size, spacing, length)
    for (group, load, size, spacing), limit in LIMITS.items()
    for measured, table in ((30, 40), (41, 50), (55, 60), (65, 70))
    if table == load
    for verdict, length in (("acceptable", limit), ("defect", limit + EIGHTH))
]
NO_LOAD = [
    span(verdict, group[0], None, size, spacing, length)
    for (group, load, size, spacing), limit in LIMITS.items()
    if load == 40
    for verdict, length in (("acceptable", limit), ("defect", limit + EIGHTH))
]
#: The table is the same in every guideline that has one, as far as its 40 psf go.
OTHER_GUIDELINES = [
    span(verdict, group[0], 40, size, spacing, length, code_basis=guideline)
    for (group, load, size, spacing), limit in LIMITS.items()
    if load == 40
    for guideline in ("IRC 2015", "IRC 2018", "IRC 2024", "DCA 6")
    for verdict, length in (("acceptable", limit), ("defect", limit + EIGHTH))
]
#: Nothing is said of these, however short the joist.
BEYOND_THE_TABLE = [
    span("cannot_tell", "southern_pine", 40, "2x8", "24.125", 60),
    span("cannot_tell", "southern_pine", 40, "2x8", 30, 240),
    span("cannot_tell", "southern_pine", "70.5", "2x8", 16, 60),
    span("cannot_tell", "southern_pine", 100, "2x8", 16, 60),
    span("cannot_tell", "southern_pine", 40, "2x4", 16, 60),
    span("cannot_tell", "southern_pine", 40, "2x14", 16, 240),
    span("cannot_tell", "southern_pine", 40, "4x8", 16, 60),
]
MISSING = [
    span("cannot_tell", "southern_pine", 40, "2x8", None, 60),
    span("cannot_tell", "southern_pine", 40, "2x8", 16, None),
    case("joist_span", "cannot_tell", READ, joist_species="hem_fir", joist_spacing_in=16, joist_span_in=60),
]


def _unknown_species() -> list[Case]:
    """Decided only up to the weakest group's span and beyond the strongest one's."""
    found = []
    for _, load, size, spacing in [key for key in LIMITS if key[0] == SOUTHERN_PINE]:
        groups = [LIMITS[group, load, size, spacing] for group in (SOUTHERN_PINE, DOUGLAS_FIR, REDWOOD)]
        weakest, strongest = min(groups), max(groups)
        for species in ("unknown", None):
            found.append(span("acceptable", species, load, size, spacing, weakest))
            found.append(span("defect", species, load, size, spacing, strongest + EIGHTH))
            if weakest < strongest:
                found.append(span("cannot_tell", species, load, size, spacing, weakest + EIGHTH))
                found.append(span("cannot_tell", species, load, size, spacing, strongest))
    return found


UNKNOWN_SPECIES = _unknown_species()
#: A deck built before the first edition with such a table may be over by a tenth.
OLD_DECKS = [
    span(verdict, group[0], load, size, spacing, length, deck_built_year=year)
    for (group, load, size, spacing), limit in LIMITS.items()
    for verdict, length, year in (
        ("acceptable", limit, 2015),
        ("judgment", limit + EIGHTH, 2015),
        ("judgment", limit * Decimal("1.1"), 2015),
        ("defect", limit * Decimal("1.1") + EIGHTH, 2015),
        ("defect", limit + EIGHTH, 2016),
    )
]

CASES = [
    *AT_THE_LIMIT,
    *AN_EIGHTH_OVER,
    *BETWEEN_SPACINGS,
    *BETWEEN_LOADS,
    *NO_LOAD,
    *OTHER_GUIDELINES,
    *BEYOND_THE_TABLE,
    *MISSING,
    *UNKNOWN_SPECIES,
    *OLD_DECKS,
]


def test_all_cells_are_there() -> None:
    assert len(LIMITS) == 3 * len(LOADS) * 4 * 3


def test_at_the_published_span_a_joist_is_acceptable(wrong: Wrong) -> None:
    assert wrong(AT_THE_LIMIT) == []


def test_an_eighth_over_it_is_a_defect(wrong: Wrong) -> None:
    assert wrong(AN_EIGHTH_OVER) == []


def test_between_two_spacings_the_wider_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_SPACINGS) == []


def test_between_two_loads_the_heavier_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_LOADS) == []


def test_where_no_load_is_recorded_it_is_40_psf(wrong: Wrong) -> None:
    assert wrong(NO_LOAD) == []


def test_other_guidelines_have_the_same_spans_at_40_psf(wrong: Wrong) -> None:
    assert wrong(OTHER_GUIDELINES) == []


def test_beyond_the_table_or_with_a_measure_missing_nothing_is_told(wrong: Wrong) -> None:
    assert wrong([*BEYOND_THE_TABLE, *MISSING]) == []


def test_an_unknown_species_is_decided_only_where_all_agree(wrong: Wrong) -> None:
    assert wrong(UNKNOWN_SPECIES) == []


def test_a_deck_built_before_2016_may_be_over_by_a_tenth(wrong: Wrong) -> None:
    assert wrong(OLD_DECKS) == []
