"""The pictures of what to train and of what was found are valid; what they draw and say is compared."""

from __future__ import annotations

import pandas as pd
import pytest

from dashboard.charts import found_dots, theme, training_bars


def topics() -> pd.DataFrame:
    columns = list(training_bars.COLUMNS)
    rows = [
        ("a", "Hanger size", 30.0, 25.0, 36.0, 20.0, 10.0, 1, 1, "whole team"),
        ("b", "Gap at the joist end", 9.96, 5.0, 14.0, 0.0, 9.96, 2, 6, "one"),
    ]
    return pd.DataFrame(rows, columns=columns)


def found() -> pd.DataFrame:
    return pd.DataFrame([("a", "Hanger size", 12, 48, 0.25, 0.15, 0.39)], columns=list(found_dots.COLUMNS))


def plain(text: str) -> str:
    return text.replace("\u00a0", " ")


@pytest.mark.parametrize("colors", theme.PALETTES.values(), ids=theme.PALETTES)
def test_they_are_valid_in_both_themes_and_say_their_answer(colors: theme.Palette) -> None:
    bars = training_bars.training_bars(topics(), 47, colors).to_dict()
    assert plain(bars["description"]).startswith(
        "Hanger size: 30 (25 to 36) avoidable, ▲ 20 too much, ▼ 10 too little, place 1 of 47; Gap at the joist end: "
        "10 (5.0 to 14) avoidable, ▲ 0.0 too much, ▼ 10 too little, place 2 to 6 of 47."
    )
    dots = found_dots.found_dots(found(), colors).to_dict()
    assert plain(dots["description"]) == "Found most on decks alike: Hanger size: 12 of 48 looks, 25 % (15 to 39)."
    assert bars["background"] == dots["background"] == colors.ground


def test_too_much_and_too_little_stand_end_to_end_and_are_never_netted() -> None:
    spec = training_bars.training_bars(topics(), 47, theme.LIGHT).to_dict()
    parts = {
        layer["mark"]["color"]: [(row["start"], row["end"]) for row in spec["datasets"][layer["data"]["name"]]]
        for layer in spec["layer"]
        if layer["mark"]["type"] == "bar"
    }
    assert parts == {theme.LIGHT.overcalled: [(0, 20)], theme.LIGHT.missed: [(20, 30), (0, 9.96)]}


@pytest.mark.parametrize("column", [*training_bars.COLUMNS, *found_dots.COLUMNS])
def test_a_missing_column_fails_instead_of_drawing_nothing(column: str) -> None:
    for draw, frame in (
        (lambda rows: training_bars.training_bars(rows, 2, theme.LIGHT), topics()),
        (lambda rows: found_dots.found_dots(rows, theme.LIGHT), found()),
    ):
        if column in frame:
            with pytest.raises(KeyError, match=column):
                draw(frame.drop(columns=column))
