"""What is open in a layout, as questions for a person: what belongs together is one, and the columns come first."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fnmatch import fnmatch
from typing import Any, Literal

from dashboard.uploads.asking import SampleRow, Tried
from dashboard.uploads.layout_form import UNKNOWN, UNUSED, Path, Tree, Use, at, sources

Kind = Literal["columns", "column", "words", "head", "table", "skip", "topic", "split"]
_ORDER: tuple[Kind, ...] = ("columns", "column", "words", "table", "head", "topic", "split", "skip")
#: What the layout itself says after each of its questions, for whoever edits its file.
_FOR_THE_FILE = " When it is right, write confirmed = true"
_IS_THIS = re.compile(r"^Is this \w+\? ")


@dataclass(frozen=True)
class Question:
    """Something to be settled.

    Attributes
    ----------
    kind
        ``columns``: columns that are taken for what they look like, all in one; ``column``: how one is read;
        ``words``: words that hold in all wide columns; ``head``: what holds for all; ``table``, ``skip`` (rows that are
        no observations), ``topic`` (of a wide column), ``split``.
    paths
        The parts that it settles.
    asks
        What the layout asks there, one for each path; empty where a question mark alone is open.
    """

    kind: Kind
    paths: tuple[Path, ...]
    asks: tuple[str, ...]

    @property
    def path(self) -> Path:
        return self.paths[0]


def part_of(path: Path) -> Path:
    """The part of a layout that a path of keys belongs to: the one that is confirmed with it."""
    match path:
        case ("wide", int(), "columns", str(), *_):
            return path[:4]
        case ("tables", int(), "skip", int(), *_):
            return path[:4]
        case ("columns" | "shared" | "wide" | "tables", _, *_):
            return path[:2]
        case ("split", *_):
            return path[:1]
    return ()


def questions(tree: Tree, tried: Tried) -> list[Question]:
    """The open questions, in the order in which they are best answered."""
    asks: dict[Path, str] = {}
    for path, ask in tried.open:
        confirms = path[-1:] == ("confirmed",)
        asks[part_of(path)] = ask.removesuffix(_FOR_THE_FILE) if confirms else asks.get(part_of(path), "")
    guesses = [path for path in asks if path[0:1] == ("columns",) and _is_guess(at(tree, path), asks[path])]
    found = [Question("columns", tuple(guesses), tuple(asks[path] for path in guesses))] if guesses else []
    skips: dict[str, list[Path]] = {}
    for path, ask in asks.items():
        if path in guesses:
            continue
        if path[2:3] == ("skip",):
            skips.setdefault(ask, []).append(path)
        else:
            found.append(Question(_kind(path), (path,), (ask,)))
    found += [Question("skip", tuple(paths), (ask,) * len(paths)) for ask, paths in skips.items()]
    return sorted(found, key=lambda question: _ORDER.index(question.kind))


def _kind(path: Path) -> Kind:
    match path:
        case ("columns", *_) | ("wide", int(), "columns", *_):
            return "column"
        case ("shared", *_):
            return "words"
        case ("tables", *_):
            return "table"
        case ("wide", *_):
            return "topic"
        case ("split", *_):
            return "split"
    return "head"


def _is_guess(entry: dict[str, Any], ask: str) -> bool:
    """Whether all that is open of a column is what it is taken for."""
    return bool(_IS_THIS.match(ask)) and ask.count("?") == 1 and not _holds_unknown(entry) and len(sources(entry)) == 1


def _holds_unknown(value: object) -> bool:
    if isinstance(value, dict):
        return any(_holds_unknown(each) for key, each in value.items() if key not in ("ask", "confirmed"))
    return value == UNKNOWN


def reason(ask: str) -> str:
    """What spoke for taking a column for another: what the layout says after asking whether it is."""
    told = _IS_THIS.sub("", ask).split("? ")[0] if _IS_THIS.match(ask) else ""
    return re.sub(r"^'.*' is like it", "Its label is like it", told)


def is_understood(use: Use, open_parts: set[Path]) -> bool:
    """Whether it is settled what a column of the files is for."""
    return use.what != UNUSED and (use.path is None or use.path not in open_parts)


def rows_of_table(rows: list[SampleRow], table: Mapping[str, Any]) -> list[SampleRow]:
    """The rows of a sample that a table of the layout is for."""
    pattern = str(table.get("files", "*")).casefold()
    return [row for row in rows if fnmatch(row.file.casefold(), pattern)]
