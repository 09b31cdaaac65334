"""Every published post height at its limit and an eighth over it, by edition."""

from __future__ import annotations

from tests.etl.criteria.published.cells import EIGHTH, NOT_PERMITTED, Case, Wrong, case, grid, inches
from tests.etl.criteria.published.post_heights import (
    DCA_6_2012,
    DCA_6_SOURCE,
    DCA_6_SPECIES,
    IRC_2015,
    IRC_2015_SOURCE,
    IRC_2018,
    IRC_2018_SOURCE,
    IRC_2021,
    IRC_2021_SOURCE,
)

AREAS = (20, 40, 60, 80, 100, 120, 140, 160)
BY_AREA = {(post, area): inches(cell) for post, area, cell in grid(IRC_2021)}
#: By species, beam span and joist span in feet: feet, or None where none is permitted.
BY_SPANS = {
    (species, int(beam_feet), int(joist_feet)): None if cell == NOT_PERMITTED else int(cell)
    for beam_feet, joist_feet, *cells in map(str.split, DCA_6_2012.strip().splitlines())
    for group, cell in zip(DCA_6_SPECIES, cells, strict=True)
    for species in group
}


def post(verdict: str, source: str, name: str | None, height: object, **more: object) -> Case:
    return case("post_height", verdict, source, post_nominal=name, post_height_in=height, **more)


def by_area(
    verdict: str, name: str, height: object, area: object, species: str | None = "southern_pine", **more: object
) -> Case:
    return post(verdict, IRC_2021_SOURCE, name, height, tributary_area_sqft=area, joist_species=species, **more)


def by_spans(verdict: str, height: object, species: str, beam_span: object, joist_span: object) -> Case:
    recorded = {"joist_species": species, "beam_span_in": beam_span, "joist_span_in": joist_span, "code_basis": "DCA 6"}
    return post(verdict, DCA_6_SOURCE, "6x6", height, **recorded)


OF_2015 = [
    post(verdict, IRC_2015_SOURCE, name, height, code_basis="IRC 2015")
    for name, cell in IRC_2015.items()
    for verdict, height in (("acceptable", inches(cell)), ("defect", inches(cell) + EIGHTH))
]
OF_2018 = [
    post(verdict, IRC_2018_SOURCE, name, height, beam=beam, code_basis="IRC 2018")
    for (name, beam), cell in IRC_2018.items()
    for verdict, height in (("acceptable", inches(cell)), ("defect", inches(cell) + EIGHTH))
]
#: 6-9 whatever the beam, over 8-0 none, between them the beam decides.
OF_2018_BEAM_UNKNOWN = [
    post(verdict, IRC_2018_SOURCE, "4x4", height, code_basis="IRC 2018")
    for verdict, height in (
        ("acceptable", 81),
        ("cannot_tell", 81 + EIGHTH),
        ("cannot_tell", 96),
        ("defect", 96 + EIGHTH),
    )
]
AT_THE_LIMIT = [by_area("acceptable", name, limit, area) for (name, area), limit in BY_AREA.items()]
AN_EIGHTH_OVER = [by_area("defect", name, limit + EIGHTH, area) for (name, area), limit in BY_AREA.items()]
BETWEEN_AREAS = [
    by_area(verdict, name, height, area - 5)
    for (name, area), limit in BY_AREA.items()
    for verdict, height in (("acceptable", limit), ("defect", limit + EIGHTH))
]
#: Area out of half the joist span and its overhang, times the beam span: (60 + 0) x 96 / 144 = 40 sq ft.
AREA_WORKED_OUT = [
    by_area(verdict, "4x4", height, None, joist_span_in=120, overhang_in=overhang, beam_span_in=96)
    for overhang, limit in ((0, 164), (30, 132))
    for verdict, height in (("acceptable", limit), ("defect", limit + EIGHTH))
]
GUIDE = [
    by_spans(verdict, height, species, 12 * beam_feet, 12 * joist_feet)
    for (species, beam_feet, joist_feet), feet in BY_SPANS.items()
    if feet is not None
    for verdict, height in (("acceptable", 12 * feet), ("defect", 12 * feet + EIGHTH))
]
GUIDE_NONE_PERMITTED = [
    by_spans("defect", height, species, 12 * beam_feet, 12 * joist_feet)
    for (species, beam_feet, joist_feet), feet in BY_SPANS.items()
    if feet is None
    for height in (12, 24)
]


