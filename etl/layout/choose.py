"""Which foreign column is which of the contract: by its label, by what it holds, or not at all."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from decimal import Decimal

from etl import contract, vocabulary
from etl.layout import written
from etl.layout.aliases import (
    Likeness,
    column_like,
    column_within,
    is_private,
    like,
    severity,
    unit_of,
    without_unit,
    word_like,
)
from etl.layout.found import Shape
from etl.layout.profile import Profile
from etl.layout.spelling import bag, catalog, normal, of_ids, rough
from etl.layout.tables import plain

#: What a wide column says of its topic, by the last words of its label.
_FIELDS = {
    "call": "call status result rating ok condition call pass fail grade outcome finding assessment",
    "comment": "comment note notes comments remarks remark text description details narrative memo",
    "place": "location where place position",
    "photo_count": "photos photo pictures",
    "consequence": "severity priority",
    "recommendation": "recommendation advice repair",
    "not_seen_reason": "limitation reason",
    "checked": "checked total",
    "affected": "affected defective failed",
}
#: A list of codes with more is a table of its own.
MOST_CODES = 400
_FIELD_OF = {word: name for name, words in _FIELDS.items() for word in words.split()}


@dataclass
class Choice:
    """A foreign column that was chosen for one of the contract.

    Attributes
    ----------
    table
        The joined table that it stands in; None in the rows.
    sure
        Whether its label says so; else a person has to confirm it, and ``why`` says what spoke for it.
    """

    label: str
    profile: Profile
    table: str | None = None
    sure: bool = True
    why: str = ""
    #: Columns of other files that hold the same where this one is not there.
    else_from: list[str] = field(default_factory=list)
    optional: bool = False
    #: What the codes of the column mean, by a list of codes that stands in another table.
    codes: dict[str, str] = field(default_factory=dict)
    #: It is taken only where another column holds one of these words.
    only: dict[str, list[str]] = field(default_factory=dict)


@dataclass
class Block:
    """What was chosen for one observation of a wide row; its topic is None where a column of its own says it."""

    topic: str | None
    columns: dict[str, Choice] = field(default_factory=dict)
    sure: bool = True


@dataclass
class Chosen:
    """What was chosen of the columns of a table and of those that are joined to it."""

    columns: dict[str, Choice] = field(default_factory=dict)
    wide: list[Block] = field(default_factory=list)
    private: list[tuple[str, str]] = field(default_factory=list)
    unused: list[str] = field(default_factory=list)
    unit_of: dict[str, str] = field(default_factory=dict)
    #: Of columns that come again with a number: what was chosen of all its numbers together.
    grouped: dict[str, Choice] = field(default_factory=dict)


def parts_of(label: str) -> list[str]:
    """The ways to read a label: the whole; of a path or a band the last parts, ``a.b[gap].value`` as gap."""
    label = re.sub(r"\.(?:value|val|amount|reading)$", "", label, flags=re.I)
    pieces = [piece for piece in re.split(r"[.\[\]]+(?=\S)|[\[\]]| [/:–|-] |: ", label) if piece]
    ways = [label, *([" ".join(pieces[-2:]), pieces[-1]] if len(pieces) > 1 else [])]
    return list(dict.fromkeys(ways))


def named(label: str) -> Likeness | None:
    """The column that a label names in one of these ways, one that is sure before one that is like it."""
    found = [name for way in parts_of(label) if (name := column_like(way))]
    return next((name for name in found if name.sure), found[0] if found else None)


def choose(main: Shape, joined: list[Shape]) -> Chosen:
    """Choose a foreign column for each of the contract where one speaks for itself."""
    result = Chosen()
    profiles = [
        (shape, None if shape is main else shape.name, shape.profile(label))
        for shape in (main, *joined)
        for label in shape.labels
    ]
    keys = {label for shape in joined for label in (*shape.join, *shape.join.values())}
    left: list[tuple[str | None, Profile]] = []
    for shape, table, profile in profiles:
        why = _why_private(profile)
        if why:
            result.private.append((profile.label, why))
        elif not (table and profile.label in shape.join):
            left.append((table, profile))
    lists = _code_lists(joined)
    groups = groups_of(main, left)
    grouped = {label for group in groups.values() for label in group.values()}
    in_groups = [each for each in left if each[0] is None and each[1].label in grouped]
    left = [each for each in left if each not in in_groups]
    _by_label(result, left, keys)
    _by_content(result, left, keys)
    for name in ("topic", "call"):
        if (choice := result.columns.get(name)) and choice.label in lists:
            choice.codes = lists[choice.label]
    _consequence_of_call(result)
    _people_of_the_firm(result, left)
    _alternatives(result, left, main)
    _by_item(result, left)
    if groups:
        _take_groups(result, groups, main)
        left += in_groups
    elif _is_wide(result, left):
        _widen(result, left)
    choices = [*result.columns.values(), *(choice for block in result.wide for choice in block.columns.values())]
    taken = {label for choice in choices for label in (choice.label, *choice.else_from)}
    for choice in choices:
        choice.optional = choice.table is None and main.lacks(choice.label)
    _units(result, left, taken)
    for _, profile in left:
        private = {label for label, _ in result.private}
        if profile.label not in {*taken, *private, *result.unit_of.values()}:
            result.unused.append(profile.label)
    return result


def _code_lists(joined: list[Shape]) -> dict[str, dict[str, str]]:
    """What codes mean, by the label of the column that holds them: of small tables with a key and one text."""
    found: dict[str, dict[str, str]] = {}
    for shape in joined:
        texts = [label for label in shape.labels if label not in shape.join and shape.profile(label).length > 3]
        if len(shape.join) == 1 and len(texts) == 1 and shape.n_rows <= MOST_CODES:
            (own, theirs), told = next(iter(shape.join.items())), shape.cells(texts[0])
            codes = zip(shape.cells(own), told, strict=True)
            found[theirs] = {plain(code): text for code, text in codes if code is not None and text is not None}
    return found


def _why_private(profile: Profile) -> str:
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


# ---- by label ------------------------------------------------------------------------------------------------------


#: Sizes are no words, and the calls are asked for by themselves.
_ASKED_ANYWAY = ("call", "post_nominal")


def _by_label(result: Chosen, left: list[tuple[str | None, Profile]], keys: set[str]) -> None:
    """The columns whose labels name them and whose cells do not contradict; the better name, and the rows, first."""
    offers: list[tuple[int, str, Choice]] = []
    for place, (table, profile) in enumerate(left):
        found = named(profile.label)
        if found is None:
            continue
        level = contract.columns()[found.meant].level
        if not profile.fits(found.meant) or (table is not None and level == "observation"):
            continue
        why = "" if found.sure else f"'{profile.label}' is like it"
        if found.sure and contract.columns()[found.meant].rule.kind == "choice" and found.meant not in _ASKED_ANYWAY:
            why = "" if not profile.counts or profile.known_as(found.meant) >= 0.2 else "hardly a word of it is known"
        rank = 1000 * _rank(profile, found, profile.label in keys) - place
        offers.append((rank, found.meant, Choice(profile.label, profile, table, found.sure and not why, why)))
    for _, name, choice in sorted(offers, key=lambda offer: -offer[0]):
        if name not in result.columns and choice.label not in {taken.label for taken in result.columns.values()}:
            result.columns[name] = choice
            _doubt(choice, [other for _, meant, other in offers if meant == name])


def _rank(profile: Profile, found: Likeness, is_key: bool) -> int:
    """How much speaks for a column that a label names: that it is sure, the very name, filled, and no mere key."""
    exact = normal(without_unit(profile.label)) == normal(found.meant)
    is_code = found.meant == "inspector_id" and profile.people > 0.5
    same_everywhere = len(profile.counts) == 1 and profile.n_filled > 5
    against = 60 * ((is_key and found.meant != "report_id") or is_code) + 30 * same_everywhere
    return 100 * found.sure + 50 * exact + 10 * bool(profile.counts) + _speaks(profile, found.meant) - against


def _doubt(choice: Choice, offers: list[Choice]) -> None:
    """A column is asked for where another label names it as surely and holds something else."""
    if not choice.sure or choice.label.casefold().endswith(("name", "nm")):
        return
    own = choice.profile.counts
    for other in offers:
        is_other = other.label != choice.label and other.table == choice.table and other.profile.counts
        if is_other and other.sure and other.profile.counts != own and not _is_id_of(other.label, choice.label):
            choice.sure, choice.why = False, f"'{other.label}' is called like it too"
            return


def _is_id_of(label: str, other: str) -> bool:
    """Whether a label is another one's with a word for codes, or the other way round: ``area_id`` of ``area``."""
    return bag(label, of_ids()) == bag(other, of_ids())


