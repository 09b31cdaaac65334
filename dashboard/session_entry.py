"""A training session that is entered on a page: its rows, and how the command ``evenhand load`` takes them in.

A dashboard reads and never writes, so that the rows go the way of any other: through a file, the checks and the lock of
a load, into a snapshot of their own.
"""

from __future__ import annotations

import csv
import io
import json
import logging
import re
import tempfile
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

import pandas as pd

from dashboard.command import Ended, TookTooLong, command, run
from dashboard.problems import Problem
from dashboard.warehouse import Snapshot

#: Of a load that takes in a table of some rows; it copies the snapshot, however large that is.
LONGEST_SECONDS = 600
#: The columns of a training session, as a load reads them.
COLUMNS = ("session_id", "held_on", "topic", "inspector_id", "hours")
_AGAIN = "Then press the button again."
#: What stands before each reason for which a row was refused.
_CODE = re.compile(r"(?:^|; )[a-z_]+: ")
log = logging.getLogger("evenhand.dashboard")


class NotEntered(Problem):
    """A session was not entered; nothing was published.

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
class Session:
    """A session on one topic, as it is to be entered.

    Attributes
    ----------
    session_id
        Of :func:`session_id`.
    inspectors
        Who attended, by code.
    hours
        How long each did; None where that is not known.
    """

    session_id: str
    held_on: date
    topic: str
    inspectors: tuple[str, ...]
    hours: float | None = None

    @property
    def rows(self) -> pd.DataFrame:
        """One row an inspector who attended, as a load reads them."""
        told = (self.session_id, self.held_on, self.topic)
        return pd.DataFrame([[*told, who, self.hours] for who in self.inspectors], columns=list(COLUMNS))


def held(snapshot: Snapshot) -> pd.DataFrame:
    """The sessions that are there, the newest first.

    Returns
    -------
    DataFrame
        One row a session on a topic: session_id, held_on, topic, inspectors (a tuple of codes), attended (how many),
        hours (of each, where that is known and the same).
    """
    rows = snapshot.query("sessions_held")
    grouped = rows.groupby(["held_on", "session_id", "topic"], sort=True)
    found = [
        {
            **dict(zip(("held_on", "session_id", "topic"), key, strict=True)),
            "inspectors": tuple(own["inspector_id"]),
            "attended": own["inspector_id"].nunique(),
            "hours": float(own["hours"].iloc[0]) if own["hours"].nunique(dropna=False) == 1 else None,
        }
        for key, own in grouped
    ]
    columns = ["session_id", "held_on", "topic", "inspectors", "attended", "hours"]
    return pd.DataFrame(found[::-1], columns=columns).astype({"hours": "float64"})


def session_id(known: pd.DataFrame, held_on: date, topic: str) -> str:
    """The id under which a session goes: the same for the same day and topic, and nobody else's.

    Where a session on the topic is there of that day, whatever its id, it is that one, so that who is entered later
    stands with the others. Else it is made from day and topic, with a number where another session bears that name.

    Parameters
    ----------
    known
        Of :func:`held`.
    """
    same = known[(known["topic"] == topic) & (pd.to_datetime(known["held_on"]).dt.date == held_on)]
    if len(same):
        return str(same["session_id"].min())
    return _free(f"{held_on.isoformat()}-{topic}", set(known["session_id"]))


def _free(name: str, taken: Collection[str]) -> str:
    numbered = (f"{name}-{number}" for number in count(2))
    return name if name not in taken else next(other for other in numbered if other not in taken)


@dataclass(frozen=True)
class Joined:
    """The session that one to be entered is a part of, as it stands.

    Attributes
    ----------
    attended
        How many are in it; 0 where there is none yet.
    there
        Who of the session to be entered is in it already.
    same
        Whether that is everybody, with the same hours: nothing is left to enter.
    """

    attended: int
    there: tuple[str, ...]
    same: bool


def joined(known: pd.DataFrame, session: Session) -> Joined:
    """What is there already of a session to be entered; ``known`` as :func:`held` gives it."""
    own = known[(known["session_id"] == session.session_id) & (known["topic"] == session.topic)]
    people = {who for inspectors in own["inspectors"] for who in inspectors}
    there = tuple(who for who in session.inspectors if who in people)
    hours = pd.Series([session.hours], dtype="float64")
    same = there == session.inspectors and own["hours"].reset_index(drop=True).equals(hours)
    return Joined(int(own["attended"].sum()), there, same)


@dataclass(frozen=True)
class Entered:
    """What became of a session that was entered.

    Attributes
    ----------
    session
        The session.
    new, replaced
        How many attendances are new, and how many stand in place of ones with other hours.
    flips
        How many verdicts flipped, since the rules had changed since the last load.
    """

    session: Session
    new: int
    replaced: int
    flips: int


def enter(snapshot: Snapshot, session: Session) -> Entered:
    """Load a session into the warehouse that the snapshot is of; all of its rows, or none.

    Raises
    ------
    NotEntered
        With the load's own sentence, and what to do.
    """
    folder = snapshot.file.resolve().parents[1]
    with tempfile.TemporaryDirectory(prefix="evenhand-") as scratch:
        file = Path(scratch) / f"entered {session.session_id}.csv"
        session.rows.to_csv(file, index=False)
        told = _summary(_run(("load", str(file), "--strict", "--json", "--warehouse", str(folder))))
        if told["rows_rejected"] or not (told["published"] or told["rows_unchanged"]):
            raise _refused(folder, file)
    return Entered(session, told["rows_loaded"], told["rows_replaced"], told["flips"])


def _run(arguments: tuple[str, ...]) -> Ended:
    try:
        return run(command(*arguments), LONGEST_SECONDS)
    except TookTooLong:
        raise NotEntered(
            f"The load took longer than {LONGEST_SECONDS} seconds, and was ended; nothing was published.",
            "Load the session from a file in a terminal: `evenhand load FILE`, however long that takes.",
        ) from None
    except OSError:
        raise _unknown_fault() from None


def _summary(done: Ended) -> dict[str, Any]:
    """The load's summary; it is told where rows were refused too, and where something else went wrong it is not."""
    try:
        told: dict[str, Any] = json.loads(done.stdout)
    except json.JSONDecodeError:
        if done.sentence:
            raise NotEntered(done.sentence, _AGAIN) from None
        log.error("the load told something else than its summary: %s", done.stdout[:500])
        raise _unknown_fault() from None
    return told


def _refused(folder: Path, file: Path) -> NotEntered:
    """Why the load refused the rows of a file, in its own words, each once."""
    done = _run(("rejects", "--warehouse", str(folder)))
    rows = csv.DictReader(io.StringIO(done.stdout.removeprefix("\ufeff")))
    of_file = (row["reasons"] for row in rows if Path(row["file"]).name == file.name)
    reasons = dict.fromkeys(reason for reasons in of_file for reason in _plain(reasons))
    if not reasons:
        log.error("the load refused a session, and its reasons are not among the newest: %s", done.stdout[:500])
        return _unknown_fault()
    return NotEntered(f"The load refused it: {'; '.join(reasons)}.", "Mend that above, and press the button again.")


def _plain(reasons: str) -> list[str]:
    """Each reason of a row without the code that stands before it."""
    return _CODE.split(reasons)[1:]


def _unknown_fault() -> NotEntered:
    return NotEntered(
        "The session could not be entered.",
        "Press the button again. If it stays so, the log in the window that serves the dashboard says why.",
    )
