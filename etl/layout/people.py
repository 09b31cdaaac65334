"""Whom private columns name: found again in words that a proposal would show, wherever these stand."""

from __future__ import annotations

import re
from collections.abc import Iterable

from etl import vocabulary
from etl.private import masked, words_of

_WORD = re.compile(r"[^\W\d_](?:[\w'’-]*\w)?")


class People:
    """The people whom the private columns of files name.

    Parameters
    ----------
    values
        What these columns hold.
    """

    def __init__(self, values: Iterable[str]) -> None:
        self.names = {word.casefold() for word in words_of(set(values))} - common_words()

    def masked(self, text: str) -> str:
        """A text with masks in place of what is private by its form, and of these people's names."""

        def shown(word: re.Match[str]) -> str:
            return "[private]" if word[0][0].isupper() and word[0].casefold() in self.names else word[0]

        return masked(_WORD.sub(shown, text)) if self.names else masked(text)


def common_words() -> frozenset[str]:
    """Words that name parts of a deck: in the titles of topics and measures, and in the kinds that are listed."""
    texts = [topic.title for topic in vocabulary.topics().values()]
    for measure in vocabulary.measures().values():
        texts += [measure.title, *measure.choices]
    return frozenset(word for text in texts for word in text.lower().replace("_", " ").split())
