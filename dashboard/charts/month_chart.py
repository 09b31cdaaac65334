"""Month by month: a point a month, where luck leaves it as a stepped band, what is expected as a thin stepped line.

A thick pale line follows slow change; what else changed is marked on the axis: sessions, the catalog, the form.

Where months hold too little, quarters or years stand in their place. They stand on a plain number axis, since a band
needs its edges half-way between them; their names are text below. How many of these stand there follows from the width.
"""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

COLUMNS = (
    *("period", "month", "trials", "count", "share", "phase", "expected", "expected_share"),
    *("lower", "upper", "lower_share", "upper_share", "course", "course_low", "course_high", "signal"),
)
SESSION_COLUMNS = ("held_on",)
CHANGE_COLUMNS = ("since", "kind", "what")
SELECTION = "month"
HEIGHT = 380
#: What the share is of, above the axis.
TITLES = {
    "written_up": "written up, of those looked at",
    "overcalled": "do not hold, of write-ups judged",
    "missed": "missed, of other calls judged",
    "judged": "could be judged, of calls",
}
_SHAPES = {"overcalled": "triangle-up", "missed": "triangle-down"}
_BEYOND = ("higher", "lower")
_SAID = {
    "higher": "more than luck allows",
    "lower": "fewer than luck allows",
    "none": "within luck",
    "too_few": "too few to say",
    "session": "the month of a session",
}
#: Below the plot, in pixels: counts, names of months, years.
_COUNT_DY, _NAME_DY, _YEAR_DY = 14, 33, 49
#: So many pixels a month's name and a year need.
_NAME_PX, _YEAR_PX, _DIGIT_PX = 34, 40, 7.2
#: More sessions and changes than this are lines without words.
_MOST_LABELED = 4
_FREQUENCIES = {"month": "MS", "quarter": "QS", "year": "YS"}
_IN_A_YEAR = {"month": 12, "quarter": 4, "year": 1}


def month_chart(
    frame: pd.DataFrame, sessions: pd.DataFrame, changes: pd.DataFrame, outcome: str, colors: theme.Palette
) -> alt.LayerChart:
    """The control chart of a topic, or of all topics together.

    Parameters
    ----------
    frame
        Rows of :attr:`dashboard.measures.over_time.OverTime.months` of one topic, outcome and length of period.
        Periods with too few trials get no point.
    sessions
        Sessions to mark, by the day that they were held on.
    changes
        What else changed among these months: rows of :func:`dashboard.measures.changes.changes_of`.
    outcome
        What the share is of: a key of ``TITLES``.
    """
    theme.require(frame, COLUMNS, "month_chart")
    theme.require(sessions, SESSION_COLUMNS, "month_chart")
    theme.require(changes, CHANGE_COLUMNS, "month_chart")
    rows = _placed(frame)
    marks = _marks(sessions, changes, _span(frame))
    most = _largest(rows)
    values = theme.gridline_values(most)
    x = alt.X("at:Q", scale=alt.Scale(domain=[-0.5, len(_span(frame)) - 0.5], nice=False), axis=None)
    axis = alt.Axis(
        title=TITLES[outcome],
        values=values,
        labelExpr=theme.PERCENT_LABEL,
        titleAngle=0,
        titleAnchor="end",
        titleAlign="left",
        titleY=-14,
        titleX=0,
    )
    y = alt.Y("share:Q", scale=alt.Scale(domain=[0, max(values[-1], most)], nice=False), axis=axis)
    layers = [
        *_band(rows, x, y, colors),
        *_course(rows, x, y, colors, outcome),
        *_marked(marks, x, colors),
        *_points(rows, x, y, colors, outcome),
        *_below(rows, x, colors),
        _targets(rows, x, outcome),
    ]
    return theme.themed(alt.layer(*layers), colors, HEIGHT, alternative_text(frame, sessions, changes, outcome))


def alternative_text(frame: pd.DataFrame, sessions: pd.DataFrame, changes: pd.DataFrame, outcome: str) -> str:
    """The answer of the picture in words: which months are beyond luck, and how far the others go."""
    told = frame[~frame["signal"].isin(["too_few", "session"])]
    unit = str(frame["period"].iloc[0])
    if told.empty:
        return f"None of {labels.plural(len(frame), unit)} has enough calls."
    out = told[told["signal"].isin(_BEYOND)]
    periods = [labels.period_of(unit, start) for start in (told["month"].min(), told["month"].max())]
    ends = f"from {labels.percent(told['share'].min())} to {labels.percent(told['share'].max())}"
    first = f"Share that {_verb(outcome)}, {ends} in {labels.plural(len(told), unit)}, {periods[0]} to {periods[1]}."
    named = [f"{labels.period_of(unit, row.month)} ({_counted(row)}, {_SAID[row.signal]})" for row in each(out)]
    beyond = f" Beyond luck: {labels.listed(named)}." if named else " None is beyond luck."
    days = f" Sessions: {labels.listed(labels.day(day) for day in sessions['held_on'])}." if len(sessions) else ""
    others = [f"{row.words} (from {labels.day(row.since)})" for row in each(_worded(changes))]
    return f"{first}{beyond}{days}{f' Marked: {labels.listed(others)}.' if others else ''}"


