"""All columns of uploaded files, what each is taken for and how it is read, and a form that changes one."""

from __future__ import annotations

from typing import Any

import pandas as pd
import streamlit as st

from dashboard import labels, state
from dashboard.notes import layout_questions as asked
from dashboard.notes import layout_wording as words
from dashboard.uploads.layout_form import Path, Tree, Use, at, elsewhere, entries, kept, plain, sources, uses
from dashboard.uploads.work import Work
from dashboard.views import parts
from dashboard.views import upload_fields as fields
from dashboard.views.upload_questions import card_key


def all_columns(work: Work) -> Tree | None:
    """The table, what the form leaves as it stands, and the form; the layout as it was changed there."""
    assert work.tree is not None
    found = uses(work.tree, work.tried)
    st.dataframe(_table(work, found), hide_index=True, alt="What each column of the files is taken for")
    for part in kept(work.tree):
        parts.hint(words.kept(part, work.tried.contract))
    if kept(work.tree):
        parts.hint(words.KEPT)
    return _change(work, found)


#: So many are asked at a time; the others stand in the list of all columns.
_MOST_LEFT = 40


def not_taken(work: Work, left: list[Use]) -> Tree | None:
    """Columns that are taken for nothing, each of which can be; the layout as it was changed there."""
    tree: Any = work.tree
    key = f"upload_left_{len(left)}"
    with st.form(key, border=False):
        with st.grid(2, min_column_width=300):
            for number, one in enumerate(left[:_MOST_LEFT]):
                with st.container():
                    label = asked.guessed(one.column, "")
                    tree = fields.taken_for(
                        tree, work.tried, one.column, f"{key}_{number}_{labels.slug(one.column.label)}", label
                    )
        pressed = st.form_submit_button("Take these columns so")
    return tree if pressed else None


def _table(work: Work, found: list[Use]) -> pd.DataFrame:
    tree: Any = work.tree
    rows = [
        (
            one.column.label,
            words.holds(one.column),
            words.taken_for(one, work.tried.contract),
            "; ".join(filter(None, (words.read_as(at(tree, path)) for path in _paths(tree, one)))),
        )
        for one in found
    ]
    rows += [
        ("", words.source(entry), words.title(work.tried.contract[str(path[-1])]), words.read_as(entry))
        for path, entry in elsewhere(tree, work.tried)
    ]
    return pd.DataFrame(rows, columns=["Column of the files", "Holds", "Taken for", "Read as"])


def _paths(tree: Tree, one: Use) -> list[Path]:
    if one.path is not None:
        return [one.path]
    label = plain(one.column.label)
    return [path for path, entry in entries(tree) if label in map(plain, sources(entry)) and path[0] == "columns"]


def _change(work: Work, found: list[Use]) -> Tree | None:
    """One column, chosen from a list, and its fields: of the files, or of the input table where no column says it."""
    tree: Any = work.tree
    contract = work.tried.contract
    others = {words.said_elsewhere(contract, path, entry): path for path, entry in elsewhere(tree, work.tried)}
    simple = {words.column_name(one.column): one for one in found if one.is_simple}
    state.forget_unless(state.UPLOAD_COLUMN, {*simple, *others})
    picked = st.selectbox(
        "Change a column",
        [*simple, *others],
        index=None,
        key=state.UPLOAD_COLUMN,
        placeholder="Choose a column",
        width=560,
    )
    if picked is None:
        return None
    one = simple.get(picked)
    path = one.path if one is not None else others[picked]
    key = f"{card_key(tree, (path,) if path else ())}_{labels.slug(picked)}"
    with st.form(key, border=True):
        changed = tree
        if one is not None:
            label = f"“{words.short(one.column.label)}” ({words.holds(one.column)}) is taken for"
            changed = fields.taken_for(tree, work.tried, one.column, f"{key}_what", label)
        if path is not None and changed == tree:
            changed = fields.entry(tree, work.tried, path, key, all_=True)
        pressed = st.form_submit_button("Change it")
    return changed if pressed else None
