"""Which column says the unit of another."""

from __future__ import annotations

import re

from etl.layout.choice.chosen import Chosen, Foreign
from etl.layout.choice.labels import parts_of
from etl.layout.spelling import normal


def take_units(result: Chosen, left: list[Foreign], taken: set[str]) -> None:
    """Which column says the unit of another: ``Gap unit`` of ``Gap``, ``gap.unit`` of ``gap.value``, ``Unit``."""
    labels = [profile.label for table, profile in left if table is None]
    for place, label in enumerate(labels):
        last = normal(re.split(r"[.\]]| / ", label)[-1]).split()
        if not last or last[-1] not in ("unit", "units", "uom"):
            continue
        stem = normal(label).removesuffix(last[-1]).strip()
        named_by = [
            other
            for other in labels
            if other in taken and stem and normal(parts_of(other)[0]) in (stem, f"{stem} value")
        ]
        before = [labels[place - 1]] if place and labels[place - 1] in taken and not stem else []
        for other in (named_by or before)[:1]:
            result.unit_of[other] = label
