"""How much of what is read out of comments is right, and how much of what they state is read.

    python tests/bench/score_comments.py FILE [--show]     the two figures with their intervals, and counts by measure
    python tests/bench/score_comments.py --write           docs/comments.md, from both halves of tests/etl/comments

FILE has the columns comment, topic and stated, and told_topic and told_call where a comment tells them by itself, as
tests/etl/comments/README.md tells. ``--show`` lists what was read wrong or not at all; it is refused for the half that
is held back, whose rows nobody looks at while writing rules.
"""

from __future__ import annotations

import csv
import json
import sys
from collections import Counter
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
HALVES = ROOT / "tests" / "etl" / "comments"
HELD_BACK = "unseen.csv"
#: Of a sentence that was labeled before topics and calls were.
NOT_LABELED = "-"
#: A value in inches is the same to so much: what is stated may be rounded.
NEAR = 0.0005


TOLD = {"told_topic": "topics", "told_call": "calls"}


@dataclass
class Score:
    """Counts over a file: values stated, read, and read right; each by measure, too."""

    sentences: int = 0
    stated: Counter[str] = field(default_factory=Counter)
    read: Counter[str] = field(default_factory=Counter)
    right: Counter[str] = field(default_factory=Counter)
    wrong_sentences: list[tuple[str, str, dict[str, object], dict[str, object]]] = field(default_factory=list)

    @property
    def precision(self) -> tuple[int, int]:
        return self.right.total(), self.read.total()

    @property
    def coverage(self) -> tuple[int, int]:
        return self.right.total(), self.stated.total()


def score(path: Path) -> Score:
    """Read the measures of every comment of a file and compare with what it states."""
    from etl.comments.reader import read_comment

    found = Score()
    for row in _rows(path):
        read = {one.measure: one.value for one in read_comment(row["comment"], row["topic"])}
        _compare(found, row, json.loads(row["stated"]), read)
    return found


def score_told(path: Path, column: str) -> Score:
    """Read the topic, or the call, that every comment of a file tells by itself, and compare with its label."""
    from etl.comments.told import told_call, told_topic

    found, tell = Score(), told_topic if column == "told_topic" else told_call
    for row in _rows(path):
        if (label := row.get(column, NOT_LABELED)) != NOT_LABELED:
            told = tell(row["comment"])
            _compare(found, row, {column: label} if label else {}, {column: told.value} if told else {})
    return found


def _rows(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def _compare(found: Score, row: dict[str, str], stated: dict[str, object], read: dict[str, object]) -> None:
    right = {name for name in read if name in stated and _same(read[name], stated[name])}
    found.sentences += 1
    found.stated.update(stated.keys())
    found.read.update(read.keys())
    found.right.update(right)
    missed = {name: value for name, value in stated.items() if name not in right}
    wrong = {name: value for name, value in read.items() if name not in right}
    if missed or wrong:
        found.wrong_sentences.append((row["topic"], row["comment"], missed, wrong))


def _same(read: object, stated: object) -> bool:
    if isinstance(read, bool) or isinstance(stated, (bool, str)):
        return read == stated
    return abs(float(Decimal(str(read))) - float(str(stated))) <= NEAR


def told(of: tuple[int, int]) -> str:
    """A share with its counts and its 95 percent interval."""
    from dashboard.stats.intervals import wilson

    count, trials = of
    low, high = (float(end) for end in wilson(count, trials))
    return f"{count / trials:.1%} ({count} of {trials}; 95 % interval {low:.1%} to {high:.1%})"


def main(arguments: list[str]) -> None:
    if arguments == ["--write"]:
        _write()
        return
    path = Path(arguments[0])
    _print("measures", score(path), path, "--show" in arguments)
    for column, name in TOLD.items():
        if (found := score_told(path, column)).sentences:
            _print(name, found, path, "--show" in arguments)


def _print(name: str, found: Score, path: Path, show: bool) -> None:
    if show and path.name == HELD_BACK:
        sys.exit(f"{HELD_BACK} is held back: its sentences are not shown.")
    print(f"{path.name}, {name}: {found.sentences} sentences")
    print(f"precision {told(found.precision)}")
    print(f"coverage  {told(found.coverage)}")
    for measure in sorted(found.stated.keys() | found.read.keys()):
        counts = (found.stated[measure], found.read[measure], found.right[measure])
        print(f"  {measure}: stated {counts[0]}, read {counts[1]}, right {counts[2]}")
    for topic, comment, missed, wrong in found.wrong_sentences if show else ():
        print(f"{topic} | {comment}\n    not read {missed}  read wrong {wrong}")


def _write() -> None:
    """Put the figures of both halves into docs/comments.md, between its two marks."""
    page = ROOT / "docs" / "comments.md"
    begin, end = "<!-- figures -->\n", "<!-- end of figures -->"
    text = page.read_text(encoding="utf-8")
    head, rest = text.split(begin)
    lines = [
        "| read | sentences | of what is read, right | of what is stated, read right |",
        "|---|---|---|---|",
        *(line for half in ("seen.csv", HELD_BACK) for line in _figures(HALVES / half)),
    ]
    page.write_text(head + begin + "\n".join(lines) + "\n" + end + rest.split(end)[1], encoding="utf-8")


def _figures(path: Path) -> list[str]:
    half = "held back until the rules were done" if path.name == HELD_BACK else "that the rules were written on"
    scores = {"measures": score(path)} | {name: score_told(path, column) for column, name in TOLD.items()}
    return [
        f"| {name} | {found.sentences} {half} | {told(found.precision)} | {told(found.coverage)} |"
        for name, found in scores.items()
    ]


if __name__ == "__main__":
    main(sys.argv[1:])
