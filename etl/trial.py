"""A layout tried on files: what is open in it, and what it makes of their first rows. Nothing is loaded.

Whoever reviews a layout sees each row as it stands and as it would be read, by the same code as a load. What a private
column holds is masked in both.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ValidationError

from etl import contract, vocabulary
from etl.errors import SourceError
from etl.layout import written
from etl.layout.aliases import is_private, word_like
from etl.layout.apply import Applied
from etl.layout.model import UNKNOWN, ColumnLayout, Layout, Table, open_questions, parsed
from etl.layout.profile import Profile
from etl.layout.rows import Rows, rows_of
from etl.layout.suggest import suggest
from etl.layout.tables import Labeled, plain
from etl.private import masked
from etl.readers import Source, read
from etl.readers.documents import Documents
from etl.readers.flat import Flat
from etl.rejects import reasons_of

#: In place of what a private column holds.
PRIVATE = "[private]"
#: Of a column with more different words than this, or longer ones, no words are listed: it is no list of words.
_MOST_WORDS, _LONGEST_WORD = 400, 60
#: Rows of wide tables and of split texts give several observations each.
_MOST_READ = 3
_EXAMPLES = 4
#: What may be a word of a name.
_WORD = re.compile(r"[^\W\d_]{3,}")
#: What may be a phone number.
_SHORTEST_NUMBER = 7
_NUMBER = re.compile(r"\d[\d ().\-/]{5,}\d")


class Question(BaseModel):
    """Something that nobody has settled: where it stands in the layout, as keys, and what is asked."""

    path: list[str | int]
    ask: str


class TriedFile(BaseModel):
    """A file: its form, its rows, and why it cannot be read where it cannot.

    ``own`` is the contract's form; ``mended`` the same of refused rows that come back, which go into reports that are
    there: ``evenhand load --mend``.
    """

    file: str
    form: Literal["own", "mended", "foreign", "unreadable"]
    rows: int
    problem: str | None


class ForeignColumn(BaseModel):
    """A column of the files.

    ``table`` is the joined table that it stands in, None in the rows. ``words`` are its different values with how many
    rows hold each, where they are few and short; of a private column neither these nor examples are told.
    """

    label: str
    table: str | None
    filled: int
    words: dict[str, int]
    examples: list[str]
    private: bool


class Unread(BaseModel):
    """Words of a column that neither the layout nor the contract knows, each with what it is like, else ``?``."""

    path: list[str | int]
    words: dict[str, str]


class ReadColumn(BaseModel):
    """A column of the contract: what it is called where it is a measure, what it admits (with titles of topics)."""

    name: str
    title: str | None
    kind: str
    unit: str | None
    required: bool
    choices: dict[str, str]


class SampleRow(BaseModel):
    """A row of a sample: its file and its number there, its cells, and why a load would refuse it."""

    file: str
    row: int
    cells: list[str | None]
    reasons: list[str] = []


class Sample(BaseModel):
    """The first rows of files, under the labels of their columns or of the contract's."""

    columns: list[str]
    rows: list[SampleRow]


class Trial(BaseModel):
    """What a layout makes of files.

    ``layout`` is its text, as given or as suggested; empty where every file is in the contract's own form, so that
    none is needed, and all that follows is empty too.
    """

    files: list[TriedFile]
    layout: str = ""
    questions: list[Question] = []
    columns: list[ForeignColumn] = []
    unread: list[Unread] = []
    before: Sample = Sample(columns=[], rows=[])
    after: Sample = Sample(columns=[], rows=[])
    contract: list[ReadColumn] = []


def try_layout(sources: list[Source], scratch: Path, text: str | None = None, rows: int = 10) -> Trial:
    """Try a layout on files; with none, one that is suggested where a file is not in the contract's own form.

    Parameters
    ----------
    text
        The layout, settled or not.
    rows
        How many of the files' first rows are shown.

    Raises
    ------
    UsageError
        Where none of the files holds a table.
    LayoutError
        Where the layout is none.
    """
    forms = [] if text is not None else [_form_of(source, scratch) for source in sources]
    if forms and not any(file.form == "foreign" for file in forms):
        return Trial(files=forms)
    text = suggest(sources, scratch) if text is None else text
    layout, _ = parsed("layout.toml", text)
    tried = _Tried(layout, sources, scratch, rows)
    own = {file.file: file.form for file in forms if file.form in ("own", "mended")}
    return Trial(
        files=[file.model_copy(update={"form": own.get(file.file, file.form)}) for file in tried.files()],
        layout=text,
        questions=[Question(path=list(path), ask=ask) for path, ask in open_questions(layout)],
        columns=tried.columns,
        unread=list(_unread(layout, tried.profiles)),
        before=tried.before(),
        after=tried.after(),
        contract=[_told(column) for column in contract.columns().values()],
    )


