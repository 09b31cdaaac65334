"""The palette, light and dark, and what all charts share: type, axes, halos.

Outcome colors go up (ochre: too much) and down (blue: too little), not good and bad; plum means "more than luck" or
"can be acted on" and is never an outcome. Contrast of each text color against its ground is 4.5 to 1 or more.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import altair as alt
import pandas as pd
from altair.utils import schemapi

ThemeName = Literal["light", "dark"]

FONT = "Source Sans, Source Sans 3, Helvetica, Arial, sans-serif"
#: What every module of this folder gives; others name it so, since they do not know Altair.
Picture = alt.LayerChart
#: Text sizes: names, counts and axes, least.
NAME_SIZE, FIGURE_SIZE, SMALL_SIZE = 14, 13, 12
#: An axis of ratios: "0.5", "1", "1.25".
FEW_DECIMALS = "format(datum.value,'.2~f')"
#: Percent axis: "20 %" with a narrow no-break space.
PERCENT_LABEL = "format(datum.value*100,'.0f')+'\u202f%'"


@dataclass(frozen=True)
class Palette:
    """The colors of one theme by their role; see the module's docstring for what they mean."""

    name: ThemeName
    ground: str
    panel: str
    ink: str
    soft: str
    faint: str
    rule: str
    grid: str
    accent: str
    wash: str
    wood: str
    wood_held: str
    upheld: str
    cleared: str
    overcalled: str
    overcalled_text: str
    missed: str
    missed_text: str
    understated: str
    judgment: str
    undecided: str
    rates: tuple[str, ...]

    def outcome(self, outcome: str) -> str:
        """The fixed color of an outcome."""
        return str(getattr(self, outcome))


LIGHT = Palette(
    name="light",
    ground="#FBFAF6",
    panel="#F1EFE8",
    ink="#22262A",
    soft="#5A6066",
    faint="#8B8F92",
    rule="#D9D5CA",
    grid="#E8E5DC",
    accent="#7A2E5D",
    wash="#F6E7D4",
    wood="#EBE3D3",
    wood_held="#CCC6B8",
    upheld="#3D4A54",
    cleared="#C9CCC8",
    overcalled="#C46A14",
    overcalled_text="#94500C",
    missed="#1F62A8",
    missed_text="#1A5591",
    understated="#4A8AC2",
    judgment="#B0A795",
    undecided="#98958C",
    rates=("#F0EEE7", "#D6DBD8", "#B3C0BF", "#8AA0A2", "#607F84", "#3B5D64", "#183D46"),
)
DARK = Palette(
    name="dark",
    ground="#16191C",
    panel="#1F2427",
    ink="#E9E7E1",
    soft="#B4B5B2",
    faint="#83888C",
    rule="#3A4046",
    grid="#2A3035",
    accent="#E2A6CB",
    wash="#352716",
    wood="#37332C",
    wood_held="#4C4A45",
    upheld="#C3CBD0",
    cleared="#4A5157",
    overcalled="#E59A4B",
    overcalled_text="#EDB070",
    missed="#74B3F0",
    missed_text="#8CC1F5",
    understated="#5C97D0",
    judgment="#746E62",
    undecided="#868C92",
    rates=("#22292D", "#2C3B40", "#3A5359", "#507077", "#6F9097", "#97B4B9", "#C8DCDE"),
)
PALETTES: dict[ThemeName, Palette] = {"light": LIGHT, "dark": DARK}


def specification(draw: Callable[..., Any], *arguments: Any, **options: Any) -> Any:
    """A picture as its Vega-Lite specification; None where ``draw`` draws nothing.

    Altair checks every part of a picture against the schema as it is put together, which takes longer than all the
    rest. The tests draw every picture with these checks on; a reader does not wait for them.
    """
    with schemapi.debug_mode(False):
        picture = draw(*arguments, **options)
        return None if picture is None else picture.to_dict(validate=False)


