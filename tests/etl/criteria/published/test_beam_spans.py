"""Every typed-in beam span at its limit and an eighth over it; the factors of IRC 2021; the two tables kept apart."""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal

from tests.etl.criteria.published.beam_spans import DCA_6, DCA_6_2015, FACTORS, IRC, IRC_2021, STATE_2015
from tests.etl.criteria.published.cells import EIGHTH, Case, Wrong, case, grid, inches
from tests.etl.criteria.published.joist_spans import DOUGLAS_FIR, REDWOOD, SOUTHERN_PINE

SPANS_FT = (6, 8, 10, 12, 14, 16, 18)
GROUPS = (SOUTHERN_PINE, DOUGLAS_FIR, REDWOOD)
#: IRC 2021 by species group, load, beam and effective joist span in feet, in inches.
LIMITS = {
    (group, load, name, feet): inches(cell)
    for (group, load), table in IRC_2021.items()
    for name, feet, cell in grid(table)
}
#: DCA 6 by species group, beam and joist span in feet, in inches.
GUIDE_LIMITS = {
    (group, name, feet): inches(cell) for group, table in DCA_6_2015.items() for name, feet, cell in grid(table)
}


def beam(
    verdict: str,
    species: str | None,
    load: object,
    name: str | None,
    length: object,
    joist_span: object,
    overhang: object,
    **more: object,
) -> Case:
    recorded = {
        "joist_species": species,
        "design_load_psf": load,
        "beam": name,
        "beam_span_in": length,
        "joist_span_in": joist_span,
        "overhang_in": overhang,
    }
    return case("beam_span", verdict, DCA_6 if "code_basis" in more else IRC, **(recorded | more))


def by_the_guide(verdict: str, species: str, name: str, length: object, joist_span: object, overhang: object) -> Case:
    return beam(verdict, species, 40, name, length, joist_span, overhang, code_basis="DCA 6")


def to_the_eighth(length: Decimal) -> Decimal:
    """The length on a tape, rounded down."""
    return (length / EIGHTH).to_integral_value(ROUND_FLOOR) * EIGHTH


#: With joists that overhang by a quarter of their span the factor is 1: the effective span is the span.
AT_THE_LIMIT = [
    beam("acceptable", species, load, name, limit, 12 * feet, 3 * feet)
    for (group, load, name, feet), limit in LIMITS.items()
    for species in group
]
AN_EIGHTH_OVER = [
    beam("defect", species, load, name, limit + EIGHTH, 12 * feet, 3 * feet)
    for (group, load, name, feet), limit in LIMITS.items()
    for species in group
]
GUIDE_AT_THE_LIMIT = [
    by_the_guide("acceptable", species, name, limit, 12 * feet, overhang)
    for (group, name, feet), limit in GUIDE_LIMITS.items()
    for species in group
    for overhang in (0, 3 * feet)
]
GUIDE_AN_EIGHTH_OVER = [
    by_the_guide("defect", species, name, limit + EIGHTH, 12 * feet, overhang)
    for (group, name, feet), limit in GUIDE_LIMITS.items()
    for species in group
    for overhang in (0, 3 * feet)
]


def _between_rows() -> list[Case]:
    """An eighth over a joist span of the table the next longer one holds; up to 6 ft the first."""
    found = []
    for shorter, longer in zip((3, *SPANS_FT), SPANS_FT, strict=False):
        joist_span = 12 * shorter + EIGHTH
        for group in GROUPS:
            limit = LIMITS[group, 40, "2-2x10", longer]
            # An overhang over a sixth of the span has the factor 1 as well.
            overhang = to_the_eighth(joist_span / 4)
            found.append(beam("acceptable", group[0], 40, "2-2x10", limit, joist_span, overhang))
            found.append(beam("defect", group[0], 40, "2-2x10", limit + EIGHTH, joist_span, overhang))
        for group in DCA_6_2015:
            limit = GUIDE_LIMITS[group, "2-2x10", longer]
            found.append(by_the_guide("acceptable", group[0], "2-2x10", limit, joist_span, 0))
            found.append(by_the_guide("defect", group[0], "2-2x10", limit + EIGHTH, joist_span, 0))
    return found


def _factors() -> list[Case]:
    """With each ratio, the longest joist that still counts as 6, 10 and 14 ft, and one an eighth longer."""
    found = []
    for part, factor in FACTORS.items():
        for feet in (6, 10, 14):
            limit = LIMITS[SOUTHERN_PINE, 40, "3-2x10", feet]
            longest = to_the_eighth(12 * feet / Decimal(factor))
            for joist_span, verdict in ((longest, "acceptable"), (longest + EIGHTH, "defect")):
                overhang = to_the_eighth(joist_span / part) if part else 0
                found.append(beam(verdict, "southern_pine", 40, "3-2x10", limit, joist_span, overhang))
    return found


BETWEEN_ROWS = _between_rows()
FACTOR_CASES = _factors()
BETWEEN_LOADS = [
    beam(verdict, group[0], measured, "2-2x10", length, 12 * feet, 3 * feet)
    for group in GROUPS
    for feet in SPANS_FT
    for measured, table in ((None, 40), (25, 40), (41, 50), (55, 60), (65, 70))
    for limit in [LIMITS[group, table, "2-2x10", feet]]
    for verdict, length in (("acceptable", limit), ("defect", limit + EIGHTH))
]