def _speaks(profile: Profile, name: str) -> int:
    """How much the cells speak for a column, 0 to 9: of two labels for one column the better filled is taken."""
    if name in ("topic", "call"):
        return int(9 * profile.known_as(name))
    return int(9 * profile.n_filled / profile.n_rows) if profile.n_rows else 0


# ---- by content ----------------------------------------------------------------------------------------------------


#: Columns that are found by their words where no label names them: lists that share few words with others.
_BY_WORDS = (
    *("not_seen_reason", "deck_built_basis", "consequence", "ledger_over", "ledger_fastener", "fastener_kind"),
    *("beam_support", "footing_kind", "post_base", "decking", "guard_post_fixing", "joist_support"),
)


def _by_content(result: Chosen, left: list[tuple[str | None, Profile]], keys: set[str]) -> None:
    """What no label names, found by what stands there; each to be confirmed."""
    said = result.columns.get("comment")
    if "call" not in result.columns and said and len(said.profile.counts) <= 30 and said.profile.known_as("call") > 0.3:
        why = f"its cells are words for calls, though '{said.label}' is called like a comment"
        result.columns["call"] = Choice(said.label, said.profile, said.table, False, why)
        del result.columns["comment"]
        _by_label(result, [each for each in left if each[1].label != said.label], keys)
    taken = {choice.label for choice in result.columns.values()}
    free = [(table, profile) for table, profile in left if profile.label not in taken]

    def take(name: str, score: dict[str, float], least: float, why: str) -> None:
        best = max(free, key=lambda each: score[each[1].label], default=None)
        if best and name not in result.columns and score[best[1].label] >= least:
            result.columns[name] = Choice(best[1].label, best[1], best[0], False, why)
            free.remove(best)

    take("inspected_on", {p.label: p.dates + _says_visit(p.label) for _, p in free}, 0.7, "its cells are dates")
    for name, what in (("topic", "topics"), ("call", "calls")):
        here = result.columns.get(name)
        scores = {p.label: 0.0 if t else p.known_as(name) for t, p in free}
        if here is not None and here.profile.known_as(name) < 0.2 and max(scores.values(), default=0) > 0.5:
            free.append((here.table, here.profile))
            del result.columns[name]
            scores[here.label] = 0.0
        take(name, scores, 0.5, f"its cells are words for {what}")
    for name in _BY_WORDS:
        words = {p.label: p.known_as(name) if 2 <= len(p.counts) <= 15 else 0.0 for _, p in free}
        take(name, words, 0.6, "its cells are words for it")
    if "comment" not in result.columns:
        long = {
            p.label: p.length if not t and p.length > 25 and len(p.counts) > 0.3 * p.n_filled else 0.0 for t, p in free
        }
        take("comment", long, 25, "its cells are sentences")
    _within(result, free)
    _by_size(result, free)
    _by_repeating(result, free)


