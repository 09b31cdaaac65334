"""The observations behind a mark, and one observation in full."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures import catalog
from dashboard.measures.patterns import recorded_kinds
from dashboard.warehouse import Snapshot

MOST_ROWS = 500


class UnknownObservation(LookupError):
    """The snapshot has no such observation.

    Attributes
    ----------
    observation_id
        What was asked for.
    """

    def __init__(self, observation_id: str) -> None:
        super().__init__(f"There is no observation {observation_id!r} in this snapshot.")
        self.observation_id = observation_id


def cases(
    snapshot: Snapshot,
    filters: Filters = EVERYTHING,
    *,
    topic: str | None = None,
    by: str | None = None,
    group: str | None = None,
    calls: Iterable[str] = (),
    outcomes: Iterable[str] = (),
    kinds: Iterable[str] = (),
    sentence: str | None = None,
    only: str | None = None,
    first: Iterable[str] = (),
    most: int | None = MOST_ROWS,
    skip: int = 0,
) -> pd.DataFrame:
    """Observations, newest first: of an outcome, or behind a topic x group cell.

    Rows, not trials: a deck noted at three places gives three rows.

    Parameters
    ----------
    topic
        One topic, within those that the filters leave; None for all of them.
    by, group
        A grouping of :mod:`rates` and one of its groups; None for all decks.
    calls, outcomes, kinds
        Calls, outcomes and recorded kinds; empty for any.
    sentence
        A stock sentence by its id (:mod:`stock_sentences`); None for all.
    only
        One observation, by its id, if it is among them.
    first
        Outcomes that come before the others.
    most, skip
        How many rows at most (None for all), after how many that are passed over.

    Returns
    -------
    DataFrame
        observation_id, report_id, inspected_on, inspector_id, deck_id, region, builder, deck_age_years, deck_age,
        deck_height, topic, place, call, consequence, criterion_id, verdict, outcome, reason, missing (measure ids
        joined by a comma), recorded, measured, comment, read_from_comment, recommendation, photo_count,
        in_all (how many there are, whatever ``most`` and ``skip`` leave of them).
    """
    parameters = filters.parameters()
    if topic is not None:
        # An unfiltered topic list admits every topic; a filtered one must still hold this one.
        parameters["topics"] = [topic] if not filters.topics or topic in filters.topics else []
    return snapshot.query(
        "cases",
        **parameters,
        by=by,
        group=group,
        calls=list(calls) or None,
        outcomes=list(outcomes) or None,
        kinds=list(kinds) or None,
        sentence=sentence,
        only=only,
        first=list(first) or None,
        most=most,
        skip=skip,
    )


def cases_of_pattern(
    snapshot: Snapshot,
    pattern_id: str,
    filters: Filters = EVERYTHING,
    *,
    calls: Iterable[str] = ("written_up",),
    outcomes: Iterable[str] = (),
    only: str | None = None,
    first: Iterable[str] = (),
    most: int | None = MOST_ROWS,
    skip: int = 0,
) -> pd.DataFrame:
    """The observations of a pattern, newest first; with ``calls=("passed", "advised")`` those behind a miss.

    Returns
    -------
    DataFrame
        As :func:`cases`.

    Raises
    ------
    UnknownPattern
    """
    return cases(
        snapshot,
        filters,
        topic=pattern_id.partition(":")[0],
        kinds=recorded_kinds(snapshot, pattern_id),
        calls=calls,
        outcomes=outcomes,
        only=only,
        first=first,
        most=most,
        skip=skip,
    )


#: What is told of a value read out of a comment.
READS = ["measure", "title", "value", "known", "unit", "start", "end", "recorded"]


@dataclass(frozen=True)
class Case:
    """One observation in full.

    Attributes
    ----------
    facts
        Every column of the observation but the measures, and verdict, criterion_id, outcome, reason, missing (list
        or None), recorded, deck_age_years, deck_age, deck_height. Absent values are None.
    measures
        What was recorded, in the order of the parts of a deck: measure, title, value, unit (None for kinds).
    criterion
        The rule that decided, as in :func:`catalog.criteria`; None where none did.
    reads
        What was read out of the comment: measure, title, value (as text), known (the same as a recorded one), unit,
        start, end (characters of the comment), and recorded: whether a recorded value stands above it.
    """

    facts: dict[str, object]
    measures: pd.DataFrame
    criterion: dict[str, object] | None
    reads: pd.DataFrame = field(default_factory=lambda: pd.DataFrame(columns=READS))

    @property
    def recorded(self) -> dict[str, Any]:
        """The recorded values by measure; where the verdict rests on the comment, with what it says of the others."""
        recorded = dict(zip(self.measures["measure"], self.measures["value"], strict=True))
        said = self.reads if self.facts.get("basis") == "comment" else self.reads.iloc[:0]
        return dict(zip(said["measure"], said["known"], strict=True)) | recorded


def case(snapshot: Snapshot, observation_id: str) -> Case:
    """One observation with its recorded measures and the rule that decided.

    Raises
    ------
    UnknownObservation
    """
    found = snapshot.query("observation", observation_id=observation_id)
    if found.empty:
        raise UnknownObservation(observation_id)
    row = {str(name): _plain(value) for name, value in found.to_dict("records")[0].items()}
    known = catalog.measures(snapshot)
    recorded = known[[row.get(measure) is not None for measure in known["measure"]]]
    measures = pd.DataFrame(
        {
            "measure": recorded["measure"],
            "title": recorded["title"],
            "value": pd.Series([row[measure] for measure in recorded["measure"]], recorded.index, dtype=object),
            "unit": pd.Series([_plain(unit) for unit in recorded["unit"]], recorded.index, dtype=object),
        }
    ).reset_index(drop=True)
    rules = catalog.criteria(snapshot)
    rule = rules[rules["criterion_id"] == row["criterion_id"]]
    return Case(
        facts={name: value for name, value in row.items() if name not in set(known["measure"])},
        measures=measures,
        criterion={name: _plain(rule[name].iloc[0]) for name in rules.columns} if len(rule) else None,
        reads=_reads(snapshot, observation_id, known, set(measures["measure"])),
    )


def _reads(snapshot: Snapshot, observation_id: str, known: pd.DataFrame, recorded: set[str]) -> pd.DataFrame:
    """What the comment says, with the titles and units of the measures."""
    reads = snapshot.query("reads_of_case", observation_id=observation_id)
    told = known.set_index("measure").reindex(reads["measure"])
    units = [_plain(unit) for unit in told["unit"]]
    pairs = zip(reads["value"], units, strict=True)
    return reads.assign(
        title=told["title"].to_numpy(),
        known=pd.Series([_as_recorded(value, unit) for value, unit in pairs], reads.index, dtype=object),
        unit=pd.Series(units, reads.index, dtype=object),
        recorded=[measure in recorded for measure in reads["measure"]],
    )


def _as_recorded(value: str, unit: object) -> object:
    """A value that was read, as one that was recorded: yes and no are no words, a length is a number."""
    return float(value) if unit is not None else {"true": True, "false": False}.get(value, value)


def _plain(value: object) -> object:
    """A cell of a frame as a plain Python value; None where there is none."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, list):
        return value
    if value is None or pd.isna(value):  # type: ignore[call-overload]
        return None
    return value.date() if isinstance(value, pd.Timestamp) and value == value.normalize() else value
