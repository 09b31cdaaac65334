"""The open questions of a layout as cards, each with its few choices and a button that settles it."""

from __future__ import annotations

import zlib
from typing import Any

import streamlit as st

from dashboard import labels
from dashboard.notes import layout_questions as asked
from dashboard.notes import layout_wording as words
from dashboard.uploads.layout_form import UNKNOWN, Path, Tree, at, confirm, drop_skip, set_values, sources
from dashboard.uploads.questions import Question, reason, rows_of_table
from dashboard.uploads.work import Work
from dashboard.views import parts
from dashboard.views import upload_fields as fields

_ENCODINGS = {
    "utf-8": "UTF-8",
    "cp1252": "Windows-1252",
    "utf-16": "UTF-16",
    "utf-16-le": "UTF-16, low byte first",
    "utf-16-be": "UTF-16, high byte first",
}
_CUTS = {
    "lines": "line ends",
    "sentences": "ends of sentences",
    "numbers": "numbers, as 1. 2. 3.",
    "semicolons": "semicolons",
}


def cards(work: Work) -> Tree | None:
    """All open questions, the first with the button of the page's next step; the layout as one of them is answered."""
    answered: Tree | None = None
    for number, question in enumerate(work.questions):
        answered = _card(work, question, is_next=number == 0) or answered
    return answered


def _card(work: Work, question: Question, is_next: bool) -> Tree | None:
    assert work.tree is not None
    key = card_key(work.tree, question.paths)
    with st.form(key, border=True):
        st.markdown(f"**{labels.escape_markdown(asked.heading(question, work.tree, work.tried))}**")
        answer = _FIELDS[question.kind](work, question, key)
        button = asked.settles(question, work.tree, work.tried)
        pressed = st.form_submit_button(button, type="primary" if is_next else "secondary")
    return answer if pressed else None


def card_key(tree: Tree, paths: tuple[Path, ...]) -> str:
    """A key that is the same as long as what a card shows is: answers to others leave its fields as they were left."""
    told = repr([(path, at(tree, path) if path else _head_of(tree)) for path in paths])
    return f"upload_{zlib.crc32(told.encode()):08x}"


def _head_of(tree: Tree) -> Tree:
    return {key: value for key, value in tree.items() if not isinstance(value, dict | list)}


def _told(work: Work, question: Question) -> None:
    """What the layout says to its question, where our words leave something out."""
    if text := asked.plainly(question.asks[0], work.tried):
        parts.hint(text)


# ---- one kind of question each ---------------------------------------------------------------------------------------


def _columns(work: Work, question: Question, key: str) -> Tree:
    """Columns that are taken for what they look like: each can be something else."""
    tree: Any = work.tree
    with st.grid(2, min_column_width=300):
        for number, (path, ask) in enumerate(zip(question.paths, question.asks, strict=True)):
            column = fields.column_of(work.tried, work.tree or {}, path)
            if column is None:
                continue
            with st.container():
                label = asked.guessed(column, reason(ask))
                changed = fields.taken_for(tree, work.tried, column, f"{key}_{number}", label)
            tree = confirm(tree, path) if changed == tree else changed
    return dict(tree)


def _column(work: Work, question: Question, key: str) -> Tree:
    """How one column is read; what it is taken for, where that is asked too."""
    tree: Any = work.tree
    column = fields.column_of(work.tried, tree, question.path)
    if column is not None:
        changed = fields.taken_for(
            tree, work.tried, column, f"{key}_what", f"“{words.short(column.label)}” is taken for"
        )
        if changed != tree:
            return changed
    _told(work, question)
    tree = fields.entry(tree, work.tried, question.path, key)
    return confirm(tree, question.path) if _is_there(tree, question.path) else tree


def _is_there(tree: Tree, path: Path) -> bool:
    try:
        at(tree, path)
    except (KeyError, IndexError):
        return False
    return True


def _shared_words(work: Work, question: Question, key: str) -> Tree:
    own, read = at(work.tree or {}, question.path), work.tried.contract[str(question.path[-1])]
    _told(work, question)
    chosen = fields.listed(own.get("words", {}), read, {}, key)
    return confirm(set_values(work.tree or {}, question.path, {"words": chosen}), question.path)


