"""The command ``evenhand`` as a child process: for what a page asks of it that the dashboard cannot do itself."""

from __future__ import annotations

import logging
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

_SAID_BY_COMMAND = "evenhand: "
#: In a folder of others' files no name of theirs may be taken for a module; ours is found where this one stands.
_OURS = os.pathsep.join(filter(None, (str(Path(__file__).resolve().parents[1]), os.environ.get("PYTHONPATH"))))
_ELSEWHERE = {"PYTHONSAFEPATH": "1", "PYTHONPATH": _OURS}
log = logging.getLogger("evenhand.dashboard")


class TookTooLong(Exception):
    """It did not end within the time given, and was ended."""


@dataclass(frozen=True)
class Ended:
    """How the command ended: its exit code, and what it wrote."""

    code: int
    stdout: str
    stderr: str

    @property
    def sentence(self) -> str | None:
        """The command's own sentence, where it ended with one; else it is a fault of the program.

        It may have several lines, of which the later ones are indented.
        """
        lines = self.stderr.strip().splitlines()
        said = [number for number, line in enumerate(lines) if line.startswith(_SAID_BY_COMMAND)]
        if not said or not all(line.startswith("  ") for line in lines[said[-1] + 1 :]):
            return None
        return "\n".join(lines[said[-1] :]).removeprefix(_SAID_BY_COMMAND)


def command(*arguments: str) -> list[str]:
    """The command with these arguments, as the program that is running here has it."""
    return [sys.executable, "-m", "dashboard.cli", *arguments]


def run(started: list[str], longest_seconds: float, folder: Path | None = None) -> Ended:
    """Run it to its end; what it said of an error goes into the log.

    Parameters
    ----------
    folder
        Where it is run; else where the program was started. No module is looked for there.

    Raises
    ------
    TookTooLong
    OSError
        It could not be started.
    """
    try:
        done = subprocess.run(
            started,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            errors="replace",
            cwd=folder,
            env=os.environ | {"PYTHONUTF8": "1"} | (_ELSEWHERE if folder else {}),
            timeout=longest_seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise TookTooLong from None
    except OSError as error:
        log.error("the command could not be started: %s", error)
        raise
    if done.returncode:
        log.error("the command ended with %s: %s", done.returncode, done.stderr)
    return Ended(done.returncode, done.stdout, done.stderr)
