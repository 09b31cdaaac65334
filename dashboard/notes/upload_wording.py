"""The sentences of bringing files to the page Data: what is understood, what is asked, what became of the load."""

from __future__ import annotations

import re
from collections.abc import Mapping
from fnmatch import fnmatch
from typing import Any

from dashboard import labels
from dashboard.notes.wording import Sentence, Strong, said, together
from dashboard.uploads.asking import ForeignColumn, Loaded, ReadColumn, SampleRow, Tried
from dashboard.uploads.layout_form import (
    BLANK,
    NOT_NEEDED,
    PRIVATE,
    REFUSE,
    SKIP,
    UNKNOWN,
    UNUSED,
    KeptPart,
    Tree,
    Use,
    at,
    sources,
)
from dashboard.uploads.questions import Question

#: Of one file, in megabytes.
LARGEST_MB = 100
HOW = (
    "Their columns may be called anything; a layout.toml saved the last time goes with them. Nothing is loaded before "
    f"you have seen what will happen. For a file above {LARGEST_MB} MB: `evenhand load FILE` in a terminal."
)
KEPT_FOR = (
    "The files lie in a temporary folder of this machine until they are loaded or taken back; then they are removed."
)
#: The columns of the input table that are no measures: as a firm would call them.
TITLES = {
    "report_id": "Report number",
    "inspected_on": "Day of the inspection",
    "inspector_id": "Inspector",
    "region": "Region",
    "property_id": "Property code",
    "code_basis": "Guideline measured against",
    "passes": "Whether passes are listed",
    "deck_id": "Deck code",
    "deck_built_year": "Year the deck was built",
    "deck_built_basis": "How that year is known",
    "builder": "Builder",
    "deck_height_in": "Deck height",
    "ledger_attached": "Whether the deck hangs on the house",
    "observation_no": "Number of the observation",
    "topic": "Topic",
    "place": "Place on the deck",
    "call": "Call",
    "not_seen_reason": "Why it was not seen",
    "consequence": "Consequence, 1 to 3",
    "comment": "Comment",
    "recommendation": "Recommendation",
    "photo_count": "Photos",
    "checked": "How many were looked at",
    "affected": "How many were affected",
}
UNITS = {"in": "inches", "ft": "feet", "mm": "millimeters", "cm": "centimeters", "m": "meters", UNKNOWN: "– choose –"}
ORDERS = {
    "day month year": "day, month, year",
    "month day year": "month, day, year",
    "year month day": "year, month, day",
    "workbook days": "days counted by the spreadsheet",
    UNKNOWN: "– choose –",
}
BESIDE = {
    PRIVATE: "Private: never stored, and masked in sentences",
    NOT_NEEDED: "Not needed",
    UNUSED: "Not taken",
}
_WORDS = {BLANK: "leave blank", SKIP: "no observation: leave the row out", REFUSE: "refuse the row"}
_CUTS = {"lines": "at line ends", "sentences": "at sentences", "numbers": "at numbers", "semicolons": "at semicolons"}
_DATE = re.compile(r"(\d{1,2})([/. -])(\d{1,2})\2(\d{4}|\d{2})")
#: So many names stand in a sentence; the rest is counted.
_NAMED = 4


# ---- names -----------------------------------------------------------------------------------------------------------


def title(column: ReadColumn | str) -> str:
    """What a column of the input table is called."""
    if isinstance(column, str):
        return TITLES.get(column, labels.choice(column))
    return column.title or TITLES.get(column.name, labels.choice(column.name))


def titled(contract: Mapping[str, ReadColumn], name: str) -> str:
    """The same, with the unit in which it is kept."""
    read = contract.get(name)
    if read is None:
        return title(name)
    return f"{title(read)}, {read.unit}" if read.unit else title(read)


def use(contract: Mapping[str, ReadColumn], what: str) -> str:
    """What a column of a file is taken for, as a choice."""
    return BESIDE[what] if what in BESIDE else title(contract[what])


def word(read: ReadColumn, meant: str) -> str:
    """What a word can stand for, as a choice."""
    if meant == UNKNOWN:
        return "– choose –"
    if meant in _WORDS:
        return _WORDS[meant]
    if read.name == "call":
        return labels.CALLS.get(meant, meant)
    return read.choices.get(meant, meant) if read.name == "topic" else labels.choice(meant)


