"""What is known of foreign files before a layout is written: what was found, chosen, and left open."""

from __future__ import annotations

from dataclasses import dataclass, field

from etl import contract
from etl.layout.aliases import column_like, is_private
from etl.layout.choice.chosen import Choice, Chosen
from etl.layout.choose import choose
from etl.layout.found import Shape
from etl.layout.people import People
from etl.layout.rows import parts_of
from etl.layout.toml import Writer
from etl.readers.sources import Source


@dataclass
class Draft:
    """A layout while it is written.

    Attributes
    ----------
    main, joined
        The tables of rows, and those that are joined to them.
    passed_over
        Files and tables of which nothing is taken, with the reason.
    labels_of_people
        The labels in any table that look private.
    people
        Those whom private columns name: they are masked wherever cells are shown.
    above
        By column of the contract, the fact above the header that is taken for it.
    split
        The text that holds several observations, and at what it is cut.
    out
        What is written so far.
    """

    sources: list[Source]
    main: Shape
    joined: list[Shape]
    passed_over: list[str]
    labels_of_people: list[str]
    chosen: Chosen
    people: People
    above: dict[str, str]
    split: tuple[Choice, str] | None
    out: Writer = field(default_factory=Writer)

    def is_the_call(self, choice: Choice) -> bool:
        """Whether a column was chosen for the call, too."""
        calls = (self.chosen.columns.get("call"), self.chosen.grouped.get("call"))
        return any(call is not None and call.label == choice.label for call in calls)


def draft_of(
    sources: list[Source], main: Shape, joined: list[Shape], passed_over: list[str], labels_of_people: list[str]
) -> Draft:
    """Choose columns, and find what else is to be known before the first line is written."""
    chosen = choose(main, joined)
    people, above = _people(chosen, [main, *joined]), _above(chosen, main)
    draft = Draft(sources, main, joined, passed_over, labels_of_people, chosen, people, above, _split(chosen))
    _doubt_what_stands_once(draft)
    return draft


def _people(chosen: Chosen, shapes: list[Shape]) -> People:
    """The people whom private columns name."""
    cells = (cell for label, _ in chosen.private for shape in shapes for cell in shape.cells(label))
    return People(cell for cell in cells if cell is not None)


def _above(chosen: Chosen, main: Shape) -> dict[str, str]:
    """Columns whose value stands above the header, in every file."""
    found: dict[str, str] = {}
    tables = main.tables
    common = [label for label in tables[0].above if all(label in table.above for table in tables)] if tables else []
    for label in common:
        name = column_like(label)
        level = contract.columns()[name.meant].level if name else "observation"
        if name and name.sure and level != "observation" and name.meant not in chosen.columns and not is_private(label):
            found.setdefault(name.meant, f"(above: {label})")
    return found


def _split(chosen: Chosen) -> tuple[Choice, str] | None:
    """A text that holds several observations: no column says a topic, and its cells have several parts."""
    comment = chosen.columns.get("comment")
    if comment is None or comment.table or chosen.wide or {"topic", "call"} & set(chosen.columns):
        return None
    words = [word for word, _ in comment.profile.words[:500]]
    for at in ("numbers", "lines", "semicolons", "sentences"):
        if words and sum(len(parts_of(word, at)) > 1 for word in words) > 0.4 * len(words):
            return comment, at
    return None


def _doubt_what_stands_once(draft: Draft) -> None:
    """What rows with several observations say once may be of the visit: the number of its photos."""
    for name, choice in draft.chosen.columns.items():
        of_one = contract.columns()[name].level == "observation" and name not in ("comment", "observation_no")
        if of_one and (draft.split or draft.chosen.wide):
            choice.sure, choice.why = False, "it stands once for all observations of a row, and may be of the visit"
    by_staff = {shape.name for shape in draft.joined if _is_of_staff(shape)}
    for choice in draft.chosen.columns.values():
        if choice.table in by_staff and choice.sure:
            choice.sure, choice.why = False, f"it stands in the table {choice.table}, joined by who inspected"


def _is_of_staff(shape: Shape) -> bool:
    """Whether a table is joined by who inspected."""
    keys = {*shape.join, *shape.join.values()}
    return any((found := column_like(key)) is not None and found.meant == "inspector_id" for key in keys)
