"""The cases behind a mark, and one of them in full: what was said, what was measured, what the rule says, and why."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pandas as pd
import streamlit as st

from dashboard import address, controls, labels, state, store
from dashboard.charts import drawings
from dashboard.measures.cases import Case, case
from dashboard.measures.catalog import topics
from dashboard.measures.nails_left import LENGTH, MISSING, nails_left
from dashboard.measures.rows import each
from dashboard.notes import wording
from dashboard.notes.note_wording import capital
from dashboard.views import parts

#: Gives cases, at most so many (``most``, None for all) after so many (``skip``), or one of them (``only``).
Cases = Callable[..., pd.DataFrame]

#: So many cases are offered at a time; the rest stand on further pages.
PAGE = 100
_LIST_COLUMNS = {
    "inspected_on": "Day",
    "place": "Place",
    "called": "Call",
    "outcome_shown": "Outcome",
    "recorded": "Recorded",
    "reason": "Why",
    "comment": "What the report says",
    "report_id": "Report",
}


def show_cases(cases: Cases, key: str, title: str, about: str = "", within: str = "") -> None:
    """A list to choose from, page by page, and the chosen case.

    Parameters
    ----------
    cases
        Gives rows of ``measures.cases``; called with ``most``, ``skip`` and ``only``.
    key
        The session key of the choice.
    title
        What the cases are of.
    about
        One more sentence on them.
    within
        The filters in words, for tables that are saved.
    """
    skip = PAGE * (state.page(key, title) - 1)
    found = cases(most=PAGE, skip=skip)
    if found.empty:
        st.markdown("There are no such cases within these filters.")
        return
    in_all = int(found["in_all"].iloc[0])
    parts.section(labels.escape_markdown(f"{labels.plural(in_all, 'case')} of {labels.in_sentence(title)}"))
    parts.caption("A case is one place on a deck; a call may cover several." if in_all > 1 else "", about)
    shown = _which(skip, len(found), in_all)
    chosen = _open(found, cases, key, shown)
    if skip:
        # The first of a further page is no default: a link to it must name it.
        address.stands(key, chosen)
    if in_all > PAGE:
        _pages(in_all, key)
    show_case(store.measured(case, chosen))
    if in_all == 1:
        return
    with st.expander(f"{shown[0].upper()}{shown[1:]} as a table"):
        _table(found)
        parts.download("Save all of them", lambda: _plain(cases(most=None)), f"cases-{key}", f"Cases: {title}", within)


def _which(skip: int, some: int, in_all: int) -> str:
    """Which of the cases are offered: ``all 30 cases``, ``cases 101 to 200 of 2,431``."""
    if some == in_all:
        return f"all {labels.plural(in_all, 'case')}"
    return f"cases {labels.count(skip + 1)} to {labels.part_of(skip + some, in_all)}"


def _open(found: pd.DataFrame, cases: Cases, key: str, shown: str) -> str:
    """The list to choose from, and the id of the case that is open.

    A case that a link names stands last, where it is on another page.
    """
    asked = state.chosen(key)
    if asked and asked not in set(found["observation_id"]):
        found = pd.concat([found, cases(most=1, only=asked)])
    lines = {str(row.observation_id): _line(row) for row in each(found)}
    ids = list(lines)
    # Said outright: the browser would go on showing the case that was open on the page before.
    state.choose(key, asked if asked in ids else ids[0])
    opened = ids[0]
    if len(ids) > 1:
        label = f"Open a case ({shown})"
        opened = str(controls.pick(label, ids, key, lines.__getitem__, persist_state=None, width=560))
    # The first one too: with the next load another would be first, and a link must go on showing this one.
    address.stands(key, opened)
    return opened


def _pages(in_all: int, key: str) -> None:
    st.pagination(-(-in_all // PAGE), key=state.page_key(key), on_change=state.forget, args=(key,))


def _line(row: Any) -> str:
    pieces = [labels.day(row.inspected_on), labels.OUTCOMES[row.outcome]]
    pieces += [str(row.place)] if labels.is_known(row.place) else []
    return " · ".join([*pieces, str(row.observation_id)])


def _table(found: pd.DataFrame) -> None:
    table = found.assign(called=found["call"].map(labels.CALLS), outcome_shown=found["outcome"].map(labels.OUTCOMES))
    texts = [name for name in _LIST_COLUMNS if name != "inspected_on"]
    table[texts] = table[texts].fillna("")  # what was not written down is blank, not "None"
    parts.table(table, _LIST_COLUMNS)


def _plain(found: pd.DataFrame) -> pd.DataFrame:
    return found.drop(columns="in_all")


# ---- one case --------------------------------------------------------------------------------------------------------


def show_case(found: Case) -> None:
    """One observation: the verdict and why, then what was said and measured, the drawing, and the rule."""
    # A drawing explains what a rule says; a person's ruling rests on more.
    drawing = None if _is_looked_at(found) else store.drawn(drawings.drawing, found, parts.colors())
    _verdict(found)
    row = st.container(horizontal=True, gap="medium", key="case_parts")
    with row.container(key="case_said"):
        _what_was_said(found)
    # Drawing and rule share a place, beside each other where it is wide enough: neither stands alone in half a row.
    with row.container(key="case_judged"), st.grid(2 if drawing else 1, min_column_width=290, gap="large"):
        if drawing:
            with st.container():
                parts.chart(drawing, width="content")
        with st.container():
            _what_the_rule_says(found)


def _verdict(found: Case) -> None:
    """The answer: whether the call holds, and why in one sentence with its numbers."""
    outcome = str(found.facts["outcome"])
    parts.section(f"{_glyph(outcome)}{labels.OUTCOME_HEADINGS[outcome]}")
    why = _why(found)
    if why:
        st.markdown(f"**{labels.escape_markdown(capital(why))}**")
    if found.facts["written_up_elsewhere"]:
        parts.caption("The same fault is written up at another place of this deck, so no count has it as passed over.")
    elif found.facts["call"] == "not_seen" and found.facts["ruled"] in ("defect", "acceptable"):
        parts.caption("Noted as not seen, yet its measures decide: one of the two is wrong.")
    _how_much_is_left(found)


def _how_much_is_left(found: Case) -> None:
    """How much the fault matters, where it is one of a hanger's nails and can be worked out."""
    if found.facts["topic"] not in (MISSING, LENGTH) or found.facts["verdict"] != "defect":
        return
    left = store.measured(nails_left, only=str(found.facts["observation_id"]))
    for why in left["why"]:
        parts.caption(why, "Ratings of hangers come from tests; this bounds the nails only and judges no structure.")


