"""Patterns for the names of files, which fit the next export too and no table of another kind."""

from __future__ import annotations

import re
from fnmatch import translate
from pathlib import Path

from etl.layout.proposal.draft import Draft


def file_pattern(draft: Draft, files: list[str], alone: bool) -> str:
    """A pattern for the names of files: figures may be others in the next export."""
    suffix = Path(files[0]).suffix
    everything = {Path(source.name).name for source in draft.sources}
    if alone and {Path(name).suffix for name in everything} == {suffix}:
        return f"*{suffix}"
    own = set(files)
    stems = {re.sub(r"\d+", "*", _escaped(name)) for name in own}
    pattern = stems.pop() if len(stems) == 1 else f"*{suffix}"
    matched = {name for name in everything if re.fullmatch(translate(pattern.casefold()), name.casefold())}
    if matched == own or (matched >= own and _same_files(draft, matched)):
        return pattern
    return _escaped(files[0]) if len(own) == 1 else _common(sorted(own), suffix)


def _same_files(draft: Draft, matched: set[str]) -> bool:
    """Whether all of these are files that hold each of the tables: sheets tell them apart then."""
    return all({table.file for table in shape.tables} >= matched for shape in (draft.main, *draft.joined))


def _escaped(name: str) -> str:
    return re.sub(r"([\[*?])", r"[\1]", name)


def _common(names: list[str], suffix: str) -> str:
    """A pattern for names that begin alike."""
    start = names[0]
    while not all(name.startswith(start) for name in names):
        start = start[:-1]
    return f"{_escaped(start)}*{suffix}"
