"""What a layout may say (layout.toml), and what in it a person has not settled yet."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from fnmatch import fnmatch
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError, model_validator

from etl import contract, vocabulary
from etl.errors import LayoutError
from etl.layout import pattern
from etl.layout.places import Places
from etl.layout.written import UNITS

#: In place of a word of the contract: nobody has said yet what it stands for.
UNKNOWN = "?"
#: In place of a word of the contract: the row is no observation and is not read; the row is refused.
SKIP, REFUSE = "skip", "refuse"

#: The parts of a date in their order; ``workbook days`` are bare numbers that count from the workbook's first day.
Order = Literal["month day year", "day month year", "year month day", "workbook days"]
_ORDER_OF_SIGN = Annotated[dict[Literal["/", ".", "-", " "], Order], Field(min_length=1)]

#: A layout of more bytes is none.
LARGEST = 2**20
#: A longer line, but for a comment, is none of a layout; keys of thousands of parts would take minutes to read.
LONGEST_LINE = 4_000

#: What a column can be taken from beside the columns of its table.
FILE, SHEET, ROW, PART = "(file)", "(sheet)", "(row)", "(part)"
#: A topic or a call that no column holds: what the row's own comment tells.
COMMENT = "(comment)"
READABLE = ("topic", "call")
ABOVE = re.compile(r"\(above: (.+)\)")


def _as_pattern(text: str) -> str:
    if told := pattern.problem(text):
        raise ValueError(told)
    return text


Pattern = Annotated[str, AfterValidator(_as_pattern)]
Unit = Annotated[str, AfterValidator(lambda unit: _known_unit(unit))]


def _known_unit(unit: str) -> str:
    if unit != UNKNOWN and unit.lower() not in UNITS:
        raise ValueError(f"it is not one of {', '.join(dict.fromkeys(UNITS.values()))}")
    return unit


class Part(BaseModel):
    """What every part of a layout may carry: whether a person has confirmed it, and what there was to ask."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)

    confirmed: bool = True
    ask: str = ""


class Skip(Part):
    """Rows that are no observations: totals, remarks below the table. With no column, their first cell tells.

    With ``table`` the column stands in a joined table: the findings of a visit that was called off.
    """

    column: str | None = None
    table: str | None = None
    equals: list[str] = []
    starts: str | None = None
    blank: bool = False

    @model_validator(mode="after")
    def _says_which(self) -> Skip:
        if not (self.equals or self.starts or self.blank):
            raise ValueError("it needs equals, starts or blank = true")
        if self.table is not None and self.column is None:
            raise ValueError("it names a table and no column of it")
        return self

    def fits(self, cell: str | None) -> bool:
        """Whether a row with this cell is passed over."""
        if cell is None:
            return self.blank
        word = cell.casefold()
        return word in {each.casefold() for each in self.equals} or bool(
            self.starts and word.startswith(self.starts.casefold())
        )


class Spread(BaseModel):
    """Of a joined table with one reading a row: the column that says what was read, its value's and its unit's.

    Each word of ``by`` is then a column of the table, and the word with ``unit`` behind it that of its unit.
    """

    model_config = ConfigDict(extra="forbid")

    by: str
    value: str
    unit: str | None = None