def _why(found: Case) -> str:
    facts, topic = found.facts, _topic(found)
    if facts["outcome"] == "no_rule" and topic is not None and not topic["judged"]:
        return f"{topic['title']}: counted and compared, never judged"
    if facts["call"] == "not_seen" and not _is_looked_at(found):
        reason = facts["not_seen_reason"]
        return labels.choice(str(reason)) if reason else "no reason was recorded"
    reason = str(facts["reason"] or "")
    # The rule's source stands below, with how it is known.
    return wording.without_source(reason, found.criterion) if found.criterion else reason


def _is_looked_at(found: Case) -> bool:
    """Whether a person looked again, whose ruling then stands above the rule."""
    return found.facts["basis"] == "second_look"


def _glyph(outcome: str) -> str:
    """The outcome's mark in its color, and a blank; nothing for outcomes without a mark."""
    glyph, color = labels.GLYPHS.get(outcome, ""), labels.GLYPH_COLORS.get(outcome)
    return f":{color}[{glyph}] " if color else f"{glyph} " if glyph else ""


def _what_was_said(found: Case) -> None:
    facts: dict[str, Any] = found.facts
    pieces = [facts["observation_id"], labels.day(facts["inspected_on"]), labels.CALLS[str(facts["call"])]]
    pieces += [facts["place"]] if facts["place"] else []
    parts.caption(" · ".join(str(piece) for piece in pieces))
    if facts["comment"]:
        st.markdown(_quoted(str(facts["comment"]), found.reads))
    else:
        st.text("The report has no sentence on it.")
    if facts["recommendation"]:
        st.text(f"“{facts['recommendation']}”")
    parts.facts([*_measures(found), *_deck(facts)])
    if found.measures.empty:
        parts.caption("No measure was recorded with it.")
    if told := facts["read_from_comment"]:
        what = labels.READ_FROM_COMMENT[str(told)]
        parts.caption(f"{what} read from the comment, since the report has no column for it.")
    if len(found.reads):
        parts.caption("Shaded: what was read from the comment. A recorded measure stands above it.")


