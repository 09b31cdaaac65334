"""The cells of rows turned into what the contract reads, column by column.

Each different value is turned once, however often it stands there. A value that cannot be turned goes on as it came.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from etl import contract, values
from etl.comments.told import told_call, told_topic
from etl.contract import Rule
from etl.layout import pattern, written
from etl.layout.model import READABLE, REFUSE, SKIP, UNKNOWN, ColumnLayout, Layout
from etl.layout.rows import Cells, Rows
from etl.layout.tables import plain

_TELLERS = {"topic": told_topic, "call": told_call}


class Written(NamedTuple):
    """How a value is written: order of dates, unit, decimal mark."""

    dates: str | tuple[tuple[str, str], ...] | None
    unit: str | None
    decimal: str


class Converter:
    """Turns the cells of rows by a layout.

    Attributes
    ----------
    skipped
        After :meth:`columns`: whether each row is no observation, since a word of it says so.
    refused
        Why the layout refuses each row; None where it does not. The word itself is not kept: it may be a name.
    bare
        Whether each row says nothing of an observation: it stands for a report, or a deck, without findings.
    """

    def __init__(self, layout: Layout, rows: Rows) -> None:
        self.layout, self.rows = layout, rows
        self.skipped = [False] * len(rows.index)
        self.refused: list[str | None] = [None] * len(rows.index)
        self.bare = [True] * len(rows.index)

    def columns(self) -> dict[str, Cells]:
        """The cells of each column of the contract that the layout fills, in the contract's order.

        Raises
        ------
        SourceError
            Where a column that the layout names is missing.
        """
        found = {}
        for name, column in contract.columns().items():
            own = self.rows.columns.get(name)
            if own is not None and not own.numbered:
                found[name] = self._column(own, name, column.rule)
                if column.level == "observation" and name != "observation_no" and not own.is_read:
                    self._note_bare(own)
        self._read_comments(found)
        return found

    def _read_comments(self, found: dict[str, Cells]) -> None:
        """Put the topic and the call that a comment tells where no column holds them, and mark the rows."""
        read = [name for name in READABLE if name in found and self.rows.columns[name].is_read]
        marks: list[list[str]] = [[] for _ in self.rows.index]
        comments = found.get("comment", [None] * len(marks))
        for name in read:
            told = {comment: _TELLERS[name](comment) for comment in {*comments} if comment is not None}
            for row, comment in enumerate(comments):
                if comment is None or self.skipped[row] or self.refused[row]:
                    continue
                if (meant := told[comment]) is not None:
                    found[name][row] = meant.value
                    marks[row].append(name)
                elif found[name][row] is None:
                    self.refused[row] = f"not_told: no column holds the {name}, and the comment does not tell one"
        if read:
            found["read_from_comment"] = ["_and_".join(mark) or None for mark in marks]

    def _note_bare(self, own: ColumnLayout) -> None:
        for source in own.sources:
            cells = self.rows.cells(source, own.table, own.optional)
            self.bare = [bare and cell is None for bare, cell in zip(self.bare, cells, strict=True)]

    def _column(self, own: ColumnLayout, name: str, rule: Rule) -> Cells:
        cells = self._received(own)
        ways = self._ways(own, rule)
        shared = self.layout.shared.get(name)
        listed = own.words if shared is None else shared.words | own.words
        words = {plain(word): meant for word, meant in listed.items()}
        known: dict[tuple[str, Written], str | None] = {}
        found: Cells = []
        for row, (cell, way) in enumerate(zip(cells, ways, strict=True)):
            if cell is None:
                word = words.get("", "")
                meant = word or own.default
            elif (cell, way) in known:
                meant = known[cell, way]
            else:
                meant = known[cell, way] = self._meant(cell, words, name, rule, way, own.others)
            if meant == SKIP:
                self.skipped[row], meant = True, cell
            elif meant == REFUSE:
                meant = None
                self.refused[row] = self.refused[row] or f"refused_by_layout: {name} holds a word that is refused"
            found.append(meant)
        return found

    def _received(self, own: ColumnLayout) -> Cells:
        """What stands in the column's sources, put together where there are several, cut to the part that is meant."""
        columns = [self.rows.cells(source, own.table, own.optional) for source in own.sources if not own.is_read]
        if not columns:
            return [None] * len(self.rows.index)
        cells = columns[0]
        if len(columns) > 1:
            filled = ([cell for cell in row if cell is not None] for row in zip(*columns, strict=True))
            cells = [own.between.join(row) or None for row in filled]
        if own.part:
            cells = [cell and (cell.strip() or None) for cell in pattern.taken(own.part, cells)]
        if own.counted:
            cells = [cell and str(sum(bool(thing.strip()) for thing in cell.split(";"))) for cell in cells]
        for label, kinds in own.only.items():
            wanted = {plain(kind) for kind in kinds}
            said = self.rows.cells(label, own.table)
            cells = [cell if word and plain(word) in wanted else None for cell, word in zip(cells, said, strict=True)]
        return [cell if cell is None else cell.strip(values.BLANKS) or None for cell in cells]

    def _meant(
        self, cell: str, words: dict[str, str], name: str, rule: Rule, way: Written, others: str | None
    ) -> str | None:
        meant = words.get(plain(cell))
        if meant in (REFUSE, SKIP):
            return meant
        if meant is not None and meant != UNKNOWN:
            return meant or None
        turned = self._turned(cell, name, rule, way)
        if others is None or (rule.kind != "text" and contract.admits(rule, turned)):
            return turned
        return others or None

    def _turned(self, cell: str, name: str, rule: Rule, way: Written) -> str:
        turned: str | None = None
        match rule.kind:
            case "date":
                order = dict(way.dates) if isinstance(way.dates, tuple) else way.dates
                turned = written.date_text(cell, order, self.rows.table.from_1904)
            case "number":
                turned = written.quantity(cell, way.unit, way.decimal, rule.unit)
            case "integer":
                turned = written.whole(cell, way.decimal)
                if name == "deck_built_year" and turned is None:
                    day = written.date_text(cell, way.dates if isinstance(way.dates, str) else None)
                    turned = day[:4] if day else None
            case "size":
                turned = written.size_text(cell, way.decimal)
            case "choice" if written.holds_sizes(rule):
                turned = written.size_text(cell, way.decimal)
            case _:
                turned = cell
        return cell if turned is None else turned

    # ---- how values are written --------------------------------------------------------------------------------

    def _ways(self, own: ColumnLayout, rule: Rule) -> list[Written]:
        """How the values of a column are written, row by row: where another column says it, it can differ."""
        count = len(self.rows.index)
        table, layout = self.rows.table.table, self.layout
        decimal = table.decimal or layout.decimal
        if rule.kind == "date" or own.dates:
            dates = own.dates or table.dates or layout.dates
            plain_way = Written(tuple(dates.items()) if isinstance(dates, dict) else dates, None, decimal)
            if not own.dates_by or own.dates_from is None:
                return [plain_way] * count
            by = {plain(word): Written(order, None, decimal) for word, order in own.dates_by.items()}
            return self._by(own.dates_from, own.table, lambda word: by.get(plain(word), plain_way), plain_way)
        unit = own.unit or ((table.length_unit or layout.length_unit) if rule.unit == "in" else None)
        usual = Written(None, written.unit_named(unit) if unit else None, decimal)
        if own.unit_from is None:
            return [usual] * count
        named = {plain(word): meant for word, meant in own.units.items()}

        def way_of(word: str) -> Written:
            meant = written.unit_named(named.get(plain(word), word))
            return usual if meant is None else usual._replace(unit=meant)

        return self._by(own.unit_from, own.table, way_of, usual)

    def _by(self, source: str, table: str | None, way_of: Callable[[str], Written], blank: Written) -> list[Written]:
        cells = self.rows.cells(source, table)
        known = {word: way_of(word) for word in {cell for cell in cells if cell is not None}}
        return [blank if cell is None else known[cell] for cell in cells]
