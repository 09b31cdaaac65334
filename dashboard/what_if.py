"""What another guideline would change: asked of the command ``evenhand rejudge``, in a process of its own.

A snapshot holds verdicts, not the means to judge; those are the command's, and it publishes nothing.
"""

from __future__ import annotations

import json
import logging
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

from dashboard.command import Ended, TookTooLong, command, run
from dashboard.problems import Problem
from dashboard.warehouse import Snapshot

#: The guidelines that a reader may choose from; the command knows older editions too.
GUIDELINES = ("IRC 2015", "IRC 2018", "IRC 2021", "IRC 2024", "DCA 6")
#: A million calls take some seconds; whoever waits longer should be told rather than go on waiting.
LONGEST_SECONDS = 120
#: Files of the warehouse folder that change verdicts: the firm's settings, and its local rules.
_FIRM_FILES = ("firm.toml", "criteria.toml")
_COLUMNS = ["topic", "title", "call", "before", "after", "observations", "decks"]
log = logging.getLogger("evenhand.dashboard")


class NotTried(Problem):
    """A guideline could not be tried.

    Attributes
    ----------
    sentence, next_step
        Plain words for the reader.
    """

    def __init__(self, sentence: str, next_step: str) -> None:
        super().__init__(f"{sentence} {next_step}")
        self.sentence = sentence
        self.next_step = next_step


@dataclass(frozen=True)
class WhatIf:
    """Which verdicts of a snapshot would flip if every report were measured against a guideline.

    Attributes
    ----------
    guideline
        The one that was tried.
    calls
        How many were judged again.
    changes
        One row a topic x call x way, in the order of the topics: topic, title, call, before, after (verdicts),
        observations, decks (of a report).
    rules_changed
        Whether the rules are others than those of the snapshot: what is tried is then compared with the rules of now.
    """

    guideline: str
    calls: int
    changes: pd.DataFrame
    rules_changed: bool

    @property
    def flips(self) -> int:
        """How many verdicts would flip."""
        return int(self.changes["observations"].sum())

    @property
    def by_verdict(self) -> dict[str, int]:
        """Flips by what would be said, most first."""
        return self._counted("after")

    @property
    def by_topic(self) -> dict[str, int]:
        """Flips by the topic's title, most first."""
        return self._counted("title")

    @property
    def ways(self) -> pd.DataFrame:
        """One row a topic x way, in the order of the topics, most first: title, before, after, observations,
        written_up (how many of them)."""
        written_up = self.changes["observations"].where(self.changes["call"] == "written_up", 0)
        keys = ["topic", "title", "before", "after"]
        found = self.changes.assign(written_up=written_up).groupby(keys, sort=False)[["observations", "written_up"]]
        summed = found.sum().reset_index()
        place = {topic: at for at, topic in enumerate(dict.fromkeys(summed["topic"]))}
        order = summed["topic"].map(place)
        return (
            summed.assign(place=order)
            .sort_values(["place", "observations"], ascending=[True, False], kind="stable", ignore_index=True)
            .drop(columns=["topic", "place"])
        )

    def _counted(self, column: str) -> dict[str, int]:
        summed = self.changes.groupby(column, sort=False)["observations"].sum().sort_values(ascending=False)
        return {str(name): int(count) for name, count in summed.items()}


def firm_files(snapshot: Snapshot) -> tuple[int, ...]:
    """When the firm's settings and rules were last changed: part of the key under which an answer is kept."""
    files = [_folder(snapshot) / name for name in _FIRM_FILES]
    return tuple(file.stat().st_mtime_ns if file.exists() else 0 for file in files)


def what_if(snapshot: Snapshot, guideline: str, changed: tuple[int, ...] = ()) -> WhatIf:
    """Judge the calls of a snapshot again, as if every report were measured against a guideline.

    Parameters
    ----------
    guideline
        One of ``GUIDELINES``.
    changed
        Of :func:`firm_files`, for the caller that keeps the answer; nothing here hangs on it.

    Raises
    ------
    NotTried
        With a sentence, and what to do.
    """
    told = _answer(_run(_command(_folder(snapshot), guideline)))
    if told["snapshot"] != snapshot.info.snapshot:
        raise NotTried("Other reports were published while this was worked out.", "Press the button again.")
    changes = pd.DataFrame(told["changes"], columns=_COLUMNS)
    # A topic without a rule has no verdict; a group by nothing would drop its rows.
    changes[["before", "after"]] = changes[["before", "after"]].fillna("no_rule")
    return WhatIf(guideline, int(told["observations"]), changes, told["catalog"] != snapshot.info.catalog)


def _folder(snapshot: Snapshot) -> Path:
    return snapshot.file.resolve().parents[1]


def _command(folder: Path, guideline: str) -> list[str]:
    return command("rejudge", "--code-basis", guideline, "--json", "--warehouse", str(folder))


def _run(started: list[str]) -> str:
    """What the command writes to stdout."""
    try:
        done = run(started, LONGEST_SECONDS)
    except TookTooLong:
        raise NotTried(
            f"It took longer than {LONGEST_SECONDS} seconds, and was ended.",
            "`evenhand rejudge --code-basis GUIDELINE` does the same in a terminal, however long it takes.",
        ) from None
    except OSError:
        raise _unknown_fault() from None
    if done.code:
        raise _refused(done)
    return done.stdout


def _answer(text: str) -> dict[str, Any]:
    try:
        told: dict[str, Any] = json.loads(text)
    except json.JSONDecodeError:
        log.error("rejudge told something else than its answer: %s", text[:500])
        raise _unknown_fault() from None
    return told


def _refused(done: Ended) -> NotTried:
    """The command's own sentence, where it ended with one."""
    return NotTried(done.sentence, "Then press the button again.") if done.sentence else _unknown_fault()


def _unknown_fault() -> NotTried:
    return NotTried(
        "This could not be worked out.",
        "Press the button again. If it stays so, the log in the window that serves the dashboard says why.",
    )