def _form_of(source: Source, scratch: Path) -> TriedFile:
    """Whether a file can be loaded as it is."""
    if source.path is None or source.problem:
        return TriedFile(file=source.name, form="unreadable", rows=0, problem=source.problem)
    try:
        found = read(source.path, scratch)
    except (SourceError, OSError) as error:
        return TriedFile(file=source.name, form="foreign", rows=0, problem=str(error))
    if isinstance(found, Documents):
        rows = len(found.rows) + sum(map(len, found.further.values()))
        own: Literal["own", "foreign"] = "own" if rows else "foreign"
        return TriedFile(file=source.name, form=own, rows=rows + len(found.broken), problem=None)
    form: Literal["own", "mended"] = "mended" if any(flat.guarded for flat in found) else "own"
    return TriedFile(file=source.name, form=form, rows=sum(map(_n_rows, found)), problem=None)


def _n_rows(flat: Flat) -> int:
    return (flat.n_lines if flat.rows is None else flat.rows.num_rows) + len(flat.broken)


class _Tried(Applied):
    """A layout applied to the first rows of files; what is joined to them is read whole.

    Attributes
    ----------
    columns, profiles
        The columns of the files, whole; what each holds, by table and label.
    """

    def __init__(self, layout: Layout, sources: list[Source], scratch: Path, rows: int) -> None:
        self._left, self._tables_left = rows, len(sources)
        self._cut: list[Labeled] = []
        self._cells: dict[tuple[str | None, str], Counter[str]] = {}
        self._rows_in: dict[int, int] = {}
        # What reports do not mention is not seen in their first rows.
        super().__init__(layout.model_copy(update={"passes": "explicit"}), sources, scratch)
        self.profiles = {key: Profile(key[1], counts, 0) for key, counts in self._cells.items()}
        self._private = {plain(label) for label in layout.private}
        taken = {plain(label) for label in (*layout.labels, *layout.ignored)}
        self._private |= {
            plain(label)
            for (_, label), profile in self.profiles.items()
            if plain(label) not in taken and (is_private(label) or profile.private > 0.5)
        }
        held = [cell for (_, label), cells in self._cells.items() if plain(label) in self._private for cell in cells]
        self._said = {word.lower() for cell in held for word in _WORD.findall(cell)} - self.names.common
        self._said |= {ending for cell in held for ending in _endings(cell)}
        self.columns = [self._column(*key) for key in self._cells]

    def _hidden(self, cell: str) -> str:
        """A cell out of its row, without what any private column says in some row."""

        def shown(found: re.Match[str]) -> str:
            is_said = found[0].lower() in self._said or self._said.intersection(_endings(found[0]))
            return PRIVATE if is_said else found[0]

        return _NUMBER.sub(shown, _WORD.sub(shown, masked(cell)))

    def _tables(self, tables: list[Table], name: str, path: Path) -> list[Labeled]:
        found = super()._tables(tables, name, path)
        share = max(1, self._left // max(1, self._tables_left))
        self._tables_left -= 1
        for table in found:
            of = table.table.name if table.table.join else None
            for label, cells in table.columns.items():
                self._cells.setdefault((of, label), Counter()).update(cell for cell in cells if cell is not None)
            if not table.table.join:
                self._rows_in[id(table)] = len(table.places) + len(table.broken)
                share = min(share, self._left)
                self._left -= min(share, len(table.places))
                table.places = table.places[:share]
                table.columns = {label: cells[:share] for label, cells in table.columns.items()}
                self._cut.append(table)
        return found

    def files(self) -> list[TriedFile]:
        return [
            TriedFile(
                file=read.source.name,
                form="unreadable" if read.problem else "foreign",
                rows=sum(self._rows_in.get(id(table), 0) for table in read.tables),
                problem=read.problem,
            )
            for read in self.reads
        ]

    def _column(self, table: str | None, label: str) -> ForeignColumn:
        profile = self.profiles[table, label]
        if plain(label) in self._private:
            return ForeignColumn(label=label, table=table, filled=profile.n_filled, words={}, examples=[], private=True)
        words = dict(profile.words) if len(profile.counts) <= _MOST_WORDS and profile.length < _LONGEST_WORD else {}
        return ForeignColumn(
            label=label,
            table=table,
            filled=profile.n_filled,
            words={self._hidden(word): count for word, count in words.items()},
            examples=[self._hidden(word)[:_LONGEST_WORD] for word, _ in profile.words[:_EXAMPLES]],
            private=False,
        )

    # ---- the sample ----------------------------------------------------------------------------------------------

    def before(self) -> Sample:
        """The first rows as they stand, those of joined tables beside them."""
        labels = list(self._cells)
        found = []
        for table in self._cut:
            # A layout that has wide rows or cuts a text makes several of one; here each row stands once.
            (rows, *_) = rows_of(self.layout.model_copy(update={"wide": [], "split": None}), table, self.joined)
            own = [cells for label in self.layout.private for cells in rows.private(label)]
            hidden = [tuple(cell for cell in row if cell) for row in zip(*own, strict=True)] or [()] * len(table.places)
            columns = [self._shown(rows, of, label, hidden) for of, label in labels]
            for place, *cells in zip(table.places, *columns, strict=True):
                found.append(SampleRow(file=table.file, row=place, cells=cells))
        return Sample(columns=[label for _, label in labels], rows=found)

    def _shown(self, rows: Rows, of: str | None, label: str, hidden: list[tuple[str, ...]]) -> list[str | None]:
        cells = rows.cells(label, of, optional=True)
        if plain(label) in self._private:
            return [PRIVATE if cell else None for cell in cells]
        return [cell and self.names.mask(masked(cell), own) for cell, own in zip(cells, hidden, strict=True)]

    def after(self) -> Sample:
        """The same rows as they would be read, each with why a load would refuse it."""
        found: list[tuple[str, int, dict[str, str | None], list[str]]] = []
        for read_ in self.reads:
            for flat in read_.flats:
                for row in flat.rows.to_pylist() if flat.rows is not None else ():
                    place = row.pop("row_no")
                    found.append((Path(read_.source.name).name, place, row, _reasons(row)))
                cut = {place for table in self._cut for place in table.places}
                for item in flat.broken:
                    if item.row in cut and item.received:
                        found.append((Path(read_.source.name).name, item.row, {**item.received}, [item.reason]))
        found.sort(key=lambda each: each[:2])
        found = found[: _MOST_READ * max(1, sum(len(table.places) for table in self._cut))]
        columns = [name for name in contract.columns() if any(row.get(name) is not None for _, _, row, _ in found)]
        return Sample(
            columns=columns,
            rows=[
                SampleRow(file=file, row=place, cells=[row.get(name) for name in columns], reasons=reasons)
                for file, place, row, reasons in found
            ],
        )


def _endings(text: str) -> set[str]:
    """A number of a phone, with and without what may stand before it; nothing for a shorter one."""
    figures = re.sub(r"[^0-9]", "", text)
    return {figures, figures[-10:], figures[-7:]} if len(figures) >= _SHORTEST_NUMBER else set()


def _reasons(row: dict[str, str | None]) -> list[str]:
    try:
        contract.ObservationRow.model_validate(row)
    except ValidationError as error:
        return reasons_of(error, row)
    return []


# ---- words -----------------------------------------------------------------------------------------------------------


def _unread(layout: Layout, profiles: dict[tuple[str | None, str], Profile]) -> Iterator[Unread]:
    """The words of columns that hold a word of a list, and that a load would refuse."""
    for path, name, own in _columns_of(layout):
        shared = layout.shared.get(name)
        if not _has_words(name) or len(own.sources) != 1 or own.part or own.only or own.others is not None:
            continue
        profile = profiles.get((own.table, own.sources[0]))
        if profile is None or len(profile.counts) > _MOST_WORDS:
            continue
        known = {plain(word) for word in (*own.words, *(shared.words if shared else ()))}
        words = {
            masked(word): (like.meant if (like := word_like(word, name)) else UNKNOWN)
            for word, _ in profile.words
            if plain(word) not in known
            and plain(masked(word)) not in known
            and not written.is_read(word, contract.columns()[name].rule)
        }
        if words:
            yield Unread(path=["shared", name] if shared else path, words=words)


def _columns_of(layout: Layout) -> Iterator[tuple[list[str | int], str, ColumnLayout]]:
    for name, own in layout.columns.items():
        yield ["columns", name], name, own
    for number, wide in enumerate(layout.wide):
        for name, own in wide.columns.items():
            yield ["wide", number, "columns", name], name, own


def _has_words(name: str) -> bool:
    return name == "consequence" or contract.columns()[name].rule.kind in ("choice", "yes_no")


def _told(column: contract.Column) -> ReadColumn:
    measure = vocabulary.measures().get(column.name)
    topics = vocabulary.topics() if column.name == "topic" else {}
    return ReadColumn(
        name=column.name,
        title=measure.title if measure else None,
        kind=column.rule.kind,
        unit=column.rule.unit,
        required=column.required and column.name != "observation_no",
        choices={choice: topics[choice].title if topics else choice for choice in column.rule.choices},
    )
