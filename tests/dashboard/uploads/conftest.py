"""Uploaded files and what the command says of them, by the real command."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from dashboard.cli import _sentence_of, evenhand
from dashboard.command import Ended
from dashboard.uploads import asking
from dashboard.uploads.work import Work, begin
from tests.commands import Command
from tests.etl.test_trial import FINDINGS, FOREIGN

NOW = datetime(2026, 11, 25, 7, 10, 5)


def quickly(started: list[str], longest_seconds: float, folder: Path | None = None) -> Ended:
    """The command as :func:`dashboard.command.run` runs it: a look here and now, all else forked from a ready process."""
    assert folder is not None
    arguments = started[3:]
    if arguments[:2] != ["layout", "try"]:
        done = Command(folder)(*arguments, code=None)
        return Ended(done.returncode, done.stdout, done.stderr)
    with contextlib.chdir(folder):
        found = CliRunner().invoke(evenhand, arguments)
    if found.exception is None:
        return Ended(found.exit_code, found.stdout, found.stderr)
    sentence, code = _sentence_of(found.exception)
    if sentence is None:
        raise found.exception
    return Ended(code, "", f"evenhand: {sentence}\n")


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(asking, "run", quickly)


@pytest.fixture
def uploaded(quick: None) -> Iterator[Callable[..., Work]]:
    """Upload files, names with text; by default the example of docs/foreign-files.md."""
    works: list[Work] = []

    def upload(*files: tuple[str, str | bytes]) -> Work:
        given = files or (("findings.csv", FINDINGS),)
        works.append(begin([(name, text.encode() if isinstance(text, str) else text) for name, text in given], NOW))
        return works[-1]

    yield upload
    for work in works:
        work.folder.close()


def export_of(firm: str) -> list[tuple[str, bytes]]:
    """The files that an invented firm hands over."""
    return [(file.name, file.read_bytes()) for file in sorted((FOREIGN / firm / "export").iterdir())]
