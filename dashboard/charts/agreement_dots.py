"""Agreement by topic: of the write-ups of one look the share that the other look wrote up too, and agreement beyond
chance, each as a dot with its interval."""

from __future__ import annotations

from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

FIGURES = ("positive_agreement", "kappa", "ac1")
COLUMNS = (
    *("topic", "name", "pairs", "both_up", "earlier_only", "later_only", "neither"),
    *(f"{figure}{end}" for figure in FIGURES for end in ("", "_low", "_high")),
)
SELECTION = "topic_dot"
BEYOND = {"kappa": "kappa", "ac1": "AC1"}
ROW_PX = 48
_HEAD = 0.75  # rows that the titles of the two columns take
_NAMES_PX = 236
#: From which width on names stand beside the marks and not above them; and from which figures have their intervals.
_BESIDE, _LONG_BESIDE, _LONG_BELOW = 800, 960, 640
#: Where the second column begins, and what each column leaves to its figures, in lengths of a column.
_SECOND, _FIGURES = 1.42, 0.42


def agreement_dots(frame: pd.DataFrame, beyond: str, colors: theme.Palette) -> alt.LayerChart:
    """Two columns of dots and intervals on one line a topic.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.agreement.agreement` in the order to show, with the topic's title (``name``).
    beyond
        Which figure of agreement beyond chance the second column shows: kappa or ac1.
    """
    theme.require(frame, COLUMNS, "agreement_dots")
    rows = frame.loc[:, list(COLUMNS)].reset_index(drop=True)
    floor = _floor(rows[f"{beyond}_low"].min())
    marks = pd.concat([_column(rows, "positive_agreement", 0.0), _column(rows, beyond, floor)])
    end = len(rows) + _HEAD
    x = alt.X(
        "at:Q",
        scale=alt.Scale(
            domain=[0, _SECOND + 1 + _FIGURES],
            range=[alt.ExprRef(f"width>{_BESIDE}?{_NAMES_PX}:0"), alt.ExprRef("width")],
            nice=False,
        ),
        axis=_axis(floor),
    )
    layers = [
        *_chance(floor, x, end, colors),
        *_marks(marks, x, _down("mark_y", end), colors),
        *_figures(marks, x, _down("mark_y", end), colors),
        *_names(rows, end, colors),
        *_titles(beyond, x, end, colors),
    ]
    return theme.themed(alt.layer(*layers), colors, round(ROW_PX * end) + 34, alternative_text(frame, beyond))


def alternative_text(frame: pd.DataFrame, beyond: str) -> str:
    """The answer of the picture in words: the figures of its first row, and the topics at either end."""
    first = next(each(frame))
    topics = frame.iloc[1:].dropna(subset=["positive_agreement"]).sort_values("positive_agreement", kind="stable")
    ends = (
        [f"{row.name} {labels.percent(row.positive_agreement)}" for row in each(topics.iloc[[0, -1]])]
        if len(topics)
        else []
    )
    span = f" From {labels.listed(dict.fromkeys(ends), 'to')}." if ends else ""
    return f"{first.name}: {_told(first, 'positive_agreement')}; {_told(first, beyond)}.{span}"


def _told(row: Any, figure: str) -> str:
    value, low, high = (getattr(row, f"{figure}{end}") for end in ("", "_low", "_high"))
    if not labels.is_known(value):
        return "nothing was written up" if figure == "positive_agreement" else f"{BEYOND[figure]} is not defined"
    if figure == "positive_agreement":
        return f"the other look wrote it up too {labels.percent_with_interval(value, low, high)}"
    return f"{BEYOND[figure]} {labels.coefficient_with_interval(value, low, high)}"


def _floor(least: float) -> float:
    """Where the column of agreement beyond chance begins: 0, or as far below as an interval reaches."""
    return next((step for step in (0.0, -0.25, -0.5) if pd.isna(least) or least >= step), -1.0)


def _column(rows: pd.DataFrame, figure: str, floor: float) -> pd.DataFrame:
    """The marks of one column, with their place across and down, and what is written beside them."""
    start = 0.0 if figure == "positive_agreement" else _SECOND
    values = rows[[figure, f"{figure}_low", f"{figure}_high"]].set_axis(["value", "low", "high"], axis=1)
    placed = start + (values - floor) / (1 - floor)
    shown = labels.percent if figure == "positive_agreement" else labels.coefficient
    both = labels.percent_with_interval if figure == "positive_agreement" else labels.coefficient_with_interval
    known, lacking = values["value"].notna(), "no write-up" if figure == "positive_agreement" else "not defined"
    return pd.DataFrame(
        {
            "topic": rows["topic"],
            "name": rows["name"],
            "at": placed["value"].fillna(start),
            "low": placed["low"],
            "high": placed["high"],
            "edge": start + 1,
            "row": rows.index + _HEAD,
            "known": known,
            "short": [shown(v) if k else "none" for v, k in zip(values["value"], known, strict=True)],
            "long": [both(*v) if k else lacking for v, k in zip(values.to_numpy(), known, strict=True)],
            "counted": [_counted(row) for row in each(rows)],
            "told": [_told(row, figure) for row in each(rows)],
            "said": [f"{row.name}, {labels.plural(row.pairs, 'pair')}: {_told(row, figure)}" for row in each(rows)],
        }
    )


def _counted(row: Any) -> str:
    return (
        f"{labels.count(row.both_up)} written up by both, {labels.count(row.earlier_only)} by the earlier look only, "
        f"{labels.count(row.later_only)} by the later only, {labels.count(row.neither)} by neither"
    )


