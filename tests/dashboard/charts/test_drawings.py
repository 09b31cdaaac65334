"""Drawings are to scale, fit a phone, say the answer, and show the limit of the rule that decided.

The limits are compared with those of the catalog's own rules (etl/catalog/rules), which name their sources.
"""

from __future__ import annotations

import re
from typing import Any

import altair as alt
import duckdb
import pandas as pd
import pytest

from dashboard import labels
from dashboard.charts import case_drawing, drawings, theme
from dashboard.measures import limits, lumber
from dashboard.measures.cases import Case
from etl.criteria.catalog import load_catalog

CATALOG = load_catalog()


def rule(criterion: str) -> dict[str, Any]:
    """A rule of the catalog as a snapshot holds it."""
    found = CATALOG.criterion(criterion)
    return {verdict: getattr(found, verdict) for verdict in ("defect", "acceptable", "judgment")}


def made(topic: str, criterion: str | None = None, verdict: str = "defect", **recorded: Any) -> Case:
    measures = pd.DataFrame(
        [{"measure": name, "title": name, "value": value, "unit": None} for name, value in recorded.items()],
        columns=["measure", "title", "value", "unit"],
    )
    return Case({"topic": topic, "verdict": verdict}, measures, rule(criterion) if criterion else None)


def said(found: Case) -> str:
    drawing = drawings.drawing(found, theme.LIGHT)
    assert drawing is not None
    return str(drawing.to_dict()["description"]).replace("\u00a0", " ")


HANGER = {"joist_nominal": "2x10", "hanger_nominal": "2x8"}
SAID = [
    (
        made("hanger_size", **HANGER, hanger_height_in=6.5),
        "The hanger reaches 6.5 in of the 9.25 in joist: 70 %, above the 60 % line at 5.55 in.",
    ),
    (
        made("hanger_size", joist_depth_in=11.25, hanger_height_in=6.7),
        "The hanger reaches 6.7 in of the 11.25 in joist: 59 %, below the 60 % line at 6.75 in.",
    ),
    (
        made("hanger_size", **HANGER),
        "The height of the 2x8 hanger was not measured. The lumber that it is made for is 7.25 in deep, above the 60 % "
        "line at 5.55 in of the 9.25 in joist.",
    ),
    (
        made("joist_gap", "joist_gap.gap", joist_gap_in=0.625),
        "The gap at the joist's end is 5/8 in: over 3/8 in, which is a defect.",
    ),
    (
        made("joist_gap", "joist_gap.gap", joist_gap_in=0.0625),
        "The gap at the joist's end is 1/16 in: up to 1/8 in, which is acceptable; over 3/8 in would be a defect.",
    ),
    (
        made("joist_gap", "joist_gap.gap", joist_gap_in=0.25),
        "The gap at the joist's end is 1/4 in: between 1/8 in and 3/8 in, which the rule leaves to the inspector.",
    ),
    (
        made("joist_seat", "joist_seat.gap", seat_gap_in=0.25),
        "The gap under the joist is 1/4 in: 1/4 in or more, which is a defect.",
    ),
    (
        made("stair_riser_spread", "stair_riser_spread.spread", riser_max_in=7.625, riser_min_in=7.0),
        "The risers differ by 5/8 in: more than the 3/8 in that is allowed.",
    ),
    (
        made("stair_riser_spread", "stair_riser_spread.spread", riser_spread_in=0.375),
        "The risers differ by 3/8 in: within the 3/8 in that is allowed.",
    ),
    (
        made("stair_riser", "stair_riser.height", riser_max_in=8.25),
        "The tallest riser is 8-1/4 in: more than the 7-3/4 in that is allowed.",
    ),
    (
        made("guard_height", "guard_height.height", guard_height_in=34.5, guard_place="deck"),
        "The guard is 34-1/2 in high: lower than the 36 in that a deck needs.",
    ),
    (
        made("guard_opening", "guard_opening.opening", opening_in=4.75, guard_place="deck"),
        "A sphere of 4 in passes the opening of 4-3/4 in.",
    ),
    (
        made("guard_opening", "guard_opening.opening", "acceptable", opening_in=4.25, guard_place="stair"),
        "A sphere of 4-3/8 in does not pass the opening of 4-1/4 in.",
    ),
    (
        made(
            "hanger_fastener_length", "hanger_fastener_length.nail", fastener_length_in=2.5, fastener_kind="common_nail"
        ),
        "The fastener is 2-1/2 in long: shorter than the 3 in that is needed.",
    ),
]
CASES = [found for found, _ in SAID]
NAMES = [f"{found.facts['topic']} {place}" for place, found in enumerate(CASES)]
#: The same with values at the ends of what is plausible: still whole on a phone.
EXTREME = [
    made("hanger_size", joist_depth_in=24, hanger_height_in=24),
    made("hanger_size", joist_depth_in=2, hanger_height_in=0.5),
    *(made("joist_gap", "joist_gap.gap", joist_gap_in=gap) for gap in (0, 12)),
    *(made("joist_seat", "joist_seat.gap", seat_gap_in=gap) for gap in (0, 12)),
    *(made("stair_riser_spread", "stair_riser_spread.spread", riser_spread_in=spread) for spread in (0, 24)),
    *(made("stair_riser", "stair_riser.height", riser_max_in=height) for height in (0, 36)),
    *(made("guard_height", "guard_height.height", guard_height_in=height, guard_place="deck") for height in (0, 120)),
    *(made("guard_opening", "guard_opening.opening", opening_in=gap, guard_place="deck") for gap in (0, 60)),
    *(
        made("hanger_fastener_length", "hanger_fastener_length.nail", fastener_length_in=length)
        for length in (0.25, 12)
    ),
]