def _by_size(result: Chosen, free: list[tuple[str | None, Profile]]) -> None:
    """Lengths whose labels name but a part, ``Rail (cm)``: the one length of that part which is usual at this size."""
    lengths = {name: column for name in catalog()["typical"] if (column := contract.columns()[name])}
    for table, profile in list(free):
        unit = unit_of(profile.label)
        words = {*rough(bag(without_unit(parts_of(profile.label)[-1])))}
        if unit is None or profile.numbers < 0.7:
            continue
        found = [
            name
            for name, column in lengths.items()
            if words & ({*rough(bag(name.removesuffix("_in")))} - _DIRECTIONS)
            and (table is None or column.level != "observation")
            and is_typical(profile, name, unit)
        ]
        if len(found) == 1 and found[0] not in result.columns:
            why = f"of what '{profile.label}' could be, only this is usual at that size"
            result.columns[found[0]] = Choice(profile.label, profile, table, False, why)
            free.remove((table, profile))


#: Words that name no part of a deck.
_DIRECTIONS = frozenset(["height", "depth", "length", "opening", "maximum", "minimum", "spacing", "gap", "above"])


def _says_visit(label: str) -> float:
    """How much a label of dates speaks for the day of a visit, and against."""
    words = set(normal(label).split())
    if words & set(catalog()["not_a_visit"]["words"]):
        return -0.25
    return 0.2 * bool(words & {"date", "day", "visit", "visited", "inspection", "inspected", "went"})


