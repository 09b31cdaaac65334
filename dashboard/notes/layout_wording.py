"""The words of a layout: what its columns, words, units and orders are called, what each is taken for, what is kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboard import labels
from dashboard.uploads.asking import ForeignColumn, ReadColumn
from dashboard.uploads.layout_form import (
    BLANK,
    COMMENT,
    FILE_NAME,
    NOT_NEEDED,
    PRIVATE,
    REFUSE,
    SKIP,
    UNKNOWN,
    UNUSED,
    KeptPart,
    Path,
    Use,
    sources,
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
    "read_from_comment": "Told by the comment",
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
_SOURCES = {
    FILE_NAME: "the file’s name",
    COMMENT: "what the row’s comment tells",
    "(sheet)": "the sheet’s name",
    "(row)": "the row’s number",
    "(part)": "the part of the text",
}
_CUTS = {"lines": "at line ends", "sentences": "at sentences", "numbers": "at numbers", "semicolons": "at semicolons"}
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


def beside(source_: str | None, entry: Mapping[str, Any]) -> str:
    """What says a column where no column of the files does, as a choice."""
    if source_ is not None:
        return _SOURCES[source_]
    return f"– {source(entry) if sources(entry) else 'no column'} –"


def source(entry: Mapping[str, Any]) -> str:
    """Where a column comes from that no column of the files is the source of."""
    found = [_SOURCES.get(label, label.strip("()").replace("above:", "above the table:")) for label in sources(entry)]
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


def column_name(column: ForeignColumn) -> str:
    """A column of the files in a list of all; one of a joined table is told with it."""
    return f"{column.label} (of {column.table})" if column.table else column.label


def said_elsewhere(contract: Mapping[str, ReadColumn], path: Path, entry: Mapping[str, Any]) -> str:
    """A column of the input table that no column of the files says, in the same list."""
    return f"{title(contract[str(path[-1])])} ({source(entry)})"


def offered(column: ForeignColumn) -> str:
    """A column of the files as a choice, with a few of its cells."""
    return f"{short(column.label)} ({'private' if column.private else holds(column)})"


def holds(column: ForeignColumn) -> str:
    """A few cells of a column; none of a private one."""
    return "not shown" if column.private else "; ".join(column.examples[:3])
