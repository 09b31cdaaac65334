"""Cases for a session, drawn reproducibly: calls that hold, that do not, that could not be judged, near a limit."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.labels import is_known
from dashboard.measures import lumber
from dashboard.measures.catalog import criteria, measures
from dashboard.measures.limits import compared_with
from dashboard.measures.patterns import recorded_kinds
from dashboard.warehouse import Snapshot

WRONG, RIGHT, OPEN, NEAR = "does_not_hold", "holds", "could_not_be_judged", "near_a_limit"
#: The groups in the order in which they take turns: what is rarest first.
GROUPS = (NEAR, WRONG, OPEN, RIGHT)
#: As near as this share of it, or as a tape's smallest step where that is more, a measure is near its limit.
NEAR_SHARE, NEAR_STEP = 0.1, 1 / 16
#: So many cases of an inspector and an outcome are looked at: more than a pack holds.
_LOOKED_AT = 100
_GROUP_OF = {"overcalled": WRONG, "missed": WRONG, "understated": WRONG, "undecided": OPEN}
COLUMNS = ("item_id", "observation_id", "group", "inspector_id", "call", "verdict", "outcome", "known_verdict")


def draw_cases(
    snapshot: Snapshot, topic: str, kind: str | None = None, count: int = 12, filters: Filters = EVERYTHING
) -> pd.DataFrame:
    """Cases of a topic, so many of each group and of each inspector as there are enough of.

    The groups take turns. Each time that case is taken whose deck, then whose inspector, stands least in the pack, then
    defects and sound work in equal numbers, then the kinds and sentences that stand in it least; among equals the lot
    decides, which hangs on the snapshot and the topic alone. So the same snapshot gives the same cases.

    Parameters
    ----------
    topic
        A topic's id.
    kind
        One kind of call of the topic, by its ``pattern_id``; None for all.
    count
        How many cases, if there are so many.

    Returns
    -------
    DataFrame
        One row a case, in the order of their codes, which tells nothing of them.

        - item_id: a code from which the snapshot, but no reader, knows the case
        - observation_id, inspector_id, call, verdict, outcome
        - group: ``holds`` (or no issue), ``does_not_hold`` (overcalled, missed, understated), ``could_not_be_judged``,
          or ``near_a_limit`` (a measure within 10 percent, or a sixteenth, of a limit of the rule that decided)
        - known_verdict: the verdict where it is defect or acceptable; None where it could not be judged

    Raises
    ------
    UnknownPattern
        Nothing in the snapshot has this kind.
    """
    parameters = filters.parameters() | ({"topics": None} if not filters.topics or topic in filters.topics else {})
    found = snapshot.query(
        "pack_cases",
        **parameters,
        topic=topic,
        kinds=recorded_kinds(snapshot, kind) if kind else None,
        seed=f"{snapshot.info.snapshot} {topic}",
        most=_LOOKED_AT,
    )
    rows = _drawn(_candidates(snapshot, topic, found), count)
    table = pd.DataFrame(rows, columns=list(COLUMNS)).sort_values("item_id", ignore_index=True)
    return table.astype(dict.fromkeys(COLUMNS[:-1], "str"))


def _candidates(snapshot: Snapshot, topic: str, found: pd.DataFrame) -> dict[str, list[dict[str, Any]]]:
    """The cases of each group. One near a limit is in its other group too, until it is drawn."""
    rules: dict[str, Any] = {rule["criterion_id"]: rule for rule in criteria(snapshot, topic).to_dict("records")}
    known = [name for name in measures(snapshot)["measure"] if name in found]
    something = found[known].notna().any(axis=1) | found["comment"].notna()
    groups: dict[str, list[dict[str, Any]]] = {group: [] for group in GROUPS}
    for row in found[something].to_dict("records"):
        case: dict[str, Any] = {str(name): value if is_known(value) else None for name, value in row.items()}
        case["known_verdict"] = case["verdict"] if case["outcome"] != "undecided" else None
        groups[_GROUP_OF.get(case["outcome"], RIGHT)].append(case)
        if case["known_verdict"] and _is_near(case, rules.get(str(case["criterion_id"])), set(known)):
            groups[NEAR].append(case)
    return groups


def _is_near(case: Mapping[str, Any], rule: Mapping[str, Any] | None, named: set[str]) -> bool:
    """Whether a measure lies near a number that its rule compares it with; a hanger's height, near its share."""
    if rule is None:
        return False
    numbers = [
        (float(case[name]), at)
        for name in case.keys() & named
        if isinstance(case[name], int | float | Decimal)
        for at in compared_with(rule, name)
    ]
    return any(abs(value - at) <= max(NEAR_SHARE * at, NEAR_STEP) for value, at in [*numbers, *_of_hanger(case, rule)])


def _of_hanger(case: Mapping[str, Any], rule: Mapping[str, Any]) -> list[tuple[float, float]]:
    """A hanger's height and the height that its joist needs, where the rule is about it."""
    height, depth = case.get("hanger_height_in"), case.get("joist_depth_in")
    depth = lumber.DEPTH_IN.get(str(case.get("joist_nominal"))) if depth is None else float(depth)
    if height is None or depth is None or "hanger_height_in" not in rule["needs"]:
        return []
    return [(float(height), lumber.LEAST_SHARE * depth)]


def _drawn(groups: dict[str, list[dict[str, Any]]], count: int) -> list[dict[str, Any]]:
    drawn: list[dict[str, Any]] = []
    taken: set[str] = set()
    seen: Counter[tuple[str, Any]] = Counter()

    def standing(case: dict[str, Any], group: str) -> tuple[Any, ...]:
        """How often what a case has stands in the pack already, what matters most first; the lot is last."""
        return (*(seen[mark] for mark in _marks(case, group)), case["draw"])

    while len(drawn) < count and any(groups.values()):
        for group in GROUPS:
            groups[group] = [case for case in groups[group] if case["observation_id"] not in taken]
            if not groups[group] or len(drawn) == count:
                continue
            case = min(groups[group], key=lambda case: standing(case, group))
            drawn.append(case | {"group": group})
            taken.add(case["observation_id"])
            seen.update(_marks(case, group))
    return drawn


def _marks(case: dict[str, Any], group: str) -> list[tuple[str, Any]]:
    return [
        ("deck", case["deck_id"]),
        ("inspector", case["inspector_id"]),
        ("verdict", (group, case["verdict"])),
        ("recorded", case["recorded"]),
        ("comment", case["comment"]),
    ]
