"""Bringing files to the page Data: they are looked at, laid out with the reader's answers, and loaded by a command."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

import pandas as pd
import streamlit as st
from streamlit.runtime.memory_uploaded_file_manager import MemoryUploadedFileManager
from streamlit.runtime.scriptrunner import get_script_run_ctx

from dashboard import controls, labels, state
from dashboard.notes import layout_wording as words
from dashboard.notes import upload_wording as told
from dashboard.notes.wording import Sentence
from dashboard.uploads.asking import Loaded, NotDone, ReadColumn, SampleRow
from dashboard.uploads.layout_form import UNUSED, Tree, uses
from dashboard.uploads.questions import is_understood
from dashboard.uploads.work import Work, begin
from dashboard.views import parts
from dashboard.views.upload_columns import all_columns, not_taken
from dashboard.views.upload_questions import cards
from dashboard.warehouse import default_folder

#: As the load knows them, and a layout.
_ENDINGS = ("csv", "tsv", "txt", "xlsx", "xlsm", "parquet", "json", "jsonl", "ndjson", "zip", "toml")


def is_under_way() -> bool:
    """Whether files are waiting for answers or for the button that loads them."""
    return state.chosen(state.UPLOAD) is not None


def bring() -> None:
    """The place where files are dropped, and what became of the last ones."""
    parts.section("Load reports")
    if (loaded := state.chosen(state.UPLOAD_LOADED)) is not None:
        _loaded(*loaded)
    _problem()
    turn = state.chosen(state.UPLOAD_TURN) or 0
    files = st.file_uploader(
        "Drop the files of your reports here",
        type=list(_ENDINGS),
        accept_multiple_files=True,
        key=f"upload_files_{turn}",
        max_upload_size=told.LARGEST_MB,
    )
    parts.hint(told.HOW)
    if files and st.button(f"Look at {_these(len(files))}", type="primary", key="upload_look"):
        _forget_last()
        with st.spinner("Reading the files …"):
            _try(lambda: begin([(file.name, file.getvalue()) for file in files], datetime.now()))
        if is_under_way():
            _let_go(files)
            state.choose(state.UPLOAD_TURN, turn + 1)
        st.rerun()


def _these(count: int) -> str:
    return "this file" if count == 1 else f"these {labels.count(count)} files"


def _try(make: Callable[[], Work]) -> None:
    """Go on with the work that this makes; where it fails all is as it was, and the reason is told."""
    state.forget(state.UPLOAD_PROBLEM)
    try:
        state.choose(state.UPLOAD, make())
    except NotDone as error:
        state.choose(state.UPLOAD_PROBLEM, error)


def _let_go(files: list[Any]) -> None:
    """Free the memory that holds uploaded files: they lie in their folder now. Else it would go with the session."""
    context = get_script_run_ctx()
    if context is not None and isinstance(context.uploaded_file_mgr, MemoryUploadedFileManager):
        for file in files:
            context.uploaded_file_mgr.remove_file(session_id=context.session_id, file_id=file.file_id)


def _forget_last() -> None:
    state.forget(state.UPLOAD_LOADED)
    state.forget(state.UPLOAD_PROBLEM)


def _problem() -> None:
    error: NotDone | None = state.chosen(state.UPLOAD_PROBLEM)
    if error is not None:
        first, *more = (labels.escape_markdown(line.strip()) for line in error.sentence.splitlines())
        st.markdown("\n".join([f"**{first}**", *(f"- {line}" for line in more)]))
        if error.next_step:
            parts.hint(error.next_step)


# ---- files that wait -------------------------------------------------------------------------------------------------


def show() -> None:
    """The files as far as they are understood: what is open, what will happen, and the one next step."""
    work: Work = state.chosen(state.UPLOAD)
    parts.head("Data", _scope(work))
    if work.tried.is_mixed:
        parts.message(*told.MIXED)
        parts.hint(told.which_is_which(work.tried))
    elif work.tree is None or not work.tried.readable:
        parts.answer(told.files_found(work.tried))
        _problem()
        _files(work)
        if work.tried.readable:
            _load(work, [])
    else:
        _foreign(work)
    _take_back(work)


def _scope(work: Work) -> str:
    names = [labels.file_name(file.name) for file in work.tried.files]
    return f"Not loaded yet: {words.named(names)}"


def _foreign(work: Work) -> None:
    open_parts = {path for question in work.questions for path in question.paths}
    found = uses(work.tree or {}, work.tried)
    known = sum(is_understood(one, open_parts) for one in found)
    parts.answer(told.understood(known, len(found), len(work.questions)))
    _problem()
    _files(work)
    if work.questions:
        answered = cards(work)
    else:
        answered = None
        _load(work, [one.column.label for one in found if one.what == UNUSED])
    left = [one for one in found if one.what == UNUSED]
    if left:
        with st.expander(told.not_taken(len(left)), key="upload_left"):
            answered = not_taken(work, left) or answered
    _samples(work)
    with st.expander("Every column, and how it is read", key="upload_columns"):
        answered = all_columns(work) or answered
    if answered is not None:
        _change(work, answered)


def _change(work: Work, tree: Tree) -> None:
    with st.spinner("Reading the files anew …"):
        _try(lambda: work.changed(tree))
    st.rerun()


def _files(work: Work) -> None:
    """Files that cannot be read, each with its reason."""
    lost = work.tried.files_of("unreadable")
    if lost:
        parts.facts((f"{labels.file_name(file.name)}: {file.problem}", "") for file in lost)


def _load(work: Work, not_taken: list[str]) -> None:
    st.markdown(told.will_happen(work.tried, work.tree, not_taken).markdown)
    count = len(work.tried.readable)
    if not st.button(f"Load {_these(count)}", type="primary", key="upload_load"):
        return
    state.forget(state.UPLOAD_PROBLEM)
    try:
        with st.spinner("Loading: reading, checking, judging …"):
            found = work.load(default_folder())
    except NotDone as error:
        state.choose(state.UPLOAD_PROBLEM, error)
    else:
        state.forget(state.UPLOAD)
        state.choose(state.UPLOAD_LOADED, (found, work.text))
    st.rerun()


def _take_back(work: Work) -> None:
    with parts.saving("upload"):
        if work.tree is not None:
            _save_layout(work.text, "Save the layout as it is")
        if st.button("Take the files back", type="tertiary", key="upload_back"):
            work.folder.close()
            state.forget(state.UPLOAD)
            _forget_last()
            st.rerun()
    parts.hint(told.KEPT_FOR)


def _save_layout(text: str, label: str) -> None:
    st.download_button(
        label,
        text.encode(),
        file_name="layout.toml",
        mime="application/toml",
        on_click="ignore",
        key="save_layout",
        type="tertiary",
    )


# ---- the first rows --------------------------------------------------------------------------------------------------


def _samples(work: Work) -> None:
    """The first rows as they stand, and as they would be read."""
    parts.section("The first rows")
    before, after = work.tried.before, work.tried.after
    parts.caption(told.SAMPLE_BEFORE)
    st.dataframe(_frame(before, words.short), hide_index=True, alt="The first rows as they stand in the files")
    refused = sum(bool(row.reasons) for row in after)
    parts.caption(told.sample_after(len(after), refused, bool(work.questions)))
    contract = work.tried.contract
    frame = _frame([_in_words(row, contract) for row in after], lambda name: words.titled(contract, name))
    if refused:
        frame.insert(1, "Would be refused", [told.reasons(row.reasons, contract) for row in after])
    wide = {"Would be refused": st.column_config.TextColumn(width="medium")}
    st.dataframe(frame, hide_index=True, column_config=wide, alt="The same rows as they would be read")


def _in_words(row: SampleRow, contract: Mapping[str, ReadColumn]) -> SampleRow:
    """A row as it would be read, its topic and its call as the pages call them."""
    cells = {
        name: words.word(contract[name], cell) if cell and name in ("call", "topic") else cell
        for name, cell in row.cells.items()
    }
    return replace(row, cells=cells)


def _frame(rows: list[SampleRow], title: Callable[[str], str]) -> pd.DataFrame:
    cells = pd.DataFrame([row.cells for row in rows]).fillna("")
    cells.columns = pd.Index([title(str(name)) for name in cells.columns])
    cells = cells.loc[:, ~cells.columns.duplicated()]
    many = len({row.file for row in rows}) > 1
    place = [f"{row.file}, {row.row}" if many else str(row.row) for row in rows]
    cells.insert(0, "Row", place, allow_duplicates=True)
    return cells


# ---- what became of it -----------------------------------------------------------------------------------------------


def _loaded(found: Loaded, layout: str) -> None:
    sentence: Sentence = told.loaded(found)
    st.markdown(sentence.markdown)
    if found.refused:
        with st.container(width=560):
            titles = words.TITLES | (controls.measure_titles() if found.published else {})
            parts.facts(
                (told.refused(code, titles.get(column, column)), labels.count(rows))
                for code, column, rows in found.reasons
            )
        st.markdown("[See the refused rows, and mend them](#refused-rows)")
    for name, problem in found.unreadable:
        st.markdown(
            f"**{labels.escape_markdown(labels.file_name(name))}** was not read: {labels.escape_markdown(problem)}."
        )
    parts.caption(*(f"{notice}." for notice in found.notices), told.not_stored(found.unknown))
    if layout:
        with parts.saving("upload_layout"):
            _save_layout(layout, "Save the layout for the next files of this kind")
