"""Several readings of one measure in a list: "18 in. on the left and 30 at the bay"."""

from __future__ import annotations

from etl.comments.rules import Rules
from etl.comments.scopes import sentence_of
from etl.comments.words import Words

#: So many words at most stand between two readings of a list.
_LONGEST_LINK = 10
_ARTICLES = ("the", "a", "each")
_BEFORE_PLACES = ("at", "on", "near", "by", "in")


def before_in_list(words: Words, rules: Rules, token: int) -> int | None:
    """The quantity before in a list; none where another thing is named between."""
    begin, _ = sentence_of(words, token)
    before = next((at for at in range(token - 1, begin - 1, -1) if _is_listed(words, at)), None)
    if before is None or token - before > _LONGEST_LINK or not _are_alike(words, rules, before, token):
        return None
    between = {words.tokens[at].word for at in range(before + 1, token) if not _tells_place(words, rules, at)}
    parted = between & (rules.lists.members | rules.lists.parts)
    return before if between & rules.lists.links and not parted else None


def _is_listed(words: Words, at: int) -> bool:
    """Whether a token is a quantity that a list may hold: not the "one" of "except one", nor a number of a place."""
    quantity = words.tokens[at].quantity
    return quantity is not None and quantity.kind != "skip" and not (quantity.in_words and quantity.high == 1)


def _tells_place(words: Words, rules: Rules, at: int) -> bool:
    """Whether a member only tells where: "at joist 9"."""
    before = [word.word for word in words.tokens[max(at - 2, 0) : at] if word.word not in _ARTICLES]
    return words.tokens[at].word in rules.lists.members and before[-1:] != [] and before[-1] in _BEFORE_PLACES


def _are_alike(words: Words, rules: Rules, before: int, token: int) -> bool:
    """Whether two quantities are of one kind, and what follows them is alike or only tells a place."""
    one, other = words.tokens[before].quantity, words.tokens[token].quantity
    if one is None or other is None or not (one.kind == other.kind or {one.kind, other.kind} == {"len", "num"}):
        return False
    following = [words.tokens[at + 1].word if at + 1 < len(words.tokens) else "." for at in (before, token)]
    return following[0] == following[1] or following[1] in rules.lists.follows