def short(label: str) -> str:
    """The end of a label that is a path, ``jobs.place.code``: its first steps are the same in all of them."""
    steps = label.split(".")
    return f"… {'.'.join(steps[-2:])}" if len(steps) > 2 and " " not in label else label


def named(names: list[str]) -> str:
    """Some names, the rest of them counted."""
    left = len(names) - _NAMED
    return labels.listed(names if left < 2 else [*names[:_NAMED], f"{left} more"])


# ---- before ----------------------------------------------------------------------------------------------------------


def files_found(tried: Tried) -> Sentence:
    """The answer for files that need no layout."""
    own, lost = tried.files_of("own"), tried.files_of("unreadable")
    if not own:
        return said(Strong("None of these files can be read."))
    rows = sum(file.rows for file in own)
    some = Strong(f"{labels.plural(len(own), 'file')} with {labels.plural(rows, 'row')}")
    ready = said(some, f" {labels.are(len(own))} in the form of the input table and can be loaded as {_they(own)}.")
    cannot = f"{labels.plural(len(lost), 'file')} cannot be read." if lost else ""
    return together(ready, said(cannot))


def _they(files: list[Any]) -> str:
    return "it is" if len(files) == 1 else "they are"


def understood(known: int, of: int, open_: int) -> Sentence:
    """The answer for files that need a layout."""
    columns = said("Evenhand understands ", Strong(f"{known} of {labels.plural(of, 'column')}"), "; ")
    if not open_:
        return Sentence((*columns.parts, Strong("nothing is open"), "."))
    return Sentence((*columns.parts, Strong(f"{labels.plural(open_, 'question')} {labels.are(open_)} open"), "."))


def will_happen(tried: Tried, tree: Tree | None, not_taken: list[str]) -> Sentence:
    """What pressing the button does."""
    files = [file for file in tried.files if file.form != "unreadable"]
    rows = sum(file.rows for file in files)
    what = f"{labels.plural(len(files), 'file')} with {labels.plural(rows, 'row')} will be read, checked and judged."
    private = (tree or {}).get("private", [])
    never = f"Never stored: {named(private)}." if private else ""
    left = f"Not taken: {named(not_taken)}." if not_taken else ""
    refused = (
        "A row that cannot be right is refused, kept with its reason and shown afterwards. The snapshot before this "
        "load is kept."
    )
    return together(said(what), said(never), said(left), said(refused))


MIXED = (
    "Some of these files are in the form of the input table, and some are not.",
    "They go in two loads: take them back, and bring first those that are in its form.",
)


def in_own_form(tried: Tried) -> str:
    """Which files of a mixed lot are which."""
    own = named([file.name for file in tried.files_of("own")])
    return f"In its form: {own}. Not: {named([file.name for file in tried.files_of('foreign')])}."


# ---- questions -------------------------------------------------------------------------------------------------------


def heading(question: Question, tree: Tree, tried: Tried) -> str:
    """What is asked, as the title of its card."""
    match question.kind:
        case "columns":
            one = len(question.paths) == 1
            return f"{'Is this column what it looks' if one else 'Are these columns what they look'} like?"
        case "words":
            return f"What does each word stand for, in all columns of the {title(str(question.path[-1])).lower()}?"
        case "head":
            return "What holds for all of these files?"
        case "table":
            files = at(tree, question.path).get("files", "")
            dates = at(tree, question.path).get("dates") == UNKNOWN
            return f"How are the days in {files} written?" if dates else "How is this table to be read?"
        case "skip":
            return "Are these rows no observations?"
        case "topic":
            return "Which topic do these columns speak of?"
        case "split":
            return "Where is the text cut into observations?"
    return _of_column(question, tree, tried)


def _of_column(question: Question, tree: Tree, tried: Tried) -> str:
    name = str(question.path[-1])
    entry = at(tree, question.path)
    what = labels.in_sentence(title(tried.contract[name]))
    if question.path[0] == "wide":
        topic = at(tree, question.path[:2])["topic"]
        what = f"{what} of “{tried.contract['topic'].choices.get(topic, topic)}”"
    if not sources(entry):
        return f"What says the {what}?"
    label = labels.listed(f"“{short(label)}”" for label in sources(entry))
    if entry.get("words"):
        return f"What does each word of {label} stand for?"
    if entry.get("dates") == UNKNOWN:
        return f"How are the days in {label} written?"
    if len(sources(entry)) > 1:
        return f"Do {label} hold the same: the {what}?"
    return f"How is {label} to be read as {what}?"


