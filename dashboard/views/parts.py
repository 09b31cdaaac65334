"""What all pages are put together from: frame, title, answer, captions, tables, messages, foot."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import AbstractContextManager
from functools import partial
from html import escape
from typing import Any

import pandas as pd
import streamlit as st
from streamlit.delta_generator import DeltaGenerator

from dashboard import labels, store
from dashboard.charts import theme
from dashboard.notes.wording import Sentence

#: Only classes of our own and keys of containers; without it the page still reads.
_STYLE = """<style>
.st-key-page { max-width: 1160px; margin-left: auto; margin-right: auto;
  font-variant-numeric: tabular-nums lining-nums; }
.st-key-page h2 { text-wrap: pretty; }
.st-key-picture_beside > :has(.st-key-picture), .st-key-picture_beside > .st-key-picture { flex: 1.75 1 560px; }
.st-key-picture_beside > :has(.st-key-beside), .st-key-picture_beside > .st-key-beside { flex: 1 1 330px; }
.st-key-column_beside > :has(.st-key-column), .st-key-column_beside > .st-key-column { flex: 1 1 280px; }
.st-key-column_beside > :has(.st-key-sheet), .st-key-column_beside > .st-key-sheet { flex: 0 1 816px; }
.st-key-case_parts > :has(.st-key-case_said), .st-key-case_parts > .st-key-case_said { flex: 1 1 300px; }
.st-key-case_parts > :has(.st-key-case_judged), .st-key-case_parts > .st-key-case_judged { flex: 2 1 300px; }
.st-key-filters_bar > :has([data-testid="stExpander"]) { flex: 1 1 220px; }
[class*="st-key-go_"] a { padding: 0.15rem 0; background: none; }
[class*="st-key-go_"] a p > * { text-decoration: underline; text-underline-offset: 0.2em; }
[class*="st-key-quiet_"] { row-gap: 0; }
[class*="st-key-quiet_"] button, [class*="st-key-quiet_"] button:hover { color: ACCENT;
  text-decoration: underline; text-underline-offset: 0.2em; }
[class*="st-key-go_"] a * { white-space: normal; overflow: visible; }
[class*="st-key-upload_files"] section * { white-space: normal; overflow: visible; }
.st-key-page button[kind^="primary"] * { color: GROUND; }
.ev-table { width: 100%; border-collapse: collapse; font-size: 0.9375rem; }
.ev-table td { padding: 0.4rem 0; border-bottom: 1px solid color-mix(in srgb, currentColor 18%, transparent);
  vertical-align: top; }
.ev-table td:last-child { text-align: right; padding-left: 1rem; }
.ev-table div { line-height: 1.45; opacity: 0.8; max-width: 34rem; }
.ev-key { font-size: 0.875rem; }
.ev-key span { margin-right: 1.1rem; white-space: nowrap; }
</style>"""

MIMES = {"csv": "text/csv", "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"}


def frame() -> AbstractContextManager[object]:
    """The container that holds a page, with the style sheet."""
    # The built-in text of a button that stands out is white, which cannot be read on the light accent of the dark.
    st.html(_STYLE.replace("ACCENT", colors().accent).replace("GROUND", colors().ground))
    return st.container(key="page")


def colors() -> theme.Palette:
    """The palette that the reader's browser shows."""
    return theme.palette(st.context.theme.type)


def head(title: str, scope: str) -> None:
    """The page's title, and at its right what it looks at."""
    with st.container(horizontal=True, horizontal_alignment="distribute", vertical_alignment="bottom"):
        st.title(title, anchor=False, width="content")
        _soft(scope, width="content")


def _soft(text: str, width: Any = "stretch") -> None:
    """Small text in the soft color of the theme; user text in it is escaped."""
    st.markdown(f":gray[:small[{labels.escape_markdown(text)}]]", width=width)


def answer(sentence: Sentence) -> None:
    """The answer, first thing under the title."""
    st.header(sentence.markdown, anchor=False)


def picture_beside() -> tuple[DeltaGenerator, DeltaGenerator]:
    """Places for a picture and, at its right where there is room, else below it, a narrower one."""
    row = st.container(horizontal=True, gap="large", key="picture_beside")
    return row.container(key="picture"), row.container(key="beside")


def column_beside() -> tuple[DeltaGenerator, DeltaGenerator]:
    """Places for a narrow column and, at its right where there is room, else below it, a sheet of paper."""
    row = st.container(horizontal=True, gap="medium", key="column_beside")
    return row.container(key="column"), row.container(key="sheet")


def section(title: str, anchor: str | None = None) -> None:
    """A section's title; with an anchor a link on the page can lead to it."""
    st.subheader(title, anchor=anchor or False)


def caption(*sentences: str) -> None:
    """What a picture cannot show, in one paragraph; empty sentences are left out."""
    text = " ".join(sentence for sentence in sentences if sentence)
    if text:
        _soft(text)


