"""JSON and JSON Lines: one document a report, ``report > decks[] > observations[]``, columns at their level.

Rows of the further tables stand there flat: an array of them, or one a line, among reports too.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from etl import contract, private
from etl.errors import SourceError
from etl.input_tables import FurtherTable, recognized
from etl.readers import limits
from etl.readers.flat import Broken, column_name, few_labels

LINES = (".jsonl", ".ndjson")
TOO_DEEP = "it nests too deep to be a report; export it flat"


@dataclass
class Documents:
    """What a file of documents holds.

    Attributes
    ----------
    rows
        One mapping an observation, with its place: the number of the document in the file, from 1.
    further
        One mapping a row of a further table, by the table's name, each with its place.
    broken
        Documents or parts that are not of the form.
    unknown
        Keys that nobody knows: named, never stored.
    """

    rows: list[tuple[int, dict[str, Any]]] = field(default_factory=list)
    further: dict[str, list[tuple[int, dict[str, Any]]]] = field(default_factory=dict)
    broken: list[Broken] = field(default_factory=list)
    unknown: list[str] = field(default_factory=list)
    notices: list[str] = field(default_factory=list)


class _Refused(ValueError):
    pass


def read_documents(path: Path) -> Documents:
    """Read a file of report documents, or of rows of further tables.

    Raises
    ------
    SourceError
        Where the file is not JSON at all. A line of JSON Lines that is not JSON is a refused row, not an error.
    """
    found = Documents()
    seen_unknown: dict[str, None] = {}
    documents = list(documents_of(path, found))
    of_file = recognized({name for _, document in documents for name in _flat_names(document)})
    for number, document in documents:
        # A row of which the marks are missing is one of the table that the rows of its file are of.
        names = _flat_names(document)
        table = (recognized(names) or of_file) if names else None
        if table:
            found.further.setdefault(table.name, []).append((number, _known(document, table, seen_unknown)))
        else:
            found.rows += [(number, row) for row in _rows(document, number, found, seen_unknown)]
    found.unknown = few_labels(seen_unknown)
    return found


def _flat_names(document: Any) -> set[str]:
    """The names of the columns of a row of a further table; empty for what may be a report."""
    names = {column_name(key) for key in document} if isinstance(document, dict) else set()
    return set() if "decks" in names else names


def _known(document: dict[str, Any], table: FurtherTable, unknown: dict[str, None]) -> dict[str, Any]:
    """The row's columns that its table has; other keys are named as unknown."""
    row = {column_name(key): value for key, value in document.items() if column_name(key) in table.columns}
    unknown.update(dict.fromkeys(key for key in document if column_name(key) not in table.columns))
    return row


def documents_of(path: Path, found: Documents) -> Iterator[tuple[int, Any]]:
    limits.check_size(path.stat().st_size, limits.LARGEST_DOCUMENTS)
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise SourceError("its text is not UTF-8; export it again as UTF-8") from None
    if not text.strip():
        raise SourceError("it is empty; export it again")
    # Each value but the first stands behind one of these; what stands within texts is counted with them.
    if sum(map(text.count, "[{,")) > limits.MOST_VALUES:
        raise SourceError(f"it holds over {limits.MOST_VALUES:,} values, more than are read; export it in parts")
    if path.suffix.lower() in LINES:
        yield from _lines(text, found)
        return
    try:
        whole = _parse(text)
    except json.JSONDecodeError as error:
        if error.msg == "Extra data":  # several documents, one a line, under the other ending
            yield from _lines(text, found)
            return
        raise SourceError(f"it is not JSON: {error.msg} in line {error.lineno}, column {error.colno}") from None
    except ValueError as error:
        raise SourceError(_why(error)) from None
    except RecursionError:
        raise SourceError(TOO_DEEP) from None
    yield from enumerate(whole if isinstance(whole, list) else [whole], 1)


def _lines(text: str, found: Documents) -> Iterator[tuple[int, Any]]:
    for number, line in enumerate(text.split("\n"), 1):
        if not line.strip():
            continue
        try:
            yield number, _parse(line)
        except json.JSONDecodeError as error:
            found.broken.append(Broken(number, f"not_readable: the line is not JSON ({error.msg})", {}))
        except ValueError as error:  # a doubled key, or an integer of thousands of digits
            found.broken.append(Broken(number, f"not_readable: {_why(error)}", {}))
        except RecursionError:
            found.broken.append(Broken(number, "not_readable: the line nests too deep to be a report", {}))


def _why(error: ValueError) -> str:
    """Why a text of JSON is not taken: a doubled key, or else an integer that is longer than Python reads."""
    return str(error) if isinstance(error, _Refused) else "it holds a number of thousands of digits"


def _parse(text: str) -> Any:
    return json.loads(text, object_pairs_hook=_each_key_once, parse_constant=float)


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > limits.MOST_COLUMNS:
        raise _Refused(f"an object has {len(pairs):,} keys, more than any report; export it with those you need")
    found = dict(pairs)
    if len(found) < len(pairs):
        raise _Refused("a key stands twice in one object; which value holds is not known")
    return found


def _rows(document: Any, number: int, found: Documents, unknown: dict[str, None]) -> Iterator[dict[str, Any]]:
    """The observations of one document, each with its report's and its deck's columns."""
    if not isinstance(document, dict):
        found.broken.append(Broken(number, "not_a_report: the document is not an object with report_id and decks", {}))
        return
    report = _level(document, "decks", "report", unknown)
    received = {name: shown(value) for name, value in report.items()}
    before = len(found.broken)
    any_row = False
    for deck_document in _list(document, "decks", number, found, received):
        if not isinstance(deck_document, dict):
            found.broken.append(Broken(number, "not_a_report: a deck is not an object", received))
            continue
        deck = _level(deck_document, "observations", "deck", unknown)
        for item in _list(deck_document, "observations", number, found, received):
            if isinstance(item, dict):
                any_row = True
                yield report | deck | _level(item, None, "observation", unknown)
            else:
                found.broken.append(Broken(number, "not_a_report: an observation is not an object", received))
    if not any_row and len(found.broken) == before:
        found.broken.append(
            Broken(
                number,
                "no_observations: no observation stands where they belong, in decks[] and their observations[]",
                received,
            )
        )


def _list(owner: dict[str, Any], key: str, number: int, found: Documents, received: dict[str, str]) -> list[Any]:
    value = next((value for name, value in owner.items() if column_name(name) == key), None)
    if value is None or isinstance(value, list):
        return value or []
    found.broken.append(Broken(number, f"not_a_report: {key} is not a list", received))
    return []


def _level(owner: dict[str, Any], below: str | None, level: str, unknown: dict[str, None]) -> dict[str, Any]:
    """The contract's columns of one level; other keys are named as unknown."""
    allowed = contract.level_columns(level)
    found = {}
    for key, value in owner.items():
        name = column_name(key)
        if name in allowed:
            found[name] = value
        elif name != below:
            unknown.setdefault(f"{level} {key}" if name in contract.columns() else key)
    return found


def shown(value: object) -> str:
    """A received value as text that can be stored, whatever it was."""
    try:
        text = contract.as_text(value) or ""
    except TypeError:
        try:
            text = json.dumps(value)
        except RecursionError:
            text = "(nests too deep to be shown)"
    return text.encode("utf-8", "replace").decode("utf-8")


def storable(column: str, value: Any) -> Any:
    """A received value without what in it is private; a list or object, which is no value of any column, as one text.

    Such a list stays a list, so that its row is refused for it.
    """
    if isinstance(value, str):
        return private.stored(column, value)
    return [private.masked(shown(value))] if isinstance(value, list | dict) else value