def _consequence_of_call(result: Chosen) -> None:
    """The consequence that words for calls name beside the call: ``fault, minor`` and ``fault, urgent``."""
    call = result.columns.get("call")
    if call is None or "consequence" in result.columns:
        return
    words = [call.codes.get(plain(word), word) for word, _ in call.profile.words]
    found = {severity(word) for word in words if (meant := word_like(word, "call")) and meant.meant == "written_up"}
    if len(found - {None}) >= 2:
        why = "its words for calls name how bad it is"
        result.columns["consequence"] = Choice(call.label, call.profile, call.table, False, why, codes=call.codes)


def _within(result: Chosen, free: list[tuple[str | None, Profile]]) -> None:
    """Columns whose longer labels hold an alias of two words or more."""
    for table, profile in list(free):
        name = column_within(profile.label)
        level = contract.columns()[name].level if name else ""
        if name is None or name in result.columns or (table is not None and level == "observation"):
            continue
        if profile.counts and profile.fits(name):
            why = f"'{profile.label}' has its words in it"
            result.columns[name] = Choice(profile.label, profile, table, False, why)
            free.remove((table, profile))


def _by_repeating(result: Chosen, free: list[tuple[str | None, Profile]]) -> None:
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


def _people_of_the_firm(result: Chosen, left: list[tuple[str | None, Profile]]) -> None:
    """Names of people that nothing was chosen for are private as well: a code stands beside an inspector's name."""
    taken = {choice.label for choice in result.columns.values()}
    for _, profile in left:
        if profile.label not in taken and profile.people > 0.8 and not _speaks_of_decks(profile):
            is_named = bag(profile.label)[-1:] == ("name",) or "name" in bag(profile.label)
            if is_named or len(profile.counts) > 5:
                result.private.append((profile.label, "its cells look like names of people"))


def _alternatives(result: Chosen, left: list[tuple[str | None, Profile]], main: Shape) -> None:
    """Columns that bear another label in some files: named alike or of the same kind, and never side by side."""
    taken = {choice.label for choice in result.columns.values()}
    for name, choice in result.columns.items():
        if choice.table is not None or not main.lacks(choice.label):
            continue
        for table, profile in left:
            if table is not None or profile.label in taken or not profile.fits(name):
                continue
            called = named(profile.label)
            is_named = called is not None and called.meant == name
            beside = any(each.column(choice.label) and each.column(profile.label) for each in main.tables)
            in_place = main.header is not None and main.place_of(profile.label) == main.place_of(choice.label)
            if not beside and (is_named or in_place or (name == "inspected_on" and profile.dates > 0.9)):
                choice.else_from.append(profile.label)
                taken.add(profile.label)
                choice.sure = False
                choice.why = choice.why or "other files call it otherwise"


# ---- groups of columns that are numbered, and columns of measurements ---------------------------------------------


def groups_of(main: Shape, left: list[tuple[str | None, Profile]]) -> dict[str, dict[int, str]]:
    """Labels that come again with a number, ``Item 1``, ``Item 2``: by what they share, each with its numbers.

    Two labels at least come again with the same numbers, from 1 on, and one of them names a topic, a call or a comment.
    """
    found: dict[str, dict[int, str]] = {}
    for table, profile in left:
        match = re.fullmatch(r"(\D*?)[ _#.-]*(\d{1,2})[ _:.-]*(\D*)", profile.label)
        if match and table is None and (stem := f"{match[1]} {match[3]}".strip()):
            found.setdefault(stem, {}).setdefault(int(match[2]), profile.label)
    sizes = Counter(frozenset(numbers) for numbers in found.values() if 1 in numbers and 2 in numbers)
    if not sizes or sizes.most_common(1)[0][1] < 2:
        return {}
    common = sizes.most_common(1)[0][0]
    groups = {stem: numbers for stem, numbers in found.items() if frozenset(numbers) == common}
    names = {name.meant for stem in groups if (name := named(stem))}
    return groups if names & {"topic", "call", "comment"} else {}


