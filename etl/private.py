"""What in a sentence tells of a private person: e-mail and phone, address, name; masked before anything is stored.

The patterns are the one definition: :func:`masked` uses them in Python, :func:`masked_sql` in SQL (both engines read
the same regular expressions, as those of :mod:`etl.values`). They find what stands in a known form. A bare name in
the middle of a sentence has no form; it is found only where a private column of the same row holds it
(:class:`Names`).
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable, Iterator

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

#: Of these, what a number of a report may look like too: they are not looked for in ids.
_LIKE_IDS = (
    r"\b[2-9][0-9]{2}[2-9][0-9]{6}\b",
    r"\b[2-9][0-9]{2}-[0-9]{4}\b",
    r"\b[A-Z]{2},? [0-9]{5}(?:-[0-9]{4})?\b",
)
_IN_IDS = tuple(pair for pair in PATTERNS if pair[0] not in _LIKE_IDS)
#: What any of these in an id holds, blanks above all.
_SUSPECT_ID = r"[@+: ]|www\.|https?:|[0-9]{3}[.)-][0-9]{3}[.-]"

#: The columns that hold sentences, or are written into as if they did.
MASKED_COLUMNS = ("comment", "recommendation", "place", "builder")
#: Columns of ids: what is masked in them gets a code beside it, so that two different ones stay two.
CODED_COLUMNS = ("report_id", "region", "property_id", "deck_id", "observation_no", "code_basis")
_CODED = {*CODED_COLUMNS, "item_id", "round_id", "session_id", "observation_id", "office"}
#: People of the firm, who are stored as they come.
_OF_THE_FIRM = {"inspector_id", "looked_by", "display_name"}


def masked(text: str) -> str:
    """A sentence with ``[e-mail]``, ``[phone]``, ``[link]``, ``[address]``, ``[name]`` in place of what was private."""
    if not _SUSPECT_COMPILED.search(text):
        return text
    for pattern, mask in _COMPILED:
        text = pattern.sub(mask, text)
    return text


def coded(text: str) -> str:
    """An id, or a file's or sheet's name, without what is private: ``[address] 4f2a91c0`` for ``12 Alder Street``.

    The code is worked out from the text, so that the same one stays the same, and others stay others. What a number of
    a report may look like (ten figures; ``OH 43210``) stays.
    """
    if not _SUSPECT_COMPILED.search(text):
        return text
    told = text
    for pattern, mask in _IN_IDS:
        told = re.sub(pattern, mask, told, flags=re.ASCII)
    return text if told == text else f"{told} {hashlib.sha256(text.encode('utf-8', 'replace')).hexdigest()[:8]}"


def stored(column: str, text: str) -> str:
    """A cell of a column as it may be stored, whether its row is loaded or refused."""
    if column in _OF_THE_FIRM:
        return text
    return coded(text) if column in _CODED else masked(text)


def printable(text: str) -> str:
    """A name or a label without what would control a terminal or cannot be stored, written as escapes instead."""
    return "".join(
        c if unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Zl", "Zp") else c.encode("unicode_escape").decode()
        for c in text
    )


def _literal(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"


def masked_sql(column: str) -> str:
    """The same as an SQL expression on a quoted column."""
    return _replaced_sql(column, PATTERNS)


def coded_sql(column: str) -> str:
    """The same as :func:`coded`, as an SQL expression on a quoted column."""
    told = _replaced_sql(column, _IN_IDS)
    with_code = f"case when {told} = {column} then {column} else {told} || ' ' || left(sha256({column}), 8) end"
    # A million ids with a year in them would else take seconds.
    return f"case when regexp_matches({column}, {_literal(_SUSPECT_ID)}) then {with_code} else {column} end"


def _replaced_sql(expression: str, patterns: Iterable[tuple[str, str]]) -> str:
    for pattern, mask in patterns:
        expression = f"regexp_replace({expression}, {_literal(pattern)}, {_literal(mask)}, 'g')"
    return expression


def suspect_sql(column: str) -> str:
    """The condition under which a column's text may have something to mask."""
    return f"regexp_matches({column}, {_literal(_SUSPECT)})"


