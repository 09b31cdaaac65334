"""The sentences of bringing files to the page Data: what is understood, what will happen, what became of the load."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboard import labels
from dashboard.notes.layout_wording import named, short, title
from dashboard.notes.wording import Sentence, Strong, said, together
from dashboard.uploads.asking import Loaded, ReadColumn, Tried
from dashboard.uploads.layout_form import (
    Tree,
)

#: Of one file, in megabytes.
LARGEST_MB = 100
HOW = (
    "Their columns may be called anything; a layout.toml saved the last time goes with them. Nothing is loaded before "
    f"you have seen what will happen. For a file above {LARGEST_MB} MB: `evenhand load FILE` in a terminal."
)
KEPT_FOR = (
    "The files lie in a temporary folder of this machine until they are loaded or taken back, or nothing was done with "
    "them for two hours; then they are removed."
)


# ---- before ----------------------------------------------------------------------------------------------------------


def files_found(tried: Tried) -> Sentence:
    """The answer for files that need no layout."""
    own, lost = tried.files_of("own", "mended"), tried.files_of("unreadable")
    if not own:
        return said(Strong("None of these files can be read."))
    rows = sum(file.rows for file in own)
    is_mended = bool(tried.files_of("mended"))
    some = Strong(f"{labels.plural(len(own), 'file')} with {labels.plural(rows, 'mended row' if is_mended else 'row')}")
    ready = f" {labels.are(len(own))} in the form of the input table and can be loaded as {_they(own)}."
    into = " can be put into the reports that they belong to; the other rows of these stay as they are."
    cannot = f"{labels.plural(len(lost), 'file')} cannot be read." if lost else ""
    return together(said(some, into if is_mended else ready), said(cannot))


def _they(files: list[Any]) -> str:
    return "it is" if len(files) == 1 else "they are"


def understood(known: int, of: int, open_: int) -> Sentence:
    """The answer for files that need a layout."""
    columns = said("Evenhand understands ", Strong(f"{known} of {labels.plural(of, 'column')}"), "; ")
    if not open_:
        return Sentence((*columns.parts, Strong("nothing is open"), "."))
    return Sentence((*columns.parts, Strong(f"{labels.plural(open_, 'question')} {labels.are(open_)} open"), "."))


def will_happen(tried: Tried, tree: Tree | None, not_taken: list[str]) -> Sentence:
    """What pressing the button does; what files that need no layout hold is told above it."""
    rows = sum(file.rows for file in tried.readable)
    files = f"{labels.plural(len(tried.readable), 'file')} with {labels.plural(rows, 'row')} will be"
    what = f"{files if tree is not None else 'Every row is'} read, checked and judged."
    private = [short(label) for label in (tree or {}).get("private", [])]
    never = f"Never stored: {named(private)}." if private else ""
    left = f"Not taken: {named([short(label) for label in not_taken])}." if not_taken else ""
    refused = (
        "A row that cannot be right is refused, kept with its reason and shown afterwards. The snapshot before this "
        "load is kept."
    )
    return together(said(what), said(never), said(left), said(refused))


MIXED = (
    "These files cannot go in one load: they are of different forms.",
    "Take them back, and bring those of one form at a time.",
)
_FORMS = {"own": "In the form of the input table", "mended": "Mended rows", "foreign": "In another form"}


def which_is_which(tried: Tried) -> str:
    """Which files of a mixed lot are of which form."""
    files = {form: [labels.file_name(file.name) for file in tried.files_of(form)] for form in _FORMS}
    return " ".join(f"{_FORMS[form]}: {named(names)}." for form, names in files.items() if names)


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
