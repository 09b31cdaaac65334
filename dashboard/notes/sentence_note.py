"""The note on a stock sentence: how often it was written, and how many of these write-ups do not hold."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import pandas as pd

from dashboard.filters import EVERYTHING, Filters
from dashboard.measures.cases import Case, cases
from dashboard.measures.catalog import criteria
from dashboard.measures.choices import choices
from dashboard.measures.stock_sentences import stock_sentences
from dashboard.measures.summary import summary
from dashboard.notes import note_wording, pictures, sentences_wording
from dashboard.notes.compose import about_note, runs, sample_cases, told_cases, topic_with_rule
from dashboard.notes.errors import UnknownSentence, UnknownTopic
from dashboard.notes.model import Note, Picture
from dashboard.notes.names import without_names
from dashboard.warehouse import Snapshot

_MOST_DRAWN = 5


def note_on_sentence(snapshot: Snapshot, sentence_id: str, filters: Filters = EVERYTHING) -> Note:
    """The note on a stock sentence; the same snapshot gives the same note.

    Parameters
    ----------
    sentence_id
        Of the table ``stock_sentences``.

    Raises
    ------
    UnknownSentence
        None has this id, or its topic has no rule.
    """
    rows = stock_sentences(snapshot, filters)
    found = rows[rows["sentence_id"] == sentence_id]
    if found.empty:
        raise UnknownSentence(sentence_id)
    row = found.iloc[0].copy()
    try:
        about = topic_with_rule(snapshot, row["topic"])
    except UnknownTopic as error:
        raise UnknownSentence(sentence_id) from error
    within = replace(filters, topics=(row["topic"],))
    everybody = choices(snapshot)
    names = {*everybody.inspectors, *everybody.builders, *everybody.regions}
    row["text"] = without_names(row["text"], names)
    of_sentence = partial(cases, snapshot, within, topic=row["topic"], sentence=sentence_id)
    samples = sample_cases(snapshot, (of_sentence, partial(cases, snapshot, within, topic=row["topic"])), "overcalled")
    rules = criteria(snapshot, row["topic"]).to_dict("records")
    caution = str(about["caution"]) if pd.notna(about["caution"]) else ""
    return Note(
        kicker=note_wording.kicker(str(about["title"]), filters, summary(snapshot, within)),
        title=sentences_wording.note_title(row),
        answer=runs(sentences_wording.note_answer(row)),
        seen=runs(sentences_wording.note_seen(row)),
        rule=str(about["plain"]),
        source=note_wording.rule_source(rules, caution, everybody.regions),
        judged=sentences_wording.note_judged(row),
        picture=_picture(rows[rows["topic"] == row["topic"]], row, samples, names),
        **about_note(snapshot, about, within),
        **told_cases(snapshot, samples, rules),
    )


def _picture(of_topic: pd.DataFrame, row: pd.Series, samples: list[Case], names: set[str]) -> Picture | None:
    """For hanger size the joist in three hangers; else a case to scale, or the topic's sentences, this one first."""
    if row["topic"] == "hanger_size":
        return pictures.hangers()
    drawn = pictures.of_case(samples)
    if drawn:
        return drawn
    others = of_topic[(of_topic["judged"] > 0) & (of_topic["sentence_id"] != row["sentence_id"])]
    own = of_topic[(of_topic["judged"] > 0) & (of_topic["sentence_id"] == row["sentence_id"])]
    shown = pd.concat([own, others]).head(_MOST_DRAWN)
    return pictures.sentences(
        shown.assign(
            pattern_id=shown["sentence_id"],
            name=[f"“{without_names(text, names)}”" for text in shown["text"]],
            wrong=shown["overcalled"],
        )
    )