class Table(Part):
    """Where rows stand: in which files and sheets, under which header, and how they are joined to others.

    Attributes
    ----------
    files, sheets
        Patterns of names (``*.xlsx``, ``Findings*``); the file's name without its folder.
    each
        In JSON: the path to the objects that are rows, ``visits[].decks[].findings[]``.
    header_row, header_rows
        The first row of the header as a spreadsheet numbers rows, and how many rows it has.
    form
        Each label stands in the first column and its value beside it: the file, or sheet, is one row.
    encoding, delimiter
        Of a text file, where it is not to be found anew each time.
    fill_down
        Columns in which a blank means what stands above.
    join
        Of a table that is joined to the rows: its key columns, each with the column of the rows that it must equal.
    spread
        Of a joined table with several rows for one of the others, a reading each: they become columns. A row without
        any is none that lacks its partner.
    dates, decimal, length_unit
        As of the layout, for this table alone.
    """

    name: str = "rows"
    files: str = "*"
    sheets: str | None = None
    each: str | None = None
    header_row: int = Field(1, ge=1)
    header_rows: int = Field(1, ge=1, le=3)
    form: bool = False
    encoding: Literal["utf-8", "utf-16", "utf-16-le", "utf-16-be", "cp1252"] | None = None
    delimiter: Literal[",", ";", "\t", "|"] | None = None
    fill_down: list[str] = []
    skip: list[Skip] = []
    join: dict[str, str] = {}
    spread: Spread | None = None
    dates: Order | _ORDER_OF_SIGN | Literal["?"] | None = None
    decimal: Literal[".", ","] | None = None
    length_unit: Unit | None = None

    @model_validator(mode="after")
    def _spread_is_joined(self) -> Table:
        if self.spread and not self.join:
            raise ValueError("spread is of a joined table; say join, too")
        return self

    def is_for(self, file: str, sheet: str | None) -> bool:
        """Whether rows of it stand in a file of that name, and in that sheet of it."""
        in_file = fnmatch(file.casefold(), self.files.casefold())
        return in_file and (self.sheets is None or sheet is None or fnmatch(sheet.casefold(), self.sheets.casefold()))


class ColumnLayout(Part):
    """Where a column of the contract comes from, and how its values are written there.

    Attributes
    ----------
    source
        ``from``: a column, or several, whose cells are put together with ``between``; or ``(file)``, ``(sheet)``,
        ``(row)``, ``(above: Label)`` for what stands above the header, ``(part)`` for a part of a split text.
    table
        The joined table that it stands in.
    part
        A pattern with one group: only what the group finds is taken.
    default
        What holds where nothing stands there; with no ``from``, in every row.
    words
        Which word stands for which of the contract: ``"?"`` where nobody knows yet, ``""`` for blank, ``"skip"`` where
        the row is no observation, ``"refuse"``.
    dates, dates_by
        The order of a date's parts; by the word of another column.
    unit, unit_from, units
        The unit of bare numbers; the column that says it; what the words of that column mean.
    only
        It is taken only where other columns hold one of these words: ``only = { Item = ["Joist end gap"] }``.
    optional
        Files without the column are read as if it were blank.
    others
        What a word that is not listed means: ``"refuse"`` refuses the row without keeping the word, ``""`` is blank.
    numbered
        The rows of a report are numbered in their order.
    counted
        How many things the cell lists, between semicolons: ``a.jpg; b.jpg`` is 2. A list in JSON is such a cell.
    """

    source: str | list[str] = Field([], alias="from")
    between: str = " / "
    table: str | None = None
    part: Pattern | None = None
    default: str | None = None
    words: dict[str, str] = {}
    dates: Order | _ORDER_OF_SIGN | Literal["?"] | None = None
    dates_by: dict[str, Order] = {}
    dates_from: str | None = None
    unit: Unit | None = None
    unit_from: str | None = None
    units: dict[str, Unit] = {}
    only: dict[str, list[str]] = {}
    optional: bool = False
    others: Literal["refuse", ""] | None = None
    numbered: bool = False
    counted: bool = False

    @property
    def sources(self) -> list[str]:
        return [self.source] if isinstance(self.source, str) else self.source

    @property
    def is_read(self) -> bool:
        """Whether it is read out of the row's comment."""
        return self.sources == [COMMENT]

    @model_validator(mode="after")
    def _read_alone(self) -> ColumnLayout:
        if COMMENT in self.sources and (len(self.sources) > 1 or self.table or self.part or self.words or self.only):
            raise ValueError(f"{COMMENT} stands alone: with nothing but a default beside it")
        return self

    @model_validator(mode="after")
    def _comes_from_somewhere(self) -> ColumnLayout:
        if not self.sources and self.default is None and not self.numbered:
            raise ValueError("it needs from, default or numbered = true")
        return self


def _known_columns(columns: dict[str, ColumnLayout]) -> dict[str, ColumnLayout]:
    unknown = [name for name in columns if name not in contract.columns()]
    if unknown:
        raise ValueError(f"{', '.join(unknown)} is not a column of the contract; see docs/data.md")
    read = [name for name, column in columns.items() if COMMENT in column.sources and name not in READABLE]
    if read:
        raise ValueError(f"{read[0]} is not read out of a comment; only {' and '.join(READABLE)} are")
    return columns


