"""What is listed: nails, the thickness of gauge steel, and how dense the wood of a species is.

Each row of the lists carries its source and how it is known: read in the document, secondary (from a public
transcription), computed, or from memory.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

#: A length written down differs from the listed one by no more than this where the same nail is meant.
_SAME_LENGTH_IN = 1 / 16


@dataclass(frozen=True)
class Nail:
    """A nail as listed.

    Attributes
    ----------
    kind
        common, box, sinker; short is the 1-1/2 in nail made for connectors.
    source, known
        Where its size comes from, and how that is known.
    """

    kind: str
    pennyweight: str
    diameter_in: float
    length_in: float
    source: str
    known: str


@cache
def nails() -> tuple[Nail, ...]:
    """All nails listed (NDS 2018 Table L4, and the short nail of the trade)."""
    return tuple(
        Nail(
            row["kind"],
            row["pennyweight"],
            float(row["diameter_in"]),
            float(row["length_in"]),
            row["source"],
            row["known"],
        )
        for row in _rows("nails")
    )


def nail(kind: str, pennyweight: str) -> Nail:
    """A nail by its kind and pennyweight: ``nail("common", "10d")``.

    Raises
    ------
    KeyError
        No such nail is listed.
    """
    for listed in nails():
        if (listed.kind, listed.pennyweight) == (kind, pennyweight):
            return listed
    raise KeyError(f"no nail {kind} {pennyweight} is listed")


def nail_of_length(kind: str, length_in: float) -> Nail | None:
    """The listed nail of a kind whose length is within 1/16 in of this one; None where there is none."""
    alike = [listed for listed in nails() if listed.kind == kind]
    nearest = min(alike, key=lambda listed: abs(listed.length_in - length_in), default=None)
    return nearest if nearest and abs(nearest.length_in - length_in) <= _SAME_LENGTH_IN else None


def thickness_in(gauge: int) -> float:
    """The thickness of gauge steel in inches (NDS 2018 Table 12P).

    Raises
    ------
    KeyError
        The gauge is not listed.
    """
    return _number("gauges", "gauge", str(gauge), "thickness_in")


def specific_gravity(species: str) -> float:
    """The specific gravity G of a species combination, oven dry (NDS 2018 Table 12.3.3A).

    Raises
    ------
    KeyError
        The species is not listed.
    """
    return _number("species", "species", species, "specific_gravity")


def _number(name: str, key: str, wanted: str, column: str) -> float:
    for row in _rows(name):
        if row[key] == wanted:
            return float(row[column])
    raise KeyError(f"no {key} {wanted!r} is listed; there are {', '.join(row[key] for row in _rows(name))}")


@cache
def _rows(name: str) -> tuple[dict[str, str], ...]:
    text = files("dashboard").joinpath("fasteners", f"{name}.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))
