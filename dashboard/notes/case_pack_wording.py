"""The sentences that only case packs have: what to do, what was recorded, what is right, how the cases were drawn."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from dashboard import labels
from dashboard.measures import case_packs
from dashboard.measures.cases import Case
from dashboard.notes import wording
from dashboard.notes.note_wording import capital

HOW = (
    "Each case is real and from our own reports; names, places and days are taken out. Decide alone, by what was "
    "recorded: tick one call a case, and write down what else you would measure. Answers and reasons stand on pages of "
    "their own after the cases."
)
FIELDS = ("Your code", "Day")
#: The calls to tick, by their words in the sheet.
BOXES = {"written_up": "Write up", "referred": "Refer", "advised": "Advise", "passed": "No defect"}
MORE = "I would also measure"
ANSWERS = "Answers and reasons"
WHAT = (
    "Real cases both ways, drawn by lot, without names, places or days. PDF and DOCX are to print, the answers on "
    "pages of their own; CSV and XLSX are to fill in and to load as a calibration round."
)
SHEET = (
    "A calibration round to fill in, one row a case and inspector: the call of each, the inspector's code and the day "
    "where they are blank. Then load it with `evenhand load`."
)
#: What the columns of the sheet mean.
COLUMNS = {
    "round_id": "The round; the same in every row.",
    "held_on": "Day of the round, as 2026-11-27.",
    "item_id": "The code of the case. Leave it: by it the snapshot knows the case when the round is read.",
    "topic": "Topic id.",
    "inspector_id": "Who calls; the code that stands in reports.",
    "call": f"To fill in: {', '.join(BOXES)}; not_seen for no call.",
    "observation_id": "The report and its row; only where the answers travel with the sheet.",
    "known_verdict": "defect or acceptable, where known; only where the answers travel with the sheet.",
    "case": "Number of the case in the printed pack. Not loaded, as the columns after it.",
    "recorded": "What was recorded.",
    "sentence": "The report's sentence, names, places and days taken out.",
}
NO_SENTENCE = "The report has no sentence on it."
_RIGHT = {
    "defect": "A defect: write it up, or refer it.",
    "acceptable": "Acceptable: no defect.",
    "cannot_tell": "Cannot be told from this: measure first.",
}
_CALLED = {
    "upheld": "In the report {subject} {call}, and that holds.",
    "overcalled": "In the report {subject} {call}, and that does not hold.",
    "missed": "In the report it was passed over.",
    "understated": "In the report it was only advised upon.",
    "undecided": "In the report {subject} {call}; that could not be judged.",
}
_CLEARED = "In the report {subject} {call}."
_CALLS = {
    "written_up": ("it was", "written up"),
    "referred": ("it was", "referred"),
    "advised": ("it was", "advised upon"),
    "passed": ("no defect", "was noted"),
}
_OF_MANY = {
    case_packs.WRONG: ("does not hold", "do not hold"),
    case_packs.RIGHT: ("holds or raises no issue", "hold or raise no issue"),
    case_packs.OPEN: ("could not be judged", "could not be judged"),
    case_packs.NEAR: ("lies near a limit", "lie near a limit"),
}
_JUDGED = (
    "In a round the cases that could not be judged count for agreement only, and a referred defect counts as found. "
    "You may ask for a second look at any verdict."
)
JUDGED = f"{labels.MISSES_CAUTION} {_JUDGED}"
#: Facts of a deck that some rules need, beside the measures.
_DECK = {
    "deck_built_year": ("deck built", None),
    "deck_height_in": ("deck height", "in"),
    "ledger_attached": ("deck attached to the house", None),
}


def kicker(title: str, round_id: str) -> str:
    """``Case pack · Hanger size · Round hanger_size-3F2C1A``."""
    return " · ".join(["Case pack", title, f"Round {round_id}"])


def title(topic: str, number: int) -> str:
    """``Hanger size: 12 cases to call``."""
    return f"{topic}: {labels.plural(number, 'case')} to call"


def recorded(found: Case, needs: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """What was recorded of a case, in rows of name and value; of the deck what the topic's rules need."""
    rows = [(capital(row["title"]), _measured(row["value"], row["unit"])) for row in found.measures.to_dict("records")]
    asked = set(needs)
    of_deck = [
        (capital(name), _deck_fact(found.facts[fact], unit))
        for fact, (name, unit) in _DECK.items()
        if fact in asked and labels.is_known(found.facts.get(fact))
    ]
    return (*rows, *of_deck) or (("Recorded", "nothing measured"),)


def _deck_fact(value: Any, unit: str | None) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return _measured(value, unit) if unit else str(value)


def _measured(value: Any, unit: object) -> str:
    return labels.inches(float(value)) if unit == "in" else labels.value(value, unit)


def verdict(known: str) -> str:
    """What is right of a case, by its verdict."""
    return _RIGHT[known]


def called(call: str, outcome: str, group: str) -> str:
    """What the report called it, whether that holds, and whether the case lies near a limit."""
    subject, said = _CALLS[call]
    near = " Near a limit of the rule." if group == case_packs.NEAR else ""
    return f"{_CALLED.get(outcome, _CLEARED).format(subject=subject, call=said)}{near}"


def source(rule: Mapping[str, Any] | None) -> str:
    """The rule that decided and where it comes from; empty where none did."""
    return f"{rule['title']}: {wording.source_in_words(dict(rule))}." if rule else ""


def drawn(groups: Mapping[str, int], inspectors: int, asked: int, snapshot: str) -> str:
    """How many cases of each group there are, whose, and of what there was too little.

    Parameters
    ----------
    groups
        How many cases were drawn of each group.
    inspectors, asked
        From how many people's reports they are; how many cases were asked for.
    """
    told = [
        f"{labels.count(number)} {_OF_MANY[group][number != 1]}"
        for group in (case_packs.WRONG, case_packs.RIGHT, case_packs.NEAR, case_packs.OPEN)
        if (number := groups.get(group, 0))
    ]
    lacking = [_OF_MANY[group][1] for group in _OF_MANY if not groups.get(group, 0)]
    number = sum(groups.values())
    parts = [
        f"Drawn by lot from snapshot {snapshot}, balanced over groups and inspectors: {labels.listed(told)}; from the "
        f"reports of {labels.plural(inspectors, 'inspector')}.",
        f"There are none that {labels.listed(lacking, 'or')}." if lacking else "",
        f"There are no more than these {labels.count(number)}." if number < asked else "",
        "That cases of each group stand here says nothing of how often they occur.",
    ]
    return " ".join(part for part in parts if part)