@pytest.mark.parametrize(("found", "answer"), SAID, ids=NAMES)
def test_each_drawing_says_its_answer_with_its_numbers(found: Case, answer: str) -> None:
    assert said(found) == answer


def test_every_topic_with_a_drawing_is_tried() -> None:
    assert {found.facts["topic"] for found in CASES} == set(drawings.DRAWINGS)


@pytest.mark.parametrize("colors", theme.PALETTES.values(), ids=theme.PALETTES)
@pytest.mark.parametrize("found", [*CASES, *EXTREME])
def test_each_drawing_has_one_scale_both_ways_and_fits_a_phone(found: Case, colors: theme.Palette) -> None:
    drawing = drawings.drawing(found, colors)
    assert drawing is not None
    spec = drawing.to_dict()  # checked against the schema of Vega-Lite
    scales = {
        axis: {tuple(layer["encoding"][axis]["scale"]["domain"]) for layer in spec["layer"]} for axis in ("x", "y")
    }
    ((left, right),), ((bottom, top),) = scales["x"], scales["y"]
    assert spec["width"] / (right - left) == pytest.approx(spec["height"] / (top - bottom), rel=0.01)
    # 390 px less the margins of the page, 16 px a side.
    assert spec["width"] + 2 * spec["config"]["padding"] <= 390 - 32
    assert spec["background"] == colors.ground


@pytest.mark.parametrize("found", [*CASES, *EXTREME])
def test_the_scale_bar_is_as_long_as_it_says(found: Case) -> None:
    spec = drawings.drawing(found, theme.LIGHT).to_dict()  # type: ignore[union-attr]
    told = [row["text"] for rows in spec["datasets"].values() for row in rows if "to scale" in str(row.get("text"))]
    (length,) = re.findall(r"^(.+)\u00a0in, to scale", told[0])
    bars = [layer for layer in spec["layer"] if layer["mark"].get("color") == theme.LIGHT.soft]
    lines = [spec["datasets"][bar["data"]["name"]] for bar in bars if bar["mark"]["type"] == "line"]
    longest = max(abs(line[-1]["x"] - line[0]["x"]) for line in lines)
    whole, _, part = length.rpartition("-")
    top, _, under = part.partition("/")
    assert longest == pytest.approx(int(whole or 0) + int(top) / int(under or 1), abs=0.01)


@pytest.mark.parametrize("topic", drawings.DRAWINGS)
def test_nothing_is_drawn_where_nothing_was_measured(topic: str) -> None:
    criterion = CATALOG.of_topic(topic)[0].id
    assert drawings.drawing(made(topic, criterion), theme.LIGHT) is None
    assert drawings.drawing(made(topic), theme.LIGHT) is None


