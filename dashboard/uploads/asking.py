"""What the command ``evenhand`` is asked about uploaded files: what is in them, and to load them."""

from __future__ import annotations

import csv
import io
import json
import logging
import re
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.command import Ended, TookTooLong, command, run
from dashboard.problems import Problem
from dashboard.uploads.folder import Folder

#: For looking at files of the size that a page takes; a load may copy a large snapshot.
LONGEST_LOOK_SECONDS, LONGEST_LOAD_SECONDS = 300, 1800
LAYOUT = "layout.toml"
#: A reason is a code, a colon and a sentence that begins with the column, where one column is at fault.
_REASON = re.compile(r"(?:^|; )([a-z_]+): (\w+)")
log = logging.getLogger("evenhand.dashboard")


class NotDone(Problem):
    """Uploaded files were not understood or not loaded; nothing was published.

    Attributes
    ----------
    sentence, next_step
        Plain words for the reader; the sentence is the command's own where it ended with one.
    """

    def __init__(self, sentence: str, next_step: str) -> None:
        super().__init__(f"{sentence} {next_step}")
        self.sentence, self.next_step = sentence, next_step


@dataclass(frozen=True)
class TriedFile:
    """An uploaded file, or one in an uploaded archive.

    Attributes
    ----------
    form
        ``own``, that of the input table; ``mended``, the same of refused rows that come back; ``foreign``;
        ``unreadable``, and ``problem`` says why.
    """

    name: str
    form: str
    rows: int
    problem: str | None


@dataclass(frozen=True)
class ForeignColumn:
    """A column of the files, as ``evenhand layout try --json`` tells it.

    Attributes
    ----------
    table
        The joined table that it stands in; None in the rows.
    words
        Its different values with their rows, where they are few and short; none are told of a private column.
    """

    label: str
    table: str | None
    filled: int
    words: dict[str, int]
    examples: list[str]
    private: bool


@dataclass(frozen=True)
class ReadColumn:
    """A column of the input table; ``title`` where it is a measure, ``choices`` with the titles of topics."""

    name: str
    title: str | None
    kind: str
    unit: str | None
    required: bool
    choices: dict[str, str]


@dataclass(frozen=True)
class SampleRow:
    """A row of a sample, its cells by column, and why a load would refuse it."""

    file: str
    row: int
    cells: dict[str, str | None]
    reasons: list[str]


@dataclass(frozen=True)
class Tried:
    """What a layout makes of the files; with ``layout`` empty none is needed.

    Attributes
    ----------
    open
        Where something stands that nobody has settled, as paths of keys, each with what is asked.
    unread
        Words that neither the layout nor the input table knows, by the path of their column, each with a guess or "?".
    before, after
        The first rows as they stand, and as they would be read.
    """

    files: list[TriedFile]
    layout: str
    open: list[tuple[tuple[str | int, ...], str]]
    columns: list[ForeignColumn]
    unread: list[tuple[tuple[str | int, ...], dict[str, str]]]
    before: list[SampleRow]
    after: list[SampleRow]
    contract: dict[str, ReadColumn]

    def files_of(self, *forms: str) -> list[TriedFile]:
        return [file for file in self.files if file.form in forms]

    @property
    def readable(self) -> list[TriedFile]:
        return [file for file in self.files if file.form != "unreadable"]

    @property
    def is_mixed(self) -> bool:
        """Whether the files cannot go in one load: their rows are read, or put in place, in different ways."""
        return len({file.form for file in self.readable}) > 1


def look(folder: Folder, layout: str | None = None) -> Tried:
    """What is in the files, by a layout; with none, by one that is suggested where it needs any.

    Raises
    ------
    NotDone
        With the command's own sentence, and what to do.
    """
    arguments = ["layout", "try", *folder.files, "--json", *_by(folder, layout)]
    told = _told(_run(folder, arguments, LONGEST_LOOK_SECONDS), folder)
    return Tried(
        files=[
            TriedFile(_named(folder, one["file"]), one["form"], one["rows"], one["problem"]) for one in told["files"]
        ],
        layout=told["layout"],
        open=[(tuple(one["path"]), one["ask"]) for one in told["questions"]],
        columns=[ForeignColumn(**one) for one in told["columns"]],
        unread=[(tuple(one["path"]), one["words"]) for one in told["unread"]],
        before=_sample(told["before"]),
        after=_sample(told["after"]),
        contract={one["name"]: ReadColumn(**one) for one in told["contract"]},
    )


