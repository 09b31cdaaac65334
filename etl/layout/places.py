"""Where a key of a TOML file stands, so that an error can name its line."""

from __future__ import annotations

import re
import tomllib

_HEADER = re.compile(r"\s*(\[\[?)\s*(.+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(
    r"""\s*((?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"|'[^']*')(?:\s*\.\s*(?:[A-Za-z0-9_-]+|"(?:[^"\\]|\\.)*"))*)\s*="""
)

Path = tuple[str | int, ...]


class Places:
    """The lines of the keys and tables of a TOML text.

    Keys within inline tables and arrays have none of their own; they stand where their table does.
    """

    def __init__(self, text: str) -> None:
        self.lines: dict[Path, int] = {}
        table: Path = ()
        counts: dict[Path, int] = {}
        for number, line in enumerate(text.split("\n"), 1):
            if match := _HEADER.match(line):
                table = _resolved(_keys(match[2]), counts)
                if match[1] == "[[":
                    counts[table] = counts.get(table, -1) + 1
                    table = (*table, counts[table])
                self.lines.setdefault(table, number)
            elif match := _KEY.match(line):
                self.lines.setdefault((*table, *_keys(match[1])), number)

    def told(self, path: Path) -> str:
        """A path of keys with the line that it stands in, for a person."""
        written = ".".join(str(key) if isinstance(key, str) else str(key + 1) for key in path) or "the layout"
        for length in range(len(path), 0, -1):
            if line := self.lines.get(path[:length]):
                return f"line {line}, {written}"
        return written


def _keys(dotted: str) -> Path:
    """``columns."a b".words`` as its keys."""
    try:
        tree = tomllib.loads(f"{dotted} = 0")
    except tomllib.TOMLDecodeError:
        return (dotted,)
    keys: list[str] = []
    while isinstance(tree, dict):
        (key, tree), *_ = tree.items()
        keys.append(key)
    return tuple(keys)


def _resolved(keys: Path, counts: dict[Path, int]) -> Path:
    """The keys with the number of the newest entry behind each list of tables on the way."""
    found: Path = ()
    for place, key in enumerate(keys):
        found = (*found, key)
        if place < len(keys) - 1 and found in counts:
            found = (*found, counts[found])
    return found