Columns = Annotated[dict[str, ColumnLayout], AfterValidator(_known_columns)]


def _known_topic(topic: str) -> str:
    if topic != UNKNOWN and topic not in vocabulary.topics():
        raise ValueError(f"{topic} is not a topic; see docs/data.md")
    return topic


Topic = Annotated[str, AfterValidator(_known_topic)]


class SharedWords(Part):
    """Words that mean the same in every wide column of a kind."""

    words: dict[str, str]


class Wide(Part):
    """One observation that a wide row holds: its topic, or a column that says it, and the columns of its own."""

    topic: Topic | None = None
    columns: Columns

    @model_validator(mode="after")
    def _has_topic(self) -> Wide:
        if self.topic is None and "topic" not in self.columns:
            raise ValueError("it needs a topic, or [wide.columns.topic] with the column that says it")
        return self


class Split(Part):
    """One text of a report that holds several observations: where it is cut."""

    source: str = Field(alias="from")
    at: Literal["lines", "sentences", "numbers", "semicolons"] = "lines"


class Layout(Part):
    """A layout: tables, and where each column of the contract comes from.

    Attributes
    ----------
    shared
        Words that hold in every column of a name, beside the column's own.
    passes, covered_topics
        ``implied``: the reports list only what is not passed, and what they do not mention of these topics is passed.
    dates, decimal, length_unit
        How dates and numbers are written, and the unit of lengths that do not say theirs.
    private, ignored
        Columns that are never stored: what they hold is masked in sentences too; and columns that are not needed.
    private_file_names
        The files' names tell of people, and are not stored either.
    """

    layout: Literal[1] = 1
    passes: Literal["explicit", "implied"] = "explicit"
    covered_topics: list[Topic] = []
    dates: Order | _ORDER_OF_SIGN | Literal["?"] | None = None
    decimal: Literal[".", ","] = "."
    length_unit: Unit | None = None
    private: list[str] = []
    ignored: list[str] = []
    private_file_names: bool = False
    tables: list[Table] = Field(min_length=1)
    columns: Columns = {}
    shared: dict[str, SharedWords] = {}
    wide: list[Wide] = []
    split: Split | None = None

    @model_validator(mode="after")
    def _fits_together(self) -> Layout:
        names = [table.name for table in self.tables if table.join]
        if len(names) == len(self.tables):
            raise ValueError("every table is joined to another; one of them must hold the rows")
        if len(set(names)) < len(names):
            raise ValueError("two joined tables have the same name")
        skips = [skip.table for table in self.tables for skip in table.skip if skip.table]
        if unknown := set(skips) - set(names):
            raise ValueError(f"a skip names the table {unknown.pop()}, and none of that name is joined")
        for name, column in self.columns.items():
            if column.table is not None and column.table not in names:
                raise ValueError(f"columns.{name}: there is no joined table {column.table}")
        read = [name for name in READABLE if name in self.columns and self.columns[name].is_read]
        if read and not (self.split or "comment" in self._filled()):
            raise ValueError(f"columns.{read[0]}: it is read out of the comment, and no column is the comment")
        if self.passes == "implied" and not self.covered_topics:
            raise ValueError("passes = 'implied' needs covered_topics: what the firm's checklist covers")
        if self.wide and self.split:
            raise ValueError("a layout has either wide columns or a split text")
        missing = [name for name in contract.required_columns() if name not in self._filled()]
        if missing:
            raise ValueError(
                f"no column says {', '.join(missing)}; add [columns.{missing[0]}] with from, or with a default"
            )
        return self

    def _filled(self) -> set[str]:
        own = set.intersection(*(set(wide.columns) for wide in self.wide)) | {"topic"} if self.wide else set()
        # Without a column for it an observation is numbered.
        return {*self.columns, *own, "observation_no"}

    @property
    def labels(self) -> set[str]:
        """Every label of a foreign column that the layout takes something from."""
        columns = [*self.columns.values(), *(column for wide in self.wide for column in wide.columns.values())]
        found = {source for column in columns for source in column.sources}
        found |= {source for column in columns for source in (column.dates_from, column.unit_from) if source}
        found |= {source for column in columns for source in column.only}
        for table in self.tables:
            spread = table.spread
            found |= {spread.by, spread.value, *([spread.unit] if spread.unit else [])} if spread else set()
            found |= {*table.join, *table.join.values(), *(skip.column for skip in table.skip if skip.column)}
        return found | ({self.split.source} if self.split else set())

    @property
    def main(self) -> list[Table]:
        """The tables that hold the rows."""
        return [table for table in self.tables if not table.join]

    @property
    def joined(self) -> list[Table]:
        return [table for table in self.tables if table.join]


