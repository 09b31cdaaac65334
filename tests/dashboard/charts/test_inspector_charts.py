"""The pictures of inspectors and their peers: what has color, what is said in words, and that names keep apart."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from typing import Any

import altair as alt
import numpy as np
import pandas as pd
import pytest

from dashboard.charts import accuracy_dots, funnel, inspector_grid, own_bands, ratio_dots, theme
from dashboard.measures.funnel import funnel as measured_funnel


def people(**changes: object) -> pd.DataFrame:
    columns = ["inspector_id", "written_up", "expected", "ratio", "ratio_low", "ratio_high", "signal"]
    rows = [
        ("Ada", 66, 60.2, 1.1, 0.86, 1.38, "none"),
        ("Ben", 90, 58.0, 1.55, 1.22, 1.95, "higher"),
        ("Cy", 7, np.nan, np.nan, np.nan, np.nan, "cannot_separate"),
        ("Dot", 2, 1.4, 1.43, 0.2, 6.1, "too_few"),
        ("Eve", 20, 55.0, 0.36, 0.2, 0.6, "lower"),
    ]
    frame = pd.DataFrame(rows, columns=columns).assign(topic="joist_gap", dispersion=1.0)
    frame = frame.assign(expected_sd=np.sqrt(0.8 * frame["expected"]), expected_error=1.0)
    return frame.assign(spread=0.2, spread_low=0.0, spread_high=0.4, other="Quill").assign(**changes)


def cells(**changes: object) -> pd.DataFrame:
    columns = ["inspector_id", "topic", "title", "found", "expected", "signal"]
    rows = [
        ("Ada", "joist_gap", "Joist gap", 27, 28.1, "none"),
        ("Ben", "joist_gap", "Joist gap", 59, 31.3, "higher"),
        ("Ada", "hanger_size", "Hanger size", 4, 14.2, "lower"),
        ("Ben", "hanger_size", "Hanger size", 1, 0.7, "too_few"),
    ]
    return pd.DataFrame(rows, columns=columns).assign(other="Quill", **changes)


def own(**changes: object) -> pd.DataFrame:
    columns = ["topic", "title", "written_up", "expected", "band_low", "band_high", "signal"]
    rows = [
        ("joist_gap", "Joist gap", 59, 31.3, 20.1, 42.4, "higher"),
        ("hanger_size", "Hanger size", 13, 15.0, 7.4, 22.7, "none"),
    ]
    return pd.DataFrame(rows, columns=columns).assign(inspector_id="Quill", **changes)


def right(**changes: object) -> pd.DataFrame:
    told = {"finds": 0.8, "finds_low": 0.5, "finds_high": 0.95, "finds_least": 0.3, "finds_most": 0.9}
    told |= {"false_calls": 0.04, "false_calls_low": 0.01, "false_calls_high": 0.1}
    told |= {"false_calls_least": 0.03, "false_calls_most": 0.12, "status": "direct"}
    few = told | dict.fromkeys(("finds", "finds_low", "finds_high"), np.nan)
    rows = [told | {"inspector_id": "Ada"}, few | {"inspector_id": "Ben"}, told | {"inspector_id": "Cy", "finds": 0.9}]
    frame = pd.DataFrame(rows).assign(trials=40, known=20, defects=8, sound=12, basis="Quill")
    frame.loc[2, "status"] = "latent"
    return frame.assign(**changes)


def drawn_right(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    return accuracy_dots.accuracy_dots(frame, {"finds": 0.85, "false_calls": 0.05}, "Joist gap", colors)


def drawn_funnel(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    return funnel.funnel(frame, measured_funnel(people()).limits, colors)


CHARTS: dict[str, tuple[Callable[[pd.DataFrame, theme.Palette], alt.LayerChart], Callable[..., pd.DataFrame]]] = {
    "funnel": (drawn_funnel, people),
    "ratio_dots": (ratio_dots.ratio_dots, people),
    "inspector_grid": (lambda frame, colors: inspector_grid.inspector_grid(frame, "written up", colors), cells),
    "own_bands": (own_bands.own_bands, own),
    "accuracy_dots": (drawn_right, right),
}
MODULES = {"funnel": funnel, "ratio_dots": ratio_dots, "inspector_grid": inspector_grid, "own_bands": own_bands}
MODULES["accuracy_dots"] = accuracy_dots
#: How often calls are right is told of nobody by color.
WITH_SIGNALS = [name for name in CHARTS if name != "accuracy_dots"]
NEEDED = [(name, column) for name, module in MODULES.items() for column in module.COLUMNS]

_EITHER_WAY = "datum.signal=='lower'||datum.signal=='higher'"


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def rows_of(spec: dict[str, Any], field: str) -> list[dict[str, Any]]:
    return [row for rows in spec["datasets"].values() for row in rows if field in row]


@pytest.mark.parametrize("colors", theme.PALETTES.values(), ids=theme.PALETTES)
@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_is_valid_and_no_column_but_its_own_reaches_the_browser(name: str, colors: theme.Palette) -> None:
    build, frame = CHARTS[name]
    spec = build(frame(), colors).to_dict()
    assert spec["background"] == colors.ground
    assert "Quill" not in json.dumps(spec)


@pytest.mark.parametrize(("name", "column"), NEEDED)
def test_a_missing_column_fails_instead_of_drawing_nothing(name: str, column: str) -> None:
    build, frame = CHARTS[name]
    with pytest.raises(KeyError, match=column):
        build(frame().drop(columns=column), theme.LIGHT)


def unconditional(part: Any, color: str) -> bool:
    """Whether a color stands somewhere without a condition on the row."""
    if isinstance(part, list):
        return any(unconditional(each, color) for each in part)
    if not isinstance(part, dict):
        return False
    plain_here = any(value == color for value in part.values()) and "test" not in part
    return plain_here or any(unconditional(each, color) for name, each in part.items() if name != "datasets")


@pytest.mark.parametrize("name", WITH_SIGNALS)
def test_only_what_differs_by_more_than_luck_is_plum(name: str) -> None:
    build, frame = CHARTS[name]
    spec = build(frame(), theme.LIGHT).to_dict()
    assert theme.LIGHT.accent in json.dumps(spec)
    for layer in spec["layer"]:
        if unconditional(layer, theme.LIGHT.accent):
            assert all(row["differs"] for row in spec["datasets"][layer["data"]["name"]])
    # Every condition asks for a signal, and such rows are told apart from the others.
    tests = set(re.findall(r'"test": "([^"]*)", "value": "' + theme.LIGHT.accent, json.dumps(spec)))
    assert tests <= {"datum.differs", *(f"datum.signal=='{way}'" for way in ("higher", "lower")), _EITHER_WAY}
    assert {row["signal"] for row in rows_of(spec, "differs") if row.get("signal") and row["differs"]} <= {
        "higher",
        "lower",
    }


def test_the_funnel_says_who_lies_beyond_luck_with_counts_and_interval() -> None:
    assert plain(funnel.alternative_text(people())) == (
        "1 of 3 inspectors compared lies within luck. Ben: 90 written up, peers about 58; 1.6 times, 1.2 to 1.9, more "
        "than luck allows. Eve: 20 written up, peers about 55; 0.4 times, 0.2 to 0.6, fewer than luck allows."
    )
    assert (
        plain(funnel.alternative_text(people(signal="too_few"))) == "None of 5 inspectors can be compared with peers."
    )


def test_the_list_says_what_was_compared_and_what_could_not_be() -> None:
    told = plain(ratio_dots.alternative_text(people().iloc[[0, 2, 3]]))
    assert told == (
        "Ada: 66 written up, peers about 60, 1.1 times, 0.9 to 1.4; Cy: 7 written up, cannot be told apart from the decks; "
        "Dot: 2 written up, too few to compare."
    )
    spec = ratio_dots.ratio_dots(people(), theme.LIGHT).to_dict()
    assert {row["instead"] for row in rows_of(spec, "instead")} == {"", "too few", "not separable"}


def test_the_grid_says_which_cells_differ_and_each_what_it_counts() -> None:
    assert plain(inspector_grid.alternative_text(cells(), "written up")) == (
        "2 of 3 cells differ by more than luck: Joist gap, Ben, 59 written up, peers about 31; Hanger size, Ada, 4 written "
        "up, peers about 14."
    )
    spec = inspector_grid.inspector_grid(cells(), "written up", theme.LIGHT).to_dict()
    assert {row["long"] for row in rows_of(spec, "long")} == {"27 / 28", "more: 59 / 31", "fewer: 4 / 14", "too few"}
    assert {row["sign"] for row in rows_of(spec, "sign")} == {"", "+", "−"}


def test_the_bands_say_how_many_topics_lie_within_luck() -> None:
    assert plain(own_bands.alternative_text(own())) == (
        "1 of 2 topics lie within luck. Beyond it Joist gap: 59 written up, peers about 31."
    )
    assert own_bands.alternative_text(own().head(0)) == "0 topics can be compared."


@pytest.mark.parametrize(
    ("names", "short"),
    [
        (["CP", "DM"], ["CP", "DM"]),
        (["I01", "I02"], ["01", "02"]),
        (["Anna K", "Anna B K"], ["1", "2"]),
    ],
)
def test_on_a_phone_names_are_cut_to_what_tells_them_apart(names: list[str], short: list[str]) -> None:
    assert inspector_grid.short_names(names) == short


def test_names_in_the_funnel_meet_no_dot_and_no_other_name() -> None:
    rng = np.random.default_rng(3)
    n = 30
    crowd = pd.DataFrame({"inspector_id": [f"I{at:02}" for at in range(n)], "expected": rng.uniform(40, 60, n)})
    crowd = crowd.assign(ratio=rng.normal(1, 0.06, n), differs=False)
    scale = funnel._Scale(62.0, 0.5, 1.5, [0.5, 1.0, 1.5])
    placed = funnel._placed(crowd, scale, funnel._DESK)
    assert 5 < len(placed) < n  # where all is full, a name is left out rather than set upon another
    boxes = [
        (scale.across(row.expected, funnel._DESK), scale.down(row.ratio), len(row.name) * funnel._LETTER_PX / 2)
        for row in placed.rename(columns={"name": "inspector_id"}).assign(name=placed["name"]).itertuples()
    ]
    for at, (x, y, half) in enumerate(boxes):
        for x2, y2, half2 in boxes[at + 1 :]:
            assert abs(x - x2) >= half + half2 - 1e-6 or abs(y - y2) >= funnel._LINE_PX - 1e-6
    # One that differs is named in any case.
    crowd.loc[7, "differs"] = True
    assert "I07" in set(funnel._placed(crowd, scale, funnel._PHONE)["name"])


def test_an_interval_without_an_end_stops_at_the_end_of_the_axis() -> None:
    spec = ratio_dots.ratio_dots(people(ratio_high=[1.38, 1.95, np.nan, np.nan, np.nan]), theme.LIGHT).to_dict()
    highs = [row["high"] for row in rows_of(spec, "high")]
    assert max(highs) == 2.0
    assert all(high is not None for high in highs)


def test_how_often_calls_are_right_names_nobody_first_and_says_what_is_not_told() -> None:
    chart = drawn_right(right(), theme.LIGHT)
    assert plain(str(chart.description)) == (
        "Joist gap, 3 inspectors in order of name. Defects found: 80 % to 90 %, all together 85 %; of 1 it cannot be "
        "told. Sound work written up: 4.0 %, all together 5.0 %."
    )
    spec = chart.to_dict()
    said = {plain(row["said"]) for row in rows_of(spec, "said")}
    assert "Ben, 8 known defects: cannot be told; 30 to 90 % by what calls of unknown truth may be" in said
    assert (
        "Cy, 8 known defects: 90 % (50 to 95) found, by a model; 30 to 90 % by what calls of unknown truth may be"
        in said
    )
    assert theme.LIGHT.accent not in json.dumps(spec)