def _take_groups(result: Chosen, groups: dict[str, dict[int, str]], main: Shape) -> None:
    """An observation for each number: what a group's columns are is found of all its numbers together."""
    numbers = sorted(next(iter(groups.values())))
    together = Chosen()
    profiles: list[tuple[str | None, Profile]] = [
        (None, Profile.of(stem, [cell for number in numbers for cell in main.cells(labels[number])]))
        for stem, labels in groups.items()
    ]
    _by_label(together, profiles, set())
    _by_content(together, profiles, set())
    _by_item(together, profiles)
    _consequence_of_call(together)
    result.grouped = together.columns
    for name in together.columns:
        result.columns.pop(name, None)
    for number in numbers:
        block = Block(None)
        for name, choice in together.columns.items():
            label = groups[choice.label][number]
            only = {groups[stem][number]: words for stem, words in choice.only.items()}
            # What is usual for a measurement is seen of all numbers together.
            own = choice.profile if only else Profile.of(label, main.cells(label))
            block.columns[name] = Choice(label, own, None, choice.sure, choice.why, only=only)
        result.wide.append(block)


def _by_item(result: Chosen, left: list[tuple[str | None, Profile]]) -> None:
    """A column of measurements that are one thing or another by the item beside them."""
    topic = result.columns.get("topic")
    taken = {choice.label for choice in result.columns.values()}
    labels = {bag(label) for label in catalog()["by_item"]["labels"]}
    for table, profile in left:
        free = profile.label not in taken and table is None and profile.numbers > 0.6
        if topic is None or topic.table or not free or bag(without_unit(profile.label)) not in labels:
            continue
        found: dict[str, list[str]] = {}
        for word, _ in topic.profile.words:
            meant = word_like(topic.codes.get(plain(word), word), "topic")
            own = _beside(profile, topic.profile, word)
            if meant and own.counts and (name := _measure_of(meant.meant, own)):
                found.setdefault(name, []).append(word)
        for name, words in found.items():
            if name not in result.columns:
                own = _beside(profile, topic.profile, *words)
                why = f"'{profile.label}' would be one thing or another by {topic.label}"
                result.columns[name] = Choice(profile.label, own, None, False, why, only={topic.label: words})
        return


def _beside(profile: Profile, other: Profile, *words: str) -> Profile:
    """A column's cells in the rows in which another column holds one of these words."""
    cells = [cell for cell, word in zip(profile.cells, other.cells, strict=True) if word in words]
    return Profile.of(profile.label, cells)


def _measure_of(topic: str, profile: Profile) -> str | None:
    """The one measure of a topic that numbers can be; of several that which is usual at that size."""
    rules = {name: contract.columns()[name].rule for name, home in catalog()["home"].items() if home == topic}
    names = [name for name, rule in rules.items() if rule.kind == "number" and rule.unit == "in"]
    if len(names) > 1:
        names = [name for name in names if is_typical(profile, name, "in")]
    return names[0] if len(names) == 1 and len(rules) <= 3 else None


