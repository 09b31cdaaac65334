"""How much of anything is read: what lies beyond is refused at once, so that no file can fill the memory or the day.

Each is some ten times what a firm's whole past needs in one file. They are module attributes that readers look up when
they read, so that a test can lower one.
"""

from __future__ import annotations

from etl.errors import SourceError

#: Bytes of a file as it lies, and of all that a zip archive unpacks to.
LARGEST_FILE = 2**30
#: Members of a zip archive, and bytes of its list of members, which is read whole.
MOST_MEMBERS, LARGEST_DIRECTORY = 2_000, 2**21
#: Bytes of a file of JSON, and values in it: each becomes an object of some hundred bytes.
LARGEST_DOCUMENTS, MOST_VALUES = 2**28, 10_000_000
#: Rows of a file, or lines of a text.
MOST_ROWS = 5_000_000
#: As many columns as a spreadsheet has.
MOST_COLUMNS = 16_384
#: Cells that are held in memory at a time.
MOST_CELLS = 20_000_000
#: Rows of a file that cannot be taken apart, before the file is no table of reports.
MOST_BROKEN = 20_000
#: Memory (bytes) and time (seconds) of a child process that opens a file with a library that could abort.
CHILD_MEMORY, CHILD_SECONDS = 2 * 2**30, 60


def check_size(size: int, largest: int) -> None:
    """Refuse a file of more bytes than are read.

    Raises
    ------
    SourceError
    """
    if size > largest:
        raise SourceError(f"it has {size / 2**20:,.0f} MB, and at most {largest >> 20:,} are read; export it in parts")


def check_rows(rows: int, what: str = "rows") -> None:
    """Refuse a file of more rows (or lines) than are read.

    Raises
    ------
    SourceError
    """
    if rows > MOST_ROWS:
        raise SourceError(f"it has over {MOST_ROWS:,} {what}, more than are read of one file; export it in parts")


def check_cells(cells: int) -> None:
    """Refuse a table of more cells than are held.

    Raises
    ------
    SourceError
    """
    if cells > MOST_CELLS:
        raise SourceError(f"it has over {MOST_CELLS:,} cells, more than are read of one file; export it in parts")


def check_columns(columns: int) -> None:
    """Refuse a file with more columns than any table of reports has; to read it would take minutes.

    Raises
    ------
    SourceError
    """
    if columns > MOST_COLUMNS:
        raise SourceError(f"it has {columns:,} columns, more than any table of reports; export it with those you need")


def check_broken(broken: int, first: str) -> None:
    """Refuse a file of which too many rows cannot be taken apart; ``first`` says why the first could not.

    Raises
    ------
    SourceError
    """
    if broken > MOST_BROKEN:
        raise SourceError(
            f"over {MOST_BROKEN:,} of its rows cannot be taken apart (the first: {first}); export it again"
        )
