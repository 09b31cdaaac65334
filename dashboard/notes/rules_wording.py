"""The sentences of the page of rules: how much is judged, why a topic has no rule, what a measure is."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from dashboard import labels
from dashboard.measures.rules import Coverage
from dashboard.notes.wording import Sentence, Strong, said, together

#: Units that do not stand well alone.
_UNITS = {"in": "inches"}
#: Facts of the deck that a rule may read beside the measures.
_OF_THE_DECK = {
    "deck_built_year": "the year in which the deck was built",
    "deck_height_in": "the height of the deck",
    "ledger_attached": "whether the deck is fixed to the house",
    "code_basis": "the guideline that the report names",
}


def judged_by(found: Coverage, guideline: str | None) -> Sentence:
    """How many topics are judged by a rule, and against which guideline."""
    rest = []
    if found.counted:
        rest.append(f"{labels.count(found.counted)} {labels.are(found.counted)} counted only")
    if found.waiting:
        verb = "waits for its rule" if found.waiting == 1 else "wait for theirs"
        rest.append(f"{labels.count(found.waiting)} {verb}")
    judged = f"{labels.count(found.judged)} {labels.are(found.judged)} judged by a rule"
    first = said(f"Of {labels.plural(found.topics, 'topic')} ", Strong(judged), *(f", {part}" for part in rest), ".")
    against = f"Calls are measured against {guideline} unless a report names another guideline." if guideline else ""
    return together(first, said(against))


def without_rule(judged: bool) -> Sentence:
    """Why a topic has no rule."""
    if judged:
        return said(
            Strong("Its rule is not in the catalog yet."),
            " Calls on it are counted and compared; none of them is judged until the catalog has one.",
        )
    return said(
        Strong("It has no rule, and is never judged."), " Calls on it are counted and compared between inspectors only."
    )


def listed_as(title: str, judged: bool, has_rule: bool) -> str:
    """A topic in a list to choose from: its title, and why it has no rule where it has none."""
    return title if has_rule else f"{title} · {state_of(judged, has_rule)}"


def state_of(judged: bool, has_rule: bool) -> str:
    """The same in a word, for a table."""
    return "judged" if has_rule else "waits for its rule" if judged else "counted only"


def what_it_is(measure: pd.Series) -> str:
    """What is written down for a measure: its unit, or what kind of thing it is."""
    if labels.is_known(measure["unit"]):
        return _UNITS.get(str(measure["unit"]), str(measure["unit"]))
    return labels.MEASURE_KINDS.get(str(measure["kind"]), labels.choice(str(measure["kind"])))


def said_so(rule: pd.Series, verdict: str, condition: object) -> str:
    """How often a rule gave a verdict; or that it never does."""
    if not labels.is_known(condition):
        return "never by this rule"
    return labels.plural(int(rule[verdict]), "call") if rule[verdict] else "no call so far"


def of_the_deck(needs: Iterable[str]) -> str:
    """What a topic's rules look at beside its measures; empty where that is nothing."""
    also = [words for name, words in _OF_THE_DECK.items() if name in set(needs)]
    return f"Also looked at: {labels.listed(also)}." if also else ""


def weight(rule: pd.Series) -> str:
    """How much a wrong call on a rule matters, with its scale."""
    return f"Weight {rule['weight']} (of 1, 3 and 10)."
