"""The product's own tables, cell against cell: what makes a deck weaker never allows more, and no cell is missing.

Unlike the other modules here this one reads the product's files. What a cell should be stands in the other modules;
here a cell is only held against its neighbours, so every cell of every table is reached.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import prod
from pathlib import Path
from typing import Any

import pytest

import etl

TABLES = Path(etl.__file__).parent / "catalog" / "tables"
Row = dict[str, str]


def rows(table: str) -> list[Row]:
    with (TABLES / f"{table}.csv").open(newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


def depth(size: str) -> int:
    """The second number of a size, also of a beam: 10 of 2-2x10."""
    return int(size.split("x")[1])


def thickness(beam: str) -> int:
    """Plies times nominal thickness: 4 of 2-2x10, and of 4x10."""
    plies, _, size = beam.rpartition("-")
    return int(plies or 1) * int(size.split("x")[0])


def place_in(*words: str) -> Callable[[str], int]:
    return words.index


@dataclass(frozen=True)
class Table:
    """What a table is looked up by.

    Attributes
    ----------
    value
        The column with the limit.
    less
        Columns whose greater value never allows more, each with what orders its cells.
    more
        Columns whose greater value never allows less.
    fixed
        Columns that are compared within only.
    """

    value: str
    less: dict[str, Callable[[str], Any]]
    more: dict[str, Callable[[str], Any]]
    fixed: tuple[str, ...] = ()

    @property
    def keys(self) -> tuple[str, ...]:
        return (*self.fixed, *self.less, *self.more)


AUDITED = {
    "joist_spans": Table(
        "max_span_in", {"design_load_psf": int, "joist_spacing_in": int}, {"size": depth}, ("species",)
    ),
    "ledger_fasteners": Table(
        "max_spacing_in",
        {"design_load_psf": int, "joist_span_in": int},
        {"ledger_fastener": place_in("half_in_lag", "half_in_bolt_spaced", "half_in_bolt")},
    ),
    "beam_spans_irc": Table(
        "max_span_in", {"design_load_psf": int, "effective_joist_span_in": int}, {}, ("species", "beam")
    ),
    "beam_spans_dca6": Table("max_span_in", {"joist_span_in": int}, {}, ("species", "design_load_psf", "beam")),
    # A longer back span first allows more, a quarter of it, and less only where the strength of the joist decides.
    "joist_overhangs": Table("max_overhang_in", {}, {"size": depth}, ("species", "design_load_psf", "joist_span_in")),
    "post_heights": Table(
        "max_height_in", {"beam_plies": int}, {"post": place_in("4x4", "4x6", "6x6", "8x8")}, ("edition",)
    ),
    "post_heights_by_area": Table(
        "max_height_in",
        {"tributary_area_sqft": int},
        {"post": place_in("4x4", "4x6", "6x6", "8x8")},
        ("species", "design_load_psf"),
    ),
    "post_heights_dca6": Table(
        "max_height_in", {"beam_span_in": int, "joist_span_in": int}, {}, ("species", "design_load_psf", "post")
    ),
    "decking_spacing": Table(
        "max_spacing_in",
        {"decking_angle": place_in("straight", "diagonal")},
        {"decking": place_in("five_quarter", "two_by")},
        ("edition",),
    ),
    "joist_span_factors": Table("factor", {}, {"overhang_share": Fraction}),
}
#: Measured sizes of lumber, no limits.
NOT_AUDITED = {"dressed_sizes"}
#: Tables by beam, which is two sizes in one: thickness and depth are compared one at a time.
BEAMS = ("beam_spans_irc", "beam_spans_dca6")

#: Cells where the published table permits none, a limit of 0; each by the columns that its table is looked up by.
NONE_PERMITTED = {
    "joist_overhangs": {
        ("southern_pine", "40", span, size)
        for size, spans in {
            "2x6": ("120", "144", "168", "192", "216"),
            "2x8": ("168", "192", "216"),
            "2x10": ("216",),
        }.items()
        for span in spans
    },
    "post_heights_dca6": {
        ("ponderosa_pine red_pine spruce_pine_fir", "40", "6x6", *spans)
        for spans in (("168", "216"), ("192", "216"), ("216", "168"), ("216", "216"))
    },
}
#: Blank cells: the 2015 and 2018 texts know no single span of boards.
BLANK = {"decking_spacing": {("single_span_in", edition) for edition in ("2015", "2018")}}


def grown(table: Table, found: list[Row], column: str, order: Callable[[str], Any], sign: int) -> list[str]:
    """Pairs of neighbours along a column, all else equal, of which the greater one has a limit on the wrong side."""
    others = [name for name in table.keys if name != column]
    lines: dict[tuple[str, ...], list[Row]] = defaultdict(list)
    for row in found:
        lines[tuple(row[name] for name in others)].append(row)
    return [
        f"{', '.join(line)}: {greater[column]} has {greater[table.value]}, {smaller[column]} has {smaller[table.value]}"
        for line, cells in lines.items()
        for smaller, greater in pairwise(sorted(cells, key=lambda row: order(row[column])))
        if sign * (Fraction(greater[table.value]) - Fraction(smaller[table.value])) < 0
    ]


def test_every_table_is_audited() -> None:
    assert {path.stem for path in TABLES.glob("*.csv")} == AUDITED.keys() | NOT_AUDITED


@pytest.mark.parametrize("name", AUDITED)
def test_what_makes_a_deck_weaker_never_allows_more(name: str) -> None:
    table, found = AUDITED[name], rows(name)

    assert [each for column, order in table.less.items() for each in grown(table, found, column, order, -1)] == []


@pytest.mark.parametrize("name", AUDITED)
def test_what_makes_a_deck_stronger_never_allows_less(name: str) -> None:
    table, found = AUDITED[name], rows(name)

    assert [each for column, order in table.more.items() for each in grown(table, found, column, order, 1)] == []


@pytest.mark.parametrize("name", BEAMS)
def test_a_deeper_or_thicker_beam_never_spans_less(name: str) -> None:
    table, found = AUDITED[name], rows(name)
    by_depth = defaultdict(list)
    by_thickness = defaultdict(list)
    for row in found:
        by_depth[depth(row["beam"])].append(row)
        by_thickness[thickness(row["beam"]), "-" in row["beam"]].append(row)

    assert [each for same in by_thickness.values() for each in grown(table, same, "beam", depth, 1)] == []
    # A built-up beam and one sawn from the log are not of the same lumber: plies are held against plies.
    plies = [[row for row in same if "-" in row["beam"]] for same in by_depth.values()]
    assert [each for same in plies for each in grown(table, same, "beam", thickness, 1)] == []


@pytest.mark.parametrize("name", AUDITED)
def test_no_cell_stands_twice_and_none_is_missing(name: str) -> None:
    table, found = AUDITED[name], rows(name)
    cells = [tuple(row[column] for column in table.keys) for row in found]

    assert len(set(cells)) == len(cells)
    if name not in ("post_heights", *BEAMS):
        assert len(cells) == prod(len({cell[place] for cell in cells}) for place in range(len(table.keys)))


@pytest.mark.parametrize("name", BEAMS)
def test_every_beam_has_every_joist_span(name: str) -> None:
    spans = defaultdict(set)
    column = "effective_joist_span_in" if name == "beam_spans_irc" else "joist_span_in"
    for row in rows(name):
        spans[row["species"], row["design_load_psf"], row["beam"]].add(int(row[column]))

    assert {tuple(sorted(each)) for each in spans.values()} == {(72, 96, 120, 144, 168, 192, 216)}


@pytest.mark.parametrize("name", AUDITED)
def test_only_the_named_cells_permit_none_or_are_blank(name: str) -> None:
    table, found = AUDITED[name], rows(name)
    none = {tuple(row[column] for column in table.keys) for row in found if Fraction(row[table.value]) == 0}
    blank = {(column, row.get("edition", "")) for row in found for column, cell in row.items() if cell == ""}

    assert none == NONE_PERMITTED.get(name, set())
    assert blank == BLANK.get(name, set())
    assert all(Fraction(row[table.value]) >= 0 for row in found)


def test_where_no_overhang_is_permitted_none_is_at_any_longer_back_span() -> None:
    by_size = defaultdict(list)
    for row in sorted(rows("joist_overhangs"), key=lambda row: int(row["joist_span_in"])):
        by_size[row["size"]].append(int(row["max_overhang_in"]))

    for overhangs in by_size.values():
        first = overhangs.index(0) if 0 in overhangs else len(overhangs)
        assert not any(overhangs[first:])
        assert all(4 * overhang <= 12 * feet for overhang, feet in zip(overhangs, range(4, 20, 2), strict=True))


def test_boards_over_one_bay_are_never_allowed_a_wider_spacing() -> None:
    for row in rows("decking_spacing"):
        assert row["single_span_in"] == "" or int(row["single_span_in"]) <= int(row["max_spacing_in"])