def guessed(column: ForeignColumn, why: str) -> str:
    """A column that is taken for what it looks like, with a few cells and what spoke for it."""
    told = f": {labels.in_sentence(why).removesuffix('.')}" if why else ""
    return f"“{short(column.label)}” ({holds(column)}){told}"


def settles(question: Question, tree: Tree, tried: Tried) -> str:
    """What the button of a card says: each its own, for whoever hears them one after the other."""
    match question.kind:
        case "columns":
            return "This column is right" if len(question.paths) == 1 else "These columns are right"
        case "words":
            return "These words are right"
        case "head":
            return "This holds for all"
        case "table":
            return "This table is right"
        case "skip":
            return "Settle these rows"
        case "topic":
            return "This topic is right"
        case "split":
            return "It is cut there"
    what = title(tried.contract[str(question.path[-1])])
    entry = at(tree, question.path)
    return f"{what}: these words are right" if entry.get("words") else f"{what}: this is right"


def plainly(ask: str, tried: Tried) -> str:
    """What a layout asks, without the words of its file; labels that are paths are cut to their ends."""
    parts = re.split(r"(?<=[.?]) ", ask)
    told = " ".join(part for part in parts if not re.search(r"write |Calls: |^Is this \w+\?", part))
    for label in sorted((column.label for column in tried.columns), key=len, reverse=True):
        if short(label) != label:
            told = told.replace(label, short(label))
    return told


def rows_with(start: str, question: Question) -> str:
    """The rows that are asked about, by how they begin."""
    where = f" in {labels.plural(len(question.paths), 'table')}" if len(question.paths) > 1 else ""
    return f"Rows that begin with “{start}”{where}, as totals and remarks below a table do."


def order(order_: str, example: str | None) -> str:
    """An order of a date's parts, with what an example is by it."""
    told = ORDERS[order_]
    match = _DATE.search(example or "")
    if match is None or order_ not in ("day month year", "month day year"):
        return told
    first, second = int(match[1]), int(match[3])
    day, month = (first, second) if order_.startswith("day") else (second, first)
    if not (1 <= month <= 12 and 1 <= day <= 31):
        return told
    year = match[4] if len(match[4]) == 4 else f"20{match[4]}"
    return f"{told}: {match[0]} is {day} {labels.month_of_year(month)} {year}"


def ambiguous(cells: list[str]) -> str | None:
    """The first date whose parts could stand in two orders."""
    found = (match for cell in cells if (match := _DATE.search(cell)))
    return next((one[0] for one in found if int(one[1]) <= 12 and int(one[3]) <= 12 and one[1] != one[3]), None)


def rows_of_table(rows: list[SampleRow], table: Mapping[str, Any]) -> list[SampleRow]:
    """The rows of a sample that a table of the layout is for."""
    pattern = str(table.get("files", "*")).casefold()
    return [row for row in rows if fnmatch(row.file.casefold(), pattern)]


SAMPLE_BEFORE = "As they stand; what is private is masked."


def sample_after(rows: int, refused: int, is_open: bool) -> str:
    """What stands above the first rows as they would be read."""
    if not refused:
        return "As they would be read."
    still = " as long as questions are open" if is_open else ""
    return f"As they would be read; {labels.part_of(refused, rows)} would be refused{still}."


def reasons(found: list[str], contract: Mapping[str, ReadColumn]) -> str:
    """Why a row would be refused, in a cell: ``Call: not a word of its list``."""
    told = []
    for reason in found:
        code, _, sentence = reason.partition(": ")
        column = sentence.split(" ")[0]
        told.append(refused(code, title(contract[column]) if column in contract else ""))
    return "; ".join(told)


# ---- what is settled -------------------------------------------------------------------------------------------------


def taken_for(one: Use, contract: Mapping[str, ReadColumn]) -> str:
    """What a column of a file is taken for, in a table."""
    if one.what != "kept":
        return use(contract, one.what)
    if one.taken_for:
        return named([title(contract[name]) for name in one.taken_for])
    return "Helps to read other columns"


