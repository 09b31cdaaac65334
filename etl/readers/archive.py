"""Zip archives: their readable members as files of our own, or the whole archive refused.

No path of an archive is ever written to. One that leads out of it is still no accident: such an archive is refused
whole, since nothing else in it can be trusted either.
"""

from __future__ import annotations

import hashlib
import re
import stat
import struct
import zipfile
import zlib
from pathlib import Path, PurePosixPath
from typing import IO

from etl.errors import SourceError
from etl.readers import limits

#: Members that shrink more than this are not reports.
LARGEST_RATIO = 300
_LONGEST_TAIL = 2**16 + 256
_LEADS_OUT = re.compile(r"[A-Za-z]:|/|(?:.*/)?\.\.(?:/|$)", re.DOTALL)


def members(archive: Path, scratch: Path, suffixes: tuple[str, ...]) -> list[tuple[str, Path | str]]:
    """The members of an archive that are files: the name of each, with where it was unpacked to, or why it was not.

    Parameters
    ----------
    archive
        The archive.
    scratch
        A folder to unpack into.
    suffixes
        How names of readable files end.

    Raises
    ------
    SourceError
        Where it is no archive, holds too much, or has a member whose path leads out of it.
    """
    try:
        with archive.open("rb") as file:
            limits.check_size(archive.stat().st_size, limits.LARGEST_FILE)
            _check_directory(file)
            with zipfile.ZipFile(file) as unzipped:
                wanted = _checked(unzipped.infolist())
                return [(info.filename, _unpacked(unzipped, info, archive, scratch, suffixes)) for info in wanted]
    except (zipfile.BadZipFile, OSError, ValueError, struct.error):
        raise SourceError("it is not a zip archive, or it is damaged; pack it again") from None


def _check_directory(file: IO[bytes]) -> None:
    """Look at the size of the list of members before it is read: it is held in memory whole."""
    end = file.seek(0, 2)
    file.seek(max(0, end - _LONGEST_TAIL))
    tail = file.read()
    size = 0
    if (at := tail.rfind(b"PK\5\6")) >= 0:
        size = struct.unpack_from("<L", tail, at + 12)[0]
    if (at := tail.rfind(b"PK\6\6")) >= 0:  # the end record of large archives, which stands above the other
        size = max(struct.unpack_from("<Q", tail, at + 40)[0], size if size < 2**32 - 1 else 0)
    if size > limits.LARGEST_DIRECTORY:
        raise SourceError(_too_many())
    file.seek(0)


def _checked(found: list[zipfile.ZipInfo]) -> list[zipfile.ZipInfo]:
    """The members that may be read, of an archive that may be unpacked.

    Raises
    ------
    SourceError
    """
    for info in found:
        if _LEADS_OUT.match(info.filename.replace("\\", "/")):
            raise SourceError(f"the path of a member leads out of it ({_short(info)}); nothing of it was unpacked")
        if stat.S_ISLNK(info.external_attr >> 16):
            raise SourceError(f"a member is a link to another file ({_short(info)}); nothing of it was unpacked")
    wanted = [info for info in found if not info.is_dir() and not _left_behind(info.filename)]
    if len(wanted) > limits.MOST_MEMBERS:
        raise SourceError(_too_many())
    size = sum(info.file_size for info in wanted if not _shrinks_too_much(info))
    if size > limits.LARGEST_FILE:
        raise SourceError(
            f"it would unpack to {size / 2**20:,.0f} MB, and at most {limits.LARGEST_FILE >> 20:,} are; pack parts"
        )
    return wanted


def _too_many() -> str:
    return f"it lists more files than the {limits.MOST_MEMBERS:,} that are read of an archive; pack it in parts"


def _short(info: zipfile.ZipInfo) -> str:
    return info.filename[:80]


def _left_behind(name: str) -> bool:
    """Files that a desktop leaves behind: dot files, the lock files of open workbooks, what macOS adds."""
    return any(part.startswith((".", "~$", "__MACOSX")) for part in PurePosixPath(name).parts)


def _shrinks_too_much(info: zipfile.ZipInfo) -> bool:
    return info.file_size > LARGEST_RATIO * max(info.compress_size, 4096)


def _unpacked(
    unzipped: zipfile.ZipFile, info: zipfile.ZipInfo, archive: Path, scratch: Path, suffixes: tuple[str, ...]
) -> Path | str:
    """Where a member was unpacked to, or why it was not."""
    suffix = PurePosixPath(info.filename).suffix.lower()
    if suffix not in suffixes:
        what = "an archive within an archive is" if suffix == ".zip" else f"files that end in '{suffix}' are"
        return f"{what} not read; take it out of the archive"
    if info.flag_bits & 0x1:
        return "it is encrypted; pack it without a password"
    if _shrinks_too_much(info):
        return f"it would unpack to {info.file_size:,} bytes; unpack it yourself if that is right"
    name = f"{archive}/{info.filename}".encode("utf-8", "surrogatepass")
    target = scratch / f"{hashlib.sha256(name).hexdigest()[:16]}{suffix}"
    try:
        with unzipped.open(info) as packed, target.open("wb") as file:
            while block := packed.read(1 << 20):
                file.write(block)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, EOFError, zlib.error):
        return "it is damaged in the archive; pack it again"
    return target
