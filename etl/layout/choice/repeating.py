"""What tells reports apart, and who made them, by how often codes come again."""

from __future__ import annotations

import re
from collections import Counter

from etl.layout.choice.chosen import Choice, Chosen, Foreign
from etl.layout.profile import Profile


def by_repeating(result: Chosen, free: list[Foreign]) -> None:
    """What tells reports apart, and who made them: codes that come again as often as their day does."""
    day = result.columns.get("inspected_on")
    if day is None:
        return
    near = [(table, profile) for table, profile in free if table == day.table and profile.cells]
    if "report_id" not in result.columns:
        for table, profile in near:
            if _is_code(profile) and _belongs(day.profile, profile) and len(profile.counts) >= len(day.profile.counts):
                why = "its codes come again as the days of visits do"
                result.columns["report_id"] = Choice(profile.label, profile, table, False, why)
                free.remove((table, profile))
                break
    report = result.columns.get("report_id")
    if "inspector_id" in result.columns or report is None or report.table != day.table:
        return
    for table, profile in near:
        few = 2 <= len(profile.counts) <= min(60, len(report.profile.counts) // 2)
        if (table, profile) in free and few and _are_initials(profile) and _belongs(profile, report.profile):
            why = "its cells are initials or codes, one a report"
            result.columns["inspector_id"] = Choice(profile.label, profile, table, False, why)
            free.remove((table, profile))
            return


def _is_code(profile: Profile) -> bool:
    return (
        profile.n_filled > 0.95 * profile.n_rows
        and profile.share(lambda word: re.fullmatch(r"[\w./-]*\d[\w./-]*", word) is not None) > 0.95
        and profile.dates < 0.5
    )


def _are_initials(profile: Profile) -> bool:
    return profile.share(lambda word: re.fullmatch(r"[^\W\d_]{1,3}[. -]?\d{0,4}\.?", word) is not None) > 0.9


def _belongs(single: Profile, of: Profile) -> bool:
    """Whether each value of a column has one value of another beside it, but for slips."""
    beside: dict[str, Counter[str]] = {}
    for one, other in zip(of.cells, single.cells, strict=True):
        if one is not None and other is not None:
            beside.setdefault(one, Counter())[other] += 1
    rows = sum(counts.total() for counts in beside.values())
    return bool(rows) and sum(max(counts.values()) for counts in beside.values()) > 0.97 * rows
