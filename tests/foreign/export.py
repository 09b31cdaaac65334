"""A foreign export in the making: its lines, what each must give, and the files beside it that say so."""

from __future__ import annotations

import csv
import json
import random
import sys
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from invented import MARK, Client, Firm, Row

sys.path.insert(0, str(Path(__file__).parents[2]))
from etl import contract  # the order of the columns is the contract's own


@dataclass
class Line:
    """One line of a foreign file.

    Attributes
    ----------
    cells
        What it says, by the firm's own column names; a list where it is no row of data (a total, a header again).
    truth
        The observations that it must give.
    report, client
        The report that it is of, and whose deck that is.
    kind
        ``data``; ``repeat`` where it says again what an earlier line said; ``noise`` where it is no row of data.
    """

    cells: dict[str, Any] | list[Any]
    truth: list[Row] = field(default_factory=list)
    kind: str = "data"
    report: str = ""
    client: Client | None = None
    faults: list[dict[str, Any]] = field(default_factory=list)

    def refuse(self, column: str, value: Any, contract_column: str, why: str) -> None:
        """Spoil a cell, so that the whole line must be refused."""
        assert isinstance(self.cells, dict)
        assert self.kind == "data"
        self.cells[column] = value
        self.blame(column, contract_column, why)

    def blame(self, column: str, contract_column: str, why: str, value: Any = None) -> None:
        """Say that the line must be refused as it stands; the value is given where it stands in another table."""
        assert isinstance(self.cells, dict)
        value = self.cells.get(column, "") if value is None else value
        found = {"column": column, "contract": contract_column, "value": value, "why": why}
        self.faults.append(found | {"observations": len(self.truth)})
        self.truth = []


def noise(*cells: Any) -> Line:
    return Line(list(cells), kind="noise")


def again(line: Line) -> Line:
    """The same line once more: equal in content, so it counts as unchanged."""
    assert isinstance(line.cells, dict)
    assert line.truth, "a refused line has nothing to repeat"
    return Line(dict(line.cells), kind="repeat", report=line.report)


@dataclass
class Export:
    """All files of a firm's export, in the order in which a folder is read.

    Attributes
    ----------
    lines
        By file: its lines after the header.
    first_row
        The row in which the first of them stands, the file's first row being 1.
    """

    lines: dict[str, list[Line]]
    private: set[str] = field(default_factory=set)
    first_row: int = 2
    more: dict[str, Any] = field(default_factory=dict)
    added: list[Row] = field(default_factory=list)
    sheets: dict[str, str] = field(default_factory=dict)

    def hide(self, firm: Firm, client: Client) -> None:
        """Remember what of a client stands in columns, and the surname, which the name holds."""
        self.private |= client.strings({*firm.holds, "surname"})

    def data(self, file: str | None = None) -> list[Line]:
        files = self.lines if file is None else [file]
        return [line for name in files for line in self.lines[name] if line.kind != "noise"]

    def observations(self) -> list[Row]:
        return [row for line in self.data() for row in line.truth] + self.added

    def rejected(self, file: str | None = None) -> list[dict[str, Any]]:
        found = []
        for name in self.lines if file is None else [file]:
            for row, line in enumerate(self.lines[name], self.first_row):
                where = {"file": name, "sheet": self.sheets.get(name), "row": row, "report": line.report}
                where = {key: value for key, value in where.items() if value is not None}
                found += [where | fault for fault in line.faults]
        return found

    def counts(self, file: str | None = None) -> dict[str, int]:
        lines = self.data(file)
        whole = sum(any(not fault.get("cell") for fault in line.faults) for line in lines)
        unchanged = sum(line.kind == "repeat" for line in lines)
        return {
            "rows_read": len(lines),
            "rows_loaded": len(lines) - whole - unchanged,
            "rows_unchanged": unchanged,
            "rows_rejected": whole,
        }

    def expected(self) -> dict[str, Any]:
        rows = self.observations()
        told: dict[str, Any] = {"source": "export", "files": len(self.lines), **self.counts()}
        told |= {"reports": len({row["report_id"] for row in rows}), "observations": len(rows)}
        told |= {"marked": sum(MARK in str(row.values()) for row in rows), "mark": MARK}
        if len(self.lines) > 1:
            told["by_file"] = {file: self.counts(file) for file in self.lines}
        return told | {"rejected": self.rejected(), "private": sorted(self.private)} | self.more

    def write_expected(self, folder: Path) -> None:
        """``expected.csv``, in contract form."""
        rows = self.observations()
        names = [name for name in contract.columns() if any(row.get(name) for row in rows)]
        with (folder / "expected.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.DictWriter(file, names, lineterminator="\n", extrasaction="raise")
            writer.writeheader()
            writer.writerows(rows)

    def write_counts(self, folder: Path) -> None:
        """``expected.json``: the counts, the refused rows, the private strings."""
        text = json.dumps(self.expected(), indent=1, ensure_ascii=False, default=str)
        (folder / "expected.json").write_text(text + "\n", encoding="utf-8")


def write_delimited(
    path: Path, header: list[str], lines: list[Line], delimiter: str = ",", encoding: str = "utf-8", end: str = "\r\n"
) -> None:
    """Write lines under a header; cells of columns that the header does not name are an error."""
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("w", encoding=encoding, newline="") as file:
        writer = csv.writer(file, delimiter=delimiter, lineterminator=end)
        writer.writerow(header)
        for line in lines:
            if isinstance(line.cells, dict):
                assert set(line.cells) <= set(header), set(line.cells) - set(header)
                writer.writerow([line.cells.get(name, "") for name in header])
            else:
                writer.writerow(line.cells)


def plant(export: Export, firm: Firm, line: Line, column: str, contract_column: str = "comment") -> None:
    """Put a sentence with something private of the line's client behind a text, and marks behind the expected text."""
    assert isinstance(line.cells, dict)
    assert line.client is not None
    there, marked, private = firm.planted(line.client)
    line.cells[column] = (line.cells[column] + there).strip()
    for row in line.truth:
        row[contract_column] = (row.get(contract_column, "") + marked).strip()
    export.private |= private


def word(dice: random.Random, words: dict[str, tuple[str, ...]], value: str) -> str:
    """One of the firm's words for a value of the contract; blank for none."""
    return dice.choice(words[value]) if value else ""


def told(words: dict[str, tuple[str, ...]]) -> str:
    """The firm's words as lines of a README."""
    return "\n".join(f"- {', '.join(f'`{each}`' for each in said)}: {value}" for value, said in words.items())