def is_typical(profile: Profile, name: str, unit: str) -> bool:
    """Whether the middle one of the bare numbers is usual for a length, were they in a unit."""
    limits = catalog()["typical"].get(name)
    numbers = sorted(
        Decimal(told)
        for word, count in profile.words
        if written.own_unit(word) is None
        and (told := written.quantity(word, unit, ".", "in") or written.quantity(word, unit, ",", "in"))
        for _ in range(count)
    )
    return bool(limits and numbers) and Decimal(limits[0]) <= numbers[len(numbers) // 2] <= Decimal(limits[1])


# ---- wide ----------------------------------------------------------------------------------------------------------


def _is_wide(result: Chosen, left: list[tuple[str | None, Profile]]) -> bool:
    """Whether each row holds several observations: no column says the topic, and several labels name one."""
    # Columns of measures stand in long tables as well: a wide one says calls.
    found = [each for table, profile in left if table is None and (each := _of_topic(profile))]
    topics = {topic for topic, name, _ in found if name == "call"}
    calls = [profile for table, profile in left if table is None and (each := _of_topic(profile)) and each[1] == "call"]
    if not calls or not _side_by_side(calls):
        return False
    here = result.columns.get("topic")
    if here is not None and here.profile.known_as("topic") > 0.2:
        return not here.sure and len(topics) >= 4
    return len(topics) >= 2


def _side_by_side(profiles: list[Profile]) -> bool:
    """Whether most rows that fill one of these columns fill another too: a long table has one thing a row."""
    filled = [sum(cell is not None for cell in row) for row in zip(*(each.cells for each in profiles), strict=True)]
    return sum(count > 1 for count in filled) >= 0.5 * sum(count > 0 for count in filled)


def _of_topic(profile: Profile) -> tuple[str, str, bool] | None:
    """The topic and the column of an observation that a wide label stands for, and whether both are sure."""
    label = profile.label
    pieces = [piece for piece in re.split(r"\.(?=\S)| [/:–|-] |: ", label) if piece]
    if len(pieces) > 1:
        field_name = _field(pieces[-1], profile)
        for piece in reversed(pieces[:-1]):
            if (topic := like(re.sub(r"[_\[\]]", " ", piece), "topics")) and field_name:
                return topic.meant, field_name, topic.sure
    measure = named(label)
    is_measure = measure is not None and measure.meant in vocabulary.measures() and profile.fits(measure.meant)
    if measure and is_measure and profile.numbers + profile.sizes > 0.5:
        home = catalog()["home"].get(measure.meant)
        return (home, measure.meant, measure.sure) if home else None
    words = normal(label).split()
    whole = like(label, "topics")
    if whole and whole.sure and (field_name := _field("", profile)):
        return whole.meant, field_name, True
    for size in (2, 1):
        topic = like(" ".join(words[:-size]), "topics") if size < len(words) else None
        if topic and (field_name := _field(" ".join(words[-size:]), profile)):
            return topic.meant, field_name, topic.sure
    if whole and (field_name := _field("", profile)):
        return whole.meant, field_name, False
    few = 2 <= len(profile.counts) <= 8 and profile.numbers < 0.5
    if len(words) >= 3 and few and (topic := word_like(label, "topic")):
        return topic.meant, "call", False
    if len(words) >= 3 and (name := column_within(label)) and profile.fits(name) and profile.numbers > 0.5:
        home = catalog()["home"].get(name)
        return (home, name, False) if home else None
    if measure and is_measure:
        home = catalog()["home"].get(measure.meant)
        return (home, measure.meant, measure.sure) if home else None
    return None


def _field(text: str, profile: Profile) -> str | None:
    """What of an observation a label's last words name; with none, what the cells are: a call or a sentence."""
    words = normal(text).split()
    if words and (name := _FIELD_OF.get(words[-1])):
        return name
    if words:
        measure = column_like(text)
        return (
            measure.meant
            if measure and profile.fits(measure.meant) and measure.meant in vocabulary.measures()
            else None
        )
    if profile.known_as("call") > 0.3:
        return "call"
    if profile.length > 25:
        return "comment"
    return "call" if profile.counts and len(profile.counts) <= 12 and profile.numbers < 0.5 else None


def _widen(result: Chosen, left: list[tuple[str | None, Profile]]) -> None:
    """Take the columns that name topics out of the others, an observation for each topic."""
    blocks: dict[str, Block] = {}
    for table, profile in left:
        found = _of_topic(profile) if table is None else None
        if found is None:
            continue
        topic, name, sure = found
        block = blocks.setdefault(topic, Block(topic))
        if name in block.columns:
            continue
        block.sure = block.sure and sure
        block.columns[name] = Choice(profile.label, profile)
        result.columns = {key: choice for key, choice in result.columns.items() if choice.label != profile.label}
    for name in ("topic", "call"):
        result.columns.pop(name, None)
    result.wide = _with_calls(list(blocks.values()))


def _with_calls(blocks: list[Block]) -> list[Block]:
    """Measures of a topic without a call go to the one before them that has a call and is of the same thing."""
    found: list[Block] = []
    for block in blocks:
        same = [
            other
            for other in found
            if other.topic and block.topic and other.topic.split("_")[0] == block.topic.split("_")[0]
        ]
        if "call" not in block.columns and same and not set(block.columns) & set(same[-1].columns):
            same[-1].columns |= block.columns
            same[-1].sure = False
        else:
            found.append(block)
    return found


# ---- units ---------------------------------------------------------------------------------------------------------


def _units(result: Chosen, left: list[tuple[str | None, Profile]], taken: set[str]) -> None:
    """Which column says the unit of another: ``Gap unit`` of ``Gap``, ``gap.unit`` of ``gap.value``, ``Unit``."""
    labels = [profile.label for table, profile in left if table is None]
    for place, label in enumerate(labels):
        last = normal(re.split(r"[.\]]| / ", label)[-1]).split()
        if not last or last[-1] not in ("unit", "units", "uom"):
            continue
        stem = normal(label).removesuffix(last[-1]).strip()
        named_by = [
            other
            for other in labels
            if other in taken and stem and normal(parts_of(other)[0]) in (stem, f"{stem} value")
        ]
        before = [labels[place - 1]] if place and labels[place - 1] in taken and not stem else []
        for other in (named_by or before)[:1]:
            result.unit_of[other] = label
