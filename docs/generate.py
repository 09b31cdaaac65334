"""Write the pages of docs/ that tell what the code holds: data.md, commands.md, rules.md, tables.md.

python docs/generate.py
"""

from __future__ import annotations

from pathlib import Path

import click

from dashboard.cli import evenhand, layout
from dashboard.measures.tables import TABLES
from etl import contract, vocabulary
from etl.criteria.catalog import Catalog, load_catalog
from etl.criteria.models import DECIDING, Criterion
from etl.criteria.pages import KNOWN
from etl.input_tables import FURTHER

HERE = Path(__file__).parent
GENERATED = "<!-- Written by docs/generate.py; change the code, then run it again. -->\n\n"

WHAT = {
    "report_id": "the report",
    "inspected_on": "the day of the visit",
    "inspector_id": "who inspected; a code is better than a name",
    "region": "where, as the firm divides its area",
    "property_id": "a stable code of the property; never its address",
    "code_basis": "the deck construction guideline that the report is measured against, `IRC 2021`",
    "passes": "whether the report lists what was passed, or a layout says that what it does not mention is passed; blank is explicit",
    "deck_id": "the deck, the same in every report; else property_id, else report_id",
    "deck_built_year": "the year it was built, at most the year after the inspection",
    "deck_built_basis": "how that year is known",
    "builder": "who built it",
    "deck_height_in": "walking surface above grade",
    "ledger_attached": "whether the deck hangs on the house",
    "observation_no": "unique in its report",
    "topic": "what was looked at; `other` where none fits",
    "place": "where on the deck",
    "call": "what the inspector decided",
    "not_seen_reason": "why it was not seen",
    "consequence": "the inspector's rating: 1 minor, 2 needs repair, 3 safety",
    "comment": "the report's own sentence",
    "recommendation": "the report's own sentence",
    "read_from_comment": "that the topic, the call or both were read out of the comment; a layout fills it",
    "photo_count": "photos of it",
    "checked": 'how many were looked at: the 14 of "6 of 14 hangers"',
    "affected": "how many were affected: the 6",
}

READING = """## How values may be written

| kind | written |
|---|---|
| blank | nothing, white space, or null: all the same |
| number | `36`, `36.0`, `.5`, `1e1`; `1/2`, `1-1/2`, `1 1/2`, `½`, `1½`; in inches also `1 1/2"` and `36 in`. A comma is the decimal sign (`9,25`) unless it could be a thousands mark (`1,250` is refused) |
| whole number | `36`, `36.0` |
| date | `2026-03-04`; a time of day after it is dropped, a time zone (`Z`) is refused since it can move the day. From 1 Jan 1990 to tomorrow (UTC). In a workbook a date cell of either date system, or its bare number |
| true or false | `true`, `false`, `yes`, `no`, `1`, `0`, in any case |
| a word of a list | in any case; spaces and hyphens stand for `_` |
| size | `2x10`, `2 x 10`, `2X10`, `2×10`; a stamped range `2x8-2x10`; a beam `2-2x10` |

## Files

| file | read |
|---|---|
| CSV, TSV, TXT | UTF-8, UTF-16 or Windows-1252; comma, semicolon, tab or bar, found by the header; quotes within quoted text are doubled |
| XLSX | every visible sheet whose first row names the required columns of an input table |
| Parquet | one row an observation, or a row of a further table; nested columns are refused |
| JSON, JSON Lines | one document a report: `report > decks[] > observations[]`, each column at its level, measures flat; an array, or one document a line. Rows of further tables stand there flat, as objects of an array or one a line |
| folder, glob, zip | the files in it; hidden ones are passed over, and in a folder `.txt` files too |

Header cells are matched in any case, spaces and hyphens standing for `_`. E-mails, phone numbers, links, addresses and names in a known form are masked in sentences, ids, refused rows and the names of files, and no file can hang a load or fill the memory: see [foreign-files.md](foreign-files.md#private-data). Files of another form are loaded by a layout: see [foreign-files.md](foreign-files.md). A column that is not in the contract is named in the summary and its content is stored nowhere. Rows with nothing in them are no rows. A whole file is refused, with a sentence, where it is empty, is not of its kind, lacks a required column, has one twice, or has a quote that is never closed; the other files of the load are published.

## Why a row is refused

"""

FURTHER_TABLES = """## Further tables

Second looks, calibration rounds, training sessions and staff come in the same kinds of files, with values written in the same ways. Each is recognized by its columns, and files of them can be loaded together with reports, or by themselves. A row whose key is there already with other content takes its place, an equal one changes nothing, and what is not loaded again stays.

A second look stands above the rule: its ruling becomes the verdict (`basis` is `second_look`), the outcome follows from the call and the ruling, and the rule's own verdict is kept beneath it, so that nothing is lost when the look is replaced or a rule changes. Of several looks at one observation the newest stands; of several on one day one after a dispute, then a targeted, then a random one. `cannot_tell` makes the observation one that cannot be told. A topic without a rule can be ruled as well. A look at an observation that is not in the warehouse after this load's reports is refused. Where a report is replaced later and the observation is gone, the look stays stored and finds nothing until the observation is back. How the observations were chosen decides what the looks can say: a random draw speaks for the calls it was drawn from, a targeted look or a dispute for itself alone: its ruling stands in its case and in the list of corrections, and rates keep to what the rule says of it.
"""

