"""What the values of a foreign column are: dates, sizes, numbers with or without a unit, words, sentences."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from functools import cached_property

from etl import contract, values
from etl.layout import written
from etl.layout.aliases import word_like
from etl.private import PATTERNS
from etl.readers.workbook_child import SERIALS

#: Of a column with more different values than this the most frequent ones are looked at.
_LOOKED_AT = 3000
_PRIVATE = re.compile(
    "|".join(f"(?:{pattern})" for pattern, mask in PATTERNS if mask in ("[e-mail]", "[phone]", "[address]"))
)
_PERSON = re.compile(r"[A-Z][a-zà-ö'’-]+(?:,? [A-Z][a-zà-ö'’-]*\.?){1,3}")


@dataclass
class Profile:
    """The values of a column, each with how often it stands there."""

    label: str
    counts: Counter[str]
    n_rows: int
    #: In the order of the rows.
    cells: list[str | None] = field(default_factory=list, repr=False)

    @classmethod
    def of(cls, label: str, cells: list[str | None]) -> Profile:
        counts = Counter(cell for cell in cells if cell is not None)
        return cls(label, counts, len(cells), cells)

    @property
    def n_filled(self) -> int:
        return self.counts.total()

    @cached_property
    def words(self) -> list[tuple[str, int]]:
        """The values with their counts, the most frequent first, in the order of the alphabet among equals."""
        return sorted(self.counts.most_common(_LOOKED_AT), key=lambda pair: (-pair[1], pair[0]))

    def share(self, fits: object) -> float:
        """The share of filled cells for which a function holds."""
        assert callable(fits)
        looked_at = sum(count for _, count in self.words)
        return sum(count for word, count in self.words if fits(word)) / looked_at if looked_at else 0.0

    @cached_property
    def dates(self) -> float:
        return self.share(lambda word: written.spelled_date(word) is not None or written.numeric_date(word) is not None)

    @cached_property
    def serials(self) -> float:
        """The share of bare numbers that a workbook could count days by."""
        return self.share(lambda word: re.fullmatch(r"\d{5}(\.\d+)?", word) is not None and int(word[:5]) in SERIALS)

    @cached_property
    def numbers(self) -> float:
        def is_number(word: str) -> bool:
            return any(written.quantity(word, None, sign, "in") is not None for sign in ".,")

        return self.share(is_number)

    @cached_property
    def sizes(self) -> float:
        return self.share(
            lambda word: re.fullmatch(f"{values.SIZE_RANGE}|{values.BEAM}", written.size_text(word)) is not None
        )

    @cached_property
    def private(self) -> float:
        """The share of values that are an e-mail, a phone number or an address, and little else."""

        def is_private(word: str) -> bool:
            match = _PRIVATE.search(word)
            return match is not None and len(match[0]) > 0.4 * len(word)

        return self.share(is_private)

    @cached_property
    def people(self) -> float:
        """The share of values that look like a person's name."""
        return self.share(lambda word: _PERSON.fullmatch(word) is not None)

    @cached_property
    def length(self) -> float:
        """The mean length of a value."""
        looked_at = sum(count for _, count in self.words)
        return sum(len(word) * count for word, count in self.words) / looked_at if looked_at else 0.0

    @cached_property
    def _is_pair(self) -> bool:
        """Whether two words stand there, each for many rows: the firm's own yes and no."""
        return len(self.counts) == 2 and min(self.counts.values()) > 1 and self.numbers < 0.5

    @cached_property
    def fractions(self) -> bool:
        """Whether the values count so many of so many: ``8 / 13``."""
        return self.share(lambda word: re.fullmatch(r"\d+ ?(?:/|of) ?\d+", word) is not None) > 0.5

    def known_as(self, column: str) -> float:
        """The share of cells whose word is known, as an alias, as one of a column of the contract."""
        return self.share(lambda word: (found := word_like(word, column)) is not None and found.sure)

    def fits(self, column: str) -> bool:
        """Whether the values can be those of a column: none that are there contradict it, or there are none."""
        rule = contract.columns()[column].rule
        if not self.counts:
            return True
        match rule.kind:
            case "date":
                return self.dates > 0.7 or self.serials > 0.7
            case "number":
                return self.numbers > 0.6
            case "integer" if column == "consequence":
                return self.known_as(column) > 0.5 or len(self.counts) <= 6
            case "integer" if column == "deck_built_year":
                return self.share(lambda word: re.search(r"(?:19|20)\d\d", word) is not None) > 0.6
            case "integer":
                return self.dates < 0.5 and self.share(lambda word: re.match(r"\d{1,4}\b", word) is not None) > 0.6
            case "size":
                return self.sizes > 0.5
            case "yes_no":
                return len(self.counts) <= 8 and (self.known_as(column) > 0.4 or self._is_pair)
            case "choice" if column == "topic":
                return len(self.counts) <= 400 and self.length < 60
            case "choice" if column == "call":
                return len(self.counts) <= 30 and self.length < 40 and not self.fractions
            case "choice" if written.holds_sizes(rule):
                return self.sizes > 0.5
            case "choice":
                return self.known_as(column) > 0.3 or (len(self.counts) <= 20 and self.numbers + self.sizes < 0.5)
        if column in ("comment", "recommendation"):
            return self.numbers < 0.5
        return not (column in ("report_id", "inspector_id", "region") and self.dates > 0.7)
