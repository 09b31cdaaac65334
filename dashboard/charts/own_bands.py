"""One inspector, topic by topic: what was written up, what peers would have, and where luck would leave it."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.charts.topic_grid import broken_names
from dashboard.measures.comparisons import DIFFERS
from dashboard.measures.rows import each

COLUMNS = ("topic", "title", "written_up", "expected", "band_low", "band_high", "signal")
SELECTION = "own"
ROW_PX = 29
_FIGURES_PX = 76
_STEPS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000, 50000, 100000)


def own_bands(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    """A band, a tick and a dot for each topic.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.funnel.luck_bands` of one inspector that were compared with peers, with the
        topics' ``title``, in the order to show.
    """
    theme.require(frame, COLUMNS, "own_bands")
    rows = _told(frame)
    largest = max([1.0, rows["written_up"].max(), rows["band_high"].max()]) if len(rows) else 1.0
    step = next(step for step in _STEPS if largest / step <= 5)
    x_scale = alt.Scale(domain=[0, largest * 1.03], range=[0, alt.ExprRef(f"width-{_FIGURES_PX}")], nice=False)
    axis = alt.Axis(title="write-ups", values=[at * step for at in range(int(largest / step) + 1)], format=",d")
    titles = list(rows["title"])
    y = alt.Y(
        "title:N",
        sort=titles,
        scale=alt.Scale(paddingInner=0.3, paddingOuter=0.2),
        axis=alt.Axis(
            title=None,
            labelExpr=broken_names(titles),
            labelFontSize=alt.ExprRef(f"width<300?{theme.SMALL_SIZE}:{theme.NAME_SIZE}"),
            labelColor=colors.ink,
            labelLimit=200,
            grid=False,
        ),
    )

    def x(field: str) -> alt.X:
        return alt.X(f"{field}:Q", scale=x_scale, axis=axis)

    layers = [*_marks(rows, x, y, colors), *_heads(rows, x, y, colors)]
    return theme.themed(alt.layer(*layers), colors, ROW_PX * max(len(rows), 1) + 78, alternative_text(frame))


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer of the picture in words: which topics lie beyond luck, of how many."""
    if frame.empty:
        return "0 topics can be compared."
    out = frame[frame["signal"].isin(DIFFERS)]
    within = f"{labels.part_of(len(frame) - len(out), len(frame))} topics lie within luck"
    told = "; ".join(f"{row.title}: {_counted(row)}" for row in each(out))
    return f"{within}. Beyond it {told}." if told else f"{within}."


def _counted(row: Any) -> str:
    return f"{labels.count(row.written_up)} written up, peers about {labels.few(row.expected)}"


def _told(frame: pd.DataFrame) -> pd.DataFrame:
    rows = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    rows["differs"] = rows["signal"].isin(DIFFERS)
    rows["figure"] = [f"{labels.count(row.written_up)} / {labels.few(row.expected)}" for row in each(rows)]
    rows["counted"] = [_counted(row) for row in each(rows)]
    rows["luck"] = [labels.join(labels.few(row.band_low), "to", labels.few(row.band_high)) for row in each(rows)]
    rows["means"] = rows["signal"].map(labels.COMPARED)
    rows["said"] = [f"{row.title}: {row.counted}, {row.means}" for row in each(rows)]
    return rows


def _marks(rows: pd.DataFrame, x: Any, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    color = alt.ColorValue(colors.upheld, condition={"test": "datum.differs", "value": colors.accent})
    figure = alt.ColorValue(colors.soft, condition={"test": "datum.differs", "value": colors.accent})
    tooltip = [
        alt.Tooltip("title:N", title="Topic"),
        alt.Tooltip("counted:N", title="Counts"),
        alt.Tooltip("luck:N", title="Peers, with luck"),
        alt.Tooltip("means:N", title="Differs"),
    ]
    chosen = alt.selection_point(name=SELECTION, fields=["topic"], on="click", empty=False, toggle=False)
    base = alt.Chart(rows)
    layers = [
        base.mark_bar(color=colors.rates[1], height=alt.RelativeBandSize(band=0.62)).encode(
            x=x("band_low"), x2=alt.X2("band_high:Q"), y=y
        ),
        base.mark_tick(color=colors.soft, thickness=1.5, height=16).encode(x=x("expected"), y=y),
        base.mark_text(align="right", baseline="middle", fontSize=theme.FIGURE_SIZE).encode(
            x=alt.XValue("width"), y=y, text=alt.Text("figure:N"), color=figure
        ),
        base.mark_point(filled=True, opacity=1, size=90, cursor="pointer", aria=not rows.empty)
        .encode(x=x("written_up"), y=y, color=color, tooltip=tooltip, description=alt.Description("said:N"))
        .add_params(chosen),
    ]
    return layers


def _heads(rows: pd.DataFrame, x: Any, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """Above the first row: what the tick is, and what the figures are."""
    soft: dict[str, Any] = {"fontSize": theme.SMALL_SIZE, "color": colors.soft, "baseline": "bottom"}
    first = alt.Chart(rows.head(1).assign(peers="peers", figures="own / peers"))
    return [
        first.mark_text(**soft, dy=-16).encode(x=x("expected"), y=y, text=alt.Text("peers:N")),
        first.mark_text(**soft, align="right", dy=-16).encode(x=alt.XValue("width"), y=y, text=alt.Text("figures:N")),
    ]