def _verb(outcome: str) -> str:
    return {
        "written_up": "was written up",
        "overcalled": "does not hold",
        "missed": "was missed",
        "judged": "could be judged",
    }[outcome]


def _counted(row: Any) -> str:
    return f"{labels.part_of(row.count, row.trials)}, {labels.percent(row.share)}"


def _span(frame: pd.DataFrame) -> pd.DatetimeIndex:
    """All periods from the first to the last, those without calls too."""
    return pd.date_range(frame["month"].min(), frame["month"].max(), freq=_FREQUENCIES[frame["period"].iloc[0]])


def _largest(rows: pd.DataFrame) -> float:
    shown = rows[rows["shown"]]
    return float(max([0.05, *shown["share"], *shown["upper_share"].dropna(), *rows["course"].dropna()]))


def _placed(frame: pd.DataFrame) -> pd.DataFrame:
    """The rows with their places and words; months without calls are blank, so that the line breaks there."""
    span = _span(frame)
    unit = str(frame["period"].iloc[0])
    rows = frame.loc[:, list(COLUMNS)].set_index("month").reindex(span).rename_axis("month").reset_index()
    rows[["trials", "count"]] = rows[["trials", "count"]].fillna(0).astype(int)
    rows["signal"] = rows["signal"].fillna("too_few")
    rows["shown"] = rows["signal"] != "too_few"
    rows["at"] = range(len(rows))
    rows["start"], rows["end"] = rows["at"] - 0.5, rows["at"] + 0.5
    rows["beyond"] = rows["signal"].isin(_BEYOND)
    rows["period"] = unit
    rows["told"] = [labels.period_of(unit, start) for start in rows["month"]]
    rows["counted"] = [_counted(row) if row.trials else "none" for row in each(rows)]
    rows["luck"] = [_luck(row) for row in each(rows)]
    rows["slow"] = [_slow(row) for row in each(rows)]
    rows["said"] = [f"{row.told}: {row.counted}, {_SAID[row.signal]}" for row in each(rows)]
    rows["how"] = rows["signal"].map(_SAID)
    return rows


def _luck(row: Any) -> str:
    if not row.shown or not labels.is_known(row.expected_share):
        return "not told"
    reach = labels.join(labels.count(row.lower), "to", labels.count(row.upper))
    return f"{reach}, about {labels.count(round(row.expected))} expected"


def _slow(row: Any) -> str:
    if not labels.is_known(row.course):
        return "not told"
    return f"{labels.percent(row.course)}, by luck {labels.interval(row.course_low, row.course_high)}"


