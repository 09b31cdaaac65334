"""What a proposed layout offers where no foreign column is one that the contract requires."""

from __future__ import annotations

import re

from etl.layout.aliases import word_told
from etl.layout.model import COMMENT, PART, READABLE, SHEET, UNKNOWN
from etl.layout.profile import Profile
from etl.layout.proposal.draft import Draft
from etl.layout.proposal.words import words_meant, write_words
from etl.layout.rows import parts_of

#: How sheets are called that are people's: a name or two, or initials.
_PERSON = re.compile(
    r"(?!(?:Sheet|Data|Total|Summary|Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\w*)"
    r"[A-Z][\w.'’-]*(?: [A-Z][\w.'’-]*)?"
)
#: What a text begins with, before a colon, a dash or a bracket; and a short word behind it, in brackets or to a point.
_HEADING = r"^([^:.\[\]–]{2,40}?) ?(?:\[|:| - | – )"
_TAG = r"^[^:.\[\]–]{2,40}?(?: ?\[| - | – )([^\]:.]{1,30})(?:\]|\.|:)"
#: Of this many texts it is looked whether they tell a topic and a call.
_MOST_TEXTS = 200


def write_lacking(draft: Draft, name: str) -> None:
    """A required column that nothing was found for."""
    if draft.chosen.wide and name in ("topic", "call"):
        return
    if name == "observation_no":
        return  # numbered
    draft.out.table("columns", name)
    one_each = all(len(table.places) and len(draft.main.tables) > 1 for table in draft.main.tables)
    if name == "report_id" and one_each:
        draft.out.pair("from", "(file)")
        draft.out.question("Is each file one report, named as the report is?")
        return
    if (name in READABLE and _offer_to_read(draft, name)) or (name == "inspector_id" and _offer_sheets(draft)):
        return
    draft.out.comment(f"No column is {name}; say which (from), or what holds for every row (default).")
    draft.out.pair("default", UNKNOWN)


def _texts(draft: Draft) -> tuple[str, list[str]]:
    """Where sentences of observations stand, and these: parts of a split text, or the comment."""
    if draft.split:
        profile, at = draft.split[0].profile, draft.split[1]
        return PART, [part for word, _ in profile.words for part in parts_of(word, at)]
    comment = draft.chosen.columns.get("comment")
    return (comment.label, [word for word, _ in comment.profile.words]) if comment and not comment.table else ("", [])


def _offer_to_read(draft: Draft, name: str) -> bool:
    """Offer what stands before the colon of a text, or else to read the text, where no column is topic or call."""
    source, texts = _texts(draft)
    if not texts:
        return False
    if _offer_heading(draft, name, source, texts):
        return True
    told = sum(word_told(text, name) for text in texts[:_MOST_TEXTS])
    draft.out.comment('Or what holds for every row: default = "…".')
    draft.out.pair("from", COMMENT)
    draft.out.question(
        f"No column is {name}. Is it to be read out of the comment? Of {len(texts[:_MOST_TEXTS]):,} that were "
        f"looked at {told:,} tell it; a row whose comment does not is refused."
    )
    return True


def _offer_heading(draft: Draft, name: str, source: str, texts: list[str]) -> bool:
    """The topic where most texts begin with one of a few headings, and the call where one follows it.

    ``Guard: loose at the stair``, ``GUARD [FIX]: loose``, ``Guard - Fix. Loose at the stair.``
    """
    part = _HEADING if name == "topic" else _TAG
    heads = [match[1].strip() for text in texts if (match := re.match(part, text))]
    if len(heads) <= 0.6 * len(texts) or len(set(heads)) > max(3, 0.3 * len(heads)):
        return False
    draft.out.pair("from", source)
    draft.out.pair("part", part, "what each text begins with" if name == "topic" else "what stands behind that")
    words, asks = words_meant(draft, name, Profile.of(name, [*heads]))
    draft.out.question(" ".join([f"Does each text begin with its topic{' and its call' * (name == 'call')}?", *asks]))
    write_words(draft, ("columns", name, "words"), words)
    return True


def _offer_sheets(draft: Draft) -> bool:
    """Offer that each sheet is an inspector's where the sheets are called like people."""
    sheets = [table.sheet for table in draft.main.tables if table.sheet]
    if len(set(sheets)) < 2 or not all(_PERSON.fullmatch(sheet) for sheet in sheets):
        return False
    draft.out.comment("With [columns.inspector_id.words] each can be given a code.")
    draft.out.pair("from", SHEET)
    draft.out.question("No column is inspector_id. Is each sheet an inspector's, and named like it?")
    return True
