"""A layout as choices that a person makes, and back: each function gives a new tree and leaves the old one alone.

A tree is a layout as ``tomllib`` reads it. What no choice is made of is not touched, so that a layout which was only
looked at is written back as it was in meaning.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from dashboard.uploads.asking import ForeignColumn, ReadColumn, Tried

Tree = dict[str, Any]
Path = tuple[str | int, ...]
#: In place of a word of the input table: nobody has said yet what it stands for; the row is none; it is refused.
UNKNOWN, SKIP, REFUSE, BLANK = "?", "skip", "refuse", ""
#: What a column of a file can be beside a column of the input table.
BESIDE = PRIVATE, NOT_NEEDED, UNUSED = "(private)", "(not needed)", "(unused)"
#: What a column can be taken from beside those of the files: the file's name; for topic and call, the row's comment.
FILE_NAME, COMMENT = "(file)", "(comment)"
#: Columns of the input table that no column of a foreign file is taken for.
WRITTEN_BY_LOAD = ("passes", "read_from_comment")
#: What is asked of a part, and whether a person has confirmed it.
_ASKED = ("confirmed", "ask")


def at(tree: Tree, path: Path) -> Any:
    """What stands at a path of keys."""
    found: Any = tree
    for key in path:
        found = found[key]
    return found


def plain(label: str) -> str:
    """A label without what two people would write differently; as a load compares labels."""
    return " ".join(label.casefold().split())


def sources(entry: Mapping[str, Any]) -> list[str]:
    """The labels that an entry for a column takes its cells from."""
    told = entry.get("from", [])
    return [told] if isinstance(told, str) else list(told)


# ---- what a column of the files is taken for ------------------------------------------------------------------------


@dataclass(frozen=True)
class Use:
    """What a column of the files is for.

    Attributes
    ----------
    column
        The column of the files.
    what
        A column of the input table, :data:`PRIVATE`, :data:`NOT_NEEDED`, :data:`UNUSED`; ``kept`` where the layout
        uses it in a way that the form leaves as it stands.
    path
        Where its entry stands, for a column of the input table.
    taken_for
        Where it is ``kept``: the columns of the input table that are made of it; none where it helps to read others.
    """

    column: ForeignColumn
    what: str
    path: Path | None = None
    taken_for: tuple[str, ...] = ()

    @property
    def is_simple(self) -> bool:
        """Whether the form can make something else of it."""
        return self.what != "kept"


def uses(tree: Tree, tried: Tried) -> list[Use]:
    """What each column of the files is for, in the files' order."""
    return [_use(tree, column) for column in tried.columns]


def _use(tree: Tree, column: ForeignColumn) -> Use:
    label = plain(column.label)
    found = [(path, entry) for path, entry in entries(tree) if label in map(plain, sources(entry))]
    found = [(path, entry) for path, entry in found if entry.get("table") == column.table]
    if len(found) == 1 and _is_simple(*found[0]):
        return Use(column, str(found[0][0][-1]), found[0][0])
    if found:
        return Use(column, "kept", taken_for=tuple(dict.fromkeys(str(path[-1]) for path, _ in found)))
    if label in map(plain, _helpers(tree)):
        return Use(column, "kept")
    for key, what in (("private", PRIVATE), ("ignored", NOT_NEEDED)):
        if label in map(plain, tree.get(key, [])):
            return Use(column, what)
    return Use(column, UNUSED)


def entries(tree: Tree) -> Iterator[tuple[Path, dict[str, Any]]]:
    """The entries for columns of the input table, those of wide rows too, each with its path."""
    for name, entry in tree.get("columns", {}).items():
        yield ("columns", name), entry
    for number, wide in enumerate(tree.get("wide", [])):
        for name, entry in wide.get("columns", {}).items():
            yield ("wide", number, "columns", name), entry


def _is_simple(path: Path, entry: Mapping[str, Any]) -> bool:
    return path[0] == "columns" and len(sources(entry)) == 1 and "only" not in entry


def _helpers(tree: Tree) -> Iterator[str]:
    """Labels of columns that help to read others: keys, units, the orders of dates, what tells of rows and parts."""
    for _, entry in entries(tree):
        yield from (entry[key] for key in ("unit_from", "dates_from") if key in entry)
        yield from entry.get("only", {})
    for table in tree.get("tables", []):
        yield from table.get("join", {})
        yield from table.get("join", {}).values()
        yield from (skip["column"] for skip in table.get("skip", []) if skip.get("column"))
    if "split" in tree:
        yield tree["split"]["from"]


def elsewhere(tree: Tree, tried: Tried) -> list[tuple[Path, dict[str, Any]]]:
    """Entries that no column of the files is the source of: the same in every row, a file's name, what stands above."""
    labels = {plain(column.label) for column in tried.columns}
    return [
        (path, entry)
        for path, entry in entries(tree)
        if path[0] == "columns" and not labels & set(map(plain, sources(entry)))
    ]


