"""The sentences of the page of rules: how much is judged, why a topic has no rule, what a measure is."""

from __future__ import annotations

from collections.abc import Iterable

import pandas as pd

from dashboard import labels
from dashboard.measures.rules import Coverage
from dashboard.notes import note_wording
from dashboard.notes.wording import Sentence, Strong, said, together
from dashboard.what_if import WhatIf

#: Units that do not stand well alone.
_UNITS = {"in": "inches"}
#: Facts of the deck that a rule may read beside the measures.
_OF_THE_DECK = {
    "deck_built_year": "the year in which the deck was built",
    "deck_height_in": "the height of the deck",
    "ledger_attached": "whether the deck is fixed to the house",
    "code_basis": "the guideline that the report names",
}

#: What a verdict under another guideline would mean for a call.
_WOULD = {
    "defect": "would be a defect",
    "acceptable": "would be acceptable",
    "judgment": "would be left to the inspector",
    "cannot_tell": "could no longer be judged",
    "no_rule": "would have no rule",
}
_SAID = labels.SAID | {"cannot_tell": labels.OUTCOMES["undecided"], "no_rule": labels.OUTCOMES["no_rule"]}
_NAMED_TOPICS = 2
HOW_IT_IS_TRIED = (
    "It is tried on every call that is loaded; nothing is published. Reports that name another guideline are measured "
    "against the chosen one too, and local rules stay as they are. Local rules are tried by the command "
    "`evenhand rejudge --criteria FILE`."
)


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
    """What is written down for a measure: its unit, what kind of thing it is, or that it is one word of a list."""
    if len(measure["choices"]):
        return labels.join("one of these")
    if labels.is_known(measure["unit"]):
        return _UNITS.get(str(measure["unit"]), str(measure["unit"]))
    return labels.MEASURE_KINDS.get(str(measure["kind"]), labels.choice(str(measure["kind"])))


def words_of(measure: pd.Series) -> str:
    """The words of which a measure's record is one; empty where any value may stand."""
    return labels.listed((labels.choice(word) for word in measure["choices"]), "or")


def limit(rule: pd.Series, verdict: str) -> str:
    """What makes a rule give a verdict, in words; empty where it never does."""
    told = rule[f"{verdict}_told"]
    return note_wording.capital(str(told)) if labels.is_known(told) else ""


def said_so(rule: pd.Series, verdict: str, told: object) -> str:
    """How often a rule gave a verdict; or that it never does."""
    if not labels.is_known(told):
        return labels.join("never by this rule")
    return labels.plural(int(rule[verdict]), "call") if rule[verdict] else labels.join("no call so far")


def of_the_deck(needs: Iterable[str]) -> str:
    """What a topic's rules look at beside its measures; empty where that is nothing."""
    also = [words for name, words in _OF_THE_DECK.items() if name in set(needs)]
    return f"Also looked at: {labels.listed(also)}." if also else ""


def weight(rule: pd.Series) -> str:
    """How much a wrong call on a rule matters, with its scale."""
    return f"{labels.join('Weight', rule['weight'], '(of 1, 3 and 10)')}."


# ---- another guideline -----------------------------------------------------------------------------------------------


def would_change(found: WhatIf) -> Sentence:
    """How many verdicts would flip under a guideline that was tried, which way, and in which topics most."""
    calls = f"Of {labels.plural(found.calls, 'call')}, "
    if not found.flips:
        return said(calls, Strong(f"none would get another verdict under {found.guideline}."))
    finding = Strong(f"{labels.count(found.flips)} would get another verdict under {found.guideline}")
    return together(said(calls, finding, f": {_ways(found)}."), said(_topics(found)))


def _ways(found: WhatIf) -> str:
    ways = found.by_verdict
    if len(ways) == 1:
        return f"{'it' if found.flips == 1 else 'all of them'} {_WOULD[next(iter(ways))]}"
    return labels.listed(f"{labels.count(number)} {_WOULD[verdict]}" for verdict, number in ways.items())


def _topics(found: WhatIf) -> str:
    """``Most are on post height (49) and open riser (60), the others on 3 more topics.``"""
    topics = found.by_topic
    first = list(topics.items())[:_NAMED_TOPICS]
    named = labels.listed(f"{labels.in_sentence(title)} ({labels.count(number)})" for title, number in first)
    if len(topics) == 1:
        return f"{'It is' if found.flips == 1 else 'All are'} on {labels.in_sentence(first[0][0])}."
    if len(topics) <= _NAMED_TOPICS:
        return f"They are on {named}."
    return f"Most are on {named}, the others on {labels.plural(len(topics) - len(first), 'more topic', 'more topics')}."


def way(before: str, after: str) -> str:
    """What is said of a call now, and what would be: ``acceptable → a defect``."""
    return f"{_SAID[before]} → {_SAID[after]}"


def no_longer_judged(found: WhatIf) -> str:
    """Why a call could be judged before and not then; empty where there is none."""
    if "cannot_tell" not in found.by_verdict:
        return ""
    return (
        "Where a call could no longer be judged, that guideline sets no such limit in the catalog, or asks for a "
        "measure that was not recorded."
    )


def rules_changed(found: WhatIf) -> str:
    """That the rules are not those of the snapshot any more; empty where they are."""
    if not found.rules_changed:
        return ""
    return "The rules have changed since the last load: it is compared with the rules as they are now."
