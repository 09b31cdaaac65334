"""What is asked of a layout, in the words of somebody who has never seen its file."""

from __future__ import annotations

import re

from dashboard import labels
from dashboard.notes.layout_wording import ORDERS, holds, short, title
from dashboard.uploads.asking import ForeignColumn, Tried
from dashboard.uploads.layout_form import (
    UNKNOWN,
    Tree,
    at,
    sources,
)
from dashboard.uploads.questions import Question

_DATE = re.compile(r"(\d{1,2})([/. -])(\d{1,2})\2(\d{4}|\d{2})")


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
