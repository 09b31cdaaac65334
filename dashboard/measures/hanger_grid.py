"""Joist size against hanger size: what was written up, and what holds."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import lumber
from dashboard.measures.call_outcomes import call_outcomes
from dashboard.measures.patterns import patterns
from dashboard.warehouse import Snapshot

TOPIC = "hanger_size"
#: The joist's size before a kind that is not about sizes.
_JOIST_BEFORE = re.compile(r"^\S+ joist, ")


@dataclass(frozen=True)
class HangerWriteUps:
    """The write-ups on hanger size, as a picture of the pairs of sizes shows them.

    Attributes
    ----------
    grid
        Rows of :func:`hanger_grid`.
    written_up
        Write-ups on hanger size, each counted once.
    drawn
        The counts of all pairs of sizes that can be drawn (2x4 to 2x12), added up.
    not_drawn
        The counts of the other kinds, the largest first: those that the two sizes did not decide (height measured,
        plies), or of which a size was not recorded or is not one of these.
    repeated
        How often a write-up is counted beyond the first time, because its places are of several kinds:
        drawn + not_drawn - repeated = written_up.
    """

    grid: pd.DataFrame
    written_up: int
    drawn: int
    not_drawn: tuple[tuple[str, int], ...]
    repeated: int


def hanger_grid(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """How the write-ups of each joist size in each hanger size fare.

    Returns
    -------
    DataFrame
        The rows of :func:`dashboard.measures.patterns.patterns` on the topic hanger_size, with

        - joist_nominal, hanger_nominal: the sizes, such as ``2x10``, where the kind is a pair of sizes; else None.
          A hanger whose height was measured, or that is made for fewer plies, is of another kind whatever its size.
    """
    wanted = not filters.topics or TOPIC in filters.topics
    found = patterns(snapshot, replace(filters, topics=(TOPIC,)))
    grid = (found if wanted else found.head(0)).reset_index(drop=True)
    pairs = [lumber.pair(recorded) or (None, None) for recorded in grid["recorded"]]
    return grid.assign(
        joist_nominal=pd.Series([joist for joist, _ in pairs], grid.index, dtype="str"),
        hanger_nominal=pd.Series([hanger for _, hanger in pairs], grid.index, dtype="str"),
    )


def hanger_write_ups(snapshot: Snapshot, filters: Filters = EVERYTHING) -> HangerWriteUps:
    """The write-ups on hanger size: those of the grid, those of other kinds, and how the two add up."""
    grid = hanger_grid(snapshot, filters)
    calls = call_outcomes(snapshot, replace(filters, topics=(TOPIC,)))
    written_up = int(calls.loc[calls["call"] == "written_up", "trials"].sum()) if len(grid) else 0
    inside = grid["joist_nominal"].notna()
    others = grid[~inside].assign(kind=[_kind(recorded) for recorded in grid.loc[~inside, "recorded"]])
    counts = others.groupby("kind", sort=False)["written_up"].sum().sort_values(ascending=False, kind="stable")
    return HangerWriteUps(
        grid=grid,
        written_up=written_up,
        drawn=int(grid.loc[inside, "written_up"].sum()),
        not_drawn=tuple((str(kind), int(count)) for kind, count in counts.items()),
        repeated=int(grid["written_up"].sum()) - written_up,
    )


def _kind(recorded: str) -> str:
    """A kind without the sizes that it may name."""
    if " joist in " in recorded:
        return "hanger stamped for two sizes" if "-" in recorded.partition(" joist in ")[2] else "another size"
    return _JOIST_BEFORE.sub("", recorded)
