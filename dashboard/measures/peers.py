"""A firm's inspectors set against their peers: every topic's model and tests, worked out together and only once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from scipy.special import expit

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.case_mix import CaseMix, read_case_mix, shared_ground
from dashboard.measures.signal_record import Dated
from dashboard.measures.signals import Array, Family, find_signals
from dashboard.warehouse import Snapshot


@dataclass(frozen=True)
class Firm:
    """All that is compared of a firm.

    Attributes
    ----------
    case
        Its visits and trials.
    family
        The tests of write-ups.
    dated
        By topic: its seen trials.
    ground
        By topic: peers and peer decks on shared ground, over inspectors.
    """

    case: CaseMix
    family: Family
    dated: dict[str, Dated]
    ground: dict[str, tuple[Array, Array]]

    @property
    def months(self) -> NDArray[np.datetime64]:
        """The months of the visits, rising."""
        return np.unique(_month(self.case.visits))


def compare(case: CaseMix) -> Firm:
    """Test every pair of topic and inspector that has enough to compare."""
    seen = case.trials[case.trials["seen"].to_numpy(bool)]
    month = _month(case.visits)
    place = np.searchsorted(np.unique(month), month)
    cells, dated, ground = {}, {}, {}
    for topic, rows in seen.groupby("topic", sort=False):
        visit, written_up = rows["visit"].to_numpy(np.intp), rows["written_up"].to_numpy(bool)
        cells[str(topic)], cell = case.cells(visit, written_up)
        dated[str(topic)] = Dated(visit, cell, place[visit], written_up)
        ground[str(topic)] = shared_ground(case, visit)
    return Firm(case, find_signals(cells, ground.__getitem__), dated, ground)


def firm(snapshot: Snapshot, filters: Filters = EVERYTHING) -> Firm:
    """The firm within the filters; those for inspectors and topics are left aside (see ``read_case_mix``)."""
    return compare(read_case_mix(snapshot, filters))


def scored_trials(snapshot: Snapshot, filters: Filters = EVERYTHING) -> pd.DataFrame:
    """Every seen trial with the chance that the firm's inspectors would have written it up.

    Returns
    -------
    DataFrame
        One row a seen trial: report_id, deck_id, topic, inspector_id, inspected_on, written_up, expected (0 to 1, by
        the topic's case-mix model; a flagged inspector's own habit is not in it).
    """
    found = firm(snapshot, filters)
    parts = []
    for topic, dated in found.dated.items():
        facts = found.case.visits.iloc[dated.visit][["report_id", "deck_id", "inspector_id", "inspected_on"]]
        expected = expit(found.family.topics[topic].log_odds())[dated.cell]
        parts.append(facts.assign(topic=topic, written_up=dated.written_up, expected=expected))
    columns = ["report_id", "deck_id", "topic", "inspector_id", "inspected_on", "written_up", "expected"]
    return pd.concat(parts, ignore_index=True)[columns] if parts else pd.DataFrame(columns=columns)


def _month(visits: pd.DataFrame) -> NDArray[np.datetime64]:
    return visits["inspected_on"].to_numpy().astype("datetime64[M]")
