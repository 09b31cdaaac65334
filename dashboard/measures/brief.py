"""What this firm found on decks like one that is to be looked at, and what it passed over: the table ``brief``.

It speaks of past decks. The deck to be looked at may have what none of them had.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.labels import BANDS
from dashboard.measures import order
from dashboard.measures.catalog import criteria, measures
from dashboard.measures.choices import choices
from dashboard.problems import UnknownName
from dashboard.stats import intervals
from dashboard.warehouse import Snapshot

#: Fewer looks than this at decks alike in everything, and one thing less is asked of them.
LEAST_TRIALS = 20
#: Fewer judged defects than this, and a share of those passed over is told last.
LEAST_DEFECTS = 5
#: The oldest deck, in years, and the highest, in inches, that can be asked for: what a report may say, too.
OLDEST, HIGHEST_IN = 150, 1200
#: What decks are alike in, the first to the last that is given up.
TRAITS = ("deck_age", "region", "deck_height", "builder")

COLUMNS = [
    *("topic", "alike", "trials", "decks", "written_up", "judged", "found"),
    *("found_share", "found_share_low", "found_share_high", "defects", "passed_over"),
    *("passed_over_share", "passed_over_share_low", "passed_over_share_high", "measures", *TRAITS),
]


class UnknownDeck(UnknownName):
    """No deck of this builder, or in this region, was ever looked at."""


@dataclass(frozen=True)
class Deck:
    """The deck that is to be looked at, as far as it is known: bands of age and height, region, builder."""

    deck_age: str | None = None
    region: str | None = None
    deck_height: str | None = None
    builder: str | None = None

    @property
    def traits(self) -> tuple[str, ...]:
        """What is known of it, in the order in which it is kept."""
        return tuple(trait for trait in TRAITS if getattr(self, trait) is not None)


def deck(
    snapshot: Snapshot,
    age_years: int | None = None,
    region: str | None = None,
    height_in: float | None = None,
    builder: str | None = None,
) -> Deck:
    """A deck from what is known before going there.

    Raises
    ------
    UnknownDeck
        With the nearest name and all that are known.
    """
    known = choices(snapshot)
    for what, asked, names in (("region", region, known.regions), ("builder", builder, known.builders)):
        if asked is not None and asked not in names:
            raise UnknownDeck(what, asked, names)
    return Deck(
        None if age_years is None else band("deck_age", age_years),
        region,
        None if height_in is None else band("deck_height", height_in),
        builder,
    )


def band(by: str, value: float) -> str:
    """The band of deck age (whole years) or height (inches) that a value lies in.

    >>> band("deck_age", 22), band("deck_height", 96)
    ('20 to 29', '73 to 120 in')
    """
    return next(name for name in BANDS[by] if value <= _end(name))


def _end(name: str) -> float:
    """The largest value of a band, by its name; years are whole."""
    if name.startswith("over") or name.endswith("more"):
        return math.inf
    last = int(re.findall(r"\d+", name)[-1])
    return last - 1 if name.startswith("under") else last


def brief(snapshot: Snapshot, like: Deck = Deck(), filters: Filters = EVERYTHING) -> pd.DataFrame:
    """What was found on decks like this one, topic by topic, and how much of it was passed over.

    Decks are alike in band of age, region, band of height and builder, as far as these are asked for. Where a topic has
    fewer than 20 looks at such decks the builder is given up; if that is still too few, the height; then the region.

    Returns
    -------
    DataFrame
        One row a topic with a rule that was looked at on such decks; what was found on most of them first (by the lower
        end of its interval).

        - topic; alike: in what the decks are alike (``deck_age region``); deck_age … builder: what was asked for
        - trials, decks: looks at such decks (report x deck x topic), and how many decks
        - written_up, judged, found: of these, written up; decided by a rule; found and borne out by the rule
        - found_share with low, high: found / trials (Wilson)
        - defects, passed_over: judged trials with a defect; of these, missed or only advised upon
        - passed_over_share with low, high: passed_over / defects (Wilson); NaN without a defect
        - measures: what the topic's rules need
    """
    asked = {trait: getattr(like, trait) for trait in TRAITS}
    counts = snapshot.query("brief_counts", **filters.parameters(), **asked)
    rows = _alike_enough(counts)
    place = {topic: at for at, topic in enumerate(order.topics(rows["topic"], snapshot.query("topics")))}
    needed = _needed(snapshot)
    table = rows.assign(
        alike=[" ".join(trait for trait in TRAITS[:degree] if trait in like.traits) for degree in rows["alike"]],
        **_share("found_share", rows["found"], rows["trials"]),
        **_share("passed_over_share", rows["passed_over"], rows["defects"]),
        measures=["; ".join(needed.get(topic, ())) for topic in rows["topic"]],
        **asked,
        _place=rows["topic"].map(place),
    )
    table = table.astype({"alike": "str", "measures": "str"})
    return table.sort_values(["found_share_low", "_place"], ascending=[False, True])[COLUMNS].reset_index(drop=True)


def _needed(snapshot: Snapshot) -> dict[str, list[str]]:
    """The measures that the rules of each topic name, in the order of the parts of a deck."""
    rules, known = criteria(snapshot), measures(snapshot)["measure"]
    named = {str(topic): set().union(*needs) for topic, needs in rules.groupby("topic")["needs"]}
    return {topic: list(known[known.isin(names)]) for topic, names in named.items()}


def _alike_enough(counts: pd.DataFrame) -> pd.DataFrame:
    """Of each topic the row of the most alike decks that has 20 looks; of a rarer one that of the same age alone."""
    enough = counts[(counts["trials"] >= LEAST_TRIALS) | (counts["alike"] == 1)]
    return enough.sort_values("alike").drop_duplicates("topic", keep="last").reset_index(drop=True)


def _share(name: str, some: pd.Series, of: pd.Series) -> dict[str, Any]:
    low, high = intervals.wilson(some, of)
    with np.errstate(invalid="ignore", divide="ignore"):
        share = some.to_numpy(float) / of.to_numpy(float)
    return {name: share, f"{name}_low": low, f"{name}_high": high}


def passed_over_most(table: pd.DataFrame) -> pd.DataFrame:
    """Topics of which a defect was passed over, the surest first: by the lower end of the share's interval.

    Topics of fewer than 5 judged defects come last: one of one would else stand before 30 of 100.
    """
    some = table[table["passed_over"] > 0].assign(_few=lambda rows: rows["defects"] < LEAST_DEFECTS)
    in_order = some.sort_values(["_few", "passed_over_share_low"], ascending=[True, False], kind="stable")
    return in_order.drop(columns="_few").reset_index(drop=True)


def of_conditions(conditions: Iterable[tuple[str, str]]) -> Deck:
    """A deck as the conditions of ``evenhand table brief --where`` have it: bands, region, builder as recorded."""
    return Deck(**{column: value for column, value in conditions if column in TRAITS and value})