def test_nothing_is_drawn_of_a_topic_without_a_drawing() -> None:
    assert drawings.drawing(made("deck_sway"), theme.LIGHT) is None


def test_no_limit_is_drawn_where_no_guard_is_required() -> None:
    low = made("guard_height", "guard_height.height", "judgment", guard_height_in=30, guard_place="deck")
    assert drawings.drawing(low, theme.LIGHT) is None


def test_a_hanger_that_was_not_measured_is_dashed_and_claims_no_height() -> None:
    spec = str(drawings.drawing(made("hanger_size", **HANGER), theme.LIGHT).to_dict())  # type: ignore[union-attr]
    assert "reaches" not in spec
    assert "not measured" in spec
    assert "'strokeDash': [5, 4]" in spec


@pytest.mark.parametrize("hangers", [1, 3])
def test_the_joist_can_hang_in_several_hangers_with_captions(hangers: int) -> None:
    some = [
        case_drawing.Hanger(6.5 - place, f"{6.5 - place} in", captions=("2x8", "enough")) for place in range(hangers)
    ]
    drawing = case_drawing.case_drawing(9.25, "2x10 joist", some, theme.LIGHT, px_per_in=21, label_room_in=11)
    assert isinstance(drawing, alt.LayerChart)
    assert "60\u00a0% line at 5.55\u00a0in" in drawing.to_dict()["description"]


def test_several_hangers_are_told_one_by_one() -> None:
    some = [case_drawing.Hanger(7.25, "7.25 in"), case_drawing.Hanger(5.5, "5.5 in")]
    assert case_drawing.alternative_text(9.25, "2x10 joist", some).replace("\u00a0", " ") == (
        "2x10 joist; the 60 % line at 5.55 in. 7.25 in, above that line; 5.5 in, below that line."
    )
    with pytest.raises(ValueError, match="at least one"):
        case_drawing.case_drawing(9.25, "2x10 joist", [], theme.LIGHT)


def texts(drawing: Any) -> dict[str, float]:
    """The words of a drawing and the heights they stand at, in inches."""
    return {
        row["text"].replace("\u00a0", " "): row["y"]
        for rows in drawing.to_dict()["datasets"].values()
        for row in rows
        if "text" in row
    }


def test_a_hanger_that_misses_the_line_by_little_is_told_how_much_and_no_word_stands_on_the_line() -> None:
    # PS 20: a 2x6 is 5.5 in deep, a 2x10 9.25 in; 60 percent of that (IRC R507.6.2) is 5.55 in.
    some = [case_drawing.Hanger(9.25, "9.25 in"), case_drawing.Hanger(5.5, "5.5 in")]
    told = texts(case_drawing.case_drawing(9.25, "2x10 joist", some, theme.LIGHT))
    assert told["0.05 in short"] < told["5.5 in"] < 5.55 < told["60 % line: 5.55 in"]
    assert sum("short" in words for words in told) == 1
    half_a_word_in = theme.NAME_SIZE / 2 / 27  # at 27 pixels an inch
    assert min(abs(height - 5.55) for height in told.values()) > half_a_word_in


@pytest.mark.parametrize(("height", "short"), [(6.75, None), (6.7, "59 % of the joist, 0.05 in short"), (12.0, None)])
def test_only_a_hanger_below_the_line_is_short(height: float, short: str | None) -> None:
    told = texts(drawings.drawing(made("hanger_size", joist_depth_in=11.25, hanger_height_in=height), theme.LIGHT))
    assert [words for words in told if "short" in words] == ([short] if short else [])


def test_a_height_is_not_drawn_where_plies_decided() -> None:
    recorded = {**HANGER, "joist_plies": 2, "hanger_plies": 1}
    assert drawings.drawing(made("hanger_size", "hanger_size.plies", **recorded), theme.LIGHT) is None
    assert drawings.drawing(made("hanger_size", "hanger_size.nominal", "acceptable", **recorded), theme.LIGHT)


