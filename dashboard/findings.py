"""What a first load found, in ten lines that an owner understands; the numbers are those of the pages."""

from __future__ import annotations

import shlex
from pathlib import Path

import pandas as pd

from dashboard import labels
from dashboard.measures.rates import defect_rates
from dashboard.measures.summary import Share, Summary, intake, summary
from dashboard.warehouse import Snapshot


def lines(snapshot: Snapshot, warehouse: Path) -> list[str]:
    """The ten lines: what came in, what could be judged, what does not hold, what was passed over, where; a caution."""
    found, held = summary(snapshot), intake(snapshot)
    write_ups = labels.count(found.overcalled.of)
    return [
        _came_in(found),
        f"{labels.count(held.refused_rows)} rows were refused; "
        f"`evenhand rejects --warehouse {shlex.quote(str(warehouse))}` says why.",
        f"A rule could decide {_share(found.judged)} of the calls; for the others a measure or a rule is missing.",
        f"Of {write_ups} write-ups that could be judged, {_share(found.overcalled)} do not hold.",
        f"Most often: {_kinds(found.patterns, 'overcalled', 'judged')}.",
        f"{labels.count(found.missed)} defects were passed over though their own measures or a second look show them, "
        f"{labels.count(found.understated)} were only advised upon. There may be more: a miss shows only where a "
        "measure was recorded or somebody looked again.",
        f"Most often: {_kinds(found.misses, 'missed', 'judged')}.",
        _stands_out(snapshot, "deck_age", "By deck age"),
        _stands_out(snapshot, "builder", "By builder"),
        "Verdicts rest on what was recorded; local codes, the maker's instructions and licensed practice stand above "
        "them. Nobody should act on a structure by this alone.",
    ]


def _came_in(found: Summary) -> str:
    days = ""
    if found.first_day and found.last_day:
        days = f", {labels.day(found.first_day)} to {labels.day(found.last_day)}"
    return (
        f"{labels.count(found.reports)} reports on {labels.count(found.decks)} decks by "
        f"{found.inspectors} inspectors{days}."
    )


def _share(share: Share) -> str:
    if share.value is None or share.low is None or share.high is None:
        return "none"
    interval = labels.interval(share.low, share.high)
    return f"{labels.count(share.count)} ({labels.percent(share.value)}, {interval})"


def _kinds(rows: pd.DataFrame, wrong: str, of: str) -> str:
    if rows.empty:
        return "none"
    return "; ".join(f"{row['recorded']} ({row[wrong]} of {row[of]})" for _, row in rows.iterrows())


def _stands_out(snapshot: Snapshot, by: str, words: str) -> str:
    rates = defect_rates(snapshot, by)
    higher = rates[rates["stands_out"] == "higher"].sort_values("q").head(2)
    if higher.empty:
        return f"{words}: no group stands out beyond luck."
    titles = snapshot.query("topics").set_index("topic")["title"]
    told = "; ".join(f"{row['group']}, {titles[row['topic']].lower()} ({_rate(row)})" for _, row in higher.iterrows())
    return f"{words}, more defects than luck explains: {told}."


def _rate(row: pd.Series) -> str:
    share, expected = labels.percent(row["defect_share"]), labels.percent(row["expected_share"])
    interval = labels.interval(row["defect_share_low"], row["defect_share_high"])
    return f"{share}, {interval}, of {row['judged']} judged; {expected} expected"