def _plain(data: Any) -> dict[str, Any]:
    """A frame as rows, missing values as null. Altair's own way looks at each value in Python; ours hold no days."""
    return {"values": json.loads(data.to_json(orient="records", double_precision=15))}


alt.data_transformers.register("plain", _plain)
alt.data_transformers.enable("plain")


def palette(theme: str | None) -> Palette:
    """The palette of a theme by name; light where the browser has not said."""
    return DARK if theme == "dark" else LIGHT


def require(frame: pd.DataFrame, columns: tuple[str, ...], chart: str) -> None:
    """Raise where a column is missing: Vega would draw an empty picture instead and say nothing."""
    missing = [column for column in columns if column not in frame.columns]
    if missing:
        raise KeyError(f"the chart {chart} needs the column{'s' if len(missing) > 1 else ''} {', '.join(missing)}")


def themed(
    chart: alt.LayerChart | alt.FacetChart, colors: Palette, height: int, description: str, width: int | None = None
) -> alt.LayerChart:
    """The finished chart: height in pixels, alternative text, and the axis style of every picture.

    The width is left to whoever shows it (the page stretches it, the note fixes it), but for drawings to scale: theirs
    is given, and what they draw is as large as it says.
    """
    assert isinstance(chart, alt.LayerChart)  # what alt.layer gives for charts that are not facets
    chart.height, chart.description, chart.background = height, description, colors.ground
    chart.config = _config(colors, "fit" if width is None else "pad")
    if width is not None:
        chart.width = width
    for layer in chart.layer:
        _hide_unless_named(layer)
    return chart


def _hide_unless_named(layer: Any) -> None:
    """Keep marks without a description from assistive technology: of each it would read out the coordinates."""
    if layer.encoding is alt.Undefined or layer.encoding.description is alt.Undefined:
        if isinstance(layer.mark, str):
            layer.mark = alt.MarkDef(type=layer.mark)  # type: ignore[arg-type]
        layer.mark.aria = False


def _config(colors: Palette, fit: Literal["fit", "pad"]) -> alt.Config:
    """The style of every picture. Set at once: Altair's configure methods copy the whole picture each time."""
    return alt.Config(
        font=FONT,
        autosize=alt.AutoSizeParams(type=fit, contains="padding"),
        padding=4,
        view=alt.ViewConfig(stroke=None),
        axis=alt.AxisConfig(
            labelFontSize=FIGURE_SIZE,
            labelColor=colors.soft,
            labelFontWeight="normal",
            titleFontSize=FIGURE_SIZE,
            titleColor=colors.soft,
            titleFontWeight="normal",
            titleAnchor="start",
            titlePadding=10,
            labelPadding=6,
            labelAngle=0,
            domain=False,
            ticks=False,
            gridColor=colors.grid,
        ),
        legend=alt.LegendConfig(disable=True),
    )


def percent_axis(title: str, values: list[float]) -> alt.Axis:
    """A horizontal percent axis with gridlines at a few values only."""
    return alt.Axis(title=title, values=values, labelExpr=PERCENT_LABEL, labelFlush=True)


def gridline_values(largest: float) -> list[float]:
    """Three to six even gridlines from zero that reach at least ``largest`` (a share, 0 to 1)."""
    for step in (0.02, 0.05, 0.1, 0.2, 0.25):
        if largest <= 5 * step:
            return [round(step * line, 2) for line in range(int(-(-largest // step)) + 1)]
    return [0, 0.25, 0.5, 0.75, 1.0]


def with_halo(base: alt.Chart, colors: Palette, **mark: Any) -> list[alt.Chart]:
    """Text that may meet a line: the same text twice, the lower one a stroke in the color of the ground."""
    halo = {key: value for key, value in mark.items() if key != "color"}
    return [
        base.mark_text(**halo, color=colors.ground, stroke=colors.ground, strokeWidth=5, strokeJoin="round"),
        base.mark_text(**mark),
    ]