def chart(picture: dict[str, Any], key: str | None = None, on_select: Any = "ignore", width: Any = "stretch") -> None:
    """A picture (of ``store.drawn``) with its own theme; its description is the alternative text."""
    st.vega_lite_chart(picture, theme=None, width=width, key=key, on_select=on_select)


def key_of_glyphs(outcomes: Iterable[str]) -> None:
    """One line that says what the marks mean: each glyph in its color, its word beside it."""
    shades = colors()
    marks = " ".join(
        f'<span><b style="color:{shades.outcome(outcome)};font-weight:400">{labels.GLYPHS[outcome]}</b> '
        f"{escape(labels.OUTCOMES[outcome])}</span>"
        for outcome in outcomes
    )
    st.html(f'<div class="ev-key">{marks}</div>')


def facts(rows: Iterable[tuple[str, str]]) -> None:
    """A short table of names and values; both are escaped."""
    explained((name, "", value) for name, value in rows)


def explained(rows: Iterable[tuple[str, str, str]]) -> None:
    """A short table of names, what each means (below the name; may be empty), and values; all are escaped."""
    lines = "".join(
        f"<tr><td>{escape(name)}{_below(meaning)}</td><td>{escape(value)}</td></tr>" for name, meaning, value in rows
    )
    st.html(f'<table class="ev-table">{lines}</table>')


def _below(text: str) -> str:
    return f"<div>{escape(text)}</div>" if text else ""


def item(finding: str, plain: str = "") -> None:
    """Something to decide: the finding in bold, one plain line below it; both are escaped."""
    lines = [f"**{labels.escape_markdown(finding)}**", labels.escape_markdown(plain)]
    st.markdown("  \n".join(line for line in lines if line))


def table(rows: pd.DataFrame, columns: dict[str, str]) -> None:
    """Some columns of a frame under their titles; days as days."""
    days = {
        title: st.column_config.DateColumn(format="D MMM YYYY")
        for name, title in columns.items()
        if pd.api.types.is_datetime64_any_dtype(rows[name])
    }
    shown = rows[list(columns)].rename(columns=columns)
    st.dataframe(shown, hide_index=True, column_config=counts(shown) | days)


def counts(rows: pd.DataFrame) -> dict[str, Any]:
    """How columns of counts are shown, as everywhere else: with commas."""
    numbers = rows.select_dtypes("integer").columns
    return {str(name): st.column_config.NumberColumn(format="%,d") for name in numbers}


def download(
    label: str, table: pd.DataFrame | Callable[[], pd.DataFrame], name: str, what: str = "", within: str = ""
) -> None:
    """Two quiet buttons that save a table, as CSV and as XLSX; the file is made when one of them is pressed.

    Parameters
    ----------
    label
        What pressing it does: "Save this table".
    table
        The table, or what gives it.
    name
        The file's name, its ending left to the form.
    what, within
        What the table is, and the filters in words, for the workbook's second sheet.
    """
    stem = name.removesuffix(".csv")

    def made(form: str) -> bytes:
        return store.table_file(table() if callable(table) else table, form, what or label, within)

    with saving(stem):
        for form, mime in MIMES.items():
            st.download_button(
                f"{label} as {form.upper()}",
                partial(made, form),
                file_name=f"{stem}.{form}",
                mime=mime,
                on_click="ignore",
                key=f"save_{stem}_{form}",
                type="tertiary",
            )


def saving(name: str) -> DeltaGenerator:
    """The place of buttons that save a file; they look alike on all pages, and like links."""
    return st.container(horizontal=True, gap="medium", key=f"quiet_{name}")


def message(sentence: str, next_step: str) -> None:
    """What is wrong or not there, and what to do; in place of a page's content."""
    st.header(labels.escape_markdown(sentence), anchor=False)
    st.markdown(_with_commands(next_step))


def refusal(sentence: str, next_step: str) -> None:
    """The same in place of a part of a page."""
    st.markdown(f"**{_with_commands(sentence)}**  \n{_with_commands(next_step)}")


def hint(text: str) -> None:
    """How something is done, in small letters; our own words, with commands between backquotes."""
    st.markdown(f":gray[:small[{_with_commands(text)}]]")


def _with_commands(text: str) -> str:
    """Text as Markdown; commands stand between backquotes, which the escape would show as they are."""
    pieces = text.split("`")
    return "".join(f"`{piece}`" if place % 2 else labels.escape_markdown(piece) for place, piece in enumerate(pieces))


def nothing_within() -> None:
    """In place of a page's content where the filters leave no deck."""
    message("No deck was looked at within these filters.", "Widen the days, or clear the filters below.")


def foot() -> None:
    """The cautions, on every page."""
    st.divider()
    _soft(" ".join(labels.CAUTIONS))
