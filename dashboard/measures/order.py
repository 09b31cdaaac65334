"""The order in which groups and topics stand: bands by size, names by alphabet, unknown last; topics by load path."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from dashboard.labels import BANDS, UNKNOWN


def groups(by: str, found: Iterable[str]) -> list[str]:
    """The groups that occur, in the order of their bands or of the alphabet; ``unknown`` last."""
    bands = BANDS.get(by, ())
    place = {band: position for position, band in enumerate(bands)}
    return sorted(set(found), key=lambda group: (group == UNKNOWN, place.get(group, len(bands)), group))


def topics(found: Iterable[str], catalog: pd.DataFrame) -> list[str]:
    """The topics that occur, in load-path order; those that the catalog does not know last, by alphabet."""
    place = dict(zip(catalog["topic"], catalog["position"], strict=True))
    return sorted(set(found), key=lambda topic: (place.get(topic, len(place) + 1), topic))