def _axis(floor: float) -> alt.Axis:
    values = {0.0: "0\u202f%", 0.5: "50\u202f%", 1.0: "100\u202f%"}
    for step in (floor, 0.0, 0.5, 1.0):
        values[round(_SECOND + (step - floor) / (1 - floor), 4)] = f"{step:g}".replace("-", "−")
    told = "".join(f"abs(datum.value-{at})<0.001?'{text}':" for at, text in values.items())
    return alt.Axis(title=None, values=list(values), labelExpr=f"{told}''", labelFlush=False)


def _down(field: str, end: float) -> alt.Y:
    return alt.Y(f"{field}:Q", scale=alt.Scale(domain=[end, 0], nice=False), axis=None)


def _wide(beside: float, below: float) -> str:
    """A place down the row that depends on whether names stand beside the marks or above them."""
    return f"datum.row+(width>{_BESIDE}?{beside}:{below})"


def _marks(marks: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    known = marks[marks["known"]]
    base = alt.Chart(known.drop(columns=["short", "long", "edge", "known"])).transform_calculate(
        mark_y=_wide(0.5, 0.72)
    )
    tooltip = [
        alt.Tooltip("name:N", title="Topic"),
        alt.Tooltip("told:N", title="Agreement"),
        alt.Tooltip("counted:N", title="Pairs"),
    ]
    chosen = alt.selection_point(name=SELECTION, fields=["topic"], on="click", empty=False, toggle=False)
    return [
        base.mark_rule(strokeWidth=2, color=colors.upheld).encode(
            x=alt.X("low:Q", scale=x["scale"], axis=x["axis"]), x2=alt.X2("high:Q"), y=y
        ),
        base.mark_point(filled=True, opacity=1, size=90, color=colors.upheld, cursor="pointer", aria=not known.empty)
        .encode(x=x, y=y, tooltip=tooltip, description=alt.Description("said:N"))
        .add_params(chosen),
    ]


def _figures(marks: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    base = alt.Chart(marks.loc[:, ["row", "edge", "short", "long"]]).transform_calculate(
        mark_y=_wide(0.5, 0.72),
        figure=f"width>{_LONG_BESIDE}||(width<={_BESIDE}&&width>{_LONG_BELOW})?datum.long:datum.short",
    )
    at_edge = alt.X("edge:Q", scale=x["scale"], axis=x["axis"])
    text = base.encode(x=at_edge, y=y, text=alt.Text("figure:N"))
    return theme.with_halo(
        text, colors, align="left", baseline="middle", dx=8, fontSize=theme.FIGURE_SIZE, color=colors.soft
    )


def _names(rows: pd.DataFrame, end: float, colors: theme.Palette) -> list[alt.Chart]:
    """Names, and their counts: below the name where it stands beside the marks, else at the right of it."""
    told = pd.DataFrame(
        {
            "row": rows.index + _HEAD,
            "name": rows["name"],
            "counted": [
                f"{labels.plural(row.pairs, 'pair')}: {labels.count(row.both_up)} both, "
                f"{labels.count(row.earlier_only + row.later_only)} one only"
                for row in each(rows)
            ],
        }
    )
    places = {"name_y": _wide(0.32, 0.28), "counted_y": _wide(0.7, 0.28)}
    base = alt.Chart(told).transform_calculate(**places)
    beside = base.transform_filter(f"width>{_BESIDE}").encode(
        x=alt.XValue(0), y=_down("counted_y", end), text=alt.Text("counted:N")
    )
    above = base.transform_filter(f"width<={_BESIDE}").encode(
        x=alt.XValue("width"), y=_down("counted_y", end), text=alt.Text("counted:N")
    )
    soft: dict[str, Any] = {"baseline": "middle", "fontSize": theme.FIGURE_SIZE, "color": colors.soft}
    ink: dict[str, Any] = {"align": "left", "baseline": "middle", "fontSize": theme.NAME_SIZE, "color": colors.ink}
    limit = alt.ExprRef(f"width>{_BESIDE}?{_NAMES_PX - 10}:width-168")
    layers = [
        *theme.with_halo(beside, colors, align="left", **soft),
        *theme.with_halo(above, colors, align="right", **soft),
    ]
    # What all topics together say stands apart from the single ones.
    for some, weight in ((told.head(1), 600), (told.iloc[1:], 400)):
        name = alt.Chart(some).transform_calculate(**places)
        name = name.encode(x=alt.XValue(0), y=_down("name_y", end), text=alt.Text("name:N"))
        layers += theme.with_halo(name, colors, **ink, fontWeight=weight, limit=limit)
    return layers


def _chance(floor: float, x: alt.X, end: float, colors: theme.Palette) -> list[alt.Chart]:
    """The line of what chance alone would give."""
    line = pd.DataFrame({"at": [_SECOND - floor / (1 - floor)], "y": [0.5], "end": [end]})
    return [
        alt.Chart(line).mark_rule(strokeWidth=1, color=colors.faint).encode(x=x, y=_down("y", end), y2=alt.Y2("end:Q"))
    ]


def _titles(beyond: str, x: alt.X, end: float, colors: theme.Palette) -> list[alt.Chart]:
    titles = pd.DataFrame(
        {
            "at": [0.0, _SECOND],
            "y": [0.25] * 2,
            "title": ["the other wrote it up too", f"{BEYOND[beyond]}: 0 is chance, 1 full"],
        }
    )
    text = alt.Chart(titles).encode(x=x, y=_down("y", end), text=alt.Text("title:N"))
    return theme.with_halo(text, colors, align="left", baseline="middle", fontSize=theme.FIGURE_SIZE, color=colors.soft)
