"""Whether a training session changed anything: those who took part against those who did not, before and after."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.peers import scored_trials
from dashboard.measures.training_comparison import Compared, Needed, Session, Told
from dashboard.measures.training_counts import Trials
from dashboard.measures.training_windows import plans
from dashboard.stats import before_after, intervals
from dashboard.warehouse import Snapshot

#: Changes are told per so many trials.
PER = 100
#: Fewer judged calls than this in a group and window, and the change of a wrong call is not told.
LEAST_JUDGED = 10
GROUPS, WINDOWS = ("attendees", "others"), ("before", "after")
#: A wrong call: the judged trials that it is a share of, as a column of ``trained_outcomes.sql`` and as a count's name.
WRONG = {"overcalled": ("judged_write_up", "judged_write_ups"), "missed": ("defect", "judged_defects")}

COLUMNS = [
    *("session_id", "held_on", "topic", "took_part", "attendees", "others", "status", "signal", "needed", "lacking"),
    *("window_days", "before_from", "after_from", "baseline", "controls"),
    *(
        f"{group}_{window}_{what}"
        for group in GROUPS
        for window in WINDOWS
        for what in ("trials", "written_up", "expected")
    ),
    *("attendees_change", "others_change", "change", "change_low", "change_high", "p_permutation", "assignments"),
    *("change_cr2_low", "change_cr2_high", "df", "expected_regression", "change_less_regression"),
    *("change_less_regression_low", "change_less_regression_high"),
    *(
        column
        for wrong, (_, judged) in WRONG.items()
        for column in (
            *(f"{group}_{window}_{what}" for group in GROUPS for window in WINDOWS for what in (judged, wrong)),
            *(f"{wrong}_{part}" for part in ("change", "change_low", "change_high", "p")),
        )
    ),
]
DECAY_COLUMNS = [
    *("session_id", "held_on", "topic", "quarter", "first_day", "last_day", "attendees", "others"),
    *(f"{group}_{what}" for group in GROUPS for what in ("trials", "written_up", "expected")),
    *("change", "change_low", "change_high", "p_permutation", "less_regression", "signal"),
]


@dataclass(frozen=True)
class Trained:
    """What became of sessions: rows of :func:`training_effect` and of :func:`training_decay`."""

    effect: pd.DataFrame
    decay: pd.DataFrame


def training_effect(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Whether sessions changed anything.

    Returns
    -------
    DataFrame
        One row a session x topic, the columns of ``COLUMNS``; their meanings stand in :mod:`dashboard.measures.tables`.
    """
    return trained(snapshot, scored_trials(snapshot, filters), filters).effect


