"""How a proposed layout reads dates: as proved by all, by each table, or by each kind of row; else it asks."""

from __future__ import annotations

from etl.layout import written
from etl.layout.choice.chosen import Choice
from etl.layout.model import UNKNOWN
from etl.layout.profile import Profile
from etl.layout.proposal.date_orders import contrary_days, exists, open_date, proved_order, years_first
from etl.layout.proposal.draft import Draft


def order_here(draft: Draft, number: int) -> str | None:
    """The order of dates that one table proves by itself, a question mark where it proves none, None where its
    dates need none."""
    choice = draft.chosen.columns.get("inspected_on")
    if choice is None or choice.table is not None:
        return None
    labels = (choice.label, *choice.else_from)
    cells = next((cells for label in labels if (cells := draft.main.tables[number].column(label))), [])
    profile = Profile.of(choice.label, cells)
    if not any(open_date(word) and exists(word) for word in profile.counts):
        return None
    found = proved_order(profile)
    return found[0] if found and isinstance(found[0], str) else UNKNOWN


def orders(draft: Draft) -> list[str | None]:
    """The order that each table of rows proves by itself."""
    return [order_here(draft, number) for number in range(len(draft.main.tables))]


def write_dates(draft: Draft, choice: Choice) -> list[str]:
    """The order of dates where the data prove it; else a question."""
    profile, out = choice.profile, draft.out
    if profile.serials > 0.5:
        out.pair("dates", "workbook days")
        return ["Are these bare numbers days as a workbook counts them?"]
    if choice.table is None and len(set(orders(draft))) > 1:
        return []  # each table says its own
    # A day that exists in neither order is refused whatever is said here.
    numeric = [word for word, _ in profile.words if open_date(word) and exists(word)]
    if not numeric:
        return []
    found = proved_order(profile)
    if found is not None:
        order, proof = found
        if isinstance(order, str):
            out.pair("dates", order, f"proved by {proof}")
        else:
            out.inline("dates", order, f"proved by {proof}")
        return []
    if years := years_first(profile):
        out.pair("dates", "year month day")
        return [f"Does the year stand first? It would be one of {years}."]
    if by := _order_by(draft, choice):
        return by
    out.pair("dates", UNKNOWN, '"month day year" or "day month year"')
    contrary = contrary_days(profile)
    what = (
        f"{contrary[0]} has the day first, {contrary[1]} the month"
        if contrary
        else f"{numeric[0]} can be read in two ways"
    )
    return [f"In which order do the parts of a date stand? {what}."]


def _order_by(draft: Draft, choice: Choice) -> list[str]:
    """The order of dates by the words of another column, each of which proves its own."""
    if choice.table is not None:
        return []
    days = draft.main.cells(choice.label)
    for label in draft.main.labels:
        cells = draft.main.cells(label)
        kinds = {cell for cell in cells if cell is not None}
        # A kind with a row or two would prove anything.
        if label == choice.label or not 2 <= len(kinds) <= min(12, len(cells) // 3):
            continue
        proved = {}
        for kind in sorted(kinds):
            own = Profile.of(label, [day for day, cell in zip(days, cells, strict=True) if cell == kind])
            found = proved_order(own)
            if found is None and any(written.spelled_date(word) is None for word in own.counts):
                break
            if found and isinstance(found[0], str):
                proved[kind] = found[0]
        else:
            if len(set(proved.values())) > 1:
                draft.out.pair("dates_from", label)
                draft.out.inline("dates_by", proved)
                return [f"Does the order of a date's parts go by {label}?"]
    return []