def read_layout(path: Path) -> Layout:
    """The layout of a file, all of it settled.

    Raises
    ------
    LayoutError
        Where it is not TOML, says what a layout cannot say, or holds what nobody has confirmed: each with its line.
    """
    return settled(path.name, layout_text(path))


def layout_text(path: Path) -> str:
    """The text of a layout's file.

    Raises
    ------
    LayoutError
        Where it cannot be opened, is too large, or is not text in UTF-8.
    """
    try:
        if not path.is_file():
            raise LayoutError(path.name, ["it is not a regular file"])
        with path.open("rb") as file:
            content = file.read(LARGEST + 1)
        if len(content) > LARGEST:
            raise LayoutError(path.name, [f"it has over {LARGEST >> 20} MB, more than any layout; suggest it anew"])
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise LayoutError(path.name, ["it is not text in UTF-8; save it as UTF-8"]) from None
    except OSError as error:
        raise LayoutError(path.name, [f"it cannot be opened ({error.strerror})"]) from None


def settled(name: str, text: str) -> Layout:
    """The layout that a text is, as :func:`read_layout`; ``name`` is what errors call it."""
    layout, places = parsed(name, text)
    found = list(open_questions(layout))
    if found:
        raise LayoutError(name, [f"{places.told(where)}: {ask}" for where, ask in found], unsettled=True)
    return layout


def parsed(name: str, text: str) -> tuple[Layout, Places]:
    """The layout that a text is, settled or not, and where its keys stand.

    Raises
    ------
    LayoutError
        Where it is not TOML, or says what a layout cannot say.
    """
    if any(len(line) > LONGEST_LINE and not line.lstrip().startswith("#") for line in text.splitlines()):
        raise LayoutError(name, [f"it has a line of over {LONGEST_LINE:,} signs, more than any layout; break it up"])
    try:
        tree = tomllib.loads(text)
    except RecursionError:
        raise LayoutError(name, ["it nests too deep to be a layout"]) from None
    except tomllib.TOMLDecodeError as error:
        raise LayoutError(name, [f"it is not TOML: {error}"]) from None
    places = Places(text)
    try:
        return Layout.model_validate(tree), places
    except ValidationError as error:
        told = [f"{places.told(tuple(item['loc']))}: {_plain(item)}" for item in error.errors()]
        raise LayoutError(name, list(dict.fromkeys(told))) from None


def _plain(item: Any) -> str:
    """What pydantic found, as a sentence for a person."""
    if item["type"] == "extra_forbidden":
        return "a layout has no such key; see docs/foreign-files.md"
    return str(item["msg"]).removeprefix("Value error, ")


def open_questions(layout: Layout) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """What nobody has settled: where it stands, as a path of keys, and what is asked."""
    yield from _open(layout, ())


def _open(part: Any, path: tuple[str | int, ...]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if part == UNKNOWN:
        yield path, "nobody has said what this stands for; write it in place of the question mark"
    elif isinstance(part, Part):
        if not part.confirmed:
            yield (*path, "confirmed"), f"{part.ask or 'it is a guess'} When it is right, write confirmed = true"
        for name, field in type(part).model_fields.items():
            # What a person is asked may itself be a question mark's neighbor; it is not looked into.
            if name not in ("confirmed", "ask", "between", "part"):
                yield from _open(getattr(part, name), (*path, field.alias or name))
    elif isinstance(part, dict):
        for key, value in part.items():
            yield from _open(value, (*path, key))
    elif isinstance(part, list):
        for number, value in enumerate(part):
            yield from _open(value, (*path, number))