def _head(work: Work, question: Question, key: str) -> Tree:
    """What holds for all: the unit of lengths that do not say theirs, whether passes are listed, the order of dates."""
    tree: Any = work.tree
    _told(work, question)
    values: dict[str, Any] = {}
    if "length_unit" in tree:
        values["length_unit"] = fields.unit("Lengths without a unit are in", tree["length_unit"], key)
    if tree.get("dates") == UNKNOWN:
        values["dates"] = fields.order(UNKNOWN, [cell for one in work.tried.columns for cell in one.examples], key)
    if "passes" in tree:
        values |= _passes(work, tree, key)
    return confirm(set_values(tree, (), values), ())


def _passes(work: Work, tree: Tree, key: str) -> dict[str, Any]:
    told = {
        "explicit": "Yes: what had no defect is listed too",
        "implied": "No: they list only what was found",
    }
    passes = fields.choose(
        "Do the reports list what was passed?", list(told), tree["passes"], f"{key}_passes", told.__getitem__
    )
    topics = work.tried.contract["topic"].choices
    covered = st.multiselect(
        "If not: the topics that your checklist covers",
        list(topics),
        tree.get("covered_topics", []),
        key=f"{key}_covered",
        format_func=topics.__getitem__,
        placeholder="Choose",
    )
    return {"passes": passes, "covered_topics": covered if passes == "implied" else None}


def _table(work: Work, question: Question, key: str) -> Tree:
    """Where a table stands and how it is read."""
    tree: Any = work.tree
    own, ask = at(tree, question.path), question.asks[0]
    if "files" in own and own.get("dates") != UNKNOWN:
        parts.hint(f"Files {own['files']}{', sheet ' + own['sheets'] if own.get('sheets') else ''}.")
    _told(work, question)
    values: dict[str, Any] = {}
    if "the header" in ask:
        values["header_row"] = int(
            st.number_input("Row of the header", min_value=1, value=own.get("header_row", 1), key=f"{key}_header")
        )
    if "encoding" in own and "look right" in ask:
        values["encoding"] = fields.choose(
            "Read the text as", list(_ENCODINGS), own["encoding"], f"{key}_encoding", _ENCODINGS.__getitem__
        )
    if own.get("fill_down") and "mean what stands above" in ask:
        filled = own["fill_down"]
        told = {True: "Yes, it means what stands above", False: "No, a blank is blank"}
        yes = fields.choose(f"A blank in {labels.listed(filled)}", list(told), True, f"{key}_fill", told.__getitem__)
        values["fill_down"] = filled if yes else None
    if own.get("dates") == UNKNOWN:
        rows = rows_of_table(work.tried.before, own)
        cells = [cell for row in rows for cell in row.cells.values() if cell]
        values["dates"] = fields.order(UNKNOWN, cells, key)
    return confirm(set_values(tree, question.path, values), question.path)


def _skip(work: Work, question: Question, key: str) -> Tree:
    own = at(work.tree or {}, question.path)
    parts.hint(asked.rows_with(str(own.get("starts") or labels.listed(own.get("equals", []))), question))
    told = {True: "They are none: leave them out", False: "They are: read them"}
    out = fields.choose("These rows", list(told), True, f"{key}_out", told.__getitem__)
    tree: Any = work.tree
    # From the last one on, so that the places of the others stay.
    for path in sorted(question.paths, key=repr, reverse=True):
        tree = confirm(tree, path) if out else drop_skip(tree, path)
    return dict(tree)


def _topic(work: Work, question: Question, key: str) -> Tree:
    own, read = at(work.tree or {}, question.path), work.tried.contract["topic"]
    labels_ = [label for entry in own.get("columns", {}).values() for label in sources(entry)]
    parts.hint(f"Columns {words.named(list(dict.fromkeys(labels_)))}.")
    topic = fields.choose("Topic", list(read.choices), own["topic"], f"{key}_topic", lambda one: words.word(read, one))
    return confirm(set_values(work.tree or {}, question.path, {"topic": topic}), question.path)


def _split(work: Work, question: Question, key: str) -> Tree:
    own = at(work.tree or {}, question.path)
    _told(work, question)
    cut = fields.choose("It is cut at", list(_CUTS), own.get("at", "lines"), f"{key}_at", _CUTS.__getitem__)
    return confirm(set_values(work.tree or {}, question.path, {"at": cut}), question.path)


_FIELDS = {
    "columns": _columns,
    "column": _column,
    "words": _shared_words,
    "head": _head,
    "table": _table,
    "skip": _skip,
    "topic": _topic,
    "split": _split,
}