# ---- limits ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("criterion", "verdict", "measure", "words"),
    [
        ("joist_gap.gap", "acceptable", "joist_gap_in", "up to 1/8 in"),
        ("joist_gap.gap", "defect", "joist_gap_in", "over 3/8 in"),
        ("joist_seat.gap", "defect", "seat_gap_in", "1/4 in or more"),
        ("stair_riser_spread.spread", "defect", "riser_spread", "over 3/8 in"),
        ("stair_riser.height", "defect", "riser_max_in", "over 7-3/4 in"),
        ("hanger_fastener_length.nail", "defect", "fastener_length_in", "under 3 in"),
        ("joist_gap.gap", "judgment", "joist_gap_in", None),  # between two numbers
        ("joist_gap.gap", "defect", "seat_gap_in", None),
    ],
)
def test_a_limit_is_that_of_the_rule(criterion: str, verdict: Any, measure: str, words: str | None) -> None:
    found = limits.limit(rule(criterion), verdict, measure)
    assert (found.words.replace("\u00a0", " ") if found else None) == words


@pytest.mark.parametrize(
    ("criterion", "measure", "place", "inches"),
    [
        ("guard_opening.opening", "opening_in", "deck", 4),
        ("guard_opening.opening", "opening_in", "stair", 4.375),
        ("guard_opening.opening", "opening_in", "stair_triangle", 6),
        ("guard_height.height", "guard_height_in", "deck", 36),
        ("guard_height.height", "guard_height_in", "stair", None),
    ],
)
def test_a_limit_can_depend_on_the_place(criterion: str, measure: str, place: str, inches: float | None) -> None:
    found = limits.limit_at(rule(criterion), "defect", measure, place)
    assert (found.inches if found else None) == inches


def test_the_limit_of_a_firms_own_rule_is_drawn() -> None:
    own = {"defect": "joist_gap_in > 0.5", "acceptable": "joist_gap_in <= 0.25", "judgment": None}
    found = Case({"topic": "joist_gap", "verdict": "defect"}, made("x", joist_gap_in=0.4375).measures, own)
    assert said(found) == (
        "The gap at the joist's end is 7/16 in: between 1/4 in and 1/2 in, which the rule leaves to the inspector."
    )


def test_a_share_is_told_as_the_catalog_tells_it() -> None:
    sql = next(value.sql for value in CATALOG.derived.values() if value.id == "hanger_share")
    heights = [(depth, sixteenth / 16) for depth in lumber.DEPTH_IN.values() for sixteenth in range(8, 200)]
    with duckdb.connect() as connection:
        connection.execute("create table pairs (joist_depth decimal(12, 6), hanger_height_in decimal(12, 6))")
        connection.executemany("insert into pairs values (?, ?)", heights)
        rows = connection.execute(f"select joist_depth, hanger_height_in, {sql} from pairs").fetchall()
    told = [
        (float(depth), float(height), lumber.whole_percent_reached(float(height), float(depth)))
        for depth, height, _ in rows
    ]
    assert told == [(float(depth), float(height), share) for depth, height, share in rows]


@pytest.mark.parametrize(
    "recorded",
    [
        {"riser_spread_in": 0.5, "riser_max_in": 8.0, "riser_min_in": 7.0},
        {"riser_spread_in": None, "riser_max_in": 8.0, "riser_min_in": 7.25},
        {"riser_spread_in": None, "riser_max_in": 8.0, "riser_min_in": None},
    ],
)
def test_the_spread_of_risers_is_that_of_the_catalog(recorded: dict[str, float | None]) -> None:
    sql = next(value.sql for value in CATALOG.derived.values() if value.id == "riser_spread")
    with duckdb.connect() as connection:
        values = ", ".join(f"cast(${name} as double) as {name}" for name in recorded)
        (worked_out,) = connection.execute(f"select {sql} from (select {values})", recorded).fetchone()  # type: ignore[misc]
    assert limits.riser_spread(recorded) == worked_out


@pytest.mark.parametrize(
    ("value", "told"),
    [(0.375, "3/8 in"), (7.75, "7-3/4 in"), (36, "36 in"), (0, "0 in"), (5.55, "5.55 in"), (0.0625, "1/16 in")],
)
def test_inches_are_told_as_a_tape_shows_them(value: float, told: str) -> None:
    assert labels.inches(value).replace("\u00a0", " ") == told
