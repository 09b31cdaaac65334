"""CSV and its kin: UTF-8, UTF-16 or Windows-1252; comma, semicolon, tab or bar; quotes doubled within quotes.

A clean file is read by DuckDB in bulk. A file with anything odd (blank lines, rows of another length, a stray
quote) is read again row by row with Python's csv module, so that each bad row is found by its number and every
good one is kept.
"""

from __future__ import annotations

import codecs
import csv
import io
import re
import tempfile
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from etl import values
from etl.errors import SourceError
from etl.input_tables import OBSERVATIONS
from etl.readers import limits
from etl.readers.flat import (
    REJECT_COLUMNS,
    Broken,
    Flat,
    all_columns,
    column_name,
    is_rejects,
    places_of,
    sort_header,
    text_table,
)

DELIMITERS = ",;\t|"
STRAY_QUOTE = "a quote within quoted text must be doubled"
#: A cell longer than this is not a report's sentence; most likely a quote is never closed.
LONGEST_CELL = 1_000_000
#: A header this long is no header; the file is not a table of reports.
LONGEST_HEADER = 1_000_000
#: A line longer than this is no line of a table: it is refused before anything holds it in memory.
LONGEST_LINE = 1 << 24
_BLOCK = 1 << 22
_NUMBERS = ("report_id", "observation_no")
_A_NUMBER = re.compile(r"(?=.*[0-9])[A-Za-z0-9_.:/-]{1,20}", re.ASCII)

csv.field_size_limit(LONGEST_CELL)


def read_delimited(path: Path, scratch: Path) -> Flat:
    """Read a delimited text file.

    Parameters
    ----------
    path
        The file.
    scratch
        A folder for a copy in UTF-8, where the file is in another encoding.

    Raises
    ------
    SourceError
        Where it is empty, not text, lacks required columns, or has a quote that is never closed.
    """
    encoding, n_lines = examine(path)
    notices = []
    if encoding != "utf-8":
        path = as_utf8(path, encoding, scratch)
        _, n_lines = examine(path)
        notices.append(f"read as {ENCODING_NAMES[encoding]}")
    header, delimiter = _header(path)
    table, known, unknown = sort_header(header)
    names = [column_name(cell) for cell in header]
    guarded = is_rejects(names)
    kept = {*known, *(REJECT_COLUMNS if guarded else ())}
    names = [name if name in kept else f"unknown {place}" for place, name in enumerate(names)]
    flat = Flat(known, unknown, path=str(path), delimiter=delimiter, header=names, notices=notices)
    flat.guarded, flat.n_lines, flat.table = guarded, max(n_lines - 1, 0), table
    return flat if n_lines and not flat.guarded and table == OBSERVATIONS else read_row_by_row(flat)


ENCODING_NAMES = {"utf-16": "UTF-16", "cp1252": "Windows-1252"}


def examine(path: Path) -> tuple[str, int]:
    """The encoding and the number of lines; 0 lines where DuckDB could not number them, for blank ones between."""
    with path.open("rb") as file:
        start = file.read(4)
        if not start:
            raise SourceError("it is empty; export it again")
        if start.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
            return "utf-16", 0
        file.seek(0)
        return _scan(file)


def _scan(file: io.BufferedReader) -> tuple[str, int]:
    decoder = codecs.getincrementaldecoder("utf-8")()
    encoding, n_ends, n_returns, blank, tail, open_line = "utf-8", 0, 0, False, b"\n", 0
    while block := file.read(_BLOCK):
        last_end = max(block.rfind(b"\n"), block.rfind(b"\r"))
        open_line = len(block) - last_end - 1 if last_end >= 0 else open_line + len(block)
        if open_line > LONGEST_LINE:
            raise SourceError(f"it has a line of over {LONGEST_LINE >> 20} MB, so it is not a table of reports")
        if b"\0" in block:
            raise SourceError("it holds NUL bytes, so it is not a text file; export it as CSV in UTF-8")
        if encoding == "utf-8" and not _continues(decoder, block):
            encoding = "cp1252"
        blank = blank or _has_blank_line(tail + block[:2]) or _has_blank_line(block)
        n_ends, n_returns = n_ends + block.count(b"\n"), n_returns + block.count(b"\r")
        limits.check_rows(max(n_ends, n_returns), "lines")
        tail = block[-2:]
    if encoding == "utf-8" and not _continues(decoder, b"", final=True):
        encoding = "cp1252"
    return encoding, 0 if blank else n_ends + (not tail.endswith(b"\n"))


def _has_blank_line(block: bytes) -> bool:
    return b"\n\n" in block or (b"\r" in block and (b"\n\r\n" in block or b"\r\r" in block))


