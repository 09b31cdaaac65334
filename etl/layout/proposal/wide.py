"""Wide rows in a proposed layout: several observations side by side."""

from __future__ import annotations

from etl import contract, vocabulary
from etl.layout.choice.chosen import Block, Choice
from etl.layout.model import UNKNOWN
from etl.layout.profile import Profile
from etl.layout.proposal.columns import write_column
from etl.layout.proposal.draft import Draft
from etl.layout.proposal.words import is_yes_or_no, words_meant, write_words


def write_wide(draft: Draft) -> None:
    """The words that all wide columns share, and each observation of a wide row."""
    if draft.chosen.grouped:
        for name, choice in draft.chosen.grouped.items():
            if contract.columns()[name].rule.kind in ("choice", "yes_no") or name == "consequence":
                _write_shared(draft, name, choice.profile, name == "consequence" and draft.is_the_call(choice))
    elif calls := [block.columns["call"].profile for block in draft.chosen.wide if "call" in block.columns]:
        cells = [cell for profile in calls for cell in profile.cells]
        _write_shared(draft, "call", Profile.of("call", [cell for cell in cells if not cell or not is_yes_or_no(cell)]))
    for number, block in enumerate(draft.chosen.wide, 1):
        _write_block(draft, block, number)


def _write_shared(draft: Draft, name: str, profile: Profile, of_call: bool = False) -> None:
    """Words that mean the same in every wide column of a name."""
    words, asks = words_meant(draft, name, profile, of_call=of_call)
    draft.out.table("shared", name)
    if asks:
        draft.out.question(" ".join(asks))
    draft.out.table("shared", name, "words")
    for word, meant, note in words:
        draft.out.pair(word, meant, note)


def _write_block(draft: Draft, block: Block, number: int) -> None:
    """One observation of a wide row."""
    draft.out.table("wide", many=True)
    if block.topic is not None:
        draft.out.pair("topic", block.topic, vocabulary.topics()[block.topic].title)
    if not block.sure:
        draft.out.question(f"Do these columns speak of {block.topic}?")
    if block.topic is None:
        draft.out.table("wide", "columns", "observation_no")
        draft.out.pair("default", str(number))
    for name, choice in block.columns.items():
        if name == "call" or (block.topic is None and contract.columns()[name].rule.kind == "choice"):
            _write_plain_column(draft, name, choice)
        else:
            write_column(draft, ("wide", "columns", name), name, choice)
    if "call" not in block.columns:
        draft.out.table("wide", "columns", "call")
        draft.out.comment("No column is its call; say which (from), or what holds for every row (default).")
        draft.out.pair("default", UNKNOWN)


def _write_plain_column(draft: Draft, name: str, choice: Choice) -> None:
    """A wide column whose words are shared, but for those that mean another thing by each question."""
    draft.out.table("wide", "columns", name)
    draft.out.pair("from", choice.label)
    if not choice.sure:
        draft.out.question(f"Is this {name}? {choice.why[:1].upper()}{choice.why[1:]}.")
    answers = [(word, UNKNOWN, f"{count:,} rows") for word, count in choice.profile.words if is_yes_or_no(word)]
    if name == "call" and not draft.chosen.grouped:
        write_words(draft, ("wide", "columns", name, "words"), answers)