def _quoted(comment: str, reads: pd.DataFrame) -> str:
    """The comment as Markdown of exactly its characters, the words that measures were read from shaded."""
    pieces, at = ["“"], 0
    for start, end in _stretches(reads):
        pieces.append(labels.escape_markdown(comment[at:start]))
        pieces.append(f":blue-background[{labels.escape_markdown(comment[start:end])}]")
        at = end
    return "".join([*pieces, labels.escape_markdown(comment[at:]), "”"])


def _stretches(reads: pd.DataFrame) -> list[tuple[int, int]]:
    """Where the words stand that were read, those that overlap as one."""
    stretches: list[tuple[int, int]] = []
    for start, end in sorted(zip(reads["start"].astype(int), reads["end"].astype(int), strict=True)):
        if stretches and start < stretches[-1][1]:
            stretches[-1] = (stretches[-1][0], max(end, stretches[-1][1]))
        else:
            stretches.append((start, end))
    return stretches


def _measures(found: Case) -> list[tuple[str, str]]:
    """What was recorded, then what a rule would have needed and was not."""
    titles = controls.measure_titles()
    recorded = [
        (str(row["title"]), labels.on_tape(row["value"], row["unit"])) for row in found.measures.to_dict("records")
    ]
    recorded += [
        (str(row["title"]), f"{labels.on_tape(row['known'], row['unit'])}, read from the comment")
        for row in found.reads.to_dict("records")
        if not row["recorded"]
    ]
    missing: list[str] = found.facts["missing"] or []  # type: ignore[assignment]
    return recorded + [(titles.get(measure, labels.choice(measure)), labels.NO_VALUE) for measure in missing]


def _deck(facts: dict[str, Any]) -> list[tuple[str, str]]:
    rows = [(labels.SPLIT_HEADS["deck_age"], labels.group(str(facts["deck_age"])))]
    checked, affected = facts.get("checked"), facts.get("affected")
    if checked is not None and affected is not None:
        rows.append(("Affected", labels.part_of(affected, checked)))
    if facts["photo_count"] is not None:
        rows.append(("Photos", labels.count(facts["photo_count"])))
    if facts["code_basis"]:
        rows.append(("Guideline that the report names", str(facts["code_basis"])))
    return rows


def _what_the_rule_says(found: Case) -> None:
    facts, rule, topic = found.facts, found.criterion, _topic(found)
    verdict = labels.VERDICTS.get(str(facts["verdict"]), "")
    if _is_looked_at(found):
        st.markdown(labels.escape_markdown(capital(wording.second_look(facts))))
    elif verdict:
        basis = labels.BASES.get(str(facts["basis"]), "")
        st.markdown(labels.escape_markdown(f"{capital(verdict)}. {basis}".strip()))
    plain = rule["plain"] if rule else topic["plain"] if topic is not None else None
    if labels.is_known(plain):
        st.markdown(f"*In plain words:* {labels.escape_markdown(str(plain))}")
    if facts["outcome"] == "undecided" and topic is not None and labels.is_known(topic["habit"]):
        st.markdown(f"*Next time:* {labels.escape_markdown(str(topic['habit']))}")
    if rule:
        _the_rule(rule)


def _the_rule(rule: dict[str, Any]) -> None:
    """Where it is written, what not to read into it, and its limits: folded, since the verdict names the one it met."""
    parts.caption(wording.local_rule(rule))
    parts.caption(f"Source: {wording.source_in_words(rule)}.")
    parts.caption(f"Caution: {rule['caution']}" if rule["caution"] else "")
    with st.expander("The limits of this rule"):
        where = wording.applies(rule)
        rows = [*([("Applies where", where)] if where else []), *wording.limits(rule)]
        parts.explained((words, capital(told), "") for words, told in rows)
        parts.caption(wording.looked_up(rule))


def _topic(found: Case) -> pd.Series | None:
    known = store.measured(topics)
    own = known[known["topic"] == found.facts["topic"]]
    return own.iloc[0] if len(own) else None
