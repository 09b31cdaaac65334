"""Proposes a layout for foreign files, as a TOML text that a person reviews. Nothing is loaded by it as it stands.

What a label or a word says by itself is written down; what is only likely is marked ``confirmed = false``, and what
nobody can know from the file is a question mark. No cell of a column that looks private is written anywhere.
"""

from __future__ import annotations

from pathlib import Path

from etl import contract
from etl.errors import UsageError
from etl.layout.aliases import is_private
from etl.layout.choice.chosen import Choice
from etl.layout.found import Shape, arrange, shapes_of
from etl.layout.proposal.columns import write_column
from etl.layout.proposal.draft import Draft, draft_of
from etl.layout.proposal.head import write_head
from etl.layout.proposal.lacking import write_lacking
from etl.layout.proposal.tables import write_tables
from etl.layout.proposal.wide import write_wide
from etl.readers.sources import Source


def suggest(sources: list[Source], scratch: Path) -> str:
    """A layout for files, to be reviewed.

    Raises
    ------
    UsageError
        Where none of the files holds a table.
    """
    shapes, passed_over = shapes_of(sources, scratch)
    if not shapes:
        raise UsageError(f"No table was found. {'; '.join(passed_over)}.")
    main, joined, left_over = arrange(shapes)
    people = [label for shape in shapes for label in shape.labels if is_private(label)]
    return _text(draft_of(sources, main, joined, [*passed_over, *left_over], people))


def _text(draft: Draft) -> str:
    """All parts of the layout, in the order in which a person reviews them."""
    write_head(draft)
    for shape in (draft.main, *_needed(draft)):
        write_tables(draft, shape)
    if draft.split:
        _write_split(draft, *draft.split)
    for name, column in contract.columns().items():
        if choice := draft.chosen.columns.get(name):
            write_column(draft, ("columns", name), name, choice)
        elif source := draft.above.get(name):
            draft.out.table("columns", name)
            draft.out.pair("from", source)
        elif column.required:
            write_lacking(draft, name)
    write_wide(draft)
    return draft.out.text()


def _needed(draft: Draft) -> list[Shape]:
    """The joined tables from which something is taken, or by which one is joined from which something is."""
    wanted = {choice.table for _, choice in draft.chosen.by_name() if choice.table}
    for shape in reversed(draft.joined):
        if shape.name in wanted:
            here = {*draft.main.labels}
            wanted |= {
                other.name
                for other in draft.joined
                if not set(shape.join.values()) <= here and set(shape.join.values()) & set(other.labels)
            }
    return [shape for shape in draft.joined if shape.name in wanted]


def _write_split(draft: Draft, choice: Choice, at: str) -> None:
    """The text that is cut into observations; its column is no comment of one then."""
    del draft.chosen.columns["comment"]
    draft.out.table("split")
    draft.out.pair("from", choice.label)
    draft.out.pair("at", at, "lines, sentences, numbers, semicolons")
    draft.out.question("Does each part of this text speak of one observation?")
