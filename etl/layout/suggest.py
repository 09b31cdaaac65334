"""Proposes a layout for foreign files, as a TOML text that a person reviews. Nothing is loaded by it as it stands.

What a label or a word says by itself is written down; what is only likely is marked ``confirmed = false``, and what
nobody can know from the file is a question mark. No cell of a column that looks private is written anywhere.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from fnmatch import translate
from pathlib import Path
from types import MappingProxyType

from etl import contract, vocabulary
from etl.errors import UsageError
from etl.layout import written
from etl.layout.aliases import Likeness, column_like, is_private, like, severity, unit_of, word_like, word_told
from etl.layout.choose import Block, Choice, choose, is_typical
from etl.layout.found import Shape, arrange, shapes_of
from etl.layout.model import COMMENT, PART, READABLE, SHEET, UNKNOWN
from etl.layout.people import People
from etl.layout.profile import Profile
from etl.layout.rows import parts_of
from etl.layout.spelling import catalog
from etl.layout.tables import plain
from etl.layout.toml import Writer
from etl.private import masked
from etl.readers.grid import named as encoding_named
from etl.readers.sources import Source

#: Of a column with more different words than this no word is asked for: it is no list of words.
_MOST_WORDS = 400
_TOTALS_AT_MOST = 0.2
#: How sheets are called that are people's: a name or two, or initials.
_PERSON = re.compile(
    r"(?!(?:Sheet|Data|Total|Summary|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\w*)"
    r"[A-Z][\w.'’-]*(?: [A-Z][\w.'’-]*)?"
)
#: What a text begins with, before a colon, a dash or a bracket; and a short word behind it, in brackets or to a point.
_HEADING = r"^([^:.\[\]–]{2,40}?) ?(?:\[|:| - | – )"
_TAG = r"^[^:.\[\]–]{2,40}?(?: ?\[| - | – )([^\]:.]{1,30})(?:\]|\.|:)"
#: Of this many texts it is looked whether they tell a topic and a call.
_MOST_TEXTS = 200


def suggest(sources: list[Source], scratch: Path) -> str:
    """A layout for files, to be reviewed.

    Raises
    ------
    UsageError
        Where none of the files holds a table.
    """
    shapes, passed_over = shapes_of(sources, scratch)
    if not shapes:
        raise UsageError(f"No table was found. {'; '.join(passed_over)}.")
    main, joined, left_over = arrange(shapes)
    people = [label for shape in shapes for label in shape.labels if is_private(label)]
    return _Suggestion(sources, main, joined, [*passed_over, *left_over], people).text()


class _Suggestion:
    def __init__(
        self, sources: list[Source], main: Shape, joined: list[Shape], passed_over: list[str], people: list[str]
    ) -> None:
        self.labels_of_people = people
        self.sources, self.main, self.joined, self.passed_over = sources, main, joined, passed_over
        self.chosen = choose(main, joined)
        self.people = self._people()
        self.above = self._above()
        self.split = self._split()
        self._doubt_what_stands_once()
        self.out = Writer()

    def _doubt_what_stands_once(self) -> None:
        """What rows with several observations say once may be of the visit: the number of its photos."""
        for name, choice in self.chosen.columns.items():
            of_one = contract.columns()[name].level == "observation" and name not in ("comment", "observation_no")
            if of_one and (self.split or self.chosen.wide):
                choice.sure, choice.why = False, "it stands once for all observations of a row, and may be of the visit"
        by_staff = {shape.name for shape in self.joined if self._is_of_staff(shape)}
        for choice in self.chosen.columns.values():
            if choice.table in by_staff and choice.sure:
                choice.sure, choice.why = False, f"it stands in the table {choice.table}, joined by who inspected"

    def _is_of_staff(self, shape: Shape) -> bool:
        keys = {*shape.join, *shape.join.values()}
        return any((found := column_like(key)) is not None and found.meant == "inspector_id" for key in keys)

    def _people(self) -> People:
        """The people whom private columns name."""
        cells = (
            cell
            for label, _ in self.chosen.private
            for shape in (self.main, *self.joined)
            for cell in shape.cells(label)
        )
        return People(cell for cell in cells if cell is not None)

    def _needed(self) -> list[Shape]:
        """The joined tables from which something is taken, or by which one is joined from which something is."""
        wanted = {choice.table for _, choice in self._all_choices() if choice.table}
        for shape in reversed(self.joined):
            if shape.name in wanted:
                here = {*self.main.labels}
                wanted |= {
                    other.name
                    for other in self.joined
                    if not set(shape.join.values()) <= here and set(shape.join.values()) & set(other.labels)
                }
        return [shape for shape in self.joined if shape.name in wanted]

    def text(self) -> str:
        self._head()
        for shape in (self.main, *self._needed()):
            self._tables(shape)
        if self.split:
            self._write_split(*self.split)
        for name, column in contract.columns().items():
            if choice := self.chosen.columns.get(name):
                self._column(("columns", name), name, choice)
            elif source := self.above.get(name):
                self.out.table("columns", name)
                self.out.pair("from", source)
            elif column.required:
                self._lacking(name)
        self._wide()
        return self.out.text()

    # ---- what holds for all ------------------------------------------------------------------------------------

    def _head(self) -> None:
        out = self.out
        out.comment(
            "A layout: how these files map to the input table of Evenhand. Written by `evenhand layout suggest`."
        )
        out.comment(
            "Review it: each question mark and each `confirmed = false` has to be settled before it can be used."
        )
        out.comment('Write the word of the contract, or "" (blank), "skip" (no observation), "refuse".')
        for text in self.passed_over:
            out.comment(f"Passed over: {text}.")
        out.pair("layout", 1)
        self._numbers()
        if labels := self._private():
            out.comment(
                "Never stored, and masked in sentences: " + "; ".join(f"{name} ({why})" for name, why in labels) + "."
            )
            out.pair("private", [name for name, _ in labels])
        names = [Path(source.name).stem for source in self.sources]
        if any(masked(name.replace("_", " ")) != name.replace("_", " ") for name in names):
            out.comment("The files' names tell of people.")
            out.pair("private_file_names", True)
        if self.chosen.unused:
            out.comment(f"Not taken, since nothing of the contract is like them: {', '.join(self.chosen.unused)}.")

    def _private(self) -> list[tuple[str, str]]:
        found = list(self.chosen.private)
        above = dict.fromkeys(label for table in self.main.tables for label in table.above)
        found += [(label, "above the header") for label in above if is_private(label)]
        chosen = {label for _, choice in self._all_choices() for label in (choice.label, *choice.else_from)}
        elsewhere = [label for label in self.labels_of_people if label not in {*self.main.labels, *chosen}]
        return list(dict([*((label, "its label") for label in elsewhere), *found]).items())

    def _numbers(self) -> None:
        """The decimal mark where the values prove it, and the unit of lengths that do not say theirs."""
        choices = [choice for _, choice in self._all_choices()]
        cells = [word for choice in choices if choice.profile.numbers > 0.5 for word, _ in choice.profile.words]
        commas = [word for word in cells if re.search(r"\d,\d", word)]
        points = [word for word in cells if re.search(r"\d\.\d", word)]
        if commas and not points:
            self.out.pair("decimal", ",", f"proved by {commas[0]}")
        elif commas:
            self.out.pair("decimal", ".", f"found: {points[0] if points else ''} and {commas[0]}")
        asks = []
        bare = self._bare_lengths()
        if bare:
            unit = self._usual_unit(bare)
            self.out.pair("length_unit", unit, "in, ft, mm, cm, m")
            spelled = "inches" if unit == "in" else unit
            asks.append(f"Are lengths in {spelled} where neither label nor cell says a unit ({', '.join(bare[:8])})?")
        calls = [choice for name, choice in self._all_choices() if name == "call"]
        words = {choice.codes.get(plain(word), word) for choice in calls for word, _ in choice.profile.words}
        meant = {found.meant for word in words if (found := word_like(word, "call"))}
        if calls and "passed" not in meant:
            self.out.pair("passes", "explicit")
            asks.append(
                "No word for passed is known here. Do the reports list what was passed? If they list only what was "
                "found, write passes = 'implied' with covered_topics, what the checklist covers."
            )
        if asks:
            self.out.question(" ".join(asks))

    def _bare_lengths(self) -> list[str]:
        found = []
        for name, choice in self._all_choices():
            rule = contract.columns()[name].rule
            if rule.unit == "in" and unit_of(choice.label) is None and choice.label not in self.chosen.unit_of:
                bare = choice.profile.share(_is_bare_number)
                if choice.profile.counts and bare > 0 and self._unlikely_in_inches(choice.profile, name) is None:
                    found.append(choice.label)
        return found

    def _usual_unit(self, labels: list[str]) -> str:
        """The unit in which most lengths that say none are of a usual size; inches where two units are as good."""
        own = [(name, choice.profile) for name, choice in self._all_choices() if choice.label in labels]
        known = [(name, profile) for name, profile in own if name in catalog()["typical"]]
        usual = {unit: sum(is_typical(profile, name, unit) for name, profile in known) for unit in ("in", "cm", "mm")}
        best = max(usual, key=lambda unit: usual[unit])
        clear = usual[best] >= 0.7 * len(known) and usual["in"] <= 0.5 * usual[best]
        return best if known and clear else "in"

    def _all_choices(self) -> list[tuple[str, Choice]]:
        wide = [(name, choice) for block in self.chosen.wide for name, choice in block.columns.items()]
        return [*self.chosen.columns.items(), *wide]

    # ---- tables ------------------------------------------------------------------------------------------------

    def _tables(self, shape: Shape) -> None:
        groups: dict[tuple[object, ...], list[int]] = {}
        for number, table in enumerate(shape.tables):
            dates = self._order_here(number) if shape is self.main else None
            key = (str(table.table.model_dump(exclude={"sheets"})), table.table.sheets, dates)
            groups.setdefault(key, []).append(number)
        for numbers in groups.values():
            self._table(shape, numbers, len(groups) == 1 and not self.joined)

    def _table(self, shape: Shape, numbers: list[int], alone: bool) -> None:
        out, first = self.out, shape.tables[numbers[0]]
        grid = shape.grids[numbers[0]] if shape.grids else None
        out.table("tables", many=True)
        if shape is not self.main:
            out.pair("name", shape.name)
        out.pair("files", self._pattern([shape.tables[n].file for n in numbers], alone))
        if first.table.sheets:
            out.pair("sheets", first.table.sheets)
        if first.table.each:
            out.pair("each", first.table.each)
        elif first.table.form:
            out.pair("form", True)
        elif not (first.table.each is None and grid is None):
            out.pair("header_row", first.table.header_row)
            if first.table.header_rows > 1:
                out.pair("header_rows", first.table.header_rows, "a band above the labels")
        asks = list(shape.asks)
        if grid and grid.encoding:
            self._encoding(shape, numbers, asks)
        if shape.header is not None and not shape.header.sure:
            asks.append(f"Is row {first.table.header_row} the header ({', '.join(shape.labels[:6])})?")
        order = self._order_here(numbers[0]) if shape is self.main else None
        if order and len(set(self._orders())) > 1:
            known = order != UNKNOWN
            out.pair("dates", order, f"proved in {first.file}" if known else '"month day year" or "day month year"')
        if filled := self._fill_down(shape, numbers):
            out.pair("fill_down", filled)
            asks.append(f"Does a blank in {', '.join(filled)} mean what stands above it?")
        if shape.join:
            out.inline("join", shape.join)
            if not shape.join_sure:
                asks.append("Is the table joined by these columns? Their cells are the same, their labels are not.")
        if asks:
            out.question(" ".join(asks))
        if shape is self.main:
            self._skips(shape)

    def _encoding(self, shape: Shape, numbers: list[int], asks: list[str]) -> None:
        grids = [shape.grids[n] for n in numbers]
        grid = grids[0]
        assert grid.encoding is not None
        if len({(g.encoding, g.delimiter) for g in grids}) > 1:
            return  # found in each file anew
        odd = next((cell for g in grids for _, cells in g.rows for cell in cells if cell and not cell.isascii()), None)
        if grid.encoding != "utf-8":
            note = f"{encoding_named(grid.encoding)}"
            self.out.pair("encoding", grid.encoding, note)
        if grid.delimiter:
            self.out.pair("delimiter", grid.delimiter)
        if odd and not all(g.sure for g in grids):
            asks.append(
                f"The text is not UTF-8. Read as {encoding_named(grid.encoding)}, does '{masked(odd)[:60]}' look right?"
            )

    def _pattern(self, files: list[str], alone: bool) -> str:
        """A pattern for the names of files: figures may be others in the next export."""
        suffix = Path(files[0]).suffix
        everything = {Path(source.name).name for source in self.sources}
        if alone and {Path(name).suffix for name in everything} == {suffix}:
            return f"*{suffix}"
        own = set(files)
        stems = {re.sub(r"\d+", "*", _escaped(name)) for name in own}
        pattern = stems.pop() if len(stems) == 1 else f"*{suffix}"
        matched = {name for name in everything if re.fullmatch(translate(pattern.casefold()), name.casefold())}
        if matched == own or (matched >= own and self._same_files(matched)):
            return pattern
        return _escaped(files[0]) if len(own) == 1 else _common(sorted(own), suffix)

    def _same_files(self, matched: set[str]) -> bool:
        """Whether all of these are files that hold each of the tables: sheets tell them apart then."""
        return all({table.file for table in shape.tables} >= matched for shape in (self.main, *self.joined))

    def _fill_down(self, shape: Shape, numbers: list[int]) -> list[str]:
        """Columns in which only the first row of a report is filled, as they are called in these tables."""
        found: list[str] = []
        tables = [shape.tables[number] for number in numbers]
        for name in ("report_id", *contract.level_columns("report")[1:], *contract.level_columns("deck")):
            choice = self.chosen.columns.get(name)
            if choice is None or choice.table is not None or shape is not self.main:
                continue
            label = next((each for each in (choice.label, *choice.else_from) if tables[0].column(each)), None)
            cells = [cell for table in tables for cell in table.column(label) or []] if label else []
            blank = sum(cell is None for cell in cells) / len(cells) if cells else 0
            if label and cells and cells[0] is not None and 0.25 < blank < 0.97 and (name == "report_id" or found):
                found.append(label)
        return found

    def _skips(self, shape: Shape) -> None:
        """Rows that sum up others or stand below the table: few cells, and a first one that begins as such rows do."""
        found: Counter[str] = Counter()
        for table, grid in zip(shape.tables, shape.grids, strict=False):
            labels, last = list(table.columns), table.table.header_row + table.table.header_rows - 1
            for cells in (cells for place, cells in grid.rows if place > last and not table.table.form):
                filled = [place for place, cell in enumerate(cells) if cell is not None]
                first = (cells[filled[0]] or "").casefold()
                start = next((start for start in catalog()["totals"]["starts"] if first.startswith(start)), None)
                if start and len(filled) <= max(0.5 * len(labels), 2) and filled[0] < len(labels):
                    found[start] += 1
        if found.total() > _TOTALS_AT_MOST * shape.n_rows + 3:
            return
        for start, count in found.items():
            self.out.table("tables", "skip", many=True)
            self.out.pair("starts", start, f"{count} row{'s' * (count != 1)}")
            self.out.question(f"Are rows that begin with '{start}' no observations?")

    # ---- facts above the header --------------------------------------------------------------------------------

    def _above(self) -> dict[str, str]:
        """Columns whose value stands above the header, in every file."""
        found: dict[str, str] = {}
        tables = self.main.tables
        common = [label for label in tables[0].above if all(label in table.above for table in tables)] if tables else []
        for label in common:
            name = column_like(label)
            level = contract.columns()[name.meant].level if name else "observation"
            if (
                name
                and name.sure
                and level != "observation"
                and name.meant not in self.chosen.columns
                and not is_private(label)
            ):
                found.setdefault(name.meant, f"(above: {label})")
        return found

    # ---- columns -----------------------------------------------------------------------------------------------

    def _column(self, keys: tuple[str, ...], name: str, choice: Choice) -> None:
        out, rule, profile = self.out, contract.columns()[name].rule, choice.profile
        out.table(*keys)
        source = [choice.label, *choice.else_from] if choice.else_from else choice.label
        out.pair("from", source, _told(profile, self.people) if rule.kind != "text" else "")
        if choice.optional:
            out.pair("optional", True, "some files do not have it")
        if choice.table:
            out.pair("table", choice.table)
        if choice.only:
            out.inline("only", choice.only)
        asks = [] if choice.sure else [f"Is this {name}? {choice.why[:1].upper()}{choice.why[1:]}."]
        if name == "inspector_id" and profile.people > 0.5:
            out.comment("These look like names; with [columns.inspector_id.words] each can be given a code.")
        words: list[tuple[str, str, str]] = []
        match rule.kind:
            case "date":
                asks += self._dates(choice)
            case "number":
                asks += self._units(name, choice)
            case "choice" | "yes_no":
                words, more = self._words(name, profile, choice.codes)
                asks += more
            case "integer" if name == "consequence":
                words, more = self._words(name, profile, choice.codes, self._is_the_call(choice))
                asks += more
            case "integer":
                asks += self._integers(profile)
        if asks:
            out.question(" ".join(asks))
        self._write_words((*keys, "words"), words)

    def _write_words(self, keys: tuple[str, ...], words: list[tuple[str, str, str]]) -> None:
        if words:
            self.out.table(*keys)
            # Words that are masked may have become one.
            once = {word: (meant, note) for word, meant, note in reversed(words)}
            for word in dict.fromkeys(word for word, _, _ in words):
                self.out.pair(word, *once[word])

    def _words(
        self, name: str, profile: Profile, codes: Mapping[str, str] = MappingProxyType({}), of_call: bool = False
    ) -> tuple[list[tuple[str, str, str]], list[str]]:
        """Which word stands for which of the contract, and what there is to ask; the calls are always asked.

        A code is looked up in ``codes`` for what it means; ``of_call`` are words for calls that name a consequence.
        """
        rule = contract.columns()[name].rule
        if len(profile.words) > _MOST_WORDS:
            return [], [f"It has {len(profile.counts):,} different words; is it {name}?"]
        found, guessed, asks = [], [], []
        for word, count in profile.words:
            rows = f"{count:,} row{'s' * (count != 1)}"
            if _is_of_contract(word, name) and not of_call and plain(word) not in codes:
                continue
            if means := codes.get(plain(word)):
                rows = f"'{self.people.masked(means)}', {rows}"
            meant = _severity(means or word) if of_call else word_like(means or word, name)
            if meant is None:
                found.append((self.people.masked(word), UNKNOWN, rows))
            else:
                found.append((word, meant.meant, rows if meant.sure else f"{rows}; a guess"))
                guessed += [] if meant.sure else [word]
        if guessed:
            asks.append(f"Are these words meant so: {', '.join(guessed[:6])}{' …' if len(guessed) > 6 else ''}?")
        if name == "call" and found:
            asks.append(
                f"Do these words stand for these calls? Every verdict rests on them. Calls: {', '.join(rule.choices)}."
            )
        return found, asks

    def _integers(self, profile: Profile) -> list[str]:
        of = profile.share(lambda word: re.fullmatch(r"\d+ (?:of|/) ?\d+.*", word) is not None)
        if of > 0.3:
            self.out.pair("part", r"^(\d+)", "the first number of '6 of 14'; part = 'of (\\d+)' takes the second")
            return ["Is the first of the two numbers meant?"]
        return []

    # ---- dates -------------------------------------------------------------------------------------------------

    def _orders(self) -> list[str | None]:
        return [self._order_here(number) for number in range(len(self.main.tables))]

    def _order_here(self, number: int) -> str | None:
        """The order of dates that one table proves by itself, a question mark where it proves none, None where its
        dates need none."""
        choice = self.chosen.columns.get("inspected_on")
        if choice is None or choice.table is not None:
            return None
        labels = (choice.label, *choice.else_from)
        cells = next((cells for label in labels if (cells := self.main.tables[number].column(label))), [])
        profile = Profile.of(choice.label, cells)
        if not any(_open_date(word) and _exists(word) for word in profile.counts):
            return None
        found = proved_order(profile)
        return found[0] if found and isinstance(found[0], str) else UNKNOWN

    def _dates(self, choice: Choice) -> list[str]:
        """The order of dates where the data prove it; else a question."""
        profile, out = choice.profile, self.out
        if profile.serials > 0.5:
            out.pair("dates", "workbook days")
            return ["Are these bare numbers days as a workbook counts them?"]
        if choice.table is None and len(set(self._orders())) > 1:
            return []  # each table says its own
        # A day that exists in neither order is refused whatever is said here.
        numeric = [word for word, _ in profile.words if _open_date(word) and _exists(word)]
        if not numeric:
            return []
        found = proved_order(profile)
        if found is not None:
            order, proof = found
            if isinstance(order, str):
                out.pair("dates", order, f"proved by {proof}")
            else:
                out.inline("dates", order, f"proved by {proof}")
            return []
        if years := _years_first(profile):
            out.pair("dates", "year month day")
            return [f"Does the year stand first? It would be one of {years}."]
        if by := self._order_by(choice):
            return by
        out.pair("dates", UNKNOWN, '"month day year" or "day month year"')
        contrary = _contrary(profile)
        what = (
            f"{contrary[0]} has the day first, {contrary[1]} the month"
            if contrary
            else f"{numeric[0]} can be read in two ways"
        )
        return [f"In which order do the parts of a date stand? {what}."]

    def _order_by(self, choice: Choice) -> list[str]:
        """The order of dates by the words of another column, each of which proves its own."""
        if choice.table is not None:
            return []
        days = self.main.cells(choice.label)
        for label in self.main.labels:
            cells = self.main.cells(label)
            kinds = {cell for cell in cells if cell is not None}
            # A kind with a row or two would prove anything.
            if label == choice.label or not 2 <= len(kinds) <= min(12, len(cells) // 3):
                continue
            orders = {}
            for kind in sorted(kinds):
                own = Profile.of(label, [day for day, cell in zip(days, cells, strict=True) if cell == kind])
                found = proved_order(own)
                if found is None and any(written.spelled_date(word) is None for word in own.counts):
                    break
                if found and isinstance(found[0], str):
                    orders[kind] = found[0]
            else:
                if len(set(orders.values())) > 1:
                    self.out.pair("dates_from", label)
                    self.out.inline("dates_by", orders)
                    return [f"Does the order of a date's parts go by {label}?"]
        return []

    # ---- units -------------------------------------------------------------------------------------------------

    def _units(self, name: str, choice: Choice) -> list[str]:
        """The unit of a column where its label, its cells or another column say it; else what is plausible."""
        out, rule = self.out, contract.columns()[name].rule
        if label := self.chosen.unit_of.get(choice.label):
            out.pair("unit_from", label)
            counts = Profile.of(label, self.main.cells(label)).words
            unknown = [word for word, _ in counts if written.unit_named(word) is None]
            if unknown:
                out.inline("units", dict.fromkeys(unknown, UNKNOWN))
            return []
        if unit := unit_of(choice.label):
            if unit != rule.unit and not (unit == "sqft" and rule.unit == "sq ft"):
                out.pair("unit", unit, "its label says so")
            elif rule.unit == "in":
                out.pair("unit", "in", "its label says so")
            return []
        if rule.unit == "in" and (better := self._unlikely_in_inches(choice.profile, name)):
            unit, share = better
            out.pair("unit", unit or UNKNOWN, "in, ft, mm, cm, m")
            return [
                f"Nothing says its unit, and as inches only {share:.0%} of the values are plausible. Is it this unit?"
            ]
        return []

    def _unlikely_in_inches(self, profile: Profile, name: str) -> tuple[str | None, float] | None:
        """The unit in which bare values are plausible where they are not in inches, and how many are in inches."""
        bare = Counter({word: count for word, count in profile.words if _is_bare_number(word)})
        if not bare:
            return None
        shares = {unit: _plausible(bare, unit, name) for unit in ("in", "ft", "cm", "mm", "m")}
        if shares["in"] >= 0.9:
            return None
        best = max(shares, key=lambda unit: shares[unit])
        rivals = [unit for unit, share in shares.items() if share >= 0.9]
        return (best if len(rivals) == 1 and best != "in" else None), shares["in"]

    # ---- what is lacking ---------------------------------------------------------------------------------------

    def _lacking(self, name: str) -> None:
        """A required column that nothing was found for."""
        if self.chosen.wide and name in ("topic", "call"):
            return
        if name == "observation_no":
            return  # numbered
        self.out.table("columns", name)
        one_each = all(len(table.places) and len(self.main.tables) > 1 for table in self.main.tables)
        if name == "report_id" and one_each:
            self.out.pair("from", "(file)")
            self.out.question("Is each file one report, named as the report is?")
            return
        if (name in READABLE and self._read(name)) or (name == "inspector_id" and self._by_sheet()):
            return
        self.out.comment(f"No column is {name}; say which (from), or what holds for every row (default).")
        self.out.pair("default", UNKNOWN)

    def _texts(self) -> tuple[str, list[str]]:
        """Where sentences of observations stand, and these: parts of a split text, or the comment."""
        if self.split:
            profile, at = self.split[0].profile, self.split[1]
            return PART, [part for word, _ in profile.words for part in parts_of(word, at)]
        comment = self.chosen.columns.get("comment")
        return (
            (comment.label, [word for word, _ in comment.profile.words]) if comment and not comment.table else ("", [])
        )

    def _read(self, name: str) -> bool:
        """Offer what stands before the colon of a text, or else to read the text, where no column is topic or call."""
        source, texts = self._texts()
        if not texts:
            return False
        if self._heading(name, source, texts):
            return True
        told = sum(word_told(text, name) for text in texts[:_MOST_TEXTS])
        self.out.comment('Or what holds for every row: default = "…".')
        self.out.pair("from", COMMENT)
        self.out.question(
            f"No column is {name}. Is it to be read out of the comment? Of {len(texts[:_MOST_TEXTS]):,} that were "
            f"looked at {told:,} tell it; a row whose comment does not is refused."
        )
        return True

    def _heading(self, name: str, source: str, texts: list[str]) -> bool:
        """The topic where most texts begin with one of a few headings, and the call where one follows it.

        ``Guard: loose at the stair``, ``GUARD [FIX]: loose``, ``Guard - Fix. Loose at the stair.``
        """
        part = _HEADING if name == "topic" else _TAG
        heads = [match[1].strip() for text in texts if (match := re.match(part, text))]
        if len(heads) <= 0.6 * len(texts) or len(set(heads)) > max(3, 0.3 * len(heads)):
            return False
        self.out.pair("from", source)
        self.out.pair("part", part, "what each text begins with" if name == "topic" else "what stands behind that")
        words, asks = self._words(name, Profile.of(name, [*heads]))
        self.out.question(
            " ".join([f"Does each text begin with its topic{' and its call' * (name == 'call')}?", *asks])
        )
        self._write_words(("columns", name, "words"), words)
        return True

    def _by_sheet(self) -> bool:
        """Offer that each sheet is an inspector's where the sheets are called like people."""
        sheets = [table.sheet for table in self.main.tables if table.sheet]
        if len(set(sheets)) < 2 or not all(_PERSON.fullmatch(sheet) for sheet in sheets):
            return False
        self.out.comment("With [columns.inspector_id.words] each can be given a code.")
        self.out.pair("from", SHEET)
        self.out.question("No column is inspector_id. Is each sheet an inspector's, and named like it?")
        return True

    # ---- wide rows and split texts -----------------------------------------------------------------------------

    def _wide(self) -> None:
        if self.chosen.grouped:
            for name, choice in self.chosen.grouped.items():
                if contract.columns()[name].rule.kind in ("choice", "yes_no") or name == "consequence":
                    self._shared(name, choice.profile, name == "consequence" and self._is_the_call(choice))
        elif calls := [block.columns["call"].profile for block in self.chosen.wide if "call" in block.columns]:
            cells = [cell for profile in calls for cell in profile.cells]
            self._shared("call", Profile.of("call", [cell for cell in cells if not cell or not _is_yes_or_no(cell)]))
        for number, block in enumerate(self.chosen.wide, 1):
            self._block(block, number)

    def _shared(self, name: str, profile: Profile, of_call: bool = False) -> None:
        """Words that mean the same in every wide column of a name."""
        words, asks = self._words(name, profile, of_call=of_call)
        self.out.table("shared", name)
        if asks:
            self.out.question(" ".join(asks))
        self.out.table("shared", name, "words")
        for word, meant, note in words:
            self.out.pair(word, meant, note)

    def _block(self, block: Block, number: int) -> None:
        """One observation of a wide row."""
        self.out.table("wide", many=True)
        if block.topic is not None:
            self.out.pair("topic", block.topic, vocabulary.topics()[block.topic].title)
        if not block.sure:
            self.out.question(f"Do these columns speak of {block.topic}?")
        if block.topic is None:
            self.out.table("wide", "columns", "observation_no")
            self.out.pair("default", str(number))
        for name, choice in block.columns.items():
            if name == "call" or (block.topic is None and contract.columns()[name].rule.kind == "choice"):
                self._plain_column(name, choice)
            else:
                self._column(("wide", "columns", name), name, choice)
        if "call" not in block.columns:
            self.out.table("wide", "columns", "call")
            self.out.comment("No column is its call; say which (from), or what holds for every row (default).")
            self.out.pair("default", UNKNOWN)

    def _plain_column(self, name: str, choice: Choice) -> None:
        """A wide column whose words are shared, but for those that mean another thing by each question."""
        self.out.table("wide", "columns", name)
        self.out.pair("from", choice.label)
        if not choice.sure:
            self.out.question(f"Is this {name}? {choice.why[:1].upper()}{choice.why[1:]}.")
        answers = [(word, UNKNOWN, f"{count:,} rows") for word, count in choice.profile.words if _is_yes_or_no(word)]
        if name == "call" and not self.chosen.grouped:
            self._write_words(("wide", "columns", name, "words"), answers)

    def _is_the_call(self, choice: Choice) -> bool:
        calls = (self.chosen.columns.get("call"), self.chosen.grouped.get("call"))
        return any(call is not None and call.label == choice.label for call in calls)

    def _split(self) -> tuple[Choice, str] | None:
        """A text that holds several observations: no column says a topic, and its cells have several parts."""
        comment = self.chosen.columns.get("comment")
        if comment is None or comment.table or self.chosen.wide or {"topic", "call"} & set(self.chosen.columns):
            return None
        words = [word for word, _ in comment.profile.words[:500]]
        for at in ("numbers", "lines", "semicolons", "sentences"):
            if words and sum(len(parts_of(word, at)) > 1 for word in words) > 0.4 * len(words):
                return comment, at
        return None

    def _write_split(self, choice: Choice, at: str) -> None:
        del self.chosen.columns["comment"]
        self.out.table("split")
        self.out.pair("from", choice.label)
        self.out.pair("at", at, "lines, sentences, numbers, semicolons")
        self.out.question("Does each part of this text speak of one observation?")