def take(tree: Tree, column: ForeignColumn, what: str, contract: Mapping[str, ReadColumn]) -> Tree:
    """The tree in which a column of the files is taken for something else.

    Where it was the source of a column that every row needs, that one is open again; where another column was taken
    for the same, it no longer is. Words and units go with the column that they were of.
    """
    tree = copy.deepcopy(tree)
    current = _use(tree, column)
    if current.what == what or not current.is_simple:
        return tree
    label = plain(column.label)
    for key in ("private", "ignored"):
        if key in tree:
            tree[key] = [each for each in tree[key] if plain(each) != label]
    if current.path is not None:
        _drop(tree, current.path, contract)
    if what in (PRIVATE, NOT_NEEDED):
        key = "private" if what == PRIVATE else "ignored"
        tree[key] = [*tree.get(key, []), column.label]
    elif what != UNUSED:
        table = {"table": column.table} if column.table else {}
        tree.setdefault("columns", {})[what] = {"from": column.label, **table}
    return tree


def give_source(tree: Tree, path: Path, column: ForeignColumn, contract: Mapping[str, ReadColumn]) -> Tree:
    """The tree in which an entry that no column said is taken from a column of the files; in a wide row too."""
    if path[0] == "columns":
        return take(tree, column, str(path[-1]), contract)
    tree = take(tree, column, UNUSED, contract)
    at(tree, path[:-1])[path[-1]] = {"from": column.label} | ({"table": column.table} if column.table else {})
    return tree


def _drop(tree: Tree, path: Path, contract: Mapping[str, ReadColumn]) -> None:
    name = str(path[-1])
    del tree["columns"][name]
    if contract[name].required:
        tree["columns"][name] = {"default": UNKNOWN}


# ---- how it is read --------------------------------------------------------------------------------------------------


def set_values(tree: Tree, path: Path, values: Mapping[str, Any]) -> Tree:
    """The tree with other values in the part at a path; None takes a key away."""
    tree = copy.deepcopy(tree)
    part = at(tree, path)
    for key, value in values.items():
        if value is None:
            part.pop(key, None)
        else:
            part[key] = value
    return tree


def confirm(tree: Tree, path: Path) -> Tree:
    """The tree with a part confirmed, unless it still holds a question mark of its own."""
    if is_unsaid(at(tree, path)):
        return tree
    return set_values(tree, path, dict.fromkeys(_ASKED))


def is_unsaid(part: object) -> bool:
    """Whether a part holds a question mark by itself; the parts below it answer for themselves."""
    if isinstance(part, dict):
        own = {key: value for key, value in part.items() if key not in (*_ASKED, "columns", "shared", "split")}
        return any(is_unsaid(value) for value in own.values())
    if isinstance(part, list):
        return any(each == UNKNOWN for each in part)
    return part == UNKNOWN


def drop_skip(tree: Tree, path: Path) -> Tree:
    """The tree without a rule on rows that are no observations."""
    tree = copy.deepcopy(tree)
    table, number = at(tree, path[:-2]), path[-1]
    assert isinstance(number, int)
    del table["skip"][number]
    if not table["skip"]:
        del table["skip"]
    return tree


def with_unread(tree: Tree, tried: Tried) -> Tree:
    """The tree with words that it does not know yet, each with a guess or a question mark, to be confirmed."""
    tree = copy.deepcopy(tree)
    for path, words in tried.unread:
        part = at(tree, path)
        part["words"] = {**part.get("words", {}), **words}
        part |= {"confirmed": False, "ask": "The layout does not know all of these words yet."}
    return tree


# ---- what the form leaves as it stands ------------------------------------------------------------------------------

Kept = Literal["wide", "split", "join", "several", "only", "part", "form", "implied"]


@dataclass(frozen=True)
class KeptPart:
    """Something that the form does not change: what kind of thing, and the names that its sentence needs."""

    kind: Kept
    names: tuple[str, ...]
    of: tuple[str, ...] = ()


def kept(tree: Tree) -> list[KeptPart]:
    """What the form leaves as it stands, each once."""
    found = []
    if wide := tree.get("wide"):
        found.append(KeptPart("wide", tuple(one["topic"] for one in wide)))
    if split := tree.get("split"):
        found.append(KeptPart("split", (split["from"],), (split.get("at", "lines"),)))
    for table in tree.get("tables", []):
        if join := table.get("join"):
            found.append(KeptPart("join", (table.get("name", "rows"),), tuple(join)))
        if table.get("form"):
            found.append(KeptPart("form", (table.get("files", "*"),)))
    only: dict[str, list[str]] = {}
    for path, entry in entries(tree):
        name = str(path[-1])
        if "only" in entry:
            only.setdefault(", ".join(sources(entry)), []).append(name)
        if len(sources(entry)) > 1:
            found.append(KeptPart("several", (name,), tuple(sources(entry))))
        if entry.get("part"):
            found.append(KeptPart("part", (name,), (entry["part"],)))
    found += [KeptPart("only", (label,), tuple(names)) for label, names in only.items()]
    if tree.get("passes") == "implied":
        found.append(KeptPart("implied", tuple(tree.get("covered_topics", ()))))
    return list(dict.fromkeys(found))
