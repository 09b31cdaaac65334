"""What else changed over time, so that a step is not taken for people's own: catalog, form, guideline."""

from __future__ import annotations

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.months import ALL
from dashboard.warehouse import Snapshot

#: For something to count as recorded first in a month: so many months and calls with none before it, so many calls
#: since, and recorded in at least this share of them.
MONTHS_BEFORE, CALLS_BEFORE, CALLS_SINCE, OFTEN = 6, 50, 20, 0.2
#: A guideline is named by most reports for so many months running, or nothing is said.
MONTHS_NAMED = 3
COLUMNS = ["since", "kind", "topic", "what", "before", "recorded", "calls"]
_IN_ALL_TOPICS = ("catalog", "guideline")


def changes(snapshot: Snapshot) -> pd.DataFrame:
    """Changes of the catalog and of the form, in the whole firm, whatever the filters.

    Returns
    -------
    DataFrame
        One row a change, in order of time.

        - since: when a catalog first judged; the first day of the month in which something was recorded first
        - kind: ``catalog``, ``measure`` (first recorded beside calls of the topic), ``topic`` (first called)
        - topic; ``all`` for a catalog
        - what: the catalog's version, or the title of the measure or topic
        - before: calls (for a topic: reports) before it, none of which has it
        - recorded, calls: of how many calls (reports) since, and in how many of them it is recorded
    """
    parts = [_catalogs(snapshot)]
    for kind, query in (("measure", "measures_by_month"), ("topic", "topics_by_month")):
        parts.append(_first_recorded(snapshot.query(query)).assign(kind=kind))
    return _together(parts)


def guidelines(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """From when on most reports name another guideline; columns as :func:`changes`, kind ``guideline``.

    A month's guideline is the one that more than half of its reports name (``what`` is empty where more than half name
    none). Months in which none has more than half are passed over. Nothing is said where any guideline has the most for
    fewer than three months running: then it does not change, it scatters. ``recorded`` of ``calls`` reports since then,
    until the next change, name it.
    """
    named = snapshot.query("guidelines_by_month", **filters.parameters())
    if named.empty:
        return _together([])
    reports = named.groupby("month")["reports"].transform("sum")
    most = named.assign(code_basis=named["code_basis"].fillna(""), of=reports)[2 * named["reports"] > reports]
    run = (most["code_basis"] != most["code_basis"].shift()).cumsum()
    if run.value_counts().lt(MONTHS_NAMED).any():
        return _together([])
    runs = most.groupby(run).agg(
        since=("month", "first"), what=("code_basis", "first"), recorded=("reports", "sum"), calls=("of", "sum")
    )
    return _together([runs.iloc[1:].assign(kind="guideline", topic=ALL)])


def changes_of(found: pd.DataFrame, topic: str, rows: pd.DataFrame) -> pd.DataFrame:
    """Those of a topic, or of all topics together, that fall among its months: after the first day, before the end.

    Parameters
    ----------
    found
        Rows of :func:`changes` and :func:`guidelines`.
    rows
        Months, quarters or years of the topic.
    """
    last = rows["month"].max() + {"month": 1, "quarter": 3, "year": 12}[rows["period"].iloc[0]] * pd.DateOffset(
        months=1
    )
    own = found["kind"].isin(_IN_ALL_TOPICS) | (topic == ALL) | (found["topic"] == topic)
    return found[own & (found["since"] > rows["month"].min()) & (found["since"] < last)].reset_index(drop=True)


def _catalogs(snapshot: Snapshot) -> pd.DataFrame:
    """All but the first, before which nothing is known; none where the snapshot is older than the table."""
    if "catalogs" not in set(snapshot.query("table_names")["name"]):
        return _together([])
    told = snapshot.query("catalogs").iloc[1:]
    return told.rename(columns={"first_used_at": "since", "catalog": "what"}).assign(kind="catalog", topic=ALL)


def _first_recorded(by_month: pd.DataFrame) -> pd.DataFrame:
    """What goes from never to often.

    Parameters
    ----------
    by_month
        topic, title, month, calls, recorded; in order of time.
    """
    keys = ["topic", "title"]
    begun = by_month.groupby(keys)["recorded"].cumsum() > 0
    before = by_month[~begun].groupby(keys).agg(months=("month", "size"), before=("calls", "sum"))
    since = (
        by_month[begun]
        .groupby(keys)
        .agg(since=("month", "first"), recorded=("recorded", "sum"), calls=("calls", "sum"))
    )
    found = before.join(since, how="inner").reset_index().rename(columns={"title": "what"})
    return found[
        (found["months"] >= MONTHS_BEFORE)
        & (found["before"] >= CALLS_BEFORE)
        & (found["calls"] >= CALLS_SINCE)
        & (found["recorded"] >= OFTEN * found["calls"])
    ]


def _together(parts: list[pd.DataFrame]) -> pd.DataFrame:
    filled = [part.reindex(columns=COLUMNS) for part in parts if len(part)]
    if not filled:
        return pd.DataFrame(columns=COLUMNS).astype({"since": "datetime64[us]"})
    table = pd.concat(filled, ignore_index=True).astype({"since": "datetime64[us]"})
    counts = ["before", "recorded", "calls"]
    table[counts] = table[counts].astype("Int64")
    return table.sort_values(["since", "kind", "topic", "what"], kind="stable", ignore_index=True)
