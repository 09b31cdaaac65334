"""Every chart is built and checked against the Vega-Lite schema; what each says in words is compared with a literal.

Outside sources: PS 20 (minimum dressed sizes, dry) for depths; IRC R507.6.2 for 60 percent.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from importlib.resources import files
from itertools import pairwise

import altair as alt
import pandas as pd
import pytest

from dashboard.charts import agreement_dots, dots, joist_hanger, pattern_list, theme, topic_grid
from dashboard.measures import lumber
from dashboard.measures.hanger_grid import HangerWriteUps


def rates(**changes: object) -> pd.DataFrame:
    row = {
        "topic": "joist_gap",
        "title": "Gap at the joist end",
        "by": "deck_age",
        "group": "under 5",
        "trials": 60,
        "judged": 40,
        "defects": 4,
        "decks": 60,
        "inspectors": 4,
        "defect_share": 0.1,
        "defect_share_low": 0.04,
        "defect_share_high": 0.2,
        "stands_out": "none",
        "inspector_id": "I1",
    }
    old = row | {"group": "30 and more", "defects": 24, "defect_share": 0.6, "defect_share_low": 0.45}
    old |= {"defect_share_high": 0.74, "stands_out": "higher"}
    few = row | {"group": "unknown", "judged": 3, "decks": 5, "stands_out": "too_few"}
    return pd.DataFrame([row, old, few]).assign(**changes)


def sizes() -> pd.DataFrame:
    columns = ["joist_nominal", "hanger_nominal", "upheld", "overcalled", "judgment", "undecided"]
    return pd.DataFrame(
        [
            ("2x10", "2x8", 3, 45, 0, 0),
            ("2x10", "2x6", 20, 0, 0, 0),
            ("2x12", "2x8", 5, 3, 0, 6),
            ("2x8", "2x10", 0, 0, 4, 0),
            (None, "2x8", 1, 1, 0, 0),
        ],
        columns=columns,
    )


def kinds() -> pd.DataFrame:
    columns = ["pattern_id", "name", "wrong", "judged", "share", "share_low", "share_high"]
    return pd.DataFrame(
        [("a", "2x10 joist in 2x8 hanger", 45, 48, 0.94, 0.83, 0.98), ("b", "Gap", 5, 10, 0.5, 0.24, 0.76)],
        columns=columns,
    )


def agreed(**changes: object) -> pd.DataFrame:
    figures = {"positive_agreement": 0.6, "kappa": 0.44, "ac1": 0.58}
    row: dict[str, object] = {"topic": "all", "name": "All topics", "pairs": 34, "inspector_id": "I1"}
    row |= {"both_up": 6, "earlier_only": 5, "later_only": 3, "neither": 20}
    row |= {f"{name}{end}": value + off for name, value in figures.items() for end, off in ENDS}
    none = row | {"topic": "b", "name": "Stairs", "both_up": 0} | dict.fromkeys(NO_WRITE_UP)
    rows = [row, row | {"topic": "a", "name": "Gap", "positive_agreement": 0.2}, none]
    return pd.DataFrame(rows).astype(dict.fromkeys(NO_WRITE_UP, float)).assign(**changes)


ENDS = (("", 0.0), ("_low", -0.5), ("_high", 0.2))
#: Figures that are blank where nobody wrote the topic up.
NO_WRITE_UP = [f"{name}{end}" for name in ("positive_agreement", "kappa") for end, _ in ENDS]

CHARTS: dict[str, tuple[Callable[[pd.DataFrame, theme.Palette], alt.LayerChart], Callable[[], pd.DataFrame]]] = {
    "dots": (lambda frame, colors: dots.dots(frame, 0.3, "share with the defect", colors), rates),
    "topic_grid": (lambda frame, colors: topic_grid.topic_grid(frame, "deck_age", 0.5, colors), rates),
    "joist_hanger": (joist_hanger.joist_hanger, sizes),
    "pattern_list": (lambda frame, colors: pattern_list.pattern_list(frame, 0.4, colors), kinds),
    "agreement_dots": (lambda frame, colors: agreement_dots.agreement_dots(frame, "kappa", colors), agreed),
}
NEEDED = [
    (name, column)
    for name, module in (
        ("dots", dots),
        ("topic_grid", topic_grid),
        ("joist_hanger", joist_hanger),
        ("pattern_list", pattern_list),
        ("agreement_dots", agreement_dots),
    )
    for column in module.COLUMNS
]


@pytest.mark.parametrize("colors", theme.PALETTES.values(), ids=theme.PALETTES)
@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_is_valid_and_says_its_answer_in_words(name: str, colors: theme.Palette) -> None:
    build, frame = CHARTS[name]
    spec = build(frame(), colors).to_dict()
    assert spec["background"] == colors.ground
    assert len(spec["description"]) > 20


@pytest.mark.parametrize(("name", "column"), NEEDED)
def test_a_missing_column_fails_instead_of_drawing_nothing(name: str, column: str) -> None:
    build, frame = CHARTS[name]
    with pytest.raises(KeyError, match=column):
        build(frame().drop(columns=column), theme.LIGHT)


@pytest.mark.parametrize("name", ["dots", "topic_grid", "agreement_dots"])
def test_who_made_a_call_never_reaches_the_browser(name: str) -> None:
    build, frame = CHARTS[name]
    assert "I1" not in json.dumps(build(frame(), theme.LIGHT).to_dict())


@pytest.mark.parametrize("name", CHARTS)
def test_no_field_is_called_image_since_a_tooltip_would_fetch_it(name: str) -> None:
    build, frame = CHARTS[name]
    spec = build(frame().assign(image="http://example.com/p.png"), theme.LIGHT).to_dict()
    assert "example.com" not in json.dumps(spec)


def plain(text: str) -> str:
    """With blanks for no-break spaces."""
    return text.replace("\u00a0", " ")


def test_agreement_tells_all_topics_together_and_the_topics_at_either_end() -> None:
    assert plain(agreement_dots.alternative_text(agreed(), "kappa")) == (
        "All topics: the other look wrote it up too 60 % (10 to 80); kappa 0.44 (−0.06 to 0.64). From Gap 20 %."
    )
    marks = plain(
        json.dumps(agreement_dots.agreement_dots(agreed(), "kappa", theme.LIGHT).to_dict(), ensure_ascii=False)
    )
    assert "Gap, 34 pairs: the other look wrote it up too 20 % (10 to 80)" in marks
    assert all(words in marks for words in ("no write-up", "not defined"))
    assert "NaN" not in marks


def test_dots_name_the_group_that_stands_out_with_share_interval_and_count() -> None:
    assert plain(dots.alternative_text(rates(), 0.3)) == (
        "Deck age 30 and more: 60 % (45 to 74) of 40 judged, higher than the rest. The whole firm: 30 %. "
        "1 other group does not stand out."
    )


def test_dots_say_where_nothing_stands_out_or_nothing_is_known() -> None:
    assert plain(dots.alternative_text(rates(stands_out="none"), None)) == (
        "None of 2 groups stands out beyond luck: Deck age under 5: 10 % (4.0 to 20) of 40 judged "
        "to Deck age 30 and more: 60 % (45 to 74) of 40 judged."
    )
    assert plain(dots.alternative_text(rates(decks=5), None)) == "None of 3 groups has enough decks for a share."


def test_the_topic_grid_says_where_the_defect_is_found_most_often() -> None:
    assert plain(topic_grid.alternative_text(rates(), "deck_age")) == (
        "Found most often: Gap at the joist end on decks of 30 years and more, 60 % (45 to 74) of 40 judged; "
        "Gap at the joist end on decks under 5 years old, 10 % (4.0 to 20) of 40 judged. "
        "Of 2 cells 1 stands out as higher and 0 as lower beyond luck."
    )
    assert plain(topic_grid.alternative_text(rates(decks=5), "deck_age")) == (
        "None of 3 cells has enough decks for a share."
    )


def test_the_list_of_kinds_says_how_many_of_each_do_not_hold() -> None:
    assert plain(pattern_list.alternative_text(kinds(), 0.4)) == (
        "2x10 joist in 2x8 hanger: 45 of 48 do not hold (83 to 98 %); "
        "Gap: 5 of 10 do not hold (24 to 76 %). All together: 40 %."
    )
    one = kinds().tail(1).assign(wrong=1, judged=2, missed=1, understated=0)
    assert plain(pattern_list.alternative_text(one, None, "missed")) == ("Gap: 1 missed, of 2 judged (24 to 76 %).")
    both = one.assign(wrong=2, missed=1, understated=1)
    told = pattern_list.alternative_text(both, None, "missed")
    assert plain(told) == "Gap: 1 missed, 1 understated, of 2 judged (24 to 76 %)."
    assert pattern_list.alternative_text(kinds().head(0), None) == "No kind to show."


def test_only_a_signal_is_plum() -> None:
    spec = json.dumps(dots.dots(rates(), 0.3, "share", theme.LIGHT).to_dict())
    data = json.loads(spec)["datasets"]
    rows = {row["group"]: row["signal"] for rows in data.values() for row in rows if "signal" in row}
    assert rows == {"under 5": False, "30 and more": True, "unknown": False}
    assert '"condition": {"test": "datum.signal", "value": "#7A2E5D"}' in spec


def test_a_cell_with_too_few_decks_shows_its_count_and_no_rate() -> None:
    data = topic_grid.topic_grid(rates(), "deck_age", 0.5, theme.LIGHT).to_dict()["datasets"]
    cells = {row["group"]: (row["rate"], row["rated"]) for rows in data.values() for row in rows if "rated" in row}
    assert cells["unknown"] == ("", False)
    assert cells["30 and more"] == ("60\u00a0%", True)


def test_a_group_name_cannot_become_code_in_the_axis() -> None:
    name = "x']; alert(1); ['\\"
    spec = topic_grid.topic_grid(rates(group=name, by="builder"), "builder", 0.5, theme.LIGHT).to_dict()
    expressions = json.dumps([layer["encoding"].get("x", {}).get("axis") for layer in spec["layer"]])
    assert "alert(" not in expressions


def test_depths_are_those_of_the_catalog_and_of_ps_20() -> None:
    text = files("etl").joinpath("catalog", "tables", "dressed_sizes.csv").read_text(encoding="utf-8")
    lines = (line for line in text.splitlines() if not line.startswith("#"))
    catalog = {row["nominal"]: row for row in csv.DictReader(lines)}
    for size, depth in lumber.DEPTH_IN.items():
        assert str(depth) in " ".join(str(cell) for cell in catalog[size].values())
    # PS 20, minimum dressed dry widths of nominal 4, 6, 8, 10, 12 in.
    assert lumber.DEPTH_IN == {"2x4": 3.5, "2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}


def test_the_staircase_divides_the_cells_where_60_percent_does() -> None:
    # 60 percent of 5.5, 7.25, 9.25, 11.25 in (PS 20) is 3.30, 4.35, 5.55, 6.75 in, as IRC R507.6.2 asks.
    never = {(j, h) for j in lumber.SIZES for h in lumber.SIZES if lumber.never_enough(j, h)}
    assert never == {("2x8", "2x4"), ("2x10", "2x4"), ("2x10", "2x6"), ("2x12", "2x4"), ("2x12", "2x6")}
    corners = joist_hanger.staircase(["2x6", "2x8", "2x10", "2x12"])
    assert corners[0] == (6.375, 12.25)
    assert corners[-1] == (2.5, 6.375)
    assert all(a[0] == b[0] or a[1] == b[1] for a, b in pairwise(corners))


def test_the_grid_draws_one_mark_a_write_up() -> None:
    spec = joist_hanger.joist_hanger(sizes(), theme.LIGHT).to_dict()
    points = [layer for layer in spec["layer"] if layer["mark"].get("type") == "point"]
    marks = sum(len(spec["datasets"][layer["data"]["name"]]) for layer in points)
    assert marks == 48 + 20 + 14 + 4


def test_nothing_is_said_to_fail_where_nothing_was_judged() -> None:
    spec = joist_hanger.joist_hanger(sizes(), theme.LIGHT).to_dict()
    said = {row["held"] for rows in spec["datasets"].values() for row in rows if "held" in row}
    assert said == {"3 hold", "20 hold", "5 hold", "inspector's call"}
    open_ones = sizes().assign(upheld=0, overcalled=0, undecided=2)
    spec = joist_hanger.joist_hanger(open_ones, theme.LIGHT).to_dict()
    assert {row["held"] for rows in spec["datasets"].values() for row in rows if "held" in row} == {"none judged"}
    assert plain(joist_hanger.alternative_text(open_ones)).startswith("One size down: 2 write-ups, none judged.")


@pytest.mark.parametrize(("most", "lines", "a_line"), [(4, 9, 10), (83, 9, 10), (161, 6, 50), (33000, 6, 10000)])
def test_a_line_of_a_bar_is_a_round_number_at_which_the_longest_has_room(most: int, lines: int, a_line: int) -> None:
    assert joist_hanger.full_line(most, lines) == a_line


def test_the_parts_of_a_bar_are_as_long_as_what_they_stand_for() -> None:
    spec = joist_hanger.joist_hanger(sizes(), theme.LIGHT).to_dict()
    unit = 1.62 / 10  # inches a write-up
    for outcome in ("upheld", "overcalled", "judgment"):
        bars = [layer for layer in spec["layer"] if layer["mark"].get("fill") == theme.LIGHT.outcome(outcome)]
        rows = [row for bar in bars if bar["mark"]["type"] == "rect" for row in spec["datasets"][bar["data"]["name"]]]
        drawn = sizes().dropna(subset="joist_nominal")[outcome].sum()
        assert sum(row["x1"] - row["x0"] for row in rows) / unit == pytest.approx(drawn)


def test_cells_and_what_is_not_drawn_are_told_with_all_there_are() -> None:
    found = HangerWriteUps(sizes(), 90, 86, (("hanger for fewer plies", 5), ("not recorded", 1)), 2)
    assert plain(joist_hanger.adds_up(found)) == (
        "The cells hold 86 write-ups. Not drawn, since these two sizes did not decide: hanger for fewer plies (5) and "
        "not recorded (1). A write-up with hangers of two kinds is counted in both, 2 times: 90 write-ups on hanger "
        "size in all."
    )
    assert joist_hanger.adds_up(HangerWriteUps(sizes(), 86, 86, (), 0)) == ""


def test_a_bar_of_a_kind_is_as_long_as_its_calls_judged_in_parts_by_outcome() -> None:
    spec = pattern_list.pattern_list(kinds(), 0.4, theme.LIGHT).to_dict()
    parts = {}
    for outcome in ("overcalled", "upheld"):
        layer = next(
            each
            for each in spec["layer"]
            if each["mark"]["type"] == "rect" and each["mark"].get("fill") == theme.LIGHT.outcome(outcome)
        )
        parts[outcome] = [(row["start"], row["end"]) for row in spec["datasets"][layer["data"]["name"]]]
    assert parts == {"overcalled": [(0, 45), (0, 5)], "upheld": [(45, 48), (5, 10)]}


def test_no_mark_of_a_wrong_call_stands_at_a_kind_that_holds() -> None:
    spec = pattern_list.pattern_list(kinds().assign(wrong=0), None, theme.LIGHT).to_dict()
    marks = [layer["mark"] for layer in spec["layer"] if layer["mark"]["type"] in {"point", "rect"}]
    assert theme.LIGHT.overcalled not in {mark.get("fill") for mark in marks}
    assert [mark["shape"] for mark in marks if mark["type"] == "point"] == ["circle"]


def test_what_was_passed_over_is_told_apart_from_what_was_only_advised_upon() -> None:
    some = kinds().assign(missed=[30, 5], understated=[15, 0])
    spec = pattern_list.pattern_list(some, None, theme.LIGHT, "missed").to_dict()
    fills = [layer["mark"].get("fill") for layer in spec["layer"] if layer["mark"]["type"] == "rect"]
    assert fills[:3] == [theme.LIGHT.missed, theme.LIGHT.understated, theme.LIGHT.cleared]
    with pytest.raises(KeyError, match="understated"):
        pattern_list.pattern_list(some.drop(columns="understated"), None, theme.LIGHT, "missed")


def test_many_write_ups_become_bars() -> None:
    many = sizes().assign(overcalled=joist_hanger.MOST_MARKS + 1)
    spec = joist_hanger.joist_hanger(many, theme.LIGHT).to_dict()
    assert not [layer for layer in spec["layer"] if layer["mark"].get("type") == "point"]


def test_the_grid_says_how_many_write_ups_hold() -> None:
    assert plain(joist_hanger.alternative_text(sizes())) == (
        "One size down: 48 write-ups, 3 hold. Under 60 percent of the joist: 20 write-ups, 20 hold."
    )
    same = sizes().assign(joist_nominal="2x8", hanger_nominal="2x8").head(1)
    assert plain(joist_hanger.alternative_text(same)) == "Of the same size: 48 write-ups, 3 hold."
    assert joist_hanger.alternative_text(sizes().head(0)).startswith("No hanger was written up")