def _unknown_species() -> list[Case]:
    found = []
    for name, feet in [(name, feet) for group, load, name, feet in LIMITS if group == SOUTHERN_PINE and load == 40]:
        groups = [LIMITS[group, 40, name, feet] for group in GROUPS]
        weakest, strongest = min(groups), max(groups)
        found.append(beam("acceptable", "unknown", 40, name, weakest, 12 * feet, 3 * feet))
        found.append(beam("defect", "unknown", 40, name, strongest + EIGHTH, 12 * feet, 3 * feet))
        if weakest < strongest:
            found.append(beam("cannot_tell", "unknown", 40, name, weakest + EIGHTH, 12 * feet, 3 * feet))
            found.append(beam("cannot_tell", "unknown", 40, name, strongest, 12 * feet, 3 * feet))
    return found


UNKNOWN_SPECIES = _unknown_species()
#: Southern pine 2-2x10 under joists of 12 ft: 9-0 with no overhang (8 ft row), 7-4 with a quarter (12 ft row).
UNKNOWN_OVERHANG = [
    beam("acceptable", "southern_pine", 40, "2-2x10", 88, 144, None),
    beam("cannot_tell", "southern_pine", 40, "2-2x10", 88 + EIGHTH, 144, None),
    beam("cannot_tell", "southern_pine", 40, "2-2x10", 108, 144, None),
    beam("defect", "southern_pine", 40, "2-2x10", 108 + EIGHTH, 144, None),
]
#: The same beam: 9-0 by IRC 2021 without overhang, 7-1 by DCA 6 whatever the overhang.
KEPT_APART = [
    beam("acceptable", "southern_pine", 40, "2-2x10", 108, 144, 0),
    by_the_guide("defect", "southern_pine", "2-2x10", 108, 144, 0),
    by_the_guide("acceptable", "southern_pine", "2-2x10", 85, 144, 0),
    by_the_guide("defect", "southern_pine", "2-2x10", 85 + EIGHTH, 144, 0),
    beam("acceptable", "southern_pine", 40, "2-2x10", 88, 144, 36),
    by_the_guide("defect", "southern_pine", "2-2x10", 88, 144, 36),
]
BEYOND_THE_TABLE = [
    beam("cannot_tell", "southern_pine", 40, "2-2x10", 24, 217, 54),
    beam("cannot_tell", "southern_pine", 40, "2-2x10", 24, 330, 0),
    beam("cannot_tell", "southern_pine", 80, "2-2x10", 24, 144, 36),
    beam("cannot_tell", "southern_pine", 40, "4-2x10", 24, 144, 36),
    beam("cannot_tell", "southern_pine", 40, "2-2x14", 24, 144, 36),
    beam("cannot_tell", "southern_pine", 40, "4x10", 24, 144, 36),
    by_the_guide("cannot_tell", "southern_pine", "2-2x10", 24, 216 + EIGHTH, 0),
    by_the_guide("cannot_tell", "southern_pine", "4x10", 24, 144, 0),
]
MISSING = [
    beam("cannot_tell", "southern_pine", 40, None, 24, 144, 36),
    beam("cannot_tell", "southern_pine", 40, "2-2x10", None, 144, 36),
    beam("cannot_tell", "southern_pine", 40, "2-2x10", 24, None, 36),
]

CASES = [
    *AT_THE_LIMIT,
    *AN_EIGHTH_OVER,
    *GUIDE_AT_THE_LIMIT,
    *GUIDE_AN_EIGHTH_OVER,
    *BETWEEN_ROWS,
    *FACTOR_CASES,
    *BETWEEN_LOADS,
    *UNKNOWN_SPECIES,
    *UNKNOWN_OVERHANG,
    *KEPT_APART,
    *BEYOND_THE_TABLE,
    *MISSING,
]


def test_51_of_the_56_cells_read_in_the_older_table_are_the_same() -> None:
    older = {(name, feet): inches(cell) for name, feet, cell in grid(STATE_2015)}
    newer = {key: LIMITS[SOUTHERN_PINE, 40, *key] for key in older}
    differences = {key: newer[key] - length for key, length in older.items() if newer[key] != length}

    assert differences == {
        ("2-2x12", 16): -1,
        ("3-2x6", 6): 4,
        ("3-2x6", 18): -1,
        ("3-2x8", 6): 1,
        ("3-2x10", 8): -1,
    }


def test_at_the_published_span_a_beam_is_acceptable(wrong: Wrong) -> None:
    assert wrong(AT_THE_LIMIT) == []


def test_an_eighth_over_it_is_a_defect(wrong: Wrong) -> None:
    assert wrong(AN_EIGHTH_OVER) == []


def test_at_the_span_of_the_deck_guide_a_beam_is_acceptable_by_it(wrong: Wrong) -> None:
    assert wrong(GUIDE_AT_THE_LIMIT) == []


def test_an_eighth_over_it_is_a_defect_by_the_deck_guide(wrong: Wrong) -> None:
    assert wrong(GUIDE_AN_EIGHTH_OVER) == []


def test_the_two_tables_are_kept_apart(wrong: Wrong) -> None:
    assert wrong(KEPT_APART) == []


def test_between_two_joist_spans_the_longer_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_ROWS) == []


def test_the_joist_span_is_taken_times_the_factor_of_its_overhang(wrong: Wrong) -> None:
    assert wrong(FACTOR_CASES) == []


def test_between_two_loads_the_heavier_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_LOADS) == []


def test_what_is_unknown_is_decided_only_where_the_extremes_agree(wrong: Wrong) -> None:
    assert wrong([*UNKNOWN_SPECIES, *UNKNOWN_OVERHANG]) == []


def test_beyond_the_table_or_with_a_measure_missing_nothing_is_told(wrong: Wrong) -> None:
    assert wrong([*BEYOND_THE_TABLE, *MISSING]) == []
