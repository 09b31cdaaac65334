"""Which foreign columns tell of people, by their labels or their cells: they are put aside."""

from __future__ import annotations

from etl import contract
from etl.layout.aliases import column_like, is_private
from etl.layout.choice.chosen import Chosen, Foreign
from etl.layout.choice.labels import named
from etl.layout.profile import Profile
from etl.layout.spelling import bag, normal


def why_private(profile: Profile) -> str:
    """What tells that a column is of people; nothing where it is not."""
    if is_private(profile.label) and not _asks_for_more(profile):
        return "its label"
    if profile.private > 0.3 and profile.length < 60:
        return "e-mail, phone or address in its cells"
    if (
        named(profile.label) is None
        and profile.people > 0.8
        and len(profile.counts) > 5
        and not _speaks_of_decks(profile)
    ):
        return "its cells look like names of people"
    return ""


def _asks_for_more(profile: Profile) -> bool:
    """Whether a label is a question of many words, or stands below a band, and its cells tell of no people.

    ``What should the buyer know?``, ``Sent to client / Photos``.
    """
    below = profile.label.rpartition(" / ")[2]
    found = column_like(below) if below != profile.label else None
    if found and found.sure and contract.columns()[found.meant].level == "observation" and profile.fits(found.meant):
        return profile.private + profile.people < 0.1
    if below != profile.label and not is_private(below) and profile.numbers > 0.9 and not profile.private:
        return True
    is_long = len(normal(profile.label).split()) >= 5 or (below != profile.label and not is_private(below))
    return is_long and profile.length > 12 and profile.private + profile.people < 0.1


def _speaks_of_decks(profile: Profile) -> bool:
    return max(profile.known_as("topic"), profile.known_as("call")) > 0.2


def people_of_the_firm(result: Chosen, left: list[Foreign]) -> None:
    """Names of people that nothing was chosen for are private as well: a code stands beside an inspector's name."""
    taken = {choice.label for choice in result.columns.values()}
    for _, profile in left:
        if profile.label not in taken and profile.people > 0.8 and not _speaks_of_decks(profile):
            is_named = bag(profile.label)[-1:] == ("name",) or "name" in bag(profile.label)
            if is_named or len(profile.counts) > 5:
                result.private.append((profile.label, "its cells look like names of people"))
