"""A layout's tree, as ``tomllib`` reads it, written as TOML: read again it is the same tree."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

#: Each entry of these stands in a table of its own, and so do the words of one: a person adds to them.
_LISTS_TABLES, _LISTED = ("columns", "shared"), "words"


def written(tree: Mapping[str, Any], *comments: str) -> str:
    """The tree as the text of a TOML file, comments before it."""
    lines = [*(f"# {comment}" for comment in comments), *_lines((), tree)]
    return "\n".join(lines).strip() + "\n"


def _lines(keys: tuple[str, ...], tree: Mapping[str, Any]) -> Iterator[str]:
    """What stands in a table by itself, then the tables below it: TOML wants this order."""
    below = {name: value for name, value in tree.items() if _is_below(keys, name, value)}
    for name, value in tree.items():
        if name not in below:
            yield f"{_key(name)} = {_value(value)}"
    for name, value in below.items():
        dotted = ".".join(map(_key, (*keys, name)))
        for one in [value] if isinstance(value, dict) else value:
            # A table that only holds others needs no line of its own.
            if not isinstance(value, dict):
                yield f"\n[[{dotted}]]"
            elif not one or not all(_is_below((*keys, name), *item) for item in one.items()):
                yield f"\n[{dotted}]"
            yield from _lines((*keys, name), one)


def _is_below(keys: tuple[str, ...], name: str, value: object) -> bool:
    if isinstance(value, list):
        return bool(value) and all(isinstance(one, dict) for one in value)
    listed = name == _LISTED or keys[-1:] in [(each,) for each in _LISTS_TABLES]
    return isinstance(value, dict) and (listed or any(isinstance(one, dict) for one in value.values()))


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _string(name)


def _string(text: str) -> str:
    """A basic string: TOML escapes as JSON does, and the delete character too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def _value(value: object) -> str:
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            return _string(value)
        case int() | float():
            return repr(value)
        case dict():
            return f"{{ {', '.join(f'{_key(name)} = {_value(one)}' for name, one in value.items())} }}"
        case list():
            return f"[{', '.join(map(_value, value))}]"
    raise TypeError(f"a layout holds no {type(value).__name__}")
