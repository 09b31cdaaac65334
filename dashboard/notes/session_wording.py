"""The sentences of entering a training session: what is held, what will be entered, what became of it."""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from dashboard import labels
from dashboard.notes.wording import Sentence, Strong, said
from dashboard.session_entry import Entered, Joined, Session

NONE_HELD = (
    "No session has been entered yet. Enter who attended, and Over time tells, months later, what the session changed "
    "in those who did."
)
TO_CHOOSE = "Choose the day, the topic and who attended: what will be entered then stands here."
THERE_ALREADY = "This is among the sessions held; there is nothing to enter."
HOW_IT_IS_ENTERED = (
    "It is loaded like a file, into a snapshot of its own; `evenhand snapshots` and `evenhand rollback ID` go back to "
    "the one before. Whoever is entered later for the same day and topic joins the same session. Nobody is taken out "
    "of a session here."
)
EFFECT = (
    "What a session changed shows under its topic once there are decks after it. Compare three or more who attended "
    "with three or more who did not."
)


def will_be_entered(session: Session, there: Joined, titles: Mapping[str, str]) -> Sentence:
    """What pressing the button enters; ``there`` is what of it is there already."""
    hours = f", {_each(session.hours)}" if session.hours is not None else ""
    return said(
        "Will be entered: ",
        Strong(f"{labels.in_sentence(titles[session.topic])}, {labels.day(session.held_on)}"),
        f", as {session.session_id}; attended by {labels.listed(session.inspectors)}{hours}.{_joins(there)}",
    )


def _joins(found: Joined) -> str:
    if not found.attended:
        return ""
    among = f"; {labels.listed(found.there)} {labels.are(len(found.there))} among them" if found.there else ""
    return f" It joins the session of that day, with {labels.plural(found.attended, 'colleague')} in it{among}."


def _each(hours: float) -> str:
    figure = labels.number(hours)
    return f"{labels.join(figure, 'hour' if hours == 1 else 'hours')} each"


def entered(found: Entered, titles: Mapping[str, str]) -> Sentence:
    """What became of it."""
    what = f"{labels.in_sentence(titles[found.session.topic])}, {labels.day(found.session.held_on)}"
    if not found.new and not found.replaced:
        return said(f"The session on {what} was there already; nothing changed.")
    counts = [labels.plural(found.new, "colleague")] if found.new else []
    counts += [f"other hours for {labels.plural(found.replaced, 'colleague')}"] if found.replaced else []
    flips = f" The rules had changed: {labels.plural(found.flips, 'verdict')} flipped." if found.flips else ""
    return said(Strong("Entered:"), f" {what}, {labels.listed(counts)}.{flips}")


def over_time(title: str) -> str:
    """The words of the link to a topic's page on time."""
    return f"{title} over time"


def shown(held: pd.DataFrame, titles: Mapping[str, str]) -> pd.DataFrame:
    """The sessions with their topics' titles, and hours as text."""
    return held.assign(
        title=held["topic"].map(titles),
        long=["" if pd.isna(hours) else labels.number(hours) for hours in held["hours"]],
    )
