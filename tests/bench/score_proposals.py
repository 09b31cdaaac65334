"""How well a layout is proposed for exports whose right answers a careful person has written down.

    PYTHONPATH=. python tests/bench/score_proposals.py [--told] FOLDER…

Each folder is one firm: its export, ``expected.json`` with the answers (the form is told in the README beside the
folders) and nothing of ours. A column that should be taken is ``right`` without a question, ``asked`` (right, and a
person has to confirm it), ``asked wrong`` (a wrong guess with a question beside it), ``WRONG`` (nobody is asked) or
``missing`` (not proposed). A column of people that is not proposed as private is WRONG, and so is one that is taken and
should not be. A word is ``right`` as proposed, ``asked`` where it stands there with a question mark, ``missing`` where
its column was not proposed. ``--told`` names each that is not right; without it only counts are shown, so that firms
can be held back.
"""

from __future__ import annotations

import json
import sys
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

from etl import contract
from etl.layout.suggest import suggest
from etl.layout.tables import plain
from etl.readers.sources import find_sources

ANSWERS = ("expected.json", "counts.json", "truth.csv", "README.md")
LOAD_NOTHING = ("not needed", "no column of ours", "unclear")
ORDERS = {"dmy": "day month year", "mdy": "month day year", "ymd": "year month day"}
VERDICTS = ("right", "asked", "asked wrong", "WRONG", "missing")
Found = Iterator[tuple[str, str, str]]  # of what, the verdict, told


class Proposal:
    """A proposed layout, looked up by the label of a foreign column."""

    def __init__(self, text: str) -> None:
        self.layout, self.is_toml = _parsed(text)
        self.tables: list[dict[str, Any]] = self.layout.get("tables", [])
        self.private = {plain(label) for label in self.layout.get("private", [])}
        self.taken: dict[tuple[str, str], list[tuple[str, dict[str, Any], dict[str, Any]]]] = {}
        for name, column in self.layout.get("columns", {}).items():
            self._take(name, column, {})
        for wide in self.layout.get("wide", []):
            for name, column in wide.get("columns", {}).items():
                self._take(name, column, wide)
        if split := self.layout.get("split"):
            self._take("comment", split, {})

    def _take(self, name: str, column: dict[str, Any], wide: dict[str, Any]) -> None:
        sources = column.get("from", [])
        for source in [sources] if isinstance(sources, str) else sources:
            self.taken.setdefault((column.get("table", "rows"), plain(source)), []).append((name, column, wide))

    def table_of(self, file: str, sheet: str | None) -> dict[str, Any] | None:
        """The table that is proposed for a file and its sheet."""
        fits = (
            table
            for table in self.tables
            if fnmatch(file.casefold(), table.get("files", "*").casefold())
            and (sheet is None or "[]" in sheet or fnmatch(sheet.casefold(), table.get("sheets", "*").casefold()))
        )
        return next(fits, None)

    def words(self, name: str, column: dict[str, Any]) -> dict[str, str]:
        shared = self.layout.get("shared", {}).get(name, {}).get("words", {})
        return {plain(word): meant for word, meant in (shared | column.get("words", {})).items()}


def _parsed(text: str) -> tuple[dict[str, Any], bool]:
    """The layout; where a key stands twice, which is no TOML, without its second."""
    try:
        return tomllib.loads(text), True
    except tomllib.TOMLDecodeError:
        kept: list[str] = []
        seen: set[str] = set()
        for line in text.splitlines():
            key = line.partition(" = ")[0]
            seen = set() if line.startswith("[") else seen
            if " = " not in line or key not in seen:
                kept.append(line)
            seen.add(key)
        return tomllib.loads("\n".join(kept)), False


def proposed(folder: Path) -> Proposal:
    """What is proposed for the files of a folder."""
    files = [str(path) for path in sorted(folder.iterdir()) if path.name not in ANSWERS]
    with tempfile.TemporaryDirectory() as scratch:
        sources = find_sources(files, Path(scratch))
        return Proposal(suggest(sources, Path(scratch)))


# ---- columns -------------------------------------------------------------------------------------------------------


def columns(proposal: Proposal, expected: dict[str, Any]) -> Found:
    """The verdict on each column that should be taken, or is and should not."""
    seen = set()
    elsewhere = _taken_elsewhere(proposal, expected)
    for file, table, label, answer in _labels(expected):
        there = proposal.table_of(file, table)
        name = (there or {}).get("name", "rows")
        said = answer if isinstance(answer, dict) else {"is": answer}
        told = f"{file} {table or ''} {label}: {json.dumps(answer)[:60]}"
        if (key := (name, plain(label), str(said["is"]))) in seen:
            continue  # sheets of one form
        seen.add(key)
        taken = proposal.taken.get((name, plain(label)), []) if there else []
        if not taken and str(said["is"]) in elsewhere and label.casefold() not in proposal.private:
            continue
        yield from (("columns", verdict, told) for verdict in _column(proposal, label, said, taken))


