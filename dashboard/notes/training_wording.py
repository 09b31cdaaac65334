"""The sentences on a training session: what changed in those who took part, what it takes to tell, what stays open.

A row is one of ``training_effect``, its columns as attributes.
"""

from __future__ import annotations

from typing import Any

import pandas as pd

from dashboard import labels
from dashboard.measures.training_effect import PER
from dashboard.notes.wording import Sentence, Strong, said, together

WHO = {"attendees": "Took part", "others": "The others"}
_MOVED = {"lower": "less often", "higher": "more often"}
_WRONG = {
    "overcalled": "Write-ups that do not hold, of 100 judged",
    "missed": "Defects passed over or only advised upon, of 100 judged",
}
_QUARTERS = {"lower": "fewer", "higher": "more", "none": "within luck", "too_few": "too few to say"}


def what_changed(title: str, row: Any) -> Sentence:
    """The finding, with counts and interval; or that it cannot be told yet, and what it would take.

    Parameters
    ----------
    title
        The topic's title.
    """
    topic = labels.in_sentence(title)
    if row.status == "figures_only":
        return _figures_only(topic, row)
    if not labels.is_known(row.change):
        return together(_cannot_tell(topic, row), said("No time has passed since the month of the session."))
    if row.signal in _MOVED:
        how = f"those who took part write up {topic} {_MOVED[row.signal]} than before, set against {_against(row)}"
        finding = said(Strong(f"Since the session of {labels.day(row.held_on)} {how}:"), f" {_by(row)}.")
        return together(finding, _how_compared(row), _taken_off(row))
    within_luck = said(
        f"Set against {_against(row)}, those who took part write up {_by(row)} than before; luck alone explains that."
    )
    if labels.is_known(row.lacking):
        return together(_cannot_tell(topic, row), within_luck, _how_compared(row), _taken_off(row))
    finding = said(
        Strong("No change beyond luck:"), f" half as many write-ups of {topic} would most likely have shown."
    )
    return together(finding, within_luck, _how_compared(row), _taken_off(row))


def _figures_only(topic: str, row: Any) -> Sentence:
    have = (
        f" {labels.count(row.attendees)} who took part and {labels.plural(row.others, 'other colleague')} looked at "
        f"{topic} before and after; it takes 3 of each."
    )
    return said(Strong("Too few colleagues to tell luck from a change:"), have)


def _cannot_tell(topic: str, row: Any) -> Sentence:
    """That it cannot be told yet, and what it would take until half as many write-ups would show."""
    half = f"until half as many write-ups of {topic} by those who took part would most likely show"
    if row.lacking in {"decks", "before"}:
        short = "; but the time before is too short for a window of as many" if row.lacking == "before" else ""
        more = f"Cannot tell yet: about {labels.plural(row.needed, 'more deck')}"
        return said(Strong(more), f" of all compared {half}{short}.")
    why = {
        "people": "so few colleagues can never tell luck from a change, however many decks they look at",
        "write_ups": f"those who took part wrote up no {topic} before it, which could not become less",
    }
    told = why.get(str(row.lacking), f"there are enough decks {half}, once they are looked at after it")
    return said(Strong("Cannot tell yet:"), f" {told}.")


def _against(row: Any) -> str:
    return "other topics of the same colleagues" if row.status == "controls_only" else "the others"


def _by(row: Any) -> str:
    """The change that the finding goes by: where people may have been chosen by the baseline, less regression."""
    name = "change_less_regression" if row.baseline == "chosen" else "change"
    return in_a_hundred(*(getattr(row, f"{name}{end}") for end in ("", "_low", "_high")))


def in_a_hundred(change: float, low: float, high: float) -> str:
    """A change with its interval: ``9.2 fewer in 100 (16 fewer to 2.1 fewer)``."""
    return f"{labels.more_or_fewer(change)} in {PER} ({_span(low, high)})"


def _span(low: float, high: float) -> str:
    """An interval; an end that is open in words."""
    least = labels.more_or_fewer(low) if labels.is_known(low) else "any number fewer"
    most = labels.more_or_fewer(high) if labels.is_known(high) else "any number more"
    return f"{least} to {most}"


def _how_compared(row: Any) -> Sentence:
    """Who and how many are compared."""
    took_part = labels.plural(row.attendees, "colleague")
    days = f"{labels.plural(row.window_days, 'day')} before and after"
    if row.status == "controls_only":
        others = labels.plural(row.controls, "other topic")
        return said(
            f"Everyone took part ({took_part}, {days}), so that {others} of theirs stand in for other people, which is "
            "weaker."
        )
    return said(f"{took_part} who took part, {labels.plural(row.others, 'other')}, {days}.")


def _taken_off(row: Any) -> Sentence | None:
    """What regression to the mean alone gives, where it is taken off."""
    if row.baseline != "chosen" or not labels.is_known(row.expected_regression):
        return None
    chosen = "the topic" if row.status == "controls_only" else "topic and colleagues"
    return said(
        f"There is too little time before for {chosen} to have been chosen by other months than these: "
        f"{labels.more_or_fewer(row.expected_regression)} in {PER} would come of being chosen alone, and are taken off."
    )


def wrong_calls(row: Any) -> list[Sentence]:
    """How wrong calls moved, as far as enough calls could be judged."""
    lines = []
    for wrong, what in _WRONG.items():
        change, low, high = (getattr(row, f"{wrong}_{part}") for part in ("change", "change_low", "change_high"))
        if not labels.is_known(change):
            continue
        beyond = (labels.is_known(low) and low > 0) or (labels.is_known(high) and high < 0)
        luck = Strong("beyond luck") if beyond else "within luck"
        moved = f"{labels.more_or_fewer(change)} than before, set against the others ({_span(low, high)}), "
        lines.append(said(f"{what}: {moved}", luck, "."))
    return lines


def by_quarter(decay: pd.DataFrame) -> Sentence | None:
    """Whether a change lasted: each quarter after the session in a word; None where there is but one.

    Parameters
    ----------
    decay
        Rows of ``training_decay`` of one session and topic.
    """
    if len(decay) < 2:
        return None
    start = "Quarter by quarter after it, each against the same time before: "
    if decay["signal"].nunique() == 1:
        which = labels.all_of(len(decay), "quarter")
        return said(f"{start}{_QUARTERS[decay['signal'].iloc[0]]} in {which}.")
    told = (
        f"{_QUARTERS[str(signal)]} in {labels.listed(labels.count(number) for number in own['quarter'])}"
        for signal, own in decay.groupby("signal", sort=False)
    )
    return said(f"{start}{'; '.join(told)}.")


def what_it_cannot_say(row: Any) -> tuple[str, ...]:
    """What stands below the figures."""
    fallen = ""
    if row.baseline == "clean" and labels.is_known(row.expected_regression):
        alone = f"{labels.more_or_fewer(row.expected_regression)} in {PER}"
        fallen = (
            f"Had they been chosen by these months before, {alone} would come of that alone; there were earlier ones "
            "to choose by, and it is not taken off."
        )
    return (
        "It cannot show that the session was the cause: nobody was drawn by lot, and those who took part may differ in "
        "other ways.",
        "By the decks: what the firm's inspectors write up on such decks. The month of the session counts for neither "
        "side.",
        fallen,
    )