# ---- small ones ------------------------------------------------------------------------------------------------------


def _open_date(word: str) -> tuple[str, tuple[int, int, int]] | None:
    """A date whose parts could stand in two orders, taken apart; None where it is no date, or its year is first."""
    found = None if written.spelled_date(word) else written.numeric_date(word)
    return found if found and found[1][0] < 1000 else None


def _exists(word: str) -> bool:
    return any(written.date_text(word, order) for order in ("day month year", "month day year"))


def _only_order(word: str) -> str | None:
    """The one order in which a date exists: 31.04. exists in neither, and proves nothing."""
    fits = [order for order in ("day month year", "month day year") if written.date_text(word, order)]
    return fits[0] if len(fits) == 1 else None


def proved_order(profile: Profile) -> tuple[str | dict[str, str], str] | None:
    """The order of a date's parts that the values prove, and by which: a part above 12 is a day.

    Where the sign between the parts tells two orders apart, that of each sign; None where anything is open.
    """
    by_sign: dict[str, dict[str, str]] = {}
    for word, _ in profile.words:
        found = _open_date(word)
        if found is None:
            continue
        proofs = by_sign.setdefault(found[0], {})
        if order := _only_order(word):
            proofs.setdefault(order, word)
    if not by_sign or any(len(proofs) != 1 for proofs in by_sign.values()) or _years_first(profile):
        return None
    orders = {sign: next(iter(proofs)) for sign, proofs in by_sign.items()}
    told = " and ".join(next(iter(proofs.values())) for proofs in by_sign.values())
    return (next(iter(orders.values())) if len(set(orders.values())) == 1 else orders), told