def read_as(entry: Mapping[str, Any]) -> str:
    """How a column is read, in a table: its words, its unit, the order of its dates."""
    told = []
    if words := entry.get("words"):
        told.append(labels.plural(len(words), "word"))
    if isinstance(entry.get("dates"), str):
        told.append(ORDERS[entry["dates"]])
    elif entry.get("dates") or entry.get("dates_by"):
        told.append("its own order of dates where it differs")
    if unit := entry.get("unit"):
        told.append(f"in {UNITS.get(unit, unit)}")
    if unit := entry.get("unit_from"):
        told.append(f"unit from “{short(unit)}”")
    if only := entry.get("only"):
        told.append(f"where {named([labels.listed(kinds, 'or') for kinds in only.values()])}")
    return ", ".join(told)


def source(entry: Mapping[str, Any]) -> str:
    """Where a column comes from that no column of the files is the source of."""
    named_ = {"(file)": "the file’s name", "(sheet)": "the sheet’s name", "(row)": "the row’s number"}
    found = [named_.get(label, label.strip("()").replace("above:", "above the table:")) for label in sources(entry)]
    if found:
        return labels.listed(found)
    if entry.get("numbered"):
        return "numbered in their order"
    return f"the same in every row: {entry.get('default', '')}"


def kept(part: KeptPart, contract: Mapping[str, ReadColumn]) -> str:
    """What the form leaves as the layout has it."""
    of = labels.listed(part.of)
    match part.kind:
        case "wide":
            topics = [contract["topic"].choices.get(topic, topic) for topic in part.names]
            return f"Each row holds {labels.plural(len(topics), 'observation')}: {named(topics)}."
        case "split":
            return f"The text of “{part.names[0]}” is cut into observations {_CUTS.get(of, of)}."
        case "join":
            return f"The table “{part.names[0]}” is joined to the rows by “{of}”."
        case "several":
            return f"{title(contract[part.names[0]])} is put together from “{of}”."
        case "only":
            titles = [labels.in_sentence(title(contract[name])) for name in part.of]
            return f"“{part.names[0]}” is taken for {named(titles)}, each only in its own rows."
        case "part":
            return f"Of {labels.in_sentence(title(contract[part.names[0]]))} only the part that fits {of} is taken."
        case "form":
            return f"In {part.names[0]} each label has its value beside it."
        case "implied":
            return f"Reports list only what was found; of {labels.plural(len(part.names), 'topic')} silence is a pass."
    return ""


KEPT = "What stands here is kept as the layout has it; its file `layout.toml` can change it."


def offered(column: ForeignColumn) -> str:
    """A column of the files as a choice, with a few of its cells."""
    return f"{short(column.label)} ({'private' if column.private else holds(column)})"


def holds(column: ForeignColumn) -> str:
    """A few cells of a column; none of a private one."""
    return "not shown" if column.private else "; ".join(column.examples[:3])


# ---- after -----------------------------------------------------------------------------------------------------------


def loaded(found: Loaded) -> Sentence:
    """What became of a load: the four counts add up to the rows that were read."""
    read = f"Read {labels.plural(found.read, 'row')} from {labels.plural(found.files, 'file')}: "
    parts = {"new": found.new, "changed": found.replaced, "unchanged": found.unchanged, "refused": found.refused}
    counts = labels.listed(f"{labels.count(rows)} {what}" for what, rows in parts.items() if rows) or "nothing"
    nothing = "" if found.published else " Nothing new was published."
    return said(read, Strong(counts), f".{nothing}")


def refused(code: str, column: str) -> str:
    """Why rows are refused, and the title of the column that is at fault, where one is."""
    what = labels.REFUSALS.get(code, labels.choice(code))
    return f"{column}: {what}" if column else f"{what[0].upper()}{what[1:]}"


def not_taken(count: int) -> str:
    """What unfolds the columns that are taken for nothing."""
    return f"{labels.plural(count, 'column')} {labels.are(count)} not taken: is any of them needed?"


def not_stored(columns: list[str]) -> str:
    """The columns of which nothing was kept."""
    return f"Not taken, and not stored: {named(columns)}." if columns else ""
