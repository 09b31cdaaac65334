"""The text of docs/training-accuracy.md, from what simulate_training.py found."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from dashboard.stats.intervals import wilson


def page(found: Mapping[str, Any], by_lot: Mapping[int, tuple[int, int]], ranks: Mapping[tuple[int, int], Any]) -> str:
    """The whole page.

    Parameters
    ----------
    found
        ``simulate_training.Result`` by the name of its plan.
    by_lot
        By how many took part: how many firms the test alone refused, of how many.
    ranks
        By number of topics and of judged calls in each: how many intervals hold the true place, of how many.
    """
    return f"""# How often the effect of a session, and the order of topics, are told rightly

Written by `python tests/bench/simulate_training.py --page` (a few minutes); do not edit by hand. The methods stand in
[measures.md](measures.md#effect-of-a-training-session) and [measures.md](measures.md#training-topics).

**How it was tried out.** Firms of twelve inspectors are drawn whose truth is known, and put through the code that fills
the table [training_effect](tables.md#training_effect). Each colleague has a level of their own (standard deviation 0.4,
log-odds) and moves a little between windows of half a year (0.15). A fifth of the decks is written up where nothing else
is said. Invented firms show whether a method does what it says. They do not show what a session changes in a real one.

Shares are percent of the firms, with 95 percent Wilson intervals.

## What was asked of it

{_asked(found, by_lot, ranks)}

## Nothing changes

{_nothing(found)}

*The baseline itself* is a window in which those who stood highest in it were chosen, with nothing earlier to compare with:
they come down by luck alone. The plain test refuses that often; the product takes off what regression alone gives.
With 2 of 12 it tells figures only. Where those who stood highest in an earlier window took part, the plain test refuses somewhat
more often than 5 in 100, and as often one way as the other: three whose shares are high scatter more than the nine others.

## Something changes

{_something(found)}

*Needed* is the number of further decks that the product names, in the middle one of the firms that cannot tell.

## The order of topics

Topics whose true shares of wrong calls are drawn (8 of 100 on average, beta), each with so many judged calls; 95 percent
intervals of their places. Places are whole numbers, so that with few topics and many calls the intervals hold more than
95 percent.

{
        _table(
            ["topics", "judged calls in each", "intervals that hold the true place"],
            [[str(topics), str(judged), _share(held, of, 1)] for (topics, judged), (held, of) in ranks.items()],
        )
    }

Intervals of one firm hang together: theirs are counted as if they did not.
"""


def _asked(
    found: Mapping[str, Any], by_lot: Mapping[int, tuple[int, int]], ranks: Mapping[tuple[int, int], Any]
) -> str:
    rows = [
        _target(
            f"the exact test refuses where nothing changes, {trained} of 12 by lot", wanted, *by_lot[trained], *ends
        )
        for trained, wanted, ends in (
            (2, "at most 7", (0.0, 0.07)),
            (3, "3 to 7", (0.03, 0.07)),
            (6, "3 to 7", (0.03, 0.07)),
        )
    ]
    for name, told in (
        ("nothing changes, worst 3 of a window before", "worst 3 of an earlier window, no effect: “fewer” is told"),
        (
            "nothing changes, worst 3 of the baseline itself",
            "worst 3 of the baseline itself, no effect: “fewer” is told",
        ),
    ):
        rows.append(_target(told, "at most 7", *_count(found[name], "fewer"), 0.0, 0.07))
    large, small = found["40 to 12 percent in 6 of 12, 50 decks"], found["12 to 6 percent in 6 of 12, 75 decks"]
    rows.append(
        _target("40 to 12 percent in 6 of 12, 50 decks a side: found", "at least 90", *_count(large, "fewer"), 0.9, 1.0)
    )
    rows.append(
        _target(
            f"12 to 6 percent in 6 of 12, 75 decks: “cannot tell yet” (then about {small.needed:,.0f} more decks)",
            "more than 50",
            *_count(small, "cannot_tell"),
            0.5,
            1.0,
        )
    )
    for (topics, judged), (held, of) in ranks.items():
        rows.append(
            _target(
                f"intervals of the place hold it, {topics} topics of {judged} judged calls",
                "90 to 97",
                held,
                of,
                0.9,
                0.97,
            )
        )
    return _table(["what", "wanted, percent", "reached, percent", "reached"], rows)


def _nothing(found: Mapping[str, Any]) -> str:
    rows = []
    for name, result in found.items():
        if result.changes:
            continue
        shares = [_share(*_count(result, share)) for share in ("refused", "fewer", "more")]
        told = [*shares, _share(round(result.held * result.told), result.told)] if result.told else ["figures only"] * 4
        rows.append([name.removeprefix("nothing changes, "), str(result.firms), *told])
    head = ["who took part", "firms", "plain test: p ≤ 0.05", "told: fewer", "told: more", "interval holds 0"]
    return _table(head, rows)


def _something(found: Mapping[str, Any]) -> str:
    rows = [
        [
            name,
            str(result.firms),
            _share(*_count(result, "fewer")),
            _share(*_count(result, "cannot_tell")),
            f"{result.needed:,.0f}" if result.needed == result.needed else "–",
            _share(round(result.held * result.told), result.told),
            _share(round(result.held_by_cr2 * result.told), result.told),
        ]
        for name, result in found.items()
        if result.changes
    ]
    head = [
        "what",
        "firms",
        "told: fewer",
        "cannot tell yet",
        "needed",
        "interval holds the truth",
        "that by regression",
    ]
    return _table(head, rows)


def _count(result: Any, share: str) -> tuple[int, int]:
    return round(getattr(result, share) * result.firms), result.firms


def _share(part: float, whole: float, digits: int = 0) -> str:
    low, high = wilson(part, whole)
    return f"{100 * part / whole:.{digits}f} ({100 * low:.{digits}f}–{100 * high:.{digits}f})"


def _target(what: str, wanted: str, part: int, whole: int, least: float, most: float) -> list[str]:
    return [
        what,
        wanted,
        f"{_share(part, whole, 1)} of {whole:,}",
        "yes" if least <= part / whole <= most else "**no**",
    ]


def _table(head: list[str], rows: list[list[str]]) -> str:
    return "\n".join("| " + " | ".join(line) + " |" for line in [head, ["---"] * len(head), *rows])
