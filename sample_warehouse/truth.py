"""The two files that say what is so: ``planted_truth.toml`` (the firm) and ``kinds.toml`` (how cases look)."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any


@dataclass(frozen=True)
class Kind:
    """A kind of case of one topic; the fields are explained at the top of ``kinds.toml``."""

    name: str
    standing: str
    measures: dict[str, Any] = field(hash=False)
    share: float | None = None
    per_decade: float = 1.0
    wears: bool = False
    when: tuple[str, ...] = ()
    written_up: float | None = None
    passed: float | None = None
    consequence: int = 2
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class Topic:
    """What a report may speak of, and the kinds of case that occur there."""

    id: str
    asked: float
    side: str
    sentences: tuple[str, ...]
    recommend: tuple[str, ...]
    kinds: tuple[Kind, ...]
    places: tuple[float, ...] = (1.0,)
    needs: tuple[str, ...] = ()
    passed: float | None = None


def _read(name: str) -> dict[str, Any]:
    return tomllib.loads(files("sample_warehouse").joinpath(name).read_text(encoding="utf-8"))


@cache
def parameters() -> dict[str, Any]:
    """All of ``planted_truth.toml``."""
    return _read("planted_truth.toml")


@cache
def topics() -> dict[str, Topic]:
    """The topics of ``kinds.toml`` by id, in the file's order."""
    return {id_: _topic(id_, entry) for id_, entry in _read("kinds.toml")["topic"].items()}


def _topic(id_: str, entry: dict[str, Any]) -> Topic:
    kinds = tuple(Kind(**_with_tuples(kind)) for kind in entry["kind"])
    rest = {name: value for name, value in entry.items() if name != "kind"}
    return Topic(id=id_, kinds=kinds, **_with_tuples(rest))


def _with_tuples(entry: dict[str, Any]) -> dict[str, Any]:
    return {name: tuple(value) if isinstance(value, list) else value for name, value in entry.items()}
