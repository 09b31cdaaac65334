"""Writes TOML with comments, as the standard library reads it back."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping


def string(text: str) -> str:
    """A basic string: TOML escapes as JSON does, and the delete character too."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")


def key(text: str) -> str:
    """A key, quoted where it has to be."""
    return text if re.fullmatch(r"[A-Za-z0-9_-]+", text) else string(text)


def strings(texts: list[str]) -> str:
    """A list of strings, over several lines where it is long."""
    listed = [string(text) for text in texts]
    line = f"[{', '.join(listed)}]"
    return line if len(line) < 90 else "[\n" + "".join(f"  {text},\n" for text in listed) + "]"


class Writer:
    """Lines of a TOML file."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def comment(self, text: str = "") -> None:
        self.lines.append("# " + " ".join(text.split()) if text else "")

    def table(self, *keys: str, many: bool = False) -> None:
        name = ".".join(map(key, keys))
        self.lines += ["", f"[[{name}]]" if many else f"[{name}]"]

    def pair(self, name: str, value: str | bool | int | list[str], note: str = "") -> None:
        """A key with its value, and a comment behind it."""
        match value:
            case bool():
                written = "true" if value else "false"
            case int():
                written = str(value)
            case str():
                written = string(value)
            case _:
                written = strings(value)
        behind = f"  # {' '.join(note.split())}" if note else ""
        self.lines.append(f"{key(name)} = {written}{behind}")

    def inline(self, name: str, pairs: Mapping[str, str] | Mapping[str, list[str]], note: str = "") -> None:
        """A key with a table of strings, or of lists of strings, in one line."""

        def shown(value: str | list[str]) -> str:
            return string(value) if isinstance(value, str) else f"[{', '.join(map(string, value))}]"

        written = ", ".join(f"{string(word)} = {shown(meant)}" for word, meant in pairs.items())
        behind = f"  # {note}" if note else ""
        self.lines.append(f"{key(name)} = {{ {written} }}{behind}")

    def question(self, ask: str) -> None:
        """What a person has to confirm before the layout can be used."""
        self.pair("confirmed", False)
        self.pair("ask", ask)

    def text(self) -> str:
        return "\n".join(self.lines).strip() + "\n"