def _years_first(profile: Profile) -> str:
    """The years by their two figures where these seem to stand first: few of them, and many days; else nothing."""
    parts = [found[1] for word, _ in profile.words if (found := _open_date(word))]
    firsts, lasts = {first for first, _, _ in parts}, {last for _, _, last in parts}
    few = len(lasts) >= 4 and 3 * len(firsts) <= len(lasts) and max(lasts) <= 31
    return ", ".join(f"{year:02}" for year in sorted(firsts)) if few else ""


def _contrary(profile: Profile) -> tuple[str, str] | None:
    """Two dates of which one proves the day first and the other the month."""
    found: dict[str, str] = {}
    for word, _ in profile.words:
        if _open_date(word) and (order := _only_order(word)):
            found.setdefault(order, word)
    return (found["day month year"], found["month day year"]) if len(found) == 2 else None


def _is_yes_or_no(word: str) -> bool:
    """Whether an answer means one thing by one question and another by the next."""
    found = like(word, "yes_no")
    return found is not None and found.sure and like(word, "calls") is None


def _severity(word: str) -> Likeness | None:
    """The consequence that a word for a call names; blank where it is no word for a finding."""
    call = word_like(word, "call")
    if call is not None and call.meant != "written_up":
        return Likeness("", True)
    level = severity(word)
    return Likeness(level, False) if level else None