WHAT_FURTHER = {
    "second_looks": {
        "report_id": "the report",
        "observation_no": "the observation in it",
        "looked_by": "who looked; a code is better than a name. Never shown with the ruling",
        "looked_on": "the day of the look",
        "chosen": "how the observation came to be looked at",
        "ruling": "what the person found",
        "reason": "why, in a sentence; shown with the ruling",
    },
    "rounds": {
        "round_id": "the round, in which several inspectors call the same items",
        "held_on": "its day",
        "item_id": "what was called: a photo, a mock-up, a place on a deck",
        "topic": "what was looked at",
        "inspector_id": "who called",
        "call": "what the inspector decided",
        "observation_id": "where the item came from: `report_id:observation_no`",
        "known_verdict": "what the item is known to be; left blank, the snapshot's verdict on that observation, or on the case whose code of a case pack the item bears",
    },
    "sessions": {
        "session_id": "the training session",
        "held_on": "its day",
        "topic": "what it trained; a row for each topic",
        "inspector_id": "who attended",
        "hours": "how long",
    },
    "staff": {
        "inspector_id": "the inspector, as in the reports",
        "display_name": "what to call them on pages",
        "started_on": "since when, from 1940 on",
        "office": "which office",
        "role": "which role",
        "email": "read, and stored nowhere",
    },
}

CODES = {
    "required": "a required column is blank",
    "not_a_number, not_an_integer, not_a_date, not_yes_or_no, not_a_size": "the value is not of its column's kind",
    "not_listed": "the word is not in the column's list",
    "out_of_range": "the value is beyond what is plausible",
    "built_after_inspection": "the deck was built later than the year after the inspection",
    "too_long, control_character, not_a_value": "text too long, with a NUL character, or a list where a value should be",
    "refused_by_layout": "a word that the layout says is refused; it is not kept, since it could be a name",
    "not_told": "no column holds the topic or the call, and the row's comment does not tell it",
    "not_joined, joined_twice": "by a layout: no row, or several that differ, of the table that is joined to this one",
    "wrong_width": "the row has more or fewer cells than the header",
    "not_readable": "the row or line cannot be taken apart",
    "not_a_report, no_observations": "a document is not of the form, or lists nothing",
    "duplicate_observation": "the same observation stands twice in the load, with different content (equal rows count as unchanged)",
    "duplicate_row": "the same row of a further table, by its key, stands twice in the load, with different content",
    "unknown_observation": "a second look at an observation that is not in the warehouse",
    "report_disagrees": "rows disagree on a fact of their report, or of one deck in it; a blank disagrees with nothing",
}


def data_page() -> str:
    """The input table: columns, measures, how values are written, why rows are refused."""
    columns = contract.columns()
    lines = ["# The input table", "", f"Contract version {contract.CONTRACT_VERSION}. One row is one observation.", ""]
    lines += ["| column | kind | required | meaning |", "|---|---|---|---|"]
    for name, what in WHAT.items():
        column = columns[name]
        lines.append(f"| `{name}` | {_kind(column.rule)} | {'yes' if column.required else ''} | {what} |")
    lines += ["", "## Measures", "", "On any topic's row; blank where it was not measured."]
    lines += ["", "| column | kind | meaning |", "|---|---|---|"]
    for measure in vocabulary.measures().values():
        lines.append(f"| `{measure.id}` | {_kind(columns[measure.id].rule)} | {measure.title} |")
    lines += ["", *_further_tables(), "", READING.rstrip(), "", "| reason | meaning |", "|---|---|"]
    lines += [f"| `{code.replace(', ', '`, `')}` | {meaning} |" for code, meaning in CODES.items()]
    lines += ["", "## Topics", "", "| id | title | judged |", "|---|---|---|"]
    catalog = load_catalog()
    lines += [f"| `{t.id}` | {t.title} | {_judged(catalog, t)} |" for t in vocabulary.topics().values()]
    return GENERATED + "\n".join(lines) + "\n"


def _further_tables() -> list[str]:
    """The further tables: what they are, and the columns of each."""
    lines = [FURTHER_TABLES.rstrip()]
    for table in FURTHER.values():
        marks = ", ".join(f"`{name}`" for name in table.columns if name in table.marks)
        key = ", ".join(f"`{name}`" for name in table.key)
        lines += ["", f"### {table.title[0].upper()}{table.title[1:]}", ""]
        lines += [
            f"Recognized by {marks}. Key: {key}.",
            "",
            "| column | kind | required | meaning |",
            "|---|---|---|---|",
        ]
        for name, what in WHAT_FURTHER[table.name].items():
            column = table.columns[name]
            lines.append(f"| `{name}` | {_kind(column.rule)} | {'yes' if column.required else ''} | {what} |")
    return lines


