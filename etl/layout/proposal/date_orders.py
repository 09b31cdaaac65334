"""In which order the parts of dates stand, as far as the dates themselves prove it."""

from __future__ import annotations

from etl.layout import written
from etl.layout.profile import Profile


def open_date(word: str) -> tuple[str, tuple[int, int, int]] | None:
    """A date whose parts could stand in two orders, taken apart; None where it is no date, or its year is first."""
    found = None if written.spelled_date(word) else written.numeric_date(word)
    return found if found and found[1][0] < 1000 else None


def exists(word: str) -> bool:
    """Whether a date is one of the calendar with either the day or the month first."""
    return any(written.date_text(word, order) for order in ("day month year", "month day year"))


def proved_order(profile: Profile) -> tuple[str | dict[str, str], str] | None:
    """The order of a date's parts that the values prove, and by which: a part above 12 is a day.

    Where the sign between the parts tells two orders apart, that of each sign; None where anything is open.
    """
    by_sign: dict[str, dict[str, str]] = {}
    for word, _ in profile.words:
        found = open_date(word)
        if found is None:
            continue
        proofs = by_sign.setdefault(found[0], {})
        if order := _only_order(word):
            proofs.setdefault(order, word)
    if not by_sign or any(len(proofs) != 1 for proofs in by_sign.values()) or years_first(profile):
        return None
    orders = {sign: next(iter(proofs)) for sign, proofs in by_sign.items()}
    told = " and ".join(next(iter(proofs.values())) for proofs in by_sign.values())
    return (next(iter(orders.values())) if len(set(orders.values())) == 1 else orders), told


def _only_order(word: str) -> str | None:
    """The one order in which a date exists: 31.04. exists in neither, and proves nothing."""
    fits = [order for order in ("day month year", "month day year") if written.date_text(word, order)]
    return fits[0] if len(fits) == 1 else None


def years_first(profile: Profile) -> str:
    """The years by their two figures where these seem to stand first: few of them, and many days; else nothing."""
    parts = [found[1] for word, _ in profile.words if (found := open_date(word))]
    firsts, lasts = {first for first, _, _ in parts}, {last for _, _, last in parts}
    few = len(lasts) >= 4 and 3 * len(firsts) <= len(lasts) and max(lasts) <= 31
    return ", ".join(f"{year:02}" for year in sorted(firsts)) if few else ""


def contrary_days(profile: Profile) -> tuple[str, str] | None:
    """Two dates of which one proves the day first and the other the month."""
    found: dict[str, str] = {}
    for word, _ in profile.words:
        if open_date(word) and (order := _only_order(word)):
            found.setdefault(order, word)
    return (found["day month year"], found["month day year"]) if len(found) == 2 else None
