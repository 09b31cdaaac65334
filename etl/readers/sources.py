"""Which files a command means: files, folders, globs and zip archives become single files with a name to show."""

from __future__ import annotations

import glob
import hashlib
import zipfile
from dataclasses import dataclass, field
from pathlib import Path

from etl.errors import UsageError

SUFFIXES = (".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".parquet", ".json", ".jsonl", ".ndjson")
#: A member of an archive that unpacks beyond this is not unpacked.
LARGEST_MEMBER = 4 * 2**30
#: Archives whose members shrink more than this are not reports.
LARGEST_RATIO = 300


@dataclass
class Source:
    """One file to read.

    Attributes
    ----------
    path
        Where it lies now; None where it could not be unpacked.
    name
        What people know it as: the path as given, or ``archive.zip/member``.
    problem
        Why it cannot be read, a sentence; None where it can.
    """

    path: Path | None
    name: str
    problem: str | None = None
    sha256: str = field(default="", compare=False)

    def digest(self) -> str:
        """The SHA-256 of the file's bytes, as hex; empty where there are none to read."""
        if not self.sha256 and self.path is not None:
            with self.path.open("rb") as file:
                self.sha256 = hashlib.file_digest(file, "sha256").hexdigest()
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
            for source in _unpack(path, scratch) if _is_archive(path) else [_single(path)]:
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
    if path.exists():
        return [path]
    matches = sorted(Path(match) for match in glob.glob(text, recursive=True))
    if not matches:
        raise UsageError(f"{text} does not exist, and no file matches it.")
    return [file for match in matches for file in _expand(str(match))]


def _hidden(file: Path, below: Path) -> bool:
    """Files that a desktop leaves behind: dot files, and the lock files of open workbooks."""
    parts = file.relative_to(below).parts
    return any(part.startswith((".", "~$")) for part in parts)


def _single(path: Path) -> Source:
    if not path.is_file():
        return Source(None, str(path), "it is not a regular file")
    if path.suffix.lower() not in SUFFIXES:
        known = ", ".join(SUFFIXES)
        return Source(None, str(path), f"files that end in '{path.suffix}' are not read; readable are {known}, .zip")
    return Source(path, str(path))


def _unpack(archive: Path, scratch: Path) -> list[Source]:
    """Each readable member, under a name of our own, so that no path inside the archive is ever used."""
    try:
        with zipfile.ZipFile(archive) as unzipped:
            return [
                _member(unzipped, info, archive, scratch)
                for info in unzipped.infolist()
                if not info.is_dir() and not _left_behind(info.filename)
            ]
    except (zipfile.BadZipFile, OSError):
        return [Source(None, str(archive), "it is not a zip archive, or it is damaged; pack it again")]


def _left_behind(name: str) -> bool:
    return any(part.startswith((".", "~$", "__MACOSX")) for part in Path(name).parts if part != "..")


def _member(archive: zipfile.ZipFile, info: zipfile.ZipInfo, path: Path, scratch: Path) -> Source:
    name = f"{path}/{info.filename}"
    suffix = Path(info.filename).suffix.lower()
    if suffix not in SUFFIXES:
        return Source(None, name, f"files that end in '{suffix}' are not read; take it out of the archive")
    if info.flag_bits & 0x1:
        return Source(None, name, "it is encrypted; pack it without a password")
    if info.file_size > LARGEST_MEMBER or info.file_size > LARGEST_RATIO * max(info.compress_size, 4096):
        return Source(None, name, f"it would unpack to {info.file_size:,} bytes; unpack it yourself if that is right")
    target = scratch / f"{hashlib.sha256(name.encode()).hexdigest()[:16]}{suffix}"
    try:
        with archive.open(info) as packed, target.open("wb") as file:
            while block := packed.read(1 << 20):
                file.write(block)
    except (zipfile.BadZipFile, NotImplementedError, OSError, EOFError):
        return Source(None, name, "it is damaged in the archive; pack it again")
    return Source(target, name)
