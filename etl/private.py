"""What in a sentence tells of a private person: e-mail and phone, address, name; masked before anything is stored.

The patterns are the one definition: :func:`masked` uses them in Python, :func:`masked_sql` in SQL (both engines read
the same regular expressions, as those of :mod:`etl.values`). They find what stands in a known form. A bare name in
the middle of a sentence has no form; it is found only where a private column of the same row holds it
(:class:`Names`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

_ROLE = "client|buyer|seller|owner|homeowner|tenant|customer|realtor|agent|occupant|resident|neighbor|landlord"
_ROLES = "|".join(f"{word}|{word.capitalize()}|{word.upper()}" for word in _ROLE.split("|"))
_NAME = r"[A-Z][a-zà-öø-ÿ]+(?:['’-][A-Z][a-zà-öø-ÿ]+)?"
_STREET = (
    "Street|St|Avenue|Ave|Av|Road|Rd|Drive|Dr|Lane|Ln|Court|Ct|Boulevard|Blvd|Circle|Cir|Terrace|Ter|Parkway|Pkwy"
    "|Highway|Hwy|Trail|Trl|Square|Sq|Loop|Alley|Crescent|Cres|Way"
)
# Lane, court, loop, trail and way mean other things in capitals or in lower case, where sentences speak of decks.
_CAPITAL_STREET = "STREET|AVENUE|AVE|ROAD|RD|DRIVE|DR|LANE|LN|BOULEVARD|BLVD|PARKWAY|PKWY|HIGHWAY|HWY"
_LOWER_STREET = "street|avenue|ave|road|rd|boulevard|blvd|parkway|pkwy|highway|hwy"

#: What is masked, in this order: the pattern, and what stands in its place.
PATTERNS: tuple[tuple[str, str], ...] = (
    (r"[A-Za-z0-9._%+-]+ ?@ ?[A-Za-z0-9-]+(?:\.[A-Za-z0-9-]+)*\.[A-Za-z]{2,}", "[e-mail]"),
    (r"(?:https?://|www\.)[^ \t\r\n]+", "[link]"),
    # +49 171 2345678, +1 614 555 0142
    (r"\+[0-9]{1,3}(?:[ .-]?\(?[0-9]{2,5}\)?){2,5}\b", "[phone]"),
    # (614) 555-0142, 614-555-0142, 614.555.0142, 614 555 0142, 1-614-555-0142, with an extension
    (
        r"(?:\b1[ .-])?(?:\([2-9][0-9]{2}\) ?|\b[2-9][0-9]{2}[ .-])[2-9][0-9]{2}[ .-][0-9]{4}\b"
        r"(?: ?(?:x|ext\.?) ?[0-9]{1,5})?",
        "[phone]",
    ),
    # 6145550142; 555-0142
    (r"\b[2-9][0-9]{2}[2-9][0-9]{6}\b", "[phone]"),
    (r"\b[2-9][0-9]{2}-[0-9]{4}\b", "[phone]"),
    # 12 Alder Street, 1204 N. Old Mill Rd, 9 OAK AVE, 9 oak ave
    (
        r"\b[0-9]{1,5}[A-Za-z]?,? (?:[NSEW]\.? |[NSEW][EW]\.? )?"
        rf"(?:(?:[A-Z][A-Za-z'’-]+|[0-9]{{1,3}}(?:st|nd|rd|th)) ){{1,3}}(?:{_STREET})\b\.?",
        "[address]",
    ),
    (rf"\b[0-9]{{1,5}},? (?:[NSEW]\.? )?(?:[A-Z'’-]{{2,}} ){{1,3}}(?:{_CAPITAL_STREET})\b\.?", "[address]"),
    (rf"\b[0-9]{{1,5}},? (?:[a-z'’-]{{2,}} ){{1,2}}(?:{_LOWER_STREET})\b\.?", "[address]"),
    # Alderstraße 12 and Rue du Port 4 are not looked for: reports are in English
    (r"\b[A-Z]{2},? [0-9]{5}(?:-[0-9]{4})?\b", "[address]"),
    # Mr. Fenwick, Mrs Ada Fenwick
    (rf"\b(?:Mr|Mrs|Ms|Miss|Mx|MR|MRS|MS)\.? (?:{_NAME}|[A-Z]\.|[A-Z]{{2,}})(?: {_NAME}| [A-Z]\.){{0,2}}", "[name]"),
    # owner: Ada Fenwick; client named Fenwick
    (
        rf"\b({_ROLES})((?:'s|’s)? name(?: is)?:? |s?: ?| named | called ){_NAME}(?: {_NAME}| [A-Z]\.){{0,2}}",
        r"\1\2[name]",
    ),
    # the owner Ada Fenwick said. Two capitals in a row, then a sentence in lower case: no heading in capitals
    (rf"\b({_ROLES})s?(,? ){_NAME} (?:[A-Z]\. )?{_NAME}([ ,;:]+[a-z]|[.,;)]|$)", r"\1\2[name]\3"),
)  # fmt: skip
#: Text in which none of these stands has nothing to mask; most sentences are passed over by it.
_SUSPECT = (
    r"@|https?:|www\.|[0-9]{3}[ .)-]{1,2}[0-9]{3,4}|[0-9]{10}|\+[0-9]|[A-Z]{2},? [0-9]{5}"
    r"|\b[0-9]{1,5}[A-Za-z]?,? .* (?:"
    + f"{_STREET}|{_CAPITAL_STREET}|{_LOWER_STREET}"
    + rf")\b|\b(?:Mr|Mrs|Ms|Miss|Mx|MR|MRS|MS)\b|\b(?:{_ROLES})"
)

_COMPILED = tuple((re.compile(pattern, re.ASCII), mask) for pattern, mask in PATTERNS)
_SUSPECT_COMPILED = re.compile(_SUSPECT, re.ASCII)

#: The columns that hold sentences, or are written into as if they did.
MASKED_COLUMNS = ("comment", "recommendation", "place", "builder")


def masked(text: str) -> str:
    """A sentence with ``[e-mail]``, ``[phone]``, ``[link]``, ``[address]``, ``[name]`` in place of what was private."""
    if not _SUSPECT_COMPILED.search(text):
        return text
    for pattern, mask in _COMPILED:
        text = pattern.sub(mask, text)
    return text


def _literal(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def masked_sql(column: str) -> str:
    """The same as an SQL expression on a quoted column."""
    expression = column
    for pattern, mask in PATTERNS:
        expression = f"regexp_replace({expression}, {_literal(pattern)}, {_literal(mask)}, 'g')"
    return expression


def suspect_sql(column: str) -> str:
    """The condition under which a column's text may have something to mask."""
    return f"regexp_matches({column}, {_literal(_SUSPECT)})"


@dataclass(frozen=True)
class Names:
    """What private columns of a row hold, to be found again in its sentences.

    Attributes
    ----------
    common
        Words in lower case that name parts of a deck, so that a client called Post does not take the post out of a
        sentence; such a name is found only with its other parts beside it.
    """

    common: frozenset[str]

    def mask(self, text: str, private: Iterable[str]) -> str:
        """The sentence without the private values: each whole, then each of its words that is a name by itself."""
        for value in private:
            whole = " ".join(value.split())
            if len(whole) < 3:
                continue
            text = _without(text, whole)
            for word in re.split(r"[\s,;&/]+", whole):
                if len(word) >= 3 and word[0].isupper() and word.strip(".").lower() not in self.common:
                    text = _without(text, word.strip("."), whole_case=True)
        return text


def _without(text: str, value: str, whole_case: bool = False) -> str:
    spaced = r"\s+".join(map(re.escape, value.split()))
    spellings = (
        spaced if not whole_case else f"{re.escape(value)}|{re.escape(value.upper())}|{re.escape(value.title())}"
    )
    return re.sub(rf"(?<!\w)(?:{spellings})(?!\w)", "[private]", text, flags=0 if whole_case else re.IGNORECASE)