#: Words of names and addresses that name nobody and no place.
_OF_NO_ONE = frozenset(_STREET.lower().split("|")) | frozenset(
    ("and", "the", "for", "mr", "mrs", "ms", "miss", "family", "north", "south", "east", "west", "apt", "unit", "suite")
)
_TITLE = r"(?:\b(?:mr|mrs|ms|miss|mx)\.?\s+)?"
_WORD = re.compile(r"\b[a-z]{3,}\b")


class Names:
    """What private columns of rows hold, found again in the rows' own sentences.

    Each private value is looked for whole, and so is each of its words that is a name by itself, in any case; a phone
    number, however its figures are set apart. A word that other rows use in lower case, as people called Long or Brown
    have for a name, is masked only where it is written like a name.

    Parameters
    ----------
    common
        Words in lower case that name parts of a deck: a client called Post does not take the post out of a sentence.
        Such a name is found only with its other parts beside it.
    """

    def __init__(self, common: frozenset[str]) -> None:
        self.common = common | _OF_NO_ONE
        self.used: Counter[str] = Counter()
        self._known: dict[tuple[str, ...], list[tuple[str, re.Pattern[str]]]] = {}

    def learn(self, rows: Iterable[tuple[str, tuple[str, ...]]]) -> None:
        """Learn from sentences, each with its row's private values, which of all private words are common ones."""
        rows = list(rows)
        names = {word.lower() for private in {private for _, private in rows} for word in words_of(private)}
        for text, private in rows:
            # Words that are no private ones anywhere need not be known.
            found = names.intersection(_WORD.findall(text))
            if found:
                self.used.update(found - {word.lower() for word in words_of(private)})
        self._known.clear()

    def mask(self, text: str, private: tuple[str, ...]) -> str:
        """The sentence with ``[private]`` in place of what the private values say."""
        if not private:
            return text
        if private not in self._known:
            self._known[private] = list(self._patterns(private))
        lowered = text.lower()
        for needle, pattern in self._known[private]:
            if not needle or needle in lowered:
                text = pattern.sub("[private]", text)
        return text

    def _patterns(self, private: tuple[str, ...]) -> Iterator[tuple[str, re.Pattern[str]]]:
        """Patterns of private values, each with what must be in a sentence in lower case for it to be tried."""
        for value in private:
            parts = value.split()
            if len(value) >= 3 and parts:
                spaced = r"\s+".join(map(re.escape, parts))
                yield parts[0].lower(), re.compile(rf"{_TITLE}(?<!\w){spaced}(?!\w)", re.IGNORECASE)
            figures = re.sub(r"[^0-9]", "", value)
            if 7 <= len(figures) <= 15:
                for own in dict.fromkeys((figures, figures[-10:], figures[-7:])):
                    apart = r"[ ().\-/]{0,3}".join(own)
                    yield own[-2:], re.compile(rf"(?<![0-9])\+?\(?{apart}(?![0-9])")
        for word in words_of(private):
            lowered = word.lower()
            if lowered in self.common:
                continue
            if self.used[lowered] >= 2 or len(word) == 3:
                written = f"{re.escape(word.title())}|{re.escape(word.upper())}"
                yield lowered, re.compile(rf"(?<!\A)(?<![.!?:]\s)(?<!\w)(?:{written})(?!\w)")
            else:
                yield lowered, re.compile(rf"{_TITLE}(?<!\w){re.escape(word)}(?!\w)", re.IGNORECASE)


def words_of(private: Iterable[str]) -> list[str]:
    """The words of private values that could name somebody by themselves."""
    words = (word.strip(".") for value in private for word in re.split(r"[\s,;&/]+", value))
    return [
        word for word in dict.fromkeys(words) if len(word) >= 3 and word.replace("-", "").replace("'", "").isalpha()
    ]