def _guide_unknown_species() -> list[Case]:
    """Decided only up to the weakest wood's height and beyond the strongest one's."""
    found = []
    for _, beam_feet, joist_feet in [key for key in BY_SPANS if key[0] == "southern_pine"]:
        heights = [12 * (feet or 0) for (_, *spans), feet in BY_SPANS.items() if spans == [beam_feet, joist_feet]]
        weakest, strongest = min(heights), max(heights)
        spans = (12 * beam_feet, 12 * joist_feet)
        found.append(by_spans("defect", strongest + EIGHTH, "unknown", *spans))
        if weakest > 0:
            found.append(by_spans("acceptable", weakest, "unknown", *spans))
        if weakest < strongest:
            found.append(by_spans("cannot_tell", weakest + EIGHTH if weakest else 12, "unknown", *spans))
            found.append(by_spans("cannot_tell", strongest, "unknown", *spans))
    return found


GUIDE_UNKNOWN_SPECIES = _guide_unknown_species()
#: Of 2021 southern pine at 40 psf is all that is known, so nothing is told of other wood and heavier loads.
BEYOND_THE_TABLE = [
    by_area("cannot_tell", "4x4", 24, 40, "hem_fir"),
    by_area("cannot_tell", "4x4", 24, 40, "unknown"),
    by_area("cannot_tell", "4x4", 24, 40, None),
    by_area("cannot_tell", "4x4", 24, 40, design_load_psf=50),
    by_area("cannot_tell", "4x6", 24, 40),
    by_area("cannot_tell", "4x4", 24, 161),
    by_area("cannot_tell", "6x6", 24, 200),
    by_area("cannot_tell", "steel", 24, 40),
    post("cannot_tell", IRC_2015_SOURCE, "steel", 24, code_basis="IRC 2015"),
    post("cannot_tell", IRC_2018_SOURCE, "steel", 24, beam="2-2x10", code_basis="IRC 2018"),
    by_spans("cannot_tell", 24, "southern_pine", 216 + EIGHTH, 120),
    by_spans("cannot_tell", 24, "southern_pine", 120, 216 + EIGHTH),
]
MISSING = [
    by_area("cannot_tell", "4x4", None, 40),
    by_area("cannot_tell", "4x4", 100, None),
    post("cannot_tell", IRC_2021_SOURCE, None, 100, tributary_area_sqft=40, joist_species="southern_pine"),
]

CASES = [
    *OF_2015,
    *OF_2018,
    *OF_2018_BEAM_UNKNOWN,
    *AT_THE_LIMIT,
    *AN_EIGHTH_OVER,
    *BETWEEN_AREAS,
    *AREA_WORKED_OUT,
    *GUIDE,
    *GUIDE_NONE_PERMITTED,
    *GUIDE_UNKNOWN_SPECIES,
    *BEYOND_THE_TABLE,
    *MISSING,
]


def test_all_cells_are_there_and_those_that_permit_none_are_these() -> None:
    assert len(BY_AREA) == 3 * len(AREAS)
    assert len(BY_SPANS) == 7 * 3 * 8
    weakest = ("ponderosa_pine", "red_pine", "spruce_pine_fir")
    assert {key for key, feet in BY_SPANS.items() if feet is None} == {
        (species, *spans) for species in weakest for spans in ((14, 18), (16, 18), (18, 14), (18, 18))
    }


def test_heights_of_2015_and_2018(wrong: Wrong) -> None:
    assert wrong([*OF_2015, *OF_2018, *OF_2018_BEAM_UNKNOWN]) == []


def test_heights_of_2021_by_the_area_that_a_post_carries(wrong: Wrong) -> None:
    assert wrong([*AT_THE_LIMIT, *AN_EIGHTH_OVER]) == []


def test_between_two_areas_the_larger_one_holds(wrong: Wrong) -> None:
    assert wrong(BETWEEN_AREAS) == []


def test_an_area_that_is_not_recorded_is_worked_out(wrong: Wrong) -> None:
    assert wrong(AREA_WORKED_OUT) == []


def test_heights_of_the_deck_guide_by_beam_span_and_joist_span(wrong: Wrong) -> None:
    assert wrong([*GUIDE, *GUIDE_NONE_PERMITTED, *GUIDE_UNKNOWN_SPECIES]) == []


def test_beyond_the_table_or_with_a_measure_missing_nothing_is_told(wrong: Wrong) -> None:
    assert wrong([*BEYOND_THE_TABLE, *MISSING]) == []