def _is_bare_number(word: str) -> bool:
    """Whether a value is a number that does not say its unit."""
    numbers = (written.plain_number(word, sign) for sign in ".,")
    return written.own_unit(word) is None and any(number is not None for number in numbers)


def _plausible(bare: Counter[str], unit: str, name: str) -> float:
    rule = contract.columns()[name].rule
    assert rule.low is not None
    assert rule.high is not None
    inside = 0
    for word, count in bare.items():
        told = written.quantity(word, unit, ".", "in") or written.quantity(word, unit, ",", "in")
        inside += count * (told is not None and rule.low <= Decimal(told) <= rule.high)
    return inside / bare.total()


def _is_of_contract(word: str, name: str) -> bool:
    """Whether the contract reads a word as it stands."""
    rule = contract.columns()[name].rule
    try:
        contract.read(rule, written.size_text(word) if "4x4" in rule.choices else word)
    except Exception:
        return False
    return True


def _told(profile: Profile, people: People) -> str:
    """A few values of a column, for the person who reviews."""
    words = [people.masked(word)[:40] for word, _ in profile.words[:4]]
    return f"e.g. {'; '.join(words)}" if words else "blank in every row"


def _escaped(name: str) -> str:
    return re.sub(r"([\[*?])", r"[\1]", name)


def _common(names: list[str], suffix: str) -> str:
    """A pattern for names that begin alike."""
    start = names[0]
    while not all(name.startswith(start) for name in names):
        start = start[:-1]
    return f"{_escaped(start)}*{suffix}"
