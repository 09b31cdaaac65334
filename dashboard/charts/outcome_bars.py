"""What became of the calls: one bar of shares a kind of call; what is wrong is named above it, all else in soft.

Colors never stand alone: each segment that is named carries its glyph, and what could not be judged is hatched.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import altair as alt
import pandas as pd

from dashboard import labels
from dashboard.charts import theme
from dashboard.measures.rows import each

COLUMNS = ("call", "outcome", "trials")
#: Segments from left to right: what is right, what is wrong, what is open.
ORDER = ("upheld", "cleared", "overcalled", "missed", "understated", "judgment", "undecided")
WRONG = ("overcalled", "missed", "understated")
ROW_PX = 68
#: Under this many pixels of plot the words are short.
NARROW_PX = 560
#: A wrong segment that ends before this share of the bar has its words to its right: at its left there is no room.
_EARLY = 0.3
_NAMES_PX = 124
#: Where a bar begins and ends within its row.
_TOP, _BOTTOM = 0.32, 0.62
#: Shorter words for a narrow bar; empty for a glyph and a number alone.
_SHORT = {"judgment": "", "undecided": "not judged"}


def outcome_bars(
    frame: pd.DataFrame, colors: theme.Palette, address: Mapping[tuple[str, str], str] | None = None
) -> alt.LayerChart:
    """One bar of 100 % a kind of call.

    Parameters
    ----------
    frame
        Rows of :func:`dashboard.measures.call_outcomes.call_outcomes`: ``call``, ``outcome``, ``trials``.
    address
        Where a click on a bar leads, by call and outcome; None for nowhere.
    """
    theme.require(frame, COLUMNS, "outcome_bars")
    segments = _segments(frame)
    calls = list(dict.fromkeys(segments["call"]))
    segments["row"] = segments["call"].map(calls.index)
    y = alt.Scale(domain=[len(calls), 0], nice=False)
    x = alt.Scale(domain=[0, 1], nice=False)
    layers = [*_bars(segments, x, y, colors, address), *_words(segments, x, y, colors), *_names(segments, y, colors)]
    return theme.themed(alt.layer(*layers), colors, ROW_PX * max(len(calls), 1) + 8, alternative_text(frame))


def alternative_text(frame: pd.DataFrame) -> str:
    """The answer of the picture in words: what became of each kind of call."""
    told = []
    for call, rows in _segments(frame).groupby("call", sort=False):
        pieces = [f"{labels.count(row.trials)} {_word(row.outcome, row.trials)}" for row in each(rows)]
        told.append(
            f"{labels.CALLS[str(call)]}, {labels.plural(int(rows['trials'].sum()), 'call')}: {', '.join(pieces)}"
        )
    return f"{'. '.join(told)}." if told else "No call to show."


def _word(outcome: str, trials: int, narrow: bool = False) -> str:
    words = labels.OUTCOMES if trials == 1 else labels.OUTCOMES_OF_MANY
    return _SHORT.get(outcome, words[outcome]) if narrow else words[outcome]


def _segments(frame: pd.DataFrame) -> pd.DataFrame:
    """The rows that are drawn, in order, with where each starts and ends in its bar."""
    # What has no rule yet could not be judged either: the bars are as long as all calls of their kind.
    counted = frame.assign(outcome=frame["outcome"].replace("no_rule", "undecided"))
    rows = counted.groupby(["call", "outcome"], sort=False, as_index=False)["trials"].sum()
    rows = rows[rows["outcome"].isin(ORDER) & (rows["trials"] > 0)]
    rows = rows.assign(place=rows["outcome"].map(ORDER.index))
    calls = list(dict.fromkeys(frame["call"]))
    rows = rows.sort_values(
        ["call", "place"], key=lambda values: values.map(calls.index) if values.name == "call" else values
    )
    rows["of"] = rows.groupby("call")["trials"].transform("sum")
    rows["end"] = rows.groupby("call")["trials"].cumsum() / rows["of"]
    rows["start"] = rows["end"] - rows["trials"] / rows["of"]
    return rows.reset_index(drop=True)


def _bars(
    rows: pd.DataFrame, x: alt.Scale, y: alt.Scale, colors: theme.Palette, address: Mapping[tuple[str, str], str] | None
) -> list[alt.Chart]:
    drawn = rows.assign(
        top=rows["row"] + _TOP,
        bottom=rows["row"] + _BOTTOM,
        said=[
            f"{_call(row.call)}: {labels.part_of(row.trials, row.of)} {_word(row.outcome, row.trials)}"
            for row in each(rows)
        ],
        share=[labels.percent(row.trials / row.of) for row in each(rows)],
        shade=[colors.ground if row.outcome == "undecided" else colors.outcome(row.outcome) for row in each(rows)],
    )
    encoded: dict[str, Any] = {
        "x": alt.X("start:Q", scale=x, axis=None),
        "x2": alt.X2("end:Q"),
        "y": alt.Y("top:Q", scale=y, axis=None),
        "y2": alt.Y2("bottom:Q"),
    }
    if address:
        drawn["href"] = [address[row.call, row.outcome] for row in each(drawn)]
        encoded["href"] = alt.Href("href:N")
    tooltip = [alt.Tooltip("said:N", title="Calls"), alt.Tooltip("share:N", title="Share of these")]
    base = alt.Chart(drawn)
    return [
        base.mark_rect(stroke=colors.ground, strokeWidth=2, cursor="pointer").encode(
            **encoded, color=alt.Color("shade:N", scale=None), tooltip=tooltip, description=alt.Description("said:N")
        ),
        *_hatch(drawn[drawn["outcome"] == "undecided"], x, y, colors),
    ]


def _hatch(rows: pd.DataFrame, x: alt.Scale, y: alt.Scale, colors: theme.Palette) -> list[alt.Chart]:
    """Slanted strokes over what could not be judged, clipped at both ends; Vega has no pattern fill."""
    step, slant = 0.012, 0.014
    strokes = []
    for row in each(rows):
        first = row.start - slant
        for number in range(int((row.end - first) / step) + 1):
            foot, head = first + number * step, first + number * step + slant
            low, high = max(foot, row.start), min(head, row.end)
            if high > low:
                tall = row.bottom - row.top
                strokes.append(
                    {
                        "x": low,
                        "x2": high,
                        "y": row.bottom - tall * (low - foot) / slant,
                        "y2": row.bottom - tall * (high - foot) / slant,
                    }
                )
    if not strokes:
        return []
    lines = alt.Chart(pd.DataFrame(strokes)).mark_rule(color=colors.undecided, strokeWidth=1, tooltip=False)
    return [
        lines.encode(
            x=alt.X("x:Q", scale=x, axis=None), x2=alt.X2("x2:Q"), y=alt.Y("y:Q", scale=y, axis=None), y2=alt.Y2("y2:Q")
        )
    ]


def _words(rows: pd.DataFrame, x: alt.Scale, y: alt.Scale, colors: theme.Palette) -> list[alt.Chart]:
    """What a segment is called: the wrong ones above it and in their color, the others in soft."""
    told = rows.assign(
        long=[_named(row, narrow=False) for row in each(rows)], short=[_named(row, narrow=True) for row in each(rows)]
    )
    wrong = _wrong_words(told)
    early = wrong["end"] < _EARLY
    open_, last = told["outcome"].eq("judgment"), told["outcome"].eq("undecided")
    right = ~open_ & ~last & ~told["outcome"].isin(WRONG)
    # On a narrow bar two names below it would meet: the first stands.
    told.loc[
        told["outcome"].eq("cleared") & told["call"].isin(told.loc[told["outcome"].eq("upheld"), "call"]), "short"
    ] = ""
    # Where the wrong one's words stand at the right of their segment, the next segment's words move below the bar.
    crowded = told["call"].isin(wrong.loc[early, "call"])
    told.loc[open_ & crowded, "short"] = ""
    above: dict[str, Any] = {"baseline": "middle", "dy": -9}
    below: dict[str, Any] = {"baseline": "middle", "dy": 10}
    soft: dict[str, Any] = {"color": colors.soft, "fontSize": theme.FIGURE_SIZE}
    layers = [
        *_text(told[right], "start", _BOTTOM, x, y, align="left", **below, **soft),
        *_text(told[last], "end", _BOTTOM, x, y, align="right", **below, **soft),
        *_text(told[open_ & ~crowded], "start", _TOP, x, y, align="left", dx=8, **above, **soft),
        *_text(told[open_ & crowded], "start", _BOTTOM, x, y, align="left", **below, **soft),
    ]
    for outcome in WRONG:
        shade = colors.overcalled_text if outcome == "overcalled" else colors.missed_text
        strong: dict[str, Any] = {"color": shade, "fontWeight": 600, "fontSize": theme.NAME_SIZE}
        own = wrong["outcome"].eq(outcome)
        layers += _text(wrong[own & ~early], "end", _TOP, x, y, align="right", **above, **strong)
        layers += _text(wrong[own & early], "start", _TOP, x, y, align="left", **above, **strong)
    return layers


def _wrong_words(told: pd.DataFrame) -> pd.DataFrame:
    """The wrong segments of a bar under one name, that of the largest first: two names would meet."""
    wrong = told[told["outcome"].isin(WRONG)].sort_values("trials", ascending=False, kind="stable")
    together: dict[str, Any] = {"outcome": "first", "row": "first", "start": "min", "end": "max"}
    return wrong.groupby("call", sort=False).agg(together | {"long": ", ".join, "short": ", ".join}).reset_index()


def _named(row, narrow: bool) -> str:  # type: ignore[no-untyped-def]
    word = _word(row.outcome, row.trials, narrow)
    glyph = labels.GLYPHS.get(row.outcome, "")
    return " ".join(
        piece for piece in (glyph, labels.join(labels.count(row.trials), word) if word else str(row.trials)) if piece
    )


def _text(rows: pd.DataFrame, at: str, height: float, x: alt.Scale, y: alt.Scale, **mark: Any) -> list[alt.Chart]:
    if rows.empty:
        return []
    base = alt.Chart(rows.assign(at=rows[at], height=rows["row"] + height))
    return [
        base.transform_calculate(shown=f"width>{NARROW_PX}?datum.long:datum.short")
        .mark_text(tooltip=False, **mark)
        .encode(x=alt.X("at:Q", scale=x, axis=None), y=alt.Y("height:Q", scale=y, axis=None), text=alt.Text("shown:N"))
    ]


def _names(rows: pd.DataFrame, y: alt.Scale, colors: theme.Palette) -> list[alt.Chart]:
    """Kind of call and how many, at the left of its bar."""
    first = rows.drop_duplicates("call")
    named = first.assign(
        name=[_call(row.call) for row in each(first)],
        counted=[labels.plural(row.of, "call") for row in each(first)],
        middle=first["row"] + 0.47,
    )
    base = alt.Chart(named).encode(x=alt.XValue(0), y=alt.Y("middle:Q", scale=y, axis=None))
    left: dict[str, Any] = {"align": "left", "baseline": "middle", "dx": -_NAMES_PX}
    return [
        base.mark_text(**left, dy=-8, fontSize=theme.NAME_SIZE, fontWeight=600, color=colors.ink).encode(
            text=alt.Text("name:N")
        ),
        base.mark_text(**left, dy=9, fontSize=theme.FIGURE_SIZE, color=colors.soft).encode(text=alt.Text("counted:N")),
    ]


def _call(call: str) -> str:
    """A kind of call with a capital at its start."""
    words = labels.CALLS[call]
    return f"{words[0].upper()}{words[1:]}"
