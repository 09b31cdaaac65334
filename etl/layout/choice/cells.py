"""Which foreign column is which of the contract by what stands in it, where no label names it."""

from __future__ import annotations

from etl import contract
from etl.layout.aliases import column_within, severity, word_like
from etl.layout.choice.chosen import Choice, Chosen, Foreign
from etl.layout.choice.labels import by_label
from etl.layout.choice.measures import by_size
from etl.layout.choice.repeating import by_repeating
from etl.layout.spelling import catalog, normal
from etl.layout.tables import plain

#: Columns that are found by their words where no label names them: lists that share few words with others.
_BY_WORDS = (
    *("not_seen_reason", "deck_built_basis", "consequence", "ledger_over", "ledger_fastener", "fastener_kind"),
    *("beam_support", "footing_kind", "post_base", "decking", "guard_post_fixing", "joist_support"),
)


def by_cells(result: Chosen, left: list[Foreign], keys: set[str]) -> None:
    """What no label names, found by what stands there; each to be confirmed."""
    _call_for_comment(result, left, keys)
    taken = {choice.label for choice in result.columns.values()}
    free = [(table, profile) for table, profile in left if profile.label not in taken]
    days = {p.label: p.dates + _says_visit(p.label) for _, p in free}
    _take(result, free, "inspected_on", days, 0.7, "its cells are dates")
    _by_words(result, free)
    if "comment" not in result.columns:
        long = {
            p.label: p.length if not t and p.length > 25 and len(p.counts) > 0.3 * p.n_filled else 0.0 for t, p in free
        }
        _take(result, free, "comment", long, 25, "its cells are sentences")
    _within(result, free)
    by_size(result, free)
    by_repeating(result, free)


def _call_for_comment(result: Chosen, left: list[Foreign], keys: set[str]) -> None:
    """Take the column that is called like a comment for the call where its cells are words for calls."""
    said = result.columns.get("comment")
    if "call" not in result.columns and said and len(said.profile.counts) <= 30 and said.profile.known_as("call") > 0.3:
        why = f"its cells are words for calls, though '{said.label}' is called like a comment"
        result.columns["call"] = Choice(said.label, said.profile, said.table, False, why)
        del result.columns["comment"]
        by_label(result, [each for each in left if each[1].label != said.label], keys)


def _take(result: Chosen, free: list[Foreign], name: str, score: dict[str, float], least: float, why: str) -> None:
    """Take the free column with the highest score, by its label, where that is not below the least."""
    best = max(free, key=lambda each: score[each[1].label], default=None)
    if best and name not in result.columns and score[best[1].label] >= least:
        result.columns[name] = Choice(best[1].label, best[1], best[0], False, why)
        free.remove(best)


def _by_words(result: Chosen, free: list[Foreign]) -> None:
    """Columns whose words are known: topics and calls, even against a label, and lists that share few words."""
    for name, what in (("topic", "topics"), ("call", "calls")):
        here = result.columns.get(name)
        scores = {p.label: 0.0 if t else p.known_as(name) for t, p in free}
        if here is not None and here.profile.known_as(name) < 0.2 and max(scores.values(), default=0) > 0.5:
            free.append((here.table, here.profile))
            del result.columns[name]
            scores[here.label] = 0.0
        _take(result, free, name, scores, 0.5, f"its cells are words for {what}")
    for name in _BY_WORDS:
        words = {p.label: p.known_as(name) if 2 <= len(p.counts) <= 15 else 0.0 for _, p in free}
        _take(result, free, name, words, 0.6, "its cells are words for it")


def _says_visit(label: str) -> float:
    """How much a label of dates speaks for the day of a visit, and against."""
    words = set(normal(label).split())
    if words & set(catalog()["not_a_visit"]["words"]):
        return -0.25
    return 0.2 * bool(words & {"date", "day", "visit", "visited", "inspection", "inspected", "went"})


def consequence_of_call(result: Chosen) -> None:
    """The consequence that words for calls name beside the call: ``fault, minor`` and ``fault, urgent``."""
    call = result.columns.get("call")
    if call is None or "consequence" in result.columns:
        return
    words = [call.codes.get(plain(word), word) for word, _ in call.profile.words]
    found = {severity(word) for word in words if (meant := word_like(word, "call")) and meant.meant == "written_up"}
    if len(found - {None}) >= 2:
        why = "its words for calls name how bad it is"
        result.columns["consequence"] = Choice(call.label, call.profile, call.table, False, why, codes=call.codes)


def _within(result: Chosen, free: list[Foreign]) -> None:
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
