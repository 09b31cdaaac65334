"""What was written up about hanger size: joist by hanger, drawn to the real depths of the lumber.

Left of the heavy staircase the hanger's own lumber is less than 60 percent as deep as the joist: a defect. The cells
one size down and of the same size are framed, so that one look shows where write-ups do not hold.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures import lumber
from dashboard.measures.hanger_grid import HangerWriteUps
from dashboard.measures.rows import each

OUTCOMES = ("upheld", "overcalled", "judgment", "undecided")
COLUMNS = ("joist_nominal", "hanger_nominal", *OUTCOMES)
SELECTION = "joist_in_hanger"
#: Under this many pixels of plot, and above this many marks in a cell, marks give way to bars.
NARROW_PX = 380
#: Under this many pixels the words of a cell are the short ones.
_SHORT_PX = 540
MOST_MARKS = 160
#: Marks in a line, and how many marks in a cell that serves: the fewer, the larger each mark.
_MARKS_A_LINE = {10: 50, 12: 84, 16: MOST_MARKS}
_PX_PER_IN = 58
_EDGES = (2.5, 4.5, 6.375, 8.25, 10.25, 12.25)
_PAD_IN = 0.14
_MARKS_FROM_TOP_IN = 0.78
#: A bar goes on in the next line where a line is full. So many lines at most where only a narrow picture shows them,
#: and where each does: there the words on a height that decides stand below them.
_MOST_LINES, _FEWER_LINES = 9, 6
_LINE_IN, _LINE_PITCH_IN = 0.1, 0.115
#: What a full line may stand for, times a power of ten.
_ROUND = (1, 2, 5)
_SHAPES = {"upheld": "circle", "overcalled": "triangle-up", "judgment": "diamond", "undecided": "circle"}


def joist_hanger(frame: pd.DataFrame, colors: theme.Palette) -> alt.LayerChart:
    """Grid of joist sizes (rows, the larger at the top) and hanger sizes (columns).

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.hanger_grid.hanger_grid`: joist_nominal, hanger_nominal, and how many
        write-ups hold (upheld), do not hold (overcalled), are left to the inspector (judgment) and could not be judged
        (undecided). Kinds that are not a pair of sizes are not drawn: see :func:`adds_up`.
    """
    theme.require(frame, COLUMNS, "joist_hanger")
    cells = _cells(frame)
    x, y = _scales(cells)
    many = bool((cells["written_up"] > MOST_MARKS).any())
    a_line = full_line(int(cells["written_up"].max()), _FEWER_LINES if many else _MOST_LINES)
    bars_show = "1" if many else f"width<{NARROW_PX}?1:0"
    layers = [
        *_ground(cells, x, y, colors),
        *_figures(cells, x, y, colors),
        *([] if many else _marks(cells, x, y, colors)),
        *_bars(cells, x, y, colors, a_line, bars_show),
        *_staircase(cells, x, y, colors),
        *_heads(cells, x, y, colors),
        _key_of_bars(cells, x, y, colors, a_line, bars_show),
        _targets(cells, x, y),
    ]
    rows = cells["joist_nominal"].nunique()
    return theme.themed(alt.layer(*layers), colors, round(rows * 1.94 * _PX_PER_IN) + 84, alternative_text(frame))


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer of the picture in words: how many write-ups hold, one size down, too low, of the same size."""
    kinds = (
        ("One size down", lumber.one_size_down),
        ("Under 60 percent of the joist", lumber.never_enough),
        ("Of the same size", lambda joist, hanger: joist == hanger),
    )
    told = [(name, lumber.fared(frame, chosen)) for name, chosen in kinds]
    parts = [
        f"{name}: {labels.plural(fared.written_up, 'write-up')}, "
        f"{_held(fared.upheld, fared.overcalled, fared.written_up)}."
        for name, fared in told
        if fared.written_up
    ]
    return " ".join(parts) or "No hanger was written up one size down, too low, or of the joist's own size."


def adds_up(found: HangerWriteUps) -> str:
    """Which write-ups on hanger size the grid does not draw, by kind, and how cells and these make up all of them."""
    if not found.not_drawn:
        return ""
    named = labels.listed(f"{kind} ({labels.count(number)})" for kind, number in found.not_drawn)
    twice = (
        f"A write-up with hangers of two kinds is counted in both, {labels.plural(found.repeated, 'time')}: "
        if found.repeated
        else "Together: "
    )
    return (
        f"The cells hold {labels.plural(found.drawn, 'write-up')}. Not drawn, since these two sizes did not decide: "
        f"{named}. {twice}{labels.plural(found.written_up, 'write-up')} on hanger size in all."
    )


def _edges(size: str) -> tuple[float, float]:
    place = lumber.SIZES.index(size)
    return _EDGES[place], _EDGES[place + 1]


def _cells(frame: pd.DataFrame) -> pd.DataFrame:
    """All cells of the grid, with their edges, counts and words; joists of 2x4 only where there are any."""
    joists = [size for size in lumber.SIZES if size != "2x4" or (frame["joist_nominal"] == "2x4").any()]
    grid = pd.DataFrame(
        [(joist, hanger) for joist in joists for hanger in lumber.SIZES], columns=["joist_nominal", "hanger_nominal"]
    )
    cells = grid.merge(frame.loc[:, list(COLUMNS)], on=["joist_nominal", "hanger_nominal"], how="left")
    cells[list(OUTCOMES)] = cells[list(OUTCOMES)].fillna(0).astype(int)
    cells["written_up"] = cells[list(OUTCOMES)].sum(axis=1)
    cells["x0"], cells["x1"] = zip(*(_edges(hanger) for hanger in cells["hanger_nominal"]), strict=True)
    cells["y0"], cells["y1"] = zip(*(_edges(joist) for joist in cells["joist_nominal"]), strict=True)
    cells["kind"] = [_kind(row.joist_nominal, row.hanger_nominal) for row in each(cells)]
    cells["total"] = [labels.count(total) if total else "" for total in cells["written_up"]]
    cells["held"] = [_held(row.upheld, row.overcalled, row.written_up, row.judgment) for row in each(cells)]
    cells["short"] = [_short(row) for row in each(cells)]
    cells["pair"] = [f"{row.joist_nominal} joist in {row.hanger_nominal} hanger" for row in each(cells)]
    return cells


def _kind(joist: str, hanger: str) -> str:
    if lumber.never_enough(joist, hanger):
        return "never"
    if lumber.one_size_down(joist, hanger):
        return "down"
    if joist == hanger:
        return "same"
    return "open" if (joist, hanger) in lumber.HEIGHT_DECIDES else "other"


def _held(held: int, failed: int, total: int, left_open: int = 0) -> str:
    """How many hold. Where nothing was judged nothing is said to fail."""
    if not total:
        return ""
    if not held + failed:
        return labels.OUTCOMES["judgment"] if left_open == total else "none judged"
    if held:
        return f"{labels.count(held)} hold{'s' if held == 1 else ''}"
    return "none holds" if failed == total else labels.do_not_hold(failed)


def _short(cell: Any) -> str:
    """The same in as few letters as a cell on a phone has room for."""
    if not cell.written_up:
        return ""
    judged = cell.upheld + cell.overcalled
    return f"{labels.count(cell.upheld)} hold{'s' if cell.upheld == 1 else ''}" if judged else "0 judged"


def _scales(cells: pd.DataFrame) -> tuple[alt.X, alt.Y]:
    depth = "+".join(f"(datum.value=={lumber.DEPTH_IN[size]}?'{size}':'')" for size in lumber.SIZES)
    inches = "format(datum.value,'~r')+'\u00a0in'"
    joist = f"({depth})+(width<{NARROW_PX}?'':'\u00a0joist')"
    hangers = [lumber.DEPTH_IN[size] for size in lumber.SIZES]
    joists = [lumber.DEPTH_IN[size] for size in dict.fromkeys(cells["joist_nominal"])]
    x = alt.X(
        "x0:Q",
        scale=alt.Scale(domain=[_EDGES[0], _EDGES[-1]], nice=False, zero=False),
        axis=alt.Axis(
            title="Hanger size (depth of the lumber it is made for)",
            values=hangers,
            labelExpr=f"[{depth},{inches}]",
            grid=False,
            labelOverlap=False,
        ),
    )
    y = alt.Y(
        "y0:Q",
        scale=alt.Scale(domain=[cells["y0"].min(), _EDGES[-1]], nice=False, zero=False),
        axis=alt.Axis(title=None, values=joists, labelExpr=f"[{joist},{inches}]", grid=False, labelOverlap=False),
    )
    return x, y


def _ground(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    looks: dict[str, dict[str, Any]] = {
        "never": {"fill": colors.panel, "stroke": colors.grid, "strokeWidth": 1},
        "open": {"fill": colors.ground, "stroke": colors.grid, "strokeWidth": 1},
        "other": {"fill": colors.ground, "stroke": colors.grid, "strokeWidth": 1},
        "same": {"fill": colors.ground, "stroke": colors.faint, "strokeWidth": 1.5},
        "down": {"fill": colors.wash, "stroke": colors.overcalled, "strokeWidth": 2.5},
    }
    inset = cells.assign(x0=cells["x0"] + 0.03, x1=cells["x1"] - 0.03, y0=cells["y0"] + 0.03, y1=cells["y1"] - 0.03)
    return [
        alt.Chart(inset[inset["kind"] == kind].loc[:, ["x0", "x1", "y0", "y1"]])
        .mark_rect(**look)
        .encode(x=x, x2=alt.X2("x1:Q"), y=y, y2=alt.Y2("y1:Q"))
        for kind, look in looks.items()
    ]


def _figures(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """The count of each cell, how many hold beside it (below it where narrow), and what its height decides."""
    top = alt.Y("y1:Q", scale=y["scale"], axis=y["axis"])
    used = cells[cells["written_up"] > 0].loc[:, ["x0", "y1", "total", "held", "short"]]
    layers = [
        alt.Chart(used)
        .mark_text(
            align="left",
            baseline="top",
            dx=8,
            dy=9,
            fontSize=alt.ExprRef(f"width<{NARROW_PX}?15:22"),
            fontWeight=600,
            color=colors.ink,
        )
        .encode(x=x, y=top, text=alt.Text("total:N"))
    ]
    for digits, some in used.groupby(used["total"].str.len()):
        beside = 8 + 12 * int(digits) + 7
        layers.append(
            alt.Chart(some)
            .transform_calculate(text=f"width<{_SHORT_PX}?datum.short:datum.held")
            .mark_text(
                align="left",
                baseline="top",
                dx=alt.ExprRef(f"width<{NARROW_PX}?8:{beside}"),
                dy=alt.ExprRef(f"width<{NARROW_PX}?27:15"),
                fontSize=alt.ExprRef(f"width<{NARROW_PX}?11:13"),
                color=colors.soft,
            )
            .encode(x=x, y=top, text=alt.Text("text:N"))
        )
    told = cells[cells["kind"] == "open"].loc[:, ["x0", "y0"]].assign(text="its height decides")
    layers.append(
        alt.Chart(told)
        .mark_text(
            align="left",
            baseline="bottom",
            dx=8,
            dy=-7,
            fontSize=theme.SMALL_SIZE,
            opacity=alt.ExprRef(f"width<{NARROW_PX}?0:1"),
            color=colors.soft,
        )
        .encode(x=x, y=y, text=alt.Text("text:N"))
    )
    return layers


def _mark_rows(cells: pd.DataFrame) -> tuple[pd.DataFrame, int]:
    """One row a write-up with its place in its cell, sorted by outcome, so many in a line; and how many that is."""
    most = cells["written_up"].max()
    per_line = next((line for line, marks in _MARKS_A_LINE.items() if most <= marks), max(_MARKS_A_LINE))
    pitch = 1.62 / per_line
    rows = []
    for cell in each(cells):
        outcomes = [outcome for outcome in OUTCOMES for _ in range(getattr(cell, outcome))]
        for place, outcome in enumerate(outcomes):
            line, column = divmod(place, per_line)
            rows.append(
                {
                    "x0": cell.x0 + _PAD_IN + (column + 0.5) * pitch,
                    "y0": cell.y1 - _MARKS_FROM_TOP_IN - line * pitch * 1.06,
                    "outcome": outcome,
                }
            )
    return pd.DataFrame(rows, columns=["x0", "y0", "outcome"]), per_line


def _marks(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    rows, per_line = _mark_rows(cells)
    # The mark follows the pitch: the plot is 9.75 in wide and a line of marks takes 1.62 in of it.
    side = f"min(width/9.75*{1.62 / per_line:.4f}*0.86,9.5)"
    layers = []
    for outcome in OUTCOMES:
        some = rows[rows["outcome"] == outcome].loc[:, ["x0", "y0"]]
        if some.empty:
            continue
        color = colors.outcome(outcome)
        hollow = outcome == "undecided"
        layers.append(
            alt.Chart(some)
            .mark_point(
                shape=_SHAPES[outcome],
                fill=colors.ground if hollow else color,
                stroke=color,
                strokeWidth=1.2 if hollow else 0,
                size=alt.ExprRef(f"pow({side},2)*{0.7 if hollow else 1}"),
                opacity=alt.ExprRef(f"width<{NARROW_PX}?0:1"),
            )
            .encode(x=x, y=y)
        )
    return layers


def full_line(most: int, lines: int) -> int:
    """How many write-ups a full line of a bar stands for: a round number, at least 10, at which ``most`` has room."""
    steps = (step * 10**power for power in count(1) for step in _ROUND)
    return next(step for step in steps if step * lines >= most)


def _bars(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, a_line: int, shown: str) -> list[alt.Chart]:
    """A bar in each cell that goes on in the next line where one is full, its parts the outcomes; on one scale."""
    parts = [
        (*place, outcome)
        for cell in each(cells[cells["written_up"] > 0])
        for outcome, first, last in _runs(cell, a_line)
        for place in [_place(cell, first, last, a_line)]
    ]
    rows = pd.DataFrame(parts, columns=["x0", "x1", "y0", "y1", "outcome"])
    return [
        alt.Chart(rows[rows["outcome"] == outcome].loc[:, ["x0", "x1", "y0", "y1"]])
        .mark_rect(
            fill=colors.ground if outcome == "undecided" else colors.outcome(outcome),
            stroke=colors.outcome(outcome) if outcome == "undecided" else colors.ground,
            strokeWidth=1,
            opacity=alt.ExprRef(shown),
        )
        .encode(x=x, x2=alt.X2("x1:Q"), y=y, y2=alt.Y2("y1:Q"))
        for outcome in OUTCOMES
        if (rows["outcome"] == outcome).any()
    ]


def _runs(cell: Any, a_line: int) -> Iterator[tuple[str, int, int]]:
    """Each outcome of a cell from its first to after its last write-up, cut where a line ends."""
    first = 0
    for outcome in OUTCOMES:
        end = first + getattr(cell, outcome)
        while first < end:
            cut = min(end, (first // a_line + 1) * a_line)
            yield outcome, first, cut
            first = cut


def _place(cell: Any, first: int, last: int, a_line: int) -> tuple[float, float, float, float]:
    line, unit = first // a_line, 1.62 / a_line
    left, top = cell.x0 + _PAD_IN - line * a_line * unit, cell.y1 - _MARKS_FROM_TOP_IN - line * _LINE_PITCH_IN
    return left + first * unit, left + last * unit, top - _LINE_IN, top


def _key_of_bars(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette, a_line: int, shown: str) -> alt.Chart:
    """What the length of a bar says, above the heads, wherever bars are shown."""
    told = f"A full line of a bar: {labels.plural(a_line, 'write-up')}."
    return (
        alt.Chart(pd.DataFrame({"x0": [_EDGES[0]], "y0": [cells["y1"].max()], "text": [told]}))
        .transform_calculate(shown=f"({shown})?datum.text:''")
        .mark_text(align="left", baseline="bottom", dx=3, dy=-28, fontSize=theme.SMALL_SIZE, color=colors.soft)
        .encode(x=x, y=y, text=alt.Text("shown:N"))
    )


def staircase(joists: list[str]) -> list[tuple[float, float]]:
    """The corners of the heavy line, from the top: right of each row's hangers that can never be enough."""
    corners: list[tuple[float, float]] = []
    for joist in sorted(joists, key=lumber.SIZES.index, reverse=True):
        low, high = _edges(joist)
        never = [_edges(hanger)[1] for hanger in lumber.SIZES if lumber.never_enough(joist, hanger)]
        if not never:
            corners.append((_EDGES[0], high))
            break
        corners += [(max(never), high), (max(never), low)]
    return corners


def _staircase(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    corners = pd.DataFrame(staircase(list(cells["joist_nominal"].unique())), columns=["x0", "y0"])
    corners["place"] = range(len(corners))
    line = alt.Chart(corners).mark_line(color=colors.ink, strokeWidth=2.5, strokeCap="square")
    return [line.encode(x=x, y=y, order=alt.Order("place:Q"))]


def _heads(cells: pd.DataFrame, x: alt.X, y: alt.Y, colors: theme.Palette) -> list[alt.Chart]:
    """What the three bands of the top row are."""
    words: list[tuple[float, str, str, str, Any]] = [
        (_EDGES[0], "under 60\u00a0% of the joist: a defect", "under 60\u00a0%", colors.ink, 600),
        (_edges("2x10")[0], "one size down", "one down", colors.overcalled_text, 600),
        (_edges("2x12")[0], "same size", "same", colors.soft, 400),
    ]
    top = cells["y1"].max()
    return [
        alt.Chart(pd.DataFrame({"x0": [left], "y0": [top], "long": [long], "short": [short]}))
        .transform_calculate(text=f"width<{NARROW_PX}?datum.short:datum.long")
        .mark_text(
            align="left", baseline="bottom", dx=3, dy=-8, fontSize=theme.FIGURE_SIZE, fontWeight=weight, color=ink
        )
        .encode(x=x, y=y, text=alt.Text("text:N"))
        for left, long, short, ink, weight in words
    ]


def _targets(cells: pd.DataFrame, x: alt.X, y: alt.Y) -> alt.Chart:
    """What is clicked: the whole cell, over everything that is drawn in it."""
    used = cells[cells["written_up"] > 0]
    used = used.assign(said=[_said(row) for row in each(used)])
    chosen = alt.selection_point(
        name=SELECTION, fields=["joist_nominal", "hanger_nominal"], on="click", empty=False, toggle=False
    )
    counts = [alt.Tooltip(f"{outcome}:Q", title=labels.OUTCOMES[outcome].capitalize()) for outcome in OUTCOMES]
    return (
        alt.Chart(used.loc[:, ["x0", "x1", "y0", "y1", "pair", "said", "written_up", *COLUMNS]])
        .mark_rect(fill="#000", fillOpacity=0, stroke=None, cursor="pointer")
        .encode(
            x=x,
            x2=alt.X2("x1:Q"),
            y=y,
            y2=alt.Y2("y1:Q"),
            description=alt.Description("said:N"),
            tooltip=[alt.Tooltip("pair:N", title="Kind"), alt.Tooltip("written_up:Q", title="Written up"), *counts],
        )
        .add_params(chosen)
    )


def _said(row: Any) -> str:
    """A cell as assistive technology reads it out."""
    counts = [f"{labels.OUTCOMES[outcome]} {labels.count(getattr(row, outcome))}" for outcome in OUTCOMES]
    held = [told for told, outcome in zip(counts, OUTCOMES, strict=True) if getattr(row, outcome)]
    return f"{row.pair}: written up {labels.count(row.written_up)}, {', '.join(held)}"