def training_decay(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Whether a change lasted: each quarter after a session against the same window before it.

    Returns
    -------
    DataFrame
        One row a session x topic x quarter after it, the columns of ``DECAY_COLUMNS``.
    """
    return trained(snapshot, scored_trials(snapshot, filters), filters).decay


def trained(snapshot: Snapshot, scored: pd.DataFrame, filters: Filters = EVERYTHING) -> Trained:
    """Both tables from trials that are scored already (:func:`dashboard.measures.peers.scored_trials`).

    Whatever inspectors the filters name, all are compared; of topics those that they name are told.
    """
    everyone = replace(filters, inspectors=(), topics=()).parameters()
    return of_scored(
        scored, snapshot.query("trained_outcomes", **everyone), snapshot.query("attendances"), filters.topics
    )


def of_scored(
    scored: pd.DataFrame, judged: pd.DataFrame, attendances: pd.DataFrame, topics: Sequence[str] = ()
) -> Trained:
    """Both tables from frames.

    Parameters
    ----------
    scored
        As of :func:`dashboard.measures.peers.scored_trials`.
    judged
        Rows of ``trained_outcomes.sql``.
    attendances
        Rows of ``attendances.sql``.
    topics
        Of which topics sessions are told; all where empty.
    """
    effect: list[dict[str, Any]] = []
    decay: list[dict[str, Any]] = []
    if len(scored):
        for plan in plans(attendances, scored):
            if not topics or plan.topic in topics:
                session = Session(plan, scored, judged, attendances)
                effect.append(_row(session))
                decay += _by_quarter(session)
    return Trained(_frame(effect, COLUMNS), _frame(decay, DECAY_COLUMNS))


_WORDS = {"session_id", "topic", "status", "signal", "baseline", "lacking"}
_DAYS = {"held_on", "before_from", "after_from", "first_day", "last_day"}
_WHOLE = {"quarter", "took_part", "attendees", "others", "window_days", "controls", "assignments", "needed"}
_COUNTED = ("_trials", "_written_up", "_overcalled", "_missed", "_write_ups", "_defects")


def _frame(rows: list[dict[str, Any]], columns: list[str]) -> pd.DataFrame:
    return pd.DataFrame({name: pd.Series([row.get(name) for row in rows], dtype=_kind(name)) for name in columns})


def _kind(column: str) -> str:
    if column in _WORDS:
        return "str"
    if column in _DAYS:
        return "datetime64[us]"
    if column in _WHOLE or column.endswith(_COUNTED):
        return "Int64"
    return "bool" if column == "less_regression" else "float64"


def _row(session: Session) -> dict[str, Any]:
    """The effect of one session on one topic."""
    plan, found = session.plan, session.compared(session.trials, session.plan.after)
    figures = found.kind == "figures"
    told = session.told(found, plan.after) if plan.begun and not figures else None
    needed = Needed(None, "people") if figures else session.needed(found, told)
    signal = session.signal(told)
    return {
        "session_id": plan.session_id,
        "held_on": plan.held_on,
        "topic": plan.topic,
        "took_part": len(plan.took_part),
        "attendees": int(found.trained.sum()),
        "others": int((~found.trained).sum()),
        "status": _status(found.kind, signal, needed),
        "signal": signal,
        "needed": needed.decks,
        "lacking": needed.lacking,
        "window_days": plan.before.days,
        "before_from": _moment(plan.before.start),
        "after_from": _moment(plan.after.start),
        "baseline": "clean" if plan.clean else "chosen",
        "controls": session.controls if found.kind == "within" else 0,
        **_counts(found, "written_up", "trials", with_expected=True),
        **_change(found, told),
        **_wrong_calls(session),
    }


def _status(kind: str, signal: str | None, needed: Needed) -> str:
    if kind == "figures":
        return "figures_only"
    if kind == "within":
        return "controls_only"
    enough = signal in {"lower", "higher"} or (signal == "none" and needed.lacking is None)
    return "ok" if enough else "cannot_tell_yet"


def _change(found: Compared, told: Told | None) -> dict[str, Any]:
    """The change of both groups, and the effect where it is more than figures; blank where there is no time after."""
    if not found.after.trials.any():
        return {}
    own, others = found.sides()
    if told is None:
        return {"attendees_change": PER * own, "others_change": PER * others, "change": PER * (own - others)}
    cr2_low, cr2_high = told.plain.robust.interval()
    plain, less = told.plain.permuted, told.corrected
    return {
        "attendees_change": PER * own,
        "others_change": PER * (told.elsewhere if found.kind == "within" else others),
        **_with_interval("change", plain.estimate, plain.low, plain.high),
        "p_permutation": plain.p,
        "assignments": plain.assignments,
        "change_cr2_low": _finite(PER * cr2_low),
        "change_cr2_high": _finite(PER * cr2_high),
        "df": told.plain.robust.df,
        "expected_regression": PER * (plain.estimate - less.estimate),
        **_with_interval("change_less_regression", less.estimate, less.low, less.high),
    }


def _wrong_calls(session: Session) -> dict[str, Any]:
    """The same of wrong calls among the judged, each against the one share of all; where there are enough."""
    row: dict[str, Any] = {}
    for wrong, (column, name) in WRONG.items():
        trials = Trials.of(session.judged[session.judged[column]], session.people, wrong)
        found = session.compared(trials, session.plan.after)
        counts = _counts(found, wrong, name)
        row |= counts
        judged = [counts[f"{group}_{window}_{name}"] for group in GROUPS for window in WINDOWS]
        if session.plan.begun and found.kind == "between" and min(judged) >= LEAST_JUDGED:
            effect = before_after.between(found.change, found.weight, found.trained).permuted
            row |= _with_interval(f"{wrong}_change", effect.estimate, effect.low, effect.high)
            row[f"{wrong}_p"] = effect.p
    return row


def _by_quarter(session: Session) -> Iterator[dict[str, Any]]:
    """The effect in each quarter after the session, the window before it the same."""
    plan = session.plan
    for number, span in enumerate(plan.quarters, 1):
        found = session.compared(session.trials, span)
        told = session.told(found, span) if found.kind != "figures" else None
        effect = None if told is None else told.plain.permuted if plan.clean else told.corrected
        counts = _counts(found, "written_up", "trials", with_expected=True)
        yield {
            "session_id": plan.session_id,
            "held_on": plan.held_on,
            "topic": plan.topic,
            "quarter": number,
            "first_day": _moment(span.start),
            "last_day": _moment(span.end) - pd.Timedelta(days=1),
            "attendees": int(found.trained.sum()),
            "others": int((~found.trained).sum()),
            **{name.replace("_after", ""): count for name, count in counts.items() if "_after_" in name},
            **(_with_interval("change", effect.estimate, effect.low, effect.high) if effect else {}),
            "p_permutation": told.plain.permuted.p if told else None,
            "less_regression": not plan.clean,
            "signal": session.signal(told) or "too_few",
        }


def _counts(found: Compared, event: str, base: str, with_expected: bool = False) -> dict[str, Any]:
    """The sums of both groups in both windows."""
    row: dict[str, Any] = {}
    for group, own in zip(GROUPS, (found.trained, ~found.trained), strict=True):
        for name, window in zip(WINDOWS, (found.before, found.after), strict=True):
            row[f"{group}_{name}_{base}"] = int(window.trials[own].sum())
            row[f"{group}_{name}_{event}"] = int(window.observed[own].sum())
            if with_expected:
                row[f"{group}_{name}_expected"] = float(window.expected[own].sum())
    return row


def _with_interval(name: str, estimate: float, low: float, high: float) -> dict[str, float | None]:
    """Per 100 trials; an open end is blank."""
    ends = {f"{name}_low": _finite(PER * low), f"{name}_high": _finite(PER * high)}
    return {name: PER * estimate, **ends}


def _moment(day: np.datetime64) -> pd.Timestamp:
    return pd.Timestamp(day).as_unit("us")


def _finite(value: float) -> float | None:
    return value if np.isfinite(value) else None


def before_and_after(row: Any, event: str = "written_up") -> pd.DataFrame:
    """One row of :func:`training_effect` as a small table: the shares of both groups in both windows.

    Parameters
    ----------
    row
        The row.
    event
        ``written_up``, ``overcalled`` or ``missed``.

    Returns
    -------
    DataFrame
        One row a group (attendees, others) that has anybody: group, people; of each window (before, after) its trials,
        count, share, share_low, share_high (Wilson; missing without trials). Of write-ups expected_share too, and the
        group's change per 100.
    """
    base = "trials" if event == "written_up" else WRONG[event][1]
    rows = []
    for group in GROUPS:
        told: dict[str, Any] = {"group": group, "people": getattr(row, group)}
        for window in WINDOWS:
            trials, count = (getattr(row, f"{group}_{window}_{name}") for name in (base, event))
            low, high = intervals.wilson(count, trials)
            share = count / trials if trials else np.nan
            figures = {"trials": trials, "count": count, "share": share, "share_low": low, "share_high": high}
            if event == "written_up":
                expected = getattr(row, f"{group}_{window}_expected")
                figures["expected_share"] = expected / trials if trials else np.nan
            told |= {f"{window}_{name}": figure for name, figure in figures.items()}
        rows.append(told | ({"change": getattr(row, f"{group}_change")} if event == "written_up" else {}))
    table = pd.DataFrame(rows)
    return table[table["people"] > 0]
