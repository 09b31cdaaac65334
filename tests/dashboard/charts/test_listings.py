"""The two lists of the data page are built, checked against the schema, and say their answer in words."""

from __future__ import annotations

import pandas as pd
import pytest

from dashboard.charts import missing_bars, not_seen_dots, theme

ROW = {"topic": "joist_gap", "name": "Gap at the joist end", "share": 0.25, "share_low": 0.18, "share_high": 0.33}


def missing(rows: int) -> pd.DataFrame:
    row = ROW | {"measure": "joist_gap_in", "topic_title": "Gap", "calls": 120, "undecided": 30}
    return pd.DataFrame([row] * rows, columns=list(row))


def unseen(rows: int) -> pd.DataFrame:
    row = ROW | {"reasons": "skirting 20, others 10", "trials": 120, "not_seen": 30}
    return pd.DataFrame([row] * rows, columns=list(row))


@pytest.mark.parametrize("rows", [0, 1, 10])
@pytest.mark.parametrize("colors", theme.PALETTES.values(), ids=list(theme.PALETTES))
def test_both_are_valid_whatever_their_length(rows, colors):
    for chart in (
        missing_bars.missing_bars(missing(rows), colors),
        not_seen_dots.not_seen_dots(unseen(rows), colors),
    ):
        assert chart.to_dict()["description"]  # validates against the Vega-Lite schema


def test_they_say_their_answer():
    assert missing_bars.alternative_text(missing(1)).replace("\u00a0", " ") == (
        "Measures missing most: Gap at the joist end, Gap, 30 of 120 calls undecided."
    )
    same = missing(1).assign(topic_title="Gap at the joist end")
    assert missing_bars.alternative_text(same).replace("\u00a0", " ") == (
        "Measures missing most: Gap at the joist end, 30 of 120 calls undecided."
    )
    assert not_seen_dots.alternative_text(unseen(1)).replace("\u00a0", " ") == (
        "Topics most often not seen: Gap at the joist end: 30 of 120, 25 % (skirting 20, others 10)."
    )
    assert missing_bars.alternative_text(missing(0)) == "No call stayed undecided for want of a measure."
    assert not_seen_dots.alternative_text(unseen(0)) == "Everything that was looked for was seen."


def test_a_click_names_the_row_that_was_meant():
    picture = missing_bars.missing_bars(missing(2), theme.LIGHT).to_dict()
    chosen = [parameter for parameter in picture["params"] if parameter["name"] == missing_bars.SELECTION]
    assert chosen[0]["select"]["fields"] == ["topic", "measure"]


@pytest.mark.parametrize(
    ("chart", "frame"), [(missing_bars.missing_bars, missing(1)), (not_seen_dots.not_seen_dots, unseen(1))]
)
def test_a_missing_column_is_named(chart, frame):
    with pytest.raises(KeyError, match="share_low"):
        chart(frame.drop(columns="share_low"), theme.LIGHT)
