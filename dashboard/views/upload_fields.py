"""The fields of a layout's part in a form: each builds its controls and gives the tree as they say."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st

from dashboard import labels
from dashboard.notes import layout_questions as asked
from dashboard.notes import layout_wording as words
from dashboard.uploads.asking import ForeignColumn, ReadColumn, Tried
from dashboard.uploads.layout_form import (
    BESIDE,
    BLANK,
    COMMENT,
    FILE_NAME,
    NOT_NEEDED,
    PRIVATE,
    REFUSE,
    SKIP,
    UNKNOWN,
    UNUSED,
    WRITTEN_BY_LOAD,
    Path,
    Tree,
    at,
    elsewhere,
    give_source,
    set_values,
    sources,
    take,
    uses,
)

#: So many words are asked at a time; what is left is asked next.
_MOST_WORDS = 60
_SECOND_OF_TWO = r"(?:of|/) ?(\d+)"
_YES_NO = {"true": "yes", "false": "no"}


def choose(label: str, options: Sequence[Any], current: Any, key: str, told: Callable[[Any], str], **more: Any) -> Any:
    """One of several, what holds now among them; file text in the label is escaped."""
    offered = list(options) if current in options else [current, *options]
    where = {"width": 560} | more
    return st.selectbox(
        labels.escape_markdown(label), offered, index=offered.index(current), key=key, format_func=told, **where
    )


def taken_for(tree: Tree, tried: Tried, column: ForeignColumn, key: str, label: str = "Taken for") -> Tree:
    """What a column of the files is taken for."""
    current = next(one for one in uses(tree, tried) if one.column == column)
    offered = [PRIVATE, NOT_NEEDED, UNUSED, *(name for name in tried.contract if name not in WRITTEN_BY_LOAD)]
    what = choose(label, offered, current.what, key, lambda one: words.use(tried.contract, one))
    return take(tree, column, what, tried.contract)


def column_of(tried: Tried, tree: Tree, path: Path) -> ForeignColumn | None:
    """The column of the files that is the one source of an entry."""
    return next((one.column for one in uses(tree, tried) if one.path == path), None)


# ---- how a column is read --------------------------------------------------------------------------------------------


def entry(tree: Tree, tried: Tried, path: Path, key: str, all_: bool = False) -> Tree:
    """How a column is read: its words, its unit, the order of its dates, what holds where no column says it.

    Parameters
    ----------
    all_
        Also what is settled; else what a person is asked.
    """
    own, read = at(tree, path), tried.contract[str(path[-1])]
    if any(path == other for other, _ in elsewhere(tree, tried)) or not sources(own):
        return _source(tree, tried, path, key)
    values: dict[str, Any] = {}
    if isinstance(own.get("dates"), str) and (all_ or own["dates"] == UNKNOWN):
        values["dates"] = order(own["dates"], _cells(tried, own), key)
    if read.unit == "in" and (all_ or "unit" in own) and "unit_from" not in own:
        values["unit"] = unit("Unit of bare numbers", own.get("unit"), key)
    if own.get("units"):
        values["units"] = _units(own["units"], key)
    if own.get("part") and "first of the two numbers" in own.get("ask", ""):
        values["part"] = _part(own["part"], key)
    if own.get("words"):
        values["words"] = listed(own["words"], read, _counts(tried, own), key)
    return set_values(tree, path, values)


def _cells(tried: Tried, own: dict[str, Any]) -> list[str]:
    return [
        cell for column in tried.columns if column.label in sources(own) for cell in (*column.words, *column.examples)
    ]


def _counts(tried: Tried, own: dict[str, Any]) -> dict[str, int]:
    return {word: n for column in tried.columns if column.label in sources(own) for word, n in column.words.items()}


def order(current: str, cells: list[str], key: str, label: str = "Order of a date’s parts") -> str:
    """The order of dates, with what an ambiguous one among the cells is by it."""
    example = asked.ambiguous(cells)
    offered = [one for one in words.ORDERS if one != UNKNOWN]
    return str(choose(label, offered, current, f"{key}_dates", lambda one: asked.order(one, example)))


def unit(label: str, current: str | None, key: str) -> str | None:
    """A unit of lengths; None for that of all lengths."""
    offered = [None, *(one for one in words.UNITS if one != UNKNOWN)]
    told = words.UNITS | {None: "as for all lengths"}
    return choose(label, offered, current, f"{key}_unit", lambda one: told.get(one, one))


def _units(current: dict[str, str], key: str) -> dict[str, str]:
    offered = [one for one in words.UNITS if one != UNKNOWN]
    return {
        word: choose(f"Unit “{word}”", offered, meant, f"{key}_of_{word}", lambda one: words.UNITS.get(one, one))
        for word, meant in current.items()
    }


def _part(current: str, key: str) -> str:
    told = {current: "the first", _SECOND_OF_TWO: "the second"}
    return str(choose("Of two numbers, as “6 of 14”, take", list(told), current, f"{key}_part", told.__getitem__))


def listed(current: dict[str, str], read: ReadColumn, counts: dict[str, int], key: str) -> dict[str, str]:
    """What each word stands for: those first that nobody has said, the others below."""
    unsaid = [word for word, meant in current.items() if meant == UNKNOWN]
    known = [word for word in current if word not in unsaid]
    found = dict(current)
    if not unsaid or len(known) <= _LISTED_OPENLY:
        _words([*unsaid, *known][:_MOST_WORDS], found, read, counts, key)
        return found
    _words(unsaid[:_MOST_WORDS], found, read, counts, key)
    with st.expander(f"{labels.plural(len(known), 'word')} that Evenhand knows"):
        _words(known[:_MOST_WORDS], found, read, counts, key)
    return found


#: So few words that are known stand openly beside those that are not.
_LISTED_OPENLY = 6


def _words(these: list[str], found: dict[str, str], read: ReadColumn, counts: dict[str, int], key: str) -> None:
    """Controls for some words; what is chosen goes into ``found``."""
    offered = _meanings(read)
    with st.grid(3, min_column_width=230):
        for number, word in enumerate(these):
            rows = f" ({labels.plural(counts[word], 'row')})" if word in counts else ""
            label, at_ = f"{word or '(blank)'}{rows}", f"{key}_word_{number}_{labels.slug(word)}"
            with st.container():
                if offered:
                    found[word] = choose(label, offered, found[word], at_, lambda one: words.word(read, one))
                else:
                    found[word] = st.text_input(labels.escape_markdown(label), found[word], key=at_)


def _meanings(read: ReadColumn) -> list[str]:
    """What a word of a column can stand for; nothing where any text will do."""
    if read.kind == "yes_no":
        choices = list(_YES_NO)
    elif read.name == "consequence":
        choices = ["1", "2", "3"]
    else:
        choices = list(read.choices)
    return [*choices, BLANK, SKIP, REFUSE] if choices else []


# ---- what no column says ---------------------------------------------------------------------------------------------


def _source(tree: Tree, tried: Tried, path: Path, key: str) -> Tree:
    """Which column says it, or what is the same in every row."""
    own, read = at(tree, path), tried.contract[str(path[-1])]
    free = [one.column for one in uses(tree, tried) if one.is_simple and one.what in BESIDE]
    beside = _beside(tree, read.name) if not sources(own) else []
    with st.grid(2, min_column_width=260):
        with st.container():
            picked = choose(
                "Which column says it",
                [None, *beside, *free],
                None,
                f"{key}_from",
                lambda one: words.offered(one) if isinstance(one, ForeignColumn) else words.beside(one, own),
            )
        if not sources(own):
            with st.container():
                given = _same_everywhere(own.get("default", UNKNOWN), read, key)
    if isinstance(picked, str):
        return set_values(tree, path, {"from": picked, "default": None})
    if picked is None:
        return tree if sources(own) else set_values(tree, path, {"default": given})
    return give_source(tree, path, picked, tried.contract)


def _beside(tree: Tree, name: str) -> list[str]:
    """What a column can be taken from where no column of the files says it."""
    if name == "report_id":
        return [FILE_NAME]
    has_comment = "comment" in tree.get("columns", {}) or "split" in tree
    return [COMMENT] if name in ("topic", "call") and has_comment else []


def _same_everywhere(current: str, read: ReadColumn, key: str) -> str:
    offered = [meant for meant in _meanings(read) if meant not in (BLANK, SKIP, REFUSE)]
    label = f"If none: the {labels.in_sentence(words.title(read))} of every row"
    if offered:
        return str(choose(label, offered, current, f"{key}_default", lambda one: words.word(read, one)))
    return st.text_input(label, "" if current == UNKNOWN else current, key=f"{key}_default").strip() or UNKNOWN
