"""Inspectors by name: the share of defects that each finds and of sound work that each writes up, as dots with their
intervals, over the band that the calls of unknown truth leave open."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

FIGURES = ("finds", "false_calls")
COLUMNS = (
    *("inspector_id", "trials", "known", "defects", "sound", "status"),
    *(f"{figure}{end}" for figure in FIGURES for end in ("", "_low", "_high", "_least", "_most")),
)
ROW_PX = 46
_TITLES = {"finds": "of defects, found", "false_calls": "of sound work, written up"}
_COUNTS = {"finds": "defects", "false_calls": "sound"}
_HEAD = 0.8  # rows that the titles of the two columns take
_NAMES_PX = 150
#: From which width on names stand beside the marks and not above them; and from which figures have their intervals.
_BESIDE, _LONG_BESIDE, _LONG_BELOW = 700, 900, 640
#: Where the second column begins, and what each column leaves to its figures, in lengths of a column.
_SECOND, _FIGURES = 1.5, 0.5


def accuracy_dots(frame: pd.DataFrame, firm: dict[str, float], title: str, colors: theme.Palette) -> alt.LayerChart:
    """Two columns of dots and intervals on one line an inspector.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.accuracy.accuracy` of one topic, in order of name.
    firm
        ``finds`` and ``false_calls`` of all inspectors together; NaN for no line.
    title
        The topic's title, for the alternative text.
    """
    theme.require(frame, COLUMNS, "accuracy_dots")
    rows = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    top = _top(rows, firm)
    marks = pd.concat([_column(rows, "finds", 1.0), _column(rows, "false_calls", top)], ignore_index=True)
    end = len(rows) + _HEAD
    scale = alt.Scale(
        domain=[0, _SECOND + 1 + _FIGURES],
        range=[alt.ExprRef(f"width>{_BESIDE}?{_NAMES_PX}:0"), alt.ExprRef("width")],
        nice=False,
    )
    x = alt.X("at:Q", scale=scale, axis=_axis(top))
    layers = [
        *_marks(marks, x, end, colors, _lines(firm, top, end)),
        *_figures(marks, x, end, colors),
        *_names(rows, end, colors),
        *_titles(firm, x, end, colors),
    ]
    return theme.themed(alt.layer(*layers), colors, round(ROW_PX * end) + 34, alternative_text(frame, firm, title))


def alternative_text(frame: pd.DataFrame, firm: dict[str, float], title: str) -> str:
    """The answer in words: what all inspectors come to, and between what the single ones lie. Nobody is named."""
    told = [_span(frame, figure, firm[figure]) for figure in FIGURES]
    return f"{title}, {labels.plural(len(frame), 'inspector')} in order of name. {' '.join(told)}"


def _span(frame: pd.DataFrame, figure: str, firm: float) -> str:
    what = {"finds": "Defects found", "false_calls": "Sound work written up"}[figure]
    values = frame[figure].dropna()
    if values.empty:
        return f"{what}: cannot be told of anybody."
    ends = labels.listed(dict.fromkeys(labels.percent(value) for value in (values.min(), values.max())), "to")
    all_of_them = f", all together {labels.percent(firm)}" if labels.is_known(firm) else ""
    untold = len(frame) - len(values)
    rest = f"; of {labels.count(untold)} it cannot be told" if untold else ""
    return f"{what}: {ends}{all_of_them}{rest}."


def _top(rows: pd.DataFrame, firm: dict[str, float]) -> float:
    """Where the scale of false calls ends: nothing that is drawn lies beyond."""
    drawn = [rows["false_calls_high"].max(), rows["false_calls_most"].max(), firm["false_calls"]]
    largest = max([0.05, *(value for value in drawn if labels.is_known(value))])
    return min(1.0, max(largest, theme.gridline_values(largest)[-1]))


def _column(rows: pd.DataFrame, figure: str, top: float) -> pd.DataFrame:
    """The marks of one column, with their place across and down, and what is written beside them."""
    start = 0.0 if figure == "finds" else _SECOND
    ends = {"at": "", "low": "_low", "high": "_high", "least": "_least", "most": "_most"}
    placed = {name: start + rows[f"{figure}{end}"] / top for name, end in ends.items()}
    told = [_told(row, figure) for row in each(rows)]
    return pd.DataFrame(placed).assign(
        edge=start + 1,
        row=rows.index + _HEAD,
        modelled=rows["status"] == "latent",
        short=[told_one[0] for told_one in told],
        long=[told_one[1] for told_one in told],
        said=[_said(row, figure) for row in each(rows)],
    )


def _told(row: Any, figure: str) -> tuple[str, str]:
    """What stands beside the mark: where there is little room, and where there is enough."""
    value, low, high = (getattr(row, f"{figure}{end}") for end in ("", "_low", "_high"))
    count = labels.count(getattr(row, _COUNTS[figure]))
    if labels.is_known(value):
        return labels.percent(value), f"{labels.percent_with_interval(value, low, high)} of {count}"
    return "–", f"not told, {count} known"


def _said(row: Any, figure: str) -> str:
    kind = "known defects" if figure == "finds" else "known sound ones"
    what = "found" if figure == "finds" else "written up"
    count = labels.count(getattr(row, _COUNTS[figure]))
    value, low, high = (getattr(row, f"{figure}{end}") for end in ("", "_low", "_high"))
    least, most = (getattr(row, f"{figure}{end}") for end in ("_least", "_most"))
    share = f"{labels.percent_with_interval(value, low, high)} {what}" if labels.is_known(value) else "cannot be told"
    model = ", by a model" if labels.is_known(value) and row.status == "latent" else ""
    bounds = (
        f"; {labels.join(labels.interval(least, most), '%')} by what calls of unknown truth may be"
        if labels.is_known(least) and labels.is_known(most)
        else ""
    )
    return f"{row.inspector_id}, {count} {kind}: {share}{model}{bounds}"


def _axis(top: float) -> alt.Axis:
    values = {0.0: "0", 0.5: "50", 1.0: "100"}
    values |= {round(_SECOND + step, 4): f"{100 * step * top:.3g}" for step in (0.0, 0.5, 1.0)}
    told = "".join(f"abs(datum.value-{at})<0.001?'{text}\u202f%':" for at, text in values.items())
    return alt.Axis(title=None, values=list(values), labelExpr=f"{told}''", labelFlush=False)


def _down(field: str, end: float) -> alt.Y:
    return alt.Y(f"{field}:Q", scale=alt.Scale(domain=[end, 0], nice=False), axis=None)


def _wide(beside: float, below: float) -> str:
    """A place down the row that depends on whether names stand beside the marks or above them."""
    return f"datum.row+(width>{_BESIDE}?{beside}:{below})"


def _lines(firm: dict[str, float], top: float, end: float) -> pd.DataFrame:
    """Where the lines of all inspectors together stand."""
    places = {"finds": firm["finds"], "false_calls": _SECOND + firm["false_calls"] / top}
    return pd.DataFrame({"at": list(places.values()), "y": 0.55, "end": end}).dropna()


def _marks(marks: pd.DataFrame, x: alt.X, end: float, colors: theme.Palette, lines: pd.DataFrame) -> list[alt.Chart]:
    """The bands, over them the lines of the firm, over these the intervals and dots."""
    placed = {"mark_y": _wide(0.5, 0.74)}
    y = _down("mark_y", end)

    def across(field: str) -> alt.X:
        return alt.X(f"{field}:Q", scale=x["scale"], axis=x["axis"])

    known, bounded = marks.dropna(subset=["at"]), marks.dropna(subset=["least", "most"])
    behind, alone = bounded[bounded["at"].notna()], bounded[bounded["at"].isna()]
    own = alt.Chart(known.loc[:, ["row", "at", "low", "high", "modelled", "said"]]).transform_calculate(**placed)
    filled = alt.ColorValue(colors.upheld, condition={"test": "datum.modelled", "value": colors.ground})
    tooltip = [alt.Tooltip("said:N", title="Share")]
    return [
        alt.Chart(behind.loc[:, ["row", "least", "most"]])
        .transform_calculate(**placed)
        .mark_bar(color=colors.rates[1], height=11)
        .encode(x=across("least"), x2=alt.X2("most:Q"), y=y),
        alt.Chart(lines).mark_rule(color=colors.soft, strokeWidth=1).encode(x=x, y=_down("y", end), y2=alt.Y2("end:Q")),
        own.mark_rule(strokeWidth=2, color=colors.upheld).encode(x=across("low"), x2=alt.X2("high:Q"), y=y),
        own.mark_point(opacity=1, size=90, stroke=colors.upheld, strokeWidth=2, aria=not known.empty).encode(
            x=x, y=y, fill=filled, tooltip=tooltip, description=alt.Description("said:N")
        ),
        # What is told of those without a dot, for whoever points at their band or hears the picture read.
        alt.Chart(alone.loc[:, ["row", "least", "most", "said"]])
        .transform_calculate(**placed)
        .mark_bar(color=colors.rates[1], height=11, aria=not alone.empty)
        .encode(x=across("least"), x2=alt.X2("most:Q"), y=y, tooltip=tooltip, description=alt.Description("said:N")),
    ]


def _figures(marks: pd.DataFrame, x: alt.X, end: float, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(marks.loc[:, ["row", "edge", "short", "long"]]).transform_calculate(
        mark_y=_wide(0.5, 0.74),
        figure=f"width>{_LONG_BESIDE}||(width<={_BESIDE}&&width>{_LONG_BELOW})?datum.long:datum.short",
    )
    at_edge = alt.X("edge:Q", scale=x["scale"], axis=x["axis"])
    text = base.encode(x=at_edge, y=_down("mark_y", end), text=alt.Text("figure:N"))
    return theme.with_halo(
        text, colors, align="left", baseline="middle", dx=12, fontSize=theme.FIGURE_SIZE, color=colors.soft
    )


def _names(rows: pd.DataFrame, end: float, colors: theme.Palette) -> list[alt.Chart]:
    """Names, and their counts: below the name where it stands beside the marks, else at the right of it."""
    named = pd.DataFrame(
        {
            "row": rows.index + _HEAD,
            "name": rows["inspector_id"],
            "counted": [f"{labels.plural(row.trials, 'look')}, {labels.count(row.known)} known" for row in each(rows)],
        }
    )
    base = alt.Chart(named).transform_calculate(name_y=_wide(0.3, 0.3), counted_y=_wide(0.7, 0.3))
    name = base.encode(x=alt.XValue(0), y=_down("name_y", end), text=alt.Text("name:N"))
    below, at_right = (
        base.transform_filter(condition).encode(x=alt.XValue(at), y=_down("counted_y", end), text=alt.Text("counted:N"))
        for condition, at in ((f"width>{_BESIDE}", 0), (f"width<={_BESIDE}", "width"))
    )
    limit = alt.ExprRef(f"width>{_BESIDE}?{_NAMES_PX - 12}:width-150")
    soft: dict[str, Any] = {"baseline": "middle", "fontSize": theme.FIGURE_SIZE, "color": colors.soft}
    ink: dict[str, Any] = {"baseline": "middle", "fontSize": theme.NAME_SIZE, "color": colors.ink, "limit": limit}
    return [
        *theme.with_halo(name, colors, align="left", **ink),
        *theme.with_halo(below, colors, align="left", **soft),
        *theme.with_halo(at_right, colors, align="right", **soft),
    ]


def _titles(firm: dict[str, float], x: alt.X, end: float, colors: theme.Palette) -> list[alt.Chart]:
    """What each column is a share of, and what the line of all inspectors together says."""
    lines = [f"all {labels.percent(firm[figure])}" if labels.is_known(firm[figure]) else "" for figure in FIGURES]
    titles = pd.DataFrame({"at": [0.0, _SECOND], "y": [0.25] * 2, "title": list(_TITLES.values()), "line": lines})
    base = alt.Chart(titles).transform_calculate(
        told=f"datum.line&&width>{_BESIDE}?datum.title+'; line: '+datum.line:datum.title"
    )
    text = base.encode(x=x, y=_down("y", end), text=alt.Text("told:N"))
    return theme.with_halo(text, colors, align="left", baseline="middle", fontSize=theme.FIGURE_SIZE, color=colors.soft)
