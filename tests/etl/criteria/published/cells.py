"""What the typed-in tables share: how a cell is read, and a case that puts it to the judge."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from etl import contract

#: The next mark of a tape measure.
EIGHTH = Decimal("0.125")
NOT_PERMITTED = "NP"


@dataclass(frozen=True)
class Case:
    """Something recorded, written as ``name=value`` with blanks between, and the verdict that its source gives."""

    topic: str
    recorded: str
    verdict: str
    source: str

    def row(self) -> dict[str, Any]:
        pairs = (written.split("=") for written in self.recorded.split())
        values = {name: contract.read(contract.columns()[name].rule, value.replace("_", " ")) for name, value in pairs}
        missing = [name for name, value in values.items() if value is None]
        assert not missing, f"not a value: {missing} in {self.recorded}"
        return {"topic": self.topic} | values


#: Those of some cases that are not judged as their source says, each with what it was judged.
Wrong = Callable[[Iterable[Case]], list[str]]


def case(topic: str, verdict: str, source: str, **recorded: object) -> Case:
    """A case out of values by name; those that are None were not recorded."""
    pairs = [f"{name}={str(value).replace(' ', '_')}" for name, value in recorded.items() if value is not None]
    return Case(topic, " ".join(pairs), verdict, source)


def inches(written: str) -> int:
    """Feet and inches, 9-11, in inches."""
    feet, rest = written.split("-")
    return 12 * int(feet) + int(rest)


def grid(table: str) -> Iterator[tuple[str, int, str]]:
    """Row, column and cell of each cell of a table whose first line names the columns."""
    head, *lines = (line.split() for line in table.strip().splitlines())
    for row, *cells in lines:
        for column, cell in zip(head, cells, strict=True):
            yield row, int(column), cell