def _sample(told: dict[str, Any]) -> list[SampleRow]:
    return [
        SampleRow(row["file"], row["row"], dict(zip(told["columns"], row["cells"], strict=True)), row["reasons"])
        for row in told["rows"]
    ]


@dataclass(frozen=True)
class Loaded:
    """What became of a load.

    Attributes
    ----------
    files, read, new, replaced, unchanged, refused
        Files, and rows: read is the sum of the four others.
    reasons
        Of the refused rows: the code of the reason, the column at fault (empty where it is not one alone), and in how
        many rows; most rows first. A row with two reasons counts under both.
    unreadable
        Files that were refused whole, each with the reason.
    notices, unknown
        What was understood by a rule of the layout; columns that were not stored.
    """

    files: int
    read: int
    new: int
    replaced: int
    unchanged: int
    refused: int
    reasons: list[tuple[str, str, int]]
    unreadable: list[tuple[str, str]]
    notices: list[str]
    unknown: list[str]
    published: bool


def load(folder: Folder, warehouse: Path, layout: str | None = None, mend: bool = False) -> Loaded:
    """Load the files into a warehouse, by a layout where they need one; ``mend``: as rows of reports that are there.

    Raises
    ------
    NotDone
        Nothing was published; with the command's own sentence, and what to do.
    """
    arguments = ["load", *folder.files, "--json", "--warehouse", str(warehouse.resolve())]
    arguments += [*(["--mend"] if mend else []), *_by(folder, layout)]
    told = _told(_run(folder, arguments, LONGEST_LOAD_SECONDS), folder)
    return Loaded(
        files=told["files"],
        read=told["rows_read"],
        new=told["rows_loaded"],
        replaced=told["rows_replaced"],
        unchanged=told["rows_unchanged"],
        refused=told["rows_rejected"],
        reasons=_reasons(folder, warehouse) if told["rows_rejected"] else [],
        unreadable=[(_named(folder, one["file"]), one["problem"]) for one in told["loads"] if one["problem"]],
        notices=[folder.without_folder(notice) for notice in told["notices"]],
        unknown=told["unknown_columns"],
        published=told["published"],
    )


def _reasons(folder: Folder, warehouse: Path) -> list[tuple[str, str, int]]:
    """Why the newest load refused rows of these files."""
    done = _run(folder, ["rejects", "--warehouse", str(warehouse.resolve())], LONGEST_LOOK_SECONDS)
    rows = csv.DictReader(io.StringIO(done.stdout.removeprefix("\ufeff")))
    below = folder.files[0].partition("/")[0]
    columns = set(rows.fieldnames or ())
    found: Counter[tuple[str, str]] = Counter()
    for row in rows:
        if below in row["file"]:
            for code, word in _REASON.findall(row["reasons"]):
                found[code, word if word in columns else ""] += 1
    return [(code, column, count) for (code, column), count in found.most_common()]


def _by(folder: Folder, layout: str | None) -> list[str]:
    """The option that names a layout, which then lies beside the files; nothing without one."""
    if not folder.keep():
        raise NotDone("The files were removed, since nothing was done with them for two hours.", "Bring them again.")
    if layout is None:
        return []
    (folder.path / LAYOUT).write_text(layout, encoding="utf-8")
    return ["--layout", LAYOUT]


def _named(folder: Folder, file: str) -> str:
    return folder.without_folder(file)


def _run(folder: Folder, arguments: list[str], longest_seconds: float) -> Ended:
    try:
        return run(command(*arguments), longest_seconds, folder.path)
    except TookTooLong:
        raise NotDone(
            f"That took longer than {longest_seconds / 60:.0f} minutes, and was ended; nothing was published.",
            "Load these files in a terminal: `evenhand load FILE`, however long that takes.",
        ) from None
    except OSError:
        raise _unknown_fault() from None


def _told(done: Ended, folder: Folder) -> dict[str, Any]:
    """What the command told as JSON; it tells it where files or rows were refused, too."""
    try:
        told: dict[str, Any] = json.loads(done.stdout)
    except json.JSONDecodeError:
        if done.sentence:
            raise NotDone(folder.without_folder(done.sentence), "") from None
        log.error("the command told something else than was asked: %s", done.stdout[:500])
        raise _unknown_fault() from None
    return told


def _unknown_fault() -> NotDone:
    return NotDone(
        "These files could not be looked at.",
        "Try it again. If it stays so, the log in the window that serves the dashboard says why.",
    )
