"""The sentences on what an inspector's difference from peers is made of; peers are a number, and nobody is named."""

from __future__ import annotations

import pandas as pd

from dashboard import labels
from dashboard.measures.differences import TERMS
from dashboard.notes.wording import Sentence, Strong, said, together

#: Of each part its name, and what it means where it makes write-ups more, or fewer.
_PARTS = {
    "by_not_seen": (
        "Looks that could be made",
        "Fewer were left not seen than peers leave there.",
        "More were left not seen than peers leave there.",
    ),
    "by_decks": (
        "The decks",
        "Peers write up more on such decks than on others.",
        "Peers write up less on such decks than on others.",
    ),
    "by_false_calls": (
        "Write-ups that do not hold",
        "More than peers have among as many write-ups.",
        "Fewer than peers have among as many write-ups.",
    ),
    "by_misses": (
        "Defects passed over",
        "Fewer than peers pass over: more are left to write up.",
        "More than peers pass over: fewer are left to write up.",
    ),
    "by_advice": (
        "Defects advised upon or referred",
        "Fewer than with peers: more are left to write up.",
        "More than with peers: fewer are left to write up.",
    ),
    "by_rest": (
        "What no judged call explains",
        "Luck in the decks is in it.",
        "Luck in the decks is in it.",
    ),
}
#: What stands before the parts where the comparison itself tells no difference.
_LUCK = {
    "none": "Beyond the decks the difference is within what luck allows: its parts say little. ",
    "too_few": "There is too little to tell the difference from luck: its parts say little. ",
    "cannot_separate": "Inspector and decks cannot be told apart here: the parts say little. ",
}
#: Under one write-up no part of a difference is named as the largest.
_LEAST = 1.0


def whole(found: pd.Series, person: str) -> Sentence:
    """What was written up beside what peers write up of as many looks, and the largest part of the difference.

    Parameters
    ----------
    found
        What ``differences.in_parts`` gives.
    """
    shown = _shown(found)
    difference = shown["difference"]
    up = labels.plural(int(found["written_up"]), "write-up")
    peers = (
        f"{person} made {up}, peers about {labels.tenths(found['of_as_many'])} in as many looks, whatever the decks: "
    )
    if not difference:
        return said(peers, Strong("no difference"), ".")
    return together(said(peers, Strong(labels.more_or_fewer_tenths(difference)), "."), _largest(shown))


def _largest(shown: dict[str, float]) -> Sentence | None:
    """The part that makes up most of the difference, where one does."""
    sign = 1 if shown["difference"] > 0 else -1
    first = max(TERMS, key=lambda term: sign * shown[term])
    if sign * shown[first] < _LEAST:
        return None
    name = labels.in_sentence(_PARTS[first][0])
    return said(f"The largest part of it: {name}, {labels.more_or_fewer_tenths(shown[first])}.")


def parts(found: pd.Series) -> list[tuple[str, str, str]]:
    """The parts as rows of a small table: name, what it means, write-ups more or fewer; the last is their sum."""
    shown = _shown(found)
    rows = [(_PARTS[term][0], _meaning(term, shown[term], found), _value(term, shown[term], found)) for term in TERMS]
    return [*rows, ("Together", "", _told(shown["difference"]))]


def _meaning(term: str, value: float, found: pd.Series) -> str:
    untold = int(found.get(f"{term}_untold", 0))
    if untold == found["topics"]:
        return "Too few of these calls could be judged; it is in the last part."
    _, more, fewer = _PARTS[term]
    means = ("As with peers." if term != "by_rest" else more) if not value else more if value > 0 else fewer
    left = f" In {labels.plural(untold, 'topic')} it cannot be told, and is in the last part." if untold else ""
    return means + left


def _value(term: str, value: float, found: pd.Series) -> str:
    return "cannot be told" if found.get(f"{term}_untold", 0) == found["topics"] else _told(value)


def _told(value: float) -> str:
    return labels.more_or_fewer_tenths(value) if value else "0.0"


def _shown(found: pd.Series) -> dict[str, float]:
    """The parts to a tenth, which is how they are shown; what rounding leaves over goes to the rest."""
    # Written up is whole: its difference from what is shown of peers is so to a tenth.
    tenths = {"difference": round(found["written_up"] - round(found["of_as_many"], 1), 1)}
    tenths |= {term: round(float(found[term]), 1) for term in TERMS[:-1]}
    tenths["by_rest"] = round(tenths["difference"] - sum(tenths[term] for term in TERMS[:-1]), 1)
    return {name: value + 0.0 for name, value in tenths.items()}  # no minus before a zero


def what_it_rests_on(row: pd.Series, signal: str) -> str:
    """How many calls of a topic could be judged, and that the parts say no more than the comparison itself does.

    Parameters
    ----------
    row
        The one row of ``differences``.
    signal
        What the comparison of write-ups came to, as ``inspectors`` has it.
    """
    shares = [
        f"{labels.percent(row[f'judged_share_{name}'])} of {words}"
        for name, words in (("written_up", "the write-ups"), ("passed", "the looks with no defect noted"))
        if labels.is_known(row[f"judged_share_{name}"])
    ]
    judged = f"Judged: {labels.listed(shares)}. " if shares else ""
    return f"{judged}{how_far(signal)}"


def how_far(signal: str) -> str:
    """What the parts cannot say. ``signal``: what the comparison of write-ups came to."""
    return f"{_LUCK.get(signal, '')}How sure each part is cannot be told; judged calls stand for all of their kind."


def not_compared(title: str) -> str:
    """In place of the parts, where a topic could not be compared."""
    return f"{title}: too few looks to compare with peers, so that there is no difference to take apart."