def _taken_elsewhere(proposal: Proposal, expected: dict[str, Any]) -> set[str]:
    """Columns that are rightly taken from a label that holds the same as another: a key in either table."""
    found = set()
    for _, _, label, answer in _labels(expected):
        others = answer.get("or", []) if isinstance(answer, dict) else []
        found |= {name for name, _, _ in _taken(proposal, label) if name in others}
    return found


def _labels(expected: dict[str, Any]) -> Iterator[tuple[str, str | None, str, Any]]:
    for file in expected["files"]:
        for table in file["tables"]:
            for label, answer in table["columns"].items():
                first, mark, number = label.partition("#")
                spelled = f"{first} ({number})" if mark and number.isdecimal() else label.replace("[]", "")
                yield file["file"], table["table"], spelled, answer


def _column(proposal: Proposal, label: str, said: dict[str, Any], taken: list[Any]) -> Iterator[str]:
    asked = bool(taken) and all(_is_asked(column, wide) for _, column, wide in taken)
    if said["is"] in ("by topic", "measure by word"):
        yield _measures(proposal, said, taken)
        return
    wanted = said["is"] if isinstance(said["is"], list) else [said["is"]]
    own = [name for name in wanted if name in contract.columns()]
    others = {*wanted, *said.get("or", [])}
    if said["is"] == "private":
        yield "right" if plain(label) in proposal.private else ("asked wrong" if asked else "WRONG")
        return
    if "private" in others and plain(label) in proposal.private:
        yield "right"
        return
    for name in own:
        fits = [(column, wide) for found, column, wide in taken if found == name or found in said.get("or", [])]
        fits = [(column, wide) for column, wide in fits if "topic" not in said or wide.get("topic") == said["topic"]]
        if fits:
            yield "asked" if any(_is_asked(column, wide) for column, wide in fits) else "right"
        elif plain(label) in proposal.private:
            yield "WRONG"
        elif not taken or any(found in own for found, _, _ in taken):
            yield "missing"
        else:
            yield "asked wrong" if asked else "WRONG"
    if not own and any(name not in others for name, _, _ in taken):
        yield "asked wrong" if asked else "WRONG"


def _measures(proposal: Proposal, said: dict[str, Any], taken: list[Any]) -> str:
    """The verdict on a column that is one measure or another by a word beside it: all of them, or it is missing."""
    by = said.get("by_topic") or said["by_word"]
    codes = {plain(word) for word in by}
    taken = [*taken, *(each for (_, source), found in proposal.taken.items() for each in found if source in codes)]
    names = {name for name, _, _ in taken}
    asked = all(_is_asked(column, wide) for _, column, wide in taken)
    if names - {*by.values()}:
        return "asked wrong" if asked else "WRONG"
    return ("asked" if asked else "right") if names == {*by.values()} else "missing"


def _is_asked(column: dict[str, Any], wide: dict[str, Any]) -> bool:
    return column.get("confirmed") is False or wide.get("confirmed") is False or wide.get("topic") == "?"


# ---- words ---------------------------------------------------------------------------------------------------------


def words(proposal: Proposal, expected: dict[str, Any]) -> Found:
    """The verdict on each word that a column's own list should say."""
    for key, said in expected["words"].items():
        name = said["column"]
        if name not in contract.columns() or (_kind(name) in ("text", "integer", "size") and name != "consequence"):
            continue
        label = plain(key.rpartition("!")[2].replace("[]", "").replace("1..6", "1"))
        found = [each for (_, source), taken in proposal.taken.items() if source == label for each in taken]
        column = next((column for taken, column, _ in found if taken == name), None)
        for word, answer in said["words"].items():
            verdict = "missing" if column is None else _word(proposal, name, column, word, answer)
            yield "words", verdict, f"{key}: {word} -> {answer}"


def _kind(name: str) -> str:
    return contract.columns()[name].rule.kind


def _word(proposal: Proposal, name: str, column: dict[str, Any], word: str, answer: Any) -> str:
    meant = proposal.words(name, column).get(plain(word))
    said = answer["is"] if isinstance(answer, dict) else answer
    said = str(said).lower() if isinstance(said, bool) else str(said)
    if meant is None:
        meant = _read(name, word)
    if meant == "?":
        return "right" if said == "unclear" else "asked"
    fits = {"unclear": ("refuse",), "drop": ("skip", "")}.get(said, (said,))
    if meant in fits or (isinstance(answer, dict) and meant in map(str, answer.get("or", []))):
        return "right"
    return "asked wrong" if column.get("confirmed") is False else "WRONG"


