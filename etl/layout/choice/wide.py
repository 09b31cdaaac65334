"""Wide rows: columns whose labels name a topic, an observation for each topic."""

from __future__ import annotations

import re

from etl import vocabulary
from etl.layout.aliases import column_like, column_within, like, word_like
from etl.layout.choice.chosen import Block, Choice, Chosen, Foreign
from etl.layout.choice.labels import named
from etl.layout.profile import Profile
from etl.layout.spelling import catalog, normal

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
_FIELD_OF = {word: name for name, words in _FIELDS.items() for word in words.split()}


def is_wide(result: Chosen, left: list[Foreign]) -> bool:
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


def widen(result: Chosen, left: list[Foreign]) -> None:
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