def _continues(decoder: codecs.IncrementalDecoder, block: bytes, final: bool = False) -> bool:
    """Whether a block goes on as UTF-8; plain ASCII between whole characters needs no decoding."""
    if block.isascii() and not final and decoder.getstate()[0] == b"":
        return True
    try:
        decoder.decode(block, final)
    except UnicodeDecodeError:
        return False
    return True


def as_utf8(path: Path, encoding: str, scratch: Path) -> Path:
    handle, copy = tempfile.mkstemp(suffix=".csv", dir=scratch)
    try:
        with (
            path.open(encoding=encoding, newline="") as old,
            open(handle, "w", encoding="utf-8", newline="") as new,
        ):
            while block := old.read(_BLOCK):
                if "\0" in block:
                    raise SourceError("it holds NUL characters; export it as CSV in UTF-8")
                new.write(block)
    except UnicodeError:
        raise SourceError("its text is neither UTF-8, UTF-16 nor Windows-1252; export it as CSV in UTF-8") from None
    return Path(copy)


def _header(path: Path) -> tuple[list[str], str]:
    """The header's cells, and the delimiter that finds most columns of the input tables in it."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        line = file.readline(LONGEST_HEADER)
        while line and not line.strip(values.BLANKS):
            line = file.readline(LONGEST_HEADER)
    if not line.strip(values.BLANKS + "\ufeff"):
        raise SourceError("it is empty; export it again")
    if len(line) >= LONGEST_HEADER:
        raise SourceError("its first line is over a million characters long, so it is not a table of reports")
    candidates = {delimiter: _split(line, delimiter) for delimiter in DELIMITERS}
    widest = max(map(len, candidates.values()))
    limits.check_columns(widest)
    known = all_columns()
    delimiter = max(candidates, key=lambda sign: sum(column_name(cell) in known for cell in candidates[sign]))
    return candidates[delimiter], delimiter


def _split(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line.lstrip("\ufeff")], delimiter=delimiter))
    except (csv.Error, StopIteration):
        return []


def read_row_by_row(flat: Flat) -> Flat:
    """Read a file row by row, after something odd was found in it: bad rows by number, every good one kept.

    Raises
    ------
    SourceError
        Where it has more cells than are read, or too many bad rows.
    """
    assert flat.path is not None
    header, places = flat.header, places_of(flat.header, flat.columns)
    rows: list[tuple[int, list[str | None]]] = []
    broken: list[Broken] = []
    for row_no, cells in _records(Path(flat.path), flat.delimiter):
        if isinstance(cells, csv.Error):
            broken.append(Broken(row_no, f"not_readable: {STRAY_QUOTE}", {}))
        elif len(cells) != len(header):
            reason = f"wrong_width: the row has {len(cells)} cells, the header {len(header)}"
            broken.append(Broken(row_no, reason, _received(cells, places, bool(flat.unknown))))
        else:
            rows.append((row_no, [cells[i] for i in places.values()]))
            limits.check_cells(len(rows) * len(places))
            continue
        limits.check_broken(len(broken), f"row {broken[0].row}, {broken[0].reason}")
    table = text_table(list(places), rows, flat.guarded)
    return replace(flat, rows=table, path=None, broken=broken)


def _received(cells: list[str], places: dict[str, int], with_unknown: bool) -> dict[str, str]:
    """The cells of a row of another width by the header's columns.

    In a file with columns that nobody knows a cell of these, say a client's name, may have slipped below another
    label. There a cell is kept only where it could be a number of a report, and no name.
    """
    found = {name: cells[i] for name, i in places.items() if i < len(cells)}
    if not with_unknown:
        return found
    return {name: cell for name, cell in found.items() if name in _NUMBERS and _A_NUMBER.fullmatch(cell)}


def _records(path: Path, delimiter: str) -> Iterator[tuple[int, list[str] | csv.Error]]:
    """Each record after the header with its row number, the file's first row being 1; blank rows are passed over."""
    header_seen = False
    for row_no, cells in records(path, delimiter):
        if header_seen or isinstance(cells, csv.Error):
            yield row_no, cells
        else:
            header_seen = True


def records(path: Path, delimiter: str) -> Iterator[tuple[int, list[str] | csv.Error]]:
    """Each record of a file in UTF-8 that is not blank, with its row number, the file's first row being 1."""
    with path.open(encoding="utf-8-sig", newline="") as file:
        reader = csv.reader(file, delimiter=delimiter, strict=True)
        row_no = 0
        while True:
            row_no += 1
            started = reader.line_num + 1
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                if "unexpected end of data" in str(error):
                    raise SourceError(f"a quote opened in line {started} is never closed; close it") from None
                if "field larger" in str(error):  # what follows would be read from its middle
                    raise SourceError(
                        f"a cell that begins in line {started} is longer than {LONGEST_CELL:,} characters; "
                        "close the quote before it, or shorten it"
                    ) from None
                yield row_no, error
                continue
            if any(cell.strip(values.BLANKS) for cell in cells):
                yield row_no, cells