def _band(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """Where luck leaves each month, and the line of what is expected."""
    known = rows["shown"] & (rows["signal"] != "session")
    told = rows.loc[known, ["start", "end", "lower_share", "upper_share"]].astype(float)
    # Two corners a month: a line that is stepped by itself would end in the middle of the first and the last one.
    line = pd.concat(
        [rows.assign(at=rows[side], share=rows["expected_share"].where(known)) for side in ("start", "end")]
    )
    line = line.sort_values(["start", "at"], kind="stable").loc[:, ["at", "share"]]
    return [
        alt.Chart(told)
        .mark_rect(fill=colors.panel, stroke=None)
        .encode(
            x=alt.X("start:Q", scale=x["scale"], axis=None),
            x2=alt.X2("end:Q"),
            y=alt.Y("lower_share:Q", scale=y["scale"], axis=y["axis"]),
            y2=alt.Y2("upper_share:Q"),
        ),
        alt.Chart(line).mark_line(color=colors.soft, strokeWidth=1).encode(x=x, y=y, order=alt.Order("at:Q")),
    ]


def _color(outcome: str, colors: theme.Palette) -> str:
    return colors.outcome(outcome) if outcome in _SHAPES else colors.upheld


def _course(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, outcome: str) -> list[alt.Chart]:
    """The line that follows slow change, broken where a phase ends; no line where it is not told."""
    if rows["course"].isna().all():
        return []
    line = alt.Chart(rows.loc[:, ["at", "course"]].rename(columns={"course": "share"}))
    return [line.mark_line(color=_color(outcome, colors), strokeWidth=3, opacity=0.4).encode(x=x, y=y)]


def _points(rows: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, outcome: str) -> list[alt.Chart]:
    shown = rows.assign(share=rows["share"].where(rows["shown"])).loc[:, ["at", "share", "signal", "beyond", "told"]]
    color = _color(outcome, colors)
    room = f"width/{len(rows)}"
    plain, session = shown[shown["signal"] == "none"], shown[shown["signal"] == "session"]
    layers = [alt.Chart(shown.loc[:, ["at", "share"]]).mark_line(color=colors.faint, strokeWidth=1).encode(x=x, y=y)]
    small, large = f"{room}>18?70:{room}>9?36:16", f"{room}>18?120:70"
    for some, size, fill, stroke in (
        (plain, small, color, color),
        (session, small, colors.ground, color),
        (shown[shown["beyond"]], large, colors.accent, colors.accent),
    ):
        if len(some):
            point = alt.Chart(some.loc[:, ["at", "share"]]).mark_point(
                shape=_SHAPES.get(outcome, "circle"),
                size=alt.ExprRef(size),
                fill=fill,
                stroke=stroke,
                strokeWidth=1,
                opacity=1,
            )
            layers.append(point.encode(x=x, y=y))
    return layers + _names_of_signals(shown[shown["beyond"]], len(rows), x, y, colors)


def _names_of_signals(out: pd.DataFrame, n: int, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The months beyond luck, named beside their points, toward the side on which there is room."""
    layers: list[alt.Chart] = []
    for signal, dy in (("higher", -14), ("lower", 16)):
        for align, some in (("left", out[out["at"] < n / 2]), ("right", out[out["at"] >= n / 2])):
            named = some[some["signal"] == signal]
            if len(named):
                text = alt.Chart(named.loc[:, ["at", "share", "told"]]).encode(x=x, y=y, text=alt.Text("told:N"))
                layers += theme.with_halo(
                    text,
                    colors,
                    align=align,
                    dy=dy,
                    fontSize=theme.FIGURE_SIZE,
                    fontWeight=600,
                    color=colors.accent,
                )
    return layers


def _worded(changes: pd.DataFrame) -> pd.DataFrame:
    """since, words, short: one row a mark; what was recorded first in the same month is one mark."""
    kinds = changes["kind"].replace({"measure": "form", "topic": "form"})
    marks = changes.groupby(["since", kinds], sort=True)["what"].agg(lambda what: list(what.unique())).reset_index()
    worded = [(row.since, *_words(row.kind, row.since, row.what)) for row in each(marks)]
    return pd.DataFrame(worded, columns=["since", "words", "short"])


def _words(kind: str, since: pd.Timestamp, what: list[str]) -> tuple[str, str]:
    """What a mark says where there is room, and where there is little."""
    if kind == "catalog":
        return f"other catalog, {labels.day(since)}", "catalog"
    if kind == "guideline":
        return f"{what[0] or 'no guideline'} named", what[0] or "none"
    named = labels.in_sentence(what[0]) if len(what) == 1 else labels.plural(len(what), "thing")
    return f"first recorded: {named}", "form"


def _marks(sessions: pd.DataFrame, changes: pd.DataFrame, span: pd.DatetimeIndex) -> pd.DataFrame:
    """Sessions and changes among the months: where they stand on the axis, their words, a line of text each."""
    days = [labels.day(day) for day in sessions["held_on"]]
    held = pd.DataFrame(
        {"since": pd.DatetimeIndex(sessions["held_on"]), "words": [f"session, {day}" for day in days], "short": days}
    )
    both = [held.assign(session=True), _worded(changes).assign(session=False)]
    found = pd.concat([part for part in both if len(part)] or both[:1])
    edges = pd.date_range(span[0], periods=len(span) + 1, freq=span.freq)
    found = found[(found["since"] >= edges[0]) & (found["since"] < edges[-1])].sort_values("since", ignore_index=True)
    moment = pd.DatetimeIndex(found["since"])
    place = edges.searchsorted(moment, side="right") - 1
    at = place - 0.5 + (moment - edges[place]) / (edges[place + 1] - edges[place])
    found["at"] = np.asarray(at, float)
    return found.assign(line=found.index, left=found["at"] < len(span) / 2).drop(columns="since")


def _marked(marks: pd.DataFrame, x: alt.X, colors: theme.Palette) -> list[alt.Chart]:
    """A line a mark: plum for sessions, dashed for what else changed; with words where they are few."""
    layers: list[alt.Chart] = []
    for session, color, width, dash in ((False, colors.soft, 1, [5, 3]), (True, colors.accent, 1.5, [1, 0])):
        own = marks[marks["session"].astype(bool) == session]
        if own.empty:
            continue
        rule = alt.Chart(own.loc[:, ["at"]]).mark_rule(color=color, strokeWidth=width, strokeDash=dash)
        layers.append(rule.encode(x=x))
        if len(marks) <= _MOST_LABELED:
            for mark in each(own):
                layers += _mark_words(mark, color, x, colors)
    return layers


def _mark_words(mark: Any, color: str, x: alt.X, colors: theme.Palette) -> list[alt.Chart]:
    """The words beside a mark, on its own line of text, toward the side on which there is room."""
    words = pd.DataFrame({"at": [mark.at], "words": [mark.words], "short": [mark.short]})
    text = alt.Chart(words).transform_calculate(told="width>560?datum.words:datum.short")
    return theme.with_halo(
        text.encode(x=x, y=alt.YValue(8 + 16 * mark.line), text=alt.Text("told:N")),
        colors,
        align="left" if mark.left else "right",
        dx=6 if mark.left else -6,
        fontSize=theme.FIGURE_SIZE,
        fontWeight=600,
        color=color,
    )


def _below(rows: pd.DataFrame, x: alt.X, colors: theme.Palette) -> list[alt.Chart]:
    """Counts, months and years below the plot, as many as there is room for."""
    n, unit = len(rows), str(rows["period"].iloc[0])
    in_a_year = _IN_A_YEAR[unit]
    named = pd.DataFrame(
        {
            "at": rows["at"],
            "number": [labels.count(trials) if trials else "" for trials in rows["trials"]],
            "name": [_name(unit, start) for start in rows["month"]],
            "year": ["" if unit == "year" else str(start.year) for start in rows["month"]],
            "of_year": [(start.month - 1) * in_a_year // 12 for start in rows["month"]],
        }
    )
    widest = max(len(text) for text in named["number"]) * _DIGIT_PX + 5
    base = alt.Chart(named)
    layers = []
    for field, shown, dy in (
        ("number", f"datum.of_year%{_every(widest, n, in_a_year)}==0", _COUNT_DY),
        ("name", f"datum.of_year%{_every(_NAME_PX, n, in_a_year)}==0", _NAME_DY),
        ("year", f"datum.of_year==0||(datum.at==0&&({in_a_year}-datum.of_year)*width/{n}>{_YEAR_PX})", _YEAR_DY),
    ):
        layers.append(
            base.transform_calculate(words=f"{shown}?datum.{field}:''")
            .mark_text(fontSize=theme.SMALL_SIZE, dy=dy, color=colors.soft)
            .encode(x=x, y=alt.YValue("height"), text=alt.Text("words:N"))
        )
    return layers


def _name(unit: str, start: pd.Timestamp) -> str:
    if unit == "year":
        return str(start.year)
    return f"Q{start.quarter}" if unit == "quarter" else labels.month_name(start)


def _every(needed: float, n: int, in_a_year: int) -> str:
    """Every how many periods a text of so many pixels has room, as an expression; it starts with the year's first."""
    steps = [step for step in (1, 2, 3, 4, 6) if step < in_a_year and in_a_year % step == 0]
    return "(" + "".join(f"{step}*width/{n}>={needed:.0f}?{step}:" for step in steps) + f"{in_a_year})"


def _targets(rows: pd.DataFrame, x: alt.X, outcome: str) -> alt.Chart:
    """What is pointed at and clicked: the whole height of a month."""
    chosen = alt.selection_point(name=SELECTION, fields=["id"], on="click", empty=False, toggle=False)
    some = rows[rows["trials"] > 0]
    told = some.loc[:, ["start", "end", "told", "counted", "luck", "slow", "how", "said"]].assign(
        id=some["month"].dt.strftime("%Y-%m")
    )
    return (
        alt.Chart(told)
        .mark_rect(fill="#000", fillOpacity=0, stroke=None, cursor="pointer")
        .encode(
            x=alt.X("start:Q", scale=x["scale"], axis=None),
            x2=alt.X2("end:Q"),
            y=alt.YValue(0),
            y2=alt.Y2Value("height"),
            description=alt.Description("said:N"),
            tooltip=[
                alt.Tooltip("told:N", title="When"),
                alt.Tooltip("counted:N", title=labels.OVER_TIME[outcome]),
                alt.Tooltip("luck:N", title="By luck"),
                alt.Tooltip("slow:N", title="Slow change"),
                alt.Tooltip("how:N", title="So"),
            ],
        )
        .add_params(chosen)
    )
