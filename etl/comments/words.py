"""A comment as canonical words: abbreviations spelled out, slips mended, quantities as one word each."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, cached_property

from etl.comments.quantities import Quantity, find_quantities
from etl.comments.rules import Rules, comment_rules, written_forms
from etl.comments.slips import mend
from etl.comments.spelling import Spelled

#: Signs that end a sentence; those that end a clause.
ENDS = frozenset(".;!?")
#: Abbreviations after which a full stop ends no sentence.
_SHORT = frozenset(
    [
        "min",
        "max",
        "req",
        "reqd",
        "approx",
        "meas",
        "dia",
        "sp",
        "vs",
        "incl",
        "ea",
        "typ",
        "misc",
        "no",
        "ht",
        "cont",
        "fdn",
        "ext",
        "int",
        "qty",
        "horiz",
        "vert",
        "struct",
    ]
)
_TOKEN = re.compile(r"[a-z]+(?:'[a-z]+)?|[0-9]+|[^\sa-z0-9]")

#: Where a pattern stands: its first token, the one after its last, and the match.
Place = tuple[int, int, re.Match[str]]


@dataclass(frozen=True)
class Token:
    """A canonical word (or several, "is not"), and where in the spelled text it stands."""

    word: str
    start: int
    end: int
    quantity: Quantity | None = None


@dataclass(frozen=True)
class Words:
    """The tokens of a comment and their words as one text, ``text``, that patterns are looked for in."""

    spelled: Spelled
    tokens: tuple[Token, ...]

    @cached_property
    def text(self) -> str:
        return " ".join(token.word for token in self.tokens)

    @cached_property
    def _token_at(self) -> tuple[int, ...]:
        places: list[int] = []
        for number, token in enumerate(self.tokens):
            places += [number] * (len(token.word) + 1)
        return tuple(places)

    def token_at(self, place: int) -> int:
        """The number of the token that a place of ``text`` belongs to."""
        return self._token_at[min(place, len(self._token_at) - 1)]

    @cached_property
    def there(self) -> frozenset[str]:
        """Every word, and the kinds of its quantities: ``#len``."""
        words = self.text.split(" ")
        return frozenset(words) | {word.split(":")[0] for word in words if word[:1] == "#"}

    @cached_property
    def _found(self) -> dict[str, list[Place]]:
        return {}

    def find(self, words: str) -> list[Place]:
        """Each place of a pattern of the rules: its first token, the one after its last, and the match."""
        if words not in self._possible:
            return []
        places = self._found.get(words)
        if places is None:
            places = self._found[words] = [
                (self.token_at(found.start()), self.token_at(found.end() - 1) + 1, found)
                for found in comment_rules().patterns[words].expression.finditer(self.text)
                if found.end() > found.start()
            ]
        return places

    @cached_property
    def _possible(self) -> frozenset[str]:
        """The patterns that these words do not rule out."""
        return frozenset(text for text, _ in comment_rules().patterns_by_word.there(self.there))

    def place(self, first: int, after: int) -> tuple[int, int]:
        """Where in the comment a run of tokens stands."""
        return self.spelled.place(self.tokens[first].start, self.tokens[after - 1].end)


def find_words(spelled: Spelled, topic: str | None = None) -> Words:
    """The canonical words of a spelled comment; in a row on guard posts, "post" is one of these."""
    spelled = mend(spelled)
    rules = comment_rules()
    meant = rules.meant.get(topic or "", {})
    taken = [*_lexicons()[1].finditer(spelled.text)]
    blanked = list(spelled.text)
    for found in taken:
        blanked[found.start() : found.end()] = "|" * (found.end() - found.start())
    quantities = {quantity.start: quantity for quantity in find_quantities("".join(blanked))}
    fixed = {found.start(): found for found in taken}
    tokens = _tokens(spelled, quantities, fixed, rules)
    return Words(spelled, tuple(replace(token, word=meant.get(token.word, token.word)) for token in tokens))


def _tokens(
    spelled: Spelled, quantities: dict[int, Quantity], fixed: dict[int, re.Match[str]], rules: Rules
) -> Iterator[Token]:
    text, at = spelled.text, 0
    lexicon = _lexicons()[0]
    while at < len(text):
        if quantity := quantities.get(at):
            yield Token(quantity.word, at, quantity.end, quantity)
            if text[quantity.end - 1] == "." and _begins_sentence(spelled, quantity.end):
                yield Token(".", quantity.end - 1, quantity.end)
            at = quantity.end
        elif found := fixed.get(at) or lexicon.match(text, at):
            yield Token(written_forms()[found.group()], at, found.end())
            at = found.end()
        elif found := _TOKEN.match(text, at):
            yield from _plain_token(text, found, rules)
            at = found.end()
        else:
            at += 1


def _begins_sentence(spelled: Spelled, at: int) -> bool:
    """Whether a full stop that was taken for the end of a unit also ends a sentence."""
    if at == len(spelled.text):
        return True
    rest = spelled.comment[spelled.origin[at] :]
    return bool(re.match(r"\s+[A-Z]", rest)) and not spelled.comment.isupper()


def _plain_token(text: str, found: re.Match[str], rules: Rules) -> Iterator[Token]:
    word = found.group()
    if word == ".":
        before = re.search(r"[a-z]+$", text[: found.start()])
        ends = found.end() == len(text) or text[found.end()] in " ;)\"'"
        if ends and not (before and before.group() in _SHORT and text[found.end() : found.end() + 2].strip()):
            yield Token(".", found.start(), found.end())
        return
    if word == "-" and not (text[found.start() - 1 : found.start()] == " " or found.end() == len(text)):
        return
    if word[0].isalpha():
        word = _without_apostrophe(word)
    yield Token(word, found.start(), found.end())


def _without_apostrophe(word: str) -> str:
    if word in ("cannot", "can't", "cant"):
        return "can not"
    if word == "won't":
        return "will not"
    if word.endswith("n't"):
        return word[:-3] + " not"
    if word in ("couldnt", "isnt", "arent", "doesnt", "didnt", "dont", "wasnt", "werent", "shouldnt", "wont"):
        return word[:-2] + " not"
    for short, whole in (("'re", " are"), ("'ve", " have"), ("'ll", " will"), ("'d", " would")):
        if word.endswith(short):
            return word.removesuffix(short) + whole
    if word in ("there's", "it's", "that's", "here's", "what's", "he's", "she's"):
        return word[:-2] + " is"
    return word.removesuffix("'s")


@cache
def _lexicons() -> tuple[re.Pattern[str], re.Pattern[str]]:
    forms = sorted(written_forms(), key=len, reverse=True)
    return _any_of(forms), _any_of([form for form in forms if re.search("[0-9]", form)])


def _any_of(forms: list[str]) -> re.Pattern[str]:
    written = "|".join(re.escape(form) for form in forms)
    return re.compile(rf"(?<![a-z0-9])(?:{written})(?![a-z0-9]|'[a-z])")
