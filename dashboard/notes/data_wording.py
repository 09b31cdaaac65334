"""The sentences of the page on what is loaded: how much can be judged, what was not seen, what is refused."""

from __future__ import annotations

import pandas as pd

from dashboard import labels
from dashboard.measures.contradictions import TOLD
from dashboard.measures.rows import each
from dashboard.measures.summary import Intake, Summary
from dashboard.notes.wording import Sentence, Strong, in_brackets, said, together

#: What to do where nothing was loaded yet; the page has the place for it.
NOTHING_YET = (
    "Bring the files of your reports here, load a folder of them in a terminal with `evenhand load`, or look at the "
    "sample firm with `evenhand demo`."
)
#: What to do where the snapshot is of an earlier version: any load brings it up.
BRING_ANY = "Bring any reports again here, or load them with `evenhand load`: a new snapshot is then published."
#: So many reasons are named beside a topic; the others are counted together.
_NAMED_REASONS = 2


def can_be_trusted(found: Summary, missing: pd.DataFrame, refused_rows: int) -> Sentence:
    """How many calls could be judged, which measure is missing most, how many rows are refused.

    Parameters
    ----------
    missing
        Rows of ``missing_measures`` within the same filters, with the titles of measure (``name``) and topic
        (``topic_title``).
    refused_rows
        Rows refused and outstanding in the whole warehouse.
    """
    return together(_judged(found), _missing_most(missing), refused(refused_rows))


def _judged(found: Summary) -> Sentence:
    if not found.calls:
        return said(Strong("Nothing that was looked for could be seen."))
    if not found.judged.count:
        return said(Strong(f"None of {labels.plural(found.calls, 'call')} could be judged."))
    return said(
        f"Of {labels.plural(found.calls, 'call')} ",
        Strong(f"{labels.count(found.judged.count)} could be judged"),
        f"{in_brackets(found.judged)}.",
    )


def _missing_most(missing: pd.DataFrame) -> Sentence | None:
    if missing.empty:
        return said("No call stayed undecided for want of a measure.")
    first = missing.iloc[0]
    on = f" on {labels.in_sentence(first['topic_title'])}" if first["topic_title"] != first["name"] else ""
    return said(
        Strong(labels.missing_most(first["name"])),
        f"; {labels.part_of(first['undecided'], first['calls'])} calls{on} stayed undecided for want of it "
        f"({labels.percent(first['share'])}, {labels.interval(first['share_low'], first['share_high'])}).",
    )


def without(topic: str, measure: str) -> str:
    """Calls on a topic that lacked a measure: ``Hanger size, left open without hanger height``."""
    return f"{topic}, left open without {'it' if measure == topic else labels.in_sentence(measure)}"


def refused(rows: int) -> Sentence:
    """How many rows of the whole warehouse are refused until mended."""
    if not rows:
        return said("No row is refused.")
    return said(
        Strong(f"{labels.plural(rows, 'row')} {labels.are(rows)} refused"),
        f" until {'it is' if rows == 1 else 'they are'} mended.",
    )


def not_seen(found: pd.DataFrame) -> Sentence:
    """How often something was not seen, and why. ``found``: rows of ``not_seen`` of all topics together."""
    total, reasons = found.iloc[0], found.iloc[1:]
    if not total["not_seen"]:
        return said("Everything that was looked for was seen.")
    share = labels.percent_with_interval(total["share"], total["share_low"], total["share_high"])
    first = reasons[reasons["reason"] != labels.NO_VALUE].head(1)
    why = "".join(f"; the reason given most is {labels.choice(row.reason)} ({row.not_seen:,})" for row in each(first))
    return together(
        said(f"{labels.part_of(total['not_seen'], total['trials'])} times a topic was not seen, {share}{why}."),
        said(Strong("Not seen is not fine"), ": nobody knows."),
    )


def contradictory(found: pd.DataFrame) -> Sentence:
    """How many observations contradict themselves, and how. ``found``: rows of ``contradictions``."""
    counts = found["contradiction"].value_counts()
    told = [f"{labels.count(count)} {TOLD[str(kind)]}" for kind, count in counts.items()]
    them = "it" if len(found) == 1 else "each"
    return said(
        f"{labels.plural(len(found), 'observation')}: {', '.join(told)}. None of them counts as a wrong call; "
        f"a person should read {them} and mend the report."
    )


def reasons(found: pd.DataFrame) -> str:
    """``low clearance 34, not recorded 22, others 29``. ``found``: the reasons of a topic, the most frequent first."""
    told = [f"{labels.choice(row.reason)} {labels.count(row.not_seen)}" for row in each(found.head(_NAMED_REASONS))]
    others = int(found["not_seen"].iloc[_NAMED_REASONS:].sum())
    return ", ".join([*told, *([f"others {labels.count(others)}"] if others else [])])


def refused_of(held: Intake, reports: pd.DataFrame) -> Sentence:
    """How many rows are refused, and which reports lack rows for it. ``reports``: rows of ``incomplete_reports``."""
    absent = int((reports["observations"] == 0).sum())
    lack = held.incomplete_reports
    lacking = f"{labels.plural(lack, 'report')} {labels.are(lack)} incomplete for want of them." if lack else ""
    nothing = f"Of {labels.plural(absent, 'report')} nothing is loaded." if absent else ""
    return together(refused(held.refused_rows), said(lacking), said(nothing))


def refused_for(reason: pd.Series, column: str) -> str:
    """A group of refused rows: ``Gap at the joist end: not a number, for instance “1/4 or so” (file.csv, row 71)``.

    Parameters
    ----------
    reason
        A row of ``refused_reasons``.
    column
        The column's title; empty where the reason is not of one column.
    """
    what = labels.REFUSALS.get(str(reason["reason"]), labels.choice(str(reason["reason"])))
    named = f"{column}: {what}" if column else f"{what[0].upper()}{what[1:]}"
    example = f", for instance “{reason['example']}”" if labels.is_known(reason["example"]) else ""
    return f"{named}{example} ({where(reason)})"


def where(row: pd.Series) -> str:
    """Where a refused row stands: its file's name and its row."""
    at = f", row {row['row']}" if not pd.isna(row["row"]) else ""
    return f"{labels.file_name(str(row['file']))}{at}"