def _kind(rule: contract.Rule) -> str:
    if rule.kind == "choice":
        return "a topic's id, below" if "hanger_size" in rule.choices else ", ".join(rule.choices)
    words = {
        "text": "text",
        "date": "date",
        "integer": "whole number",
        "number": "number",
        "yes_no": "true or false",
        "size": "size",
    }
    limits = f", {float(rule.low):g} to {float(rule.high):g}" if rule.low is not None and rule.high is not None else ""
    return words[rule.kind] + limits + (f" {rule.unit}" if rule.unit else "")


def _judged(catalog: Catalog, topic: vocabulary.Topic) -> str:
    if not topic.judged:
        return "counted only"
    return "yes" if catalog.of_topic(topic.id) else "not yet"


def commands_page() -> str:
    """Every command with its help."""
    lines = [
        "# Commands",
        "",
        "Exit codes: 0 done, refused rows included; 1 nothing published, `--strict` refused, a whole file unreadable, or no warehouse to read; 2 wrong usage.",
        "",
    ]
    group = evenhand.make_context("evenhand", [], resilient_parsing=True)
    named = {name: evenhand.commands[name] for name in evenhand.commands}
    named["layout suggest"] = layout.commands["suggest"]
    for name in (
        "demo",
        "load",
        "layout",
        "layout suggest",
        "rejects",
        "criteria",
        "rejudge",
        "table",
        "note",
        "brief",
        "cases",
        "dashboard",
        "snapshots",
        "rollback",
    ):
        command = named[name]
        # Within the group, as a user meets it: which names ask for help is a setting of the group.
        context = click.Context(command, group, info_name=name, max_content_width=100, terminal_width=100)
        lines += [f"## evenhand {name}", "", "```", command.get_help(context), "```", ""]
    return GENERATED + "\n".join(lines)


def rules_page() -> str:
    """The catalog: each judged topic with its rules, their sources and how each is known."""
    catalog = load_catalog()
    lines = [
        "# The rules",
        "",
        "Verdicts are measured against the guideline that a report names, else the firm's, else IRC 2021. Local amendments, the maker's instructions, an engineer's letter and licensed practice stand above every rule here.",
        "",
    ]
    for topic in vocabulary.topics().values():
        if page := catalog.pages.get(topic.id):
            lines += [
                f"## {topic.title}",
                "",
                f"`{topic.id}`. {page.plain}",
                "",
                f"*To do, to record:* {page.habit}",
                "",
            ]
            lines += [f"*Caution:* {page.caution}", ""] if page.caution else []
            lines += [part for criterion in catalog.of_topic(topic.id) for part in _rule(criterion)] + [""]
    waiting = [t.title for t in vocabulary.topics().values() if t.judged and not catalog.of_topic(t.id)]
    counted = [t.title for t in vocabulary.topics().values() if not t.judged]
    lines += ["## Not in the catalog yet", "", "; ".join(waiting) + ".", ""]
    lines += ["## Counted and compared, never judged", "", "; ".join(counted) + "."]
    return GENERATED + "\n".join(lines) + "\n"


def _rule(criterion: Criterion) -> list[str]:
    source = criterion.source
    cited = " ".join(part for part in (source.document, source.edition, source.sections()) if part)
    known = "" if cited == KNOWN[source.known] else f"; {KNOWN[source.known]}"
    parts = [f"- **{criterion.title}** (`{criterion.id}`, weight {criterion.weight}): {criterion.plain}"]
    for verdict in DECIDING:
        if condition := getattr(criterion, verdict):
            parts.append(f"  - {verdict}: `{' '.join(condition.split())}`")
    return [*parts, f"  - source: {cited}{known}"]


def tables_page() -> str:
    """Every table that `evenhand table` gives, with each column's meaning."""
    lines = [
        "# The tables",
        "",
        "`evenhand table NAME`, unrounded. How each figure is worked out: [measures.md](measures.md).",
        "",
    ]
    for table in TABLES.values():
        lines += [f"## {table.name}", "", f"One row: {table.row}.", "", "| column | meaning |", "|---|---|"]
        lines += [f"| `{column}` | {meaning} |" for column, meaning in table.columns.items()]
        lines.append("")
    return GENERATED + "\n".join(lines)


PAGES = {"data.md": data_page, "commands.md": commands_page, "rules.md": rules_page, "tables.md": tables_page}


if __name__ == "__main__":
    for name, page in PAGES.items():
        (HERE / name).write_text(page(), encoding="utf-8")
