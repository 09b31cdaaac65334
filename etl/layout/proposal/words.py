"""Which foreign word stands for which of the contract."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from etl import contract
from etl.layout import written
from etl.layout.aliases import Likeness, like, severity, word_like
from etl.layout.model import UNKNOWN
from etl.layout.profile import Profile
from etl.layout.proposal.draft import Draft
from etl.layout.tables import plain

#: Of a column with more different words than this no word is asked for: it is no list of words.
_MOST_WORDS = 400


def words_meant(
    draft: Draft, name: str, profile: Profile, codes: Mapping[str, str] = MappingProxyType({}), of_call: bool = False
) -> tuple[list[tuple[str, str, str]], list[str]]:
    """Which word stands for which of the contract, and what there is to ask; the calls are always asked.

    A code is looked up in ``codes`` for what it means; ``of_call`` are words for calls that name a consequence.
    """
    rule = contract.columns()[name].rule
    if len(profile.words) > _MOST_WORDS:
        return [], [f"It has {len(profile.counts):,} different words; is it {name}?"]
    found, guessed, asks = [], [], []
    for word, count in profile.words:
        rows = f"{count:,} row{'s' * (count != 1)}"
        if written.is_read(word, contract.columns()[name].rule) and not of_call and plain(word) not in codes:
            continue
        if means := codes.get(plain(word)):
            rows = f"'{draft.people.masked(means)}', {rows}"
        meant = _severity(means or word) if of_call else word_like(means or word, name)
        if meant is None:
            found.append((draft.people.masked(word), UNKNOWN, rows))
        else:
            found.append((word, meant.meant, rows if meant.sure else f"{rows}; a guess"))
            guessed += [] if meant.sure else [word]
    if guessed:
        asks.append(f"Are these words meant so: {', '.join(guessed[:6])}{' …' if len(guessed) > 6 else ''}?")
    if name == "call" and found:
        asks.append(
            f"Do these words stand for these calls? Every verdict rests on them. Calls: {', '.join(rule.choices)}."
        )
    return found, asks


def write_words(draft: Draft, keys: tuple[str, ...], words: list[tuple[str, str, str]]) -> None:
    """A table of words: of each what it stands for, and a note."""
    if words:
        draft.out.table(*keys)
        # Words that are masked may have become one.
        once = {word: (meant, note) for word, meant, note in reversed(words)}
        for word in dict.fromkeys(word for word, _, _ in words):
            draft.out.pair(word, *once[word])


def is_yes_or_no(word: str) -> bool:
    """Whether an answer means one thing by one question and another by the next."""
    found = like(word, "yes_no")
    return found is not None and found.sure and like(word, "calls") is None


def _severity(word: str) -> Likeness | None:
    """The consequence that a word for a call names; blank where it is no word for a finding."""
    call = word_like(word, "call")
    if call is not None and call.meant != "written_up":
        return Likeness("", True)
    level = severity(word)
    return Likeness(level, False) if level else None
