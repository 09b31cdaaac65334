"""Every published spacing of ledger fasteners at its limit and an inch over it, and what holds between the cells."""

from __future__ import annotations

from itertools import pairwise

from tests.etl.criteria.published.cells import EIGHTH, Case, Wrong, case, grid
from tests.etl.criteria.published.ledger_spacing import SOURCES, SPACINGS

TABULATED = ("half_in_lag", "half_in_bolt", "half_in_bolt_spaced")
SPANS_FT = (6, 8, 10, 12, 14, 16, 18)
#: By load, fastener and joist span in feet, in inches.
LIMITS = {(load, fastener, feet): int(cell) for load, table in SPACINGS.items() for fastener, feet, cell in grid(table)}


def ledger(verdict: str, load: int | None, fastener: str | None, joist_span: object, spacing: object) -> Case:
    recorded = {
        "design_load_psf": load,
        "ledger_fastener": fastener,
        "joist_span_in": joist_span,
        "ledger_fastener_spacing_in": spacing,
    }
    heavier = min((table for table in SOURCES if table >= (load or 40)), default=70)
    return case("ledger_fasteners", verdict, SOURCES[heavier], **recorded)


AT_THE_LIMIT = [
    ledger("acceptable", load, fastener, 12 * feet, limit) for (load, fastener, feet), limit in LIMITS.items()
]
AN_INCH_OVER = [
    ledger("defect", load, fastener, 12 * feet, limit + 1) for (load, fastener, feet), limit in LIMITS.items()
]
#: An eighth over a span of the table the next longer span holds; up to 6 ft the first.
BETWEEN_SPANS = [
    ledger(verdict, load, fastener, 12 * shorter + EIGHTH, spacing)
    for shorter, longer in pairwise(SPANS_FT)
    for load in SPACINGS
    for fastener in TABULATED
    for limit in [LIMITS[load, fastener, longer]]
    for verdict, spacing in (("acceptable", limit), ("defect", limit + 1))
] + [
    ledger(verdict, load, fastener, 40, spacing)
    for load in SPACINGS
    for fastener in TABULATED
    for limit in [LIMITS[load, fastener, 6]]
    for verdict, spacing in (("acceptable", limit), ("defect", limit + 1))
]
#: The heavier table holds, and 40 psf where no load is recorded.
BETWEEN_LOADS = [
    ledger(verdict, measured, fastener, 12 * feet, spacing)
    for (load, fastener, feet), limit in LIMITS.items()
    for measured, table in ((None, 40), (25, 40), (41, 50), (55, 60), (61, 70))
    if table == load
    for verdict, spacing in (("acceptable", limit), ("defect", limit + 1))
]
BEYOND_THE_TABLE = [
    ledger("cannot_tell", 40, fastener, span, spacing)
    for fastener in TABULATED
    for span, spacing in ((216 + EIGHTH, 4), (240, 60))
] + [ledger("cannot_tell", 80, fastener, 144, 4) for fastener in TABULATED]
MISSING = [
    ledger("cannot_tell", 40, "half_in_lag", None, 15),
    ledger("cannot_tell", 40, "half_in_lag", 144, None),
    ledger("cannot_tell", 40, None, 144, 15),
]
#: Kinds that the table does not have: whatever the spacing.
OTHER_KINDS = [
    ledger(verdict, 40, fastener, 144, spacing)
    for fastener, verdict in (
        ("nails", "defect"),
        ("three_eighths_lag", "judgment"),
        ("structural_screw", "cannot_tell"),
        ("other", "cannot_tell"),
    )
    for spacing in (4, 15, 36)
]

CASES = [
    *AT_THE_LIMIT,
    *AN_INCH_OVER,
    *BETWEEN_SPANS,
    *BETWEEN_LOADS,
    *BEYOND_THE_TABLE,
    *MISSING,
    *OTHER_KINDS,
]


def test_all_cells_are_there() -> None:
    assert len(LIMITS) == 4 * len(TABULATED) * len(SPANS_FT)


def test_at_the_published_spacing_a_ledger_is_acceptable(wrong: Wrong) -> None:
    assert wrong(AT_THE_LIMIT) == []


def test_an_inch_over_it_is_a_defect(wrong: Wrong) -> None:
    assert wrong(AN_INCH_OVER) == []


def test_between_two_joist_spans_the_longer_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_SPANS) == []


def test_between_two_loads_the_heavier_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_LOADS) == []


def test_beyond_the_table_or_with_a_measure_missing_nothing_is_told(wrong: Wrong) -> None:
    assert wrong([*BEYOND_THE_TABLE, *MISSING]) == []


def test_kinds_that_the_table_does_not_have(wrong: Wrong) -> None:
    assert wrong(OTHER_KINDS) == []
