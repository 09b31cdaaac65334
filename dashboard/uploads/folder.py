"""Where files lie that were brought to a page: a temporary folder of their own, removed when the work is done."""

from __future__ import annotations

import re
import shutil
import tempfile
import threading
import weakref
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path

_UNSAFE = re.compile(r"[\x00-\x1f\x7f<>:\"/\\|?*]+")
_LONGEST_NAME = 150
#: How long files stay with which nothing is done.
KEPT_SECONDS = 2 * 60 * 60


class Folder:
    """A temporary folder with uploaded files.

    It goes when it is closed, when nobody holds it any more, when the program ends, and when nothing was done with it
    for a while: the server keeps the session of somebody who left without a word.

    Attributes
    ----------
    path
        The folder. The command is run in it, so that what it says and stores of a file's name is :attr:`files`.
    files
        The files, as paths below it: ``uploaded-20261127-210533/findings.csv``. The day and the time keep apart files
        of one name that were loaded in different months.
    """

    def __init__(self, uploaded: Iterable[tuple[str, bytes]], now: datetime) -> None:
        self.path = Path(tempfile.mkdtemp(prefix="evenhand-upload-"))
        self._removing = weakref.finalize(self, shutil.rmtree, self.path, ignore_errors=True)
        self._timer: threading.Timer | None = None
        self.keep()
        self._below = f"uploaded-{now:%Y%m%d-%H%M%S}"
        below = self.path / self._below
        below.mkdir()
        self.files: list[str] = []
        for name, content in uploaded:
            file = _free(below, safe_name(name))
            file.write_bytes(content)
            self.files.append(f"{self._below}/{file.name}")

    def keep(self) -> bool:
        """Keep it for another while; False where it is gone already."""
        if self._timer is not None:
            self._timer.cancel()
        # The clock holds what removes the folder, and not the folder: else it would keep it from going earlier.
        self._timer = threading.Timer(KEPT_SECONDS, self._removing)
        self._timer.daemon = True
        self._timer.start()
        return self._removing.alive

    def close(self) -> None:
        """Remove the folder and all that is in it."""
        if self._timer is not None:
            self._timer.cancel()
        self._removing()

    def without_folder(self, text: str) -> str:
        """A text of the command in which files are called as they were when they were uploaded."""
        return text.replace(f"{self._below}/", "")


def safe_name(name: str) -> str:
    """A name as it can stand in any folder; that of a path is its last part."""
    last = re.split(r"[\\/]", name)[-1]
    plain = _UNSAFE.sub("_", last).strip() or "file"
    stem, dot, ending = plain.rpartition(".")
    return f"{stem[: _LONGEST_NAME - len(ending)]}.{ending}" if dot and stem else plain[:_LONGEST_NAME]


def _free(folder: Path, name: str) -> Path:
    """A path for a name that is not taken; a second file of one name gets a number."""
    stem, ending = Path(name).stem, Path(name).suffix
    path, number = folder / name, 2
    while path.exists():
        path, number = folder / f"{stem} ({number}){ending}", number + 1
    return path