def _read(name: str, word: str) -> str:
    try:
        read = contract.read(contract.columns()[name].rule, word)
    except Exception:
        return "?"
    return str(read).lower() if isinstance(read, bool) else str(read)


# ---- the rest ------------------------------------------------------------------------------------------------------


def the_rest(proposal: Proposal, expected: dict[str, Any]) -> Found:
    """Headers, the order of dates, units and joins."""
    for file in expected["files"]:
        for table in file["tables"]:
            there = proposal.table_of(file["file"], table["table"])
            if table["header_rows"] and there:
                wanted = (table["header_rows"][0], table["header_rows"][-1])
                first = there.get("header_row", 1)
                fits = (first, first + there.get("header_rows", 1) - 1) == wanted
                yield "headers", _or_asked(fits, there), f"{file['file']} {table['table']}: {wanted}"
    for key, said in expected["dates"].items():
        for name, column, wide in _taken(proposal, key):
            if name == "inspected_on":
                yield "dates", _dates(proposal, column, said), f"{key}: {said} {wide.get('topic', '')}"
    for _, _, label, answer in _labels(expected):
        if isinstance(answer, dict) and isinstance(answer.get("unit"), str):
            right = [answer["is"], *(answer.get("by_topic") or {}).values()]
            for name, column, _ in _taken(proposal, label):
                if name in right:
                    yield "units", _unit(proposal, column, answer["unit"].partition(",")[0]), f"{label}: {answer}"
    for join in expected["joins"]:
        yield "joins", _join(proposal, join), str(join)


def _taken(proposal: Proposal, key: str) -> list[Any]:
    label = plain(key.rpartition("!")[2].replace("[]", ""))
    return [each for (_, source), found in proposal.taken.items() if source == label for each in found]


def _or_asked(fits: bool, part: dict[str, Any]) -> str:
    if part.get("confirmed") is False:
        return "asked" if fits else "asked wrong"
    return "right" if fits else "WRONG"


def _dates(proposal: Proposal, column: dict[str, Any], said: Any) -> str:
    wanted = ORDERS.get(said.get("order", "") if isinstance(said, dict) else str(said))
    own = [column.get("dates")] if column.get("dates") else [t["dates"] for t in proposal.tables if "dates" in t]
    if wanted is None or "?" in own:
        return "asked"
    if not own:
        return "right" if wanted == "year month day" else "missing"
    return _or_asked(own == [wanted], column)


def _unit(proposal: Proposal, column: dict[str, Any], wanted: str) -> str:
    own = column.get("unit")
    if own == "?":
        return "asked"
    if own is None and proposal.layout.get("length_unit"):
        return "asked" if proposal.layout["length_unit"] == wanted else "asked wrong"
    return _or_asked((own or "in") == wanted, column)


def _join(proposal: Proposal, join: Any) -> str:
    if isinstance(join, str):
        return "right" if any("each" in table for table in proposal.tables) else "missing"
    (one, own), (other, theirs) = (join[end].rpartition("!")[::2] for end in ("from", "to"))
    for table in proposal.tables:
        pairs = {(plain(key), plain(value)) for key, value in table.get("join", {}).items()}
        named = f"{table.get('files', '')} {table.get('sheets', '')}".casefold()
        if {(plain(theirs), plain(own)), (plain(own), plain(theirs))} & pairs and (one in named or other in named):
            return _or_asked(True, table)
    is_said = any(column.get("words") for _, column, _ in _taken(proposal, join["from"]))
    return "right" if join.get("kind") == "code list" and is_said else "missing"


def main(told: bool, folders: list[Path]) -> None:
    total: dict[str, Counter[str]] = {}
    for folder in folders:
        expected = json.loads((folder / "expected.json").read_text(encoding="utf-8"))
        proposal = proposed(folder)
        counts: dict[str, Counter[str]] = {}
        for found in (columns, words, the_rest):
            for what, verdict, text in found(proposal, expected):
                counts.setdefault(what, Counter())[verdict] += 1
                total.setdefault(what, Counter())[verdict] += 1
                if told and verdict != "right":
                    print(f"    {what} {verdict}: {text}")
        skips = sum(len(table.get("skip", [])) for table in proposal.tables)
        print(f"{folder.name}{'' if proposal.is_toml else ' (NO TOML)'}; skips {skips}")
        _show(counts)
    print("all")
    _show(total)


def _show(counts: dict[str, Counter[str]]) -> None:
    for what, verdicts in counts.items():
        print(f"  {what:8} of {verdicts.total():4}: " + ", ".join(f"{name} {verdicts[name]}" for name in VERDICTS))


if __name__ == "__main__":
    main("--told" in sys.argv, [Path(name) for name in sys.argv[1:] if name != "--told"])
