"""Which files a command means: files, folders, globs and zip archives become single files with a name to show."""

from __future__ import annotations

import glob
import hashlib
import os
from dataclasses import dataclass, field
from pathlib import Path

from etl.errors import SourceError, UsageError
from etl.private import coded, printable
from etl.readers import limits
from etl.readers.archive import members

SUFFIXES = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".parquet", ".json", ".jsonl", ".ndjson")


@dataclass
class Source:
    """One file to read.

    Attributes
    ----------
    path
        Where it lies now; None where it could not be unpacked.
    name
        What people know it as: the path as given, or ``archive.zip/member``; see :func:`shown_as`.
    problem
        Why it cannot be read, a sentence; None where it can.
    """

    path: Path | None
    name: str
    problem: str | None = None
    sha256: str = field(default="", compare=False)

    def digest(self) -> str:
        """The SHA-256 of the file's bytes, as hex; empty where there are none to read."""
        if not self.sha256 and self.path is not None and not self.problem:
            try:
                with self.path.open("rb") as file:
                    self.sha256 = hashlib.file_digest(file, "sha256").hexdigest()
            except OSError:  # it vanished, or may not be read
                return ""
        return self.sha256


def find_sources(given: list[str], scratch: Path) -> list[Source]:
    """The files behind what was given, each once, in a fixed order.

    Parameters
    ----------
    given
        Paths of files, folders (searched through), zip archives, or globs.
    scratch
        A folder that archives may be unpacked into.

    Raises
    ------
    UsageError
        Where something given does not exist, or matches nothing.
    """
    found: dict[Path, Source] = {}
    for text in given:
        for path in _expand(text):
            for source in _unpack(path, scratch) if _is_archive(path) else [_single(path, scratch)]:
                found.setdefault(source.path or Path(source.name), source)
    if not found:
        raise UsageError(f"There is no file to read in {', '.join(given)}. Readable are: {', '.join(SUFFIXES)}, .zip.")
    return list(found.values())


def _is_archive(path: Path) -> bool:
    """Whether to look into a file for others; a pipe of that name would be waited for without end."""
    return path.suffix.lower() == ".zip" and path.is_file()


def _expand(text: str) -> list[Path]:
    path = Path(text)
    if path.is_dir():
        # A .txt in a folder is more often a memo than a table; it is read where it is named.
        wanted = {*SUFFIXES, ".zip"} - {".txt"}
        found = sorted(file for file in path.rglob("*") if file.suffix.lower() in wanted and not _hidden(file, path))
        # An empty folder that is called like a file stands where a file should be.
        return found or ([path] if path.suffix.lower() in wanted else [])
    if os.path.lexists(path):  # links that lead nowhere, or in a circle, too
        return [path]
    matches = sorted(glob.glob(text, recursive=True))
    if not matches:
        raise UsageError(f"{printable(text)} does not exist, and no file matches it.")
    return [file for match in matches for file in _expand(match)]


def _hidden(file: Path, below: Path) -> bool:
    """Files that a desktop leaves behind: dot files, and the lock files of open workbooks."""
    parts = file.relative_to(below).parts
    return any(part.startswith((".", "~$")) for part in parts)


def _single(path: Path, scratch: Path) -> Source:
    name = shown_as(path)
    if path.is_symlink() and not path.exists():
        return Source(None, name, "it is a link to a file that is not there")
    if not path.is_file():
        return Source(None, name, "it is not a regular file")
    if path.suffix.lower() not in SUFFIXES:
        known, ending = ", ".join(SUFFIXES), printable(path.suffix)
        return Source(None, name, f"files that end in '{ending}' are not read; readable are {known}, .zip")
    try:
        limits.check_size(path.stat().st_size, limits.LARGEST_FILE)
    except SourceError as error:
        return Source(None, name, str(error))
    return Source(_called_plainly(path, scratch), name)


def shown_as(path: Path) -> str:
    """A path as it may be shown and stored: without control characters, and without what in it is private."""

    def shown(part: str) -> str:
        stem, ending = os.path.splitext(part)
        spaced = stem.replace("_", " ")
        return printable(part if coded(spaced) == spaced else coded(spaced) + ending)

    return str(Path(*map(shown, path.parts)))


def _called_plainly(path: Path, scratch: Path) -> Path:
    """The file by a name that is text: DuckDB opens no other, and takes a star in it for a pattern."""
    if str(path).isprintable() and not set(str(path)) & set("*?"):
        return path
    link = scratch / f"{hashlib.sha256(os.fsencode(path.absolute())).hexdigest()[:16]}{path.suffix.lower()}"
    link.unlink(missing_ok=True)
    link.symlink_to(path.absolute())
    return link


def _unpack(archive: Path, scratch: Path) -> list[Source]:
    """Each readable member, under a name of our own; or the archive as one source that is refused."""
    name = shown_as(archive)
    try:
        found = members(archive, scratch, SUFFIXES)
    except SourceError as error:
        return [Source(None, name, printable(str(error)))]
    return [
        Source(None, f"{name}/{shown_as(Path(member))}", what)
        if isinstance(what, str)
        else Source(what, f"{name}/{shown_as(Path(member))}")
        for member, what in found
    ]
