"""The columns of a proposed layout."""

from __future__ import annotations

import re

from etl import contract
from etl.layout.choice.chosen import Choice
from etl.layout.people import People
from etl.layout.profile import Profile
from etl.layout.proposal.dates import write_dates
from etl.layout.proposal.draft import Draft
from etl.layout.proposal.units import write_unit
from etl.layout.proposal.words import words_meant, write_words


def write_column(draft: Draft, keys: tuple[str, ...], name: str, choice: Choice) -> None:
    """A column: what it is taken from, how it is read, and what of it has to be confirmed."""
    out, rule, profile = draft.out, contract.columns()[name].rule, choice.profile
    out.table(*keys)
    source = [choice.label, *choice.else_from] if choice.else_from else choice.label
    out.pair("from", source, _told(profile, draft.people) if rule.kind != "text" else "")
    if choice.optional:
        out.pair("optional", True, "some files do not have it")
    if choice.table:
        out.pair("table", choice.table)
    if choice.only:
        out.inline("only", choice.only)
    asks = [] if choice.sure else [f"Is this {name}? {choice.why[:1].upper()}{choice.why[1:]}."]
    if name == "inspector_id" and profile.people > 0.5:
        out.comment("These look like names; with [columns.inspector_id.words] each can be given a code.")
    words: list[tuple[str, str, str]] = []
    match rule.kind:
        case "date":
            asks += write_dates(draft, choice)
        case "number":
            asks += write_unit(draft, name, choice)
        case "choice" | "yes_no":
            words, more = words_meant(draft, name, profile, choice.codes)
            asks += more
        case "integer" if name == "consequence":
            words, more = words_meant(draft, name, profile, choice.codes, draft.is_the_call(choice))
            asks += more
        case "integer":
            asks += _write_part(draft, profile)
    if asks:
        out.question(" ".join(asks))
    write_words(draft, (*keys, "words"), words)


def _write_part(draft: Draft, profile: Profile) -> list[str]:
    """Which of two numbers in a cell is taken, ``6 of 14``, and the question whether it is so."""
    of = profile.share(lambda word: re.fullmatch(r"\d+ (?:of|/) ?\d+.*", word) is not None)
    if of > 0.3:
        draft.out.pair("part", r"^(\d+)", "the first number of '6 of 14'; part = 'of (\\d+)' takes the second")
        return ["Is the first of the two numbers meant?"]
    return []


def _told(profile: Profile, people: People) -> str:
    """A few values of a column, for the person who reviews."""
    words = [people.masked(word)[:40] for word, _ in profile.words[:4]]
    return f"e.g. {'; '.join(words)}" if words else "blank in every row"
