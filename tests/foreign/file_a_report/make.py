"""Snapdragon Hollow Inspectors: a folder with one small CSV a report, no two of them quite alike."""

from __future__ import annotations

from pathlib import Path

from export import Export, Line, again, noise, plant, told, word, write_delimited
from invented import Firm, Row, Visit, fraction, ordered

TOPICS = {
    "ledger_fasteners": ("Ledger attachment",),
    "ledger_flashing": ("Ledger flashing",),
    "hanger_fasteners_missing": ("Hanger holes open",),
    "joist_gap": ("Joist end gap",),
    "joist_bearing": ("Joist bearing",),
    "guard_height": ("Guardrail height",),
    "guard_opening": ("Baluster space",),
    "stair_riser": ("Tallest step",),
    "stair_tread": ("Shortest tread",),
    "handrail": ("Handrail height",),
    "overhead_wires": ("Wire above deck",),
    "deck_boards": ("Deck boards", "Decking boards"),
}
#: What the one column Reading means, by the item; the other items have none.
READINGS = {
    "hanger_fasteners_missing": "holes_empty",
    "joist_gap": "joist_gap_in",
    "joist_bearing": "bearing_length_in",
    "guard_height": "guard_height_in",
    "guard_opening": "opening_in",
    "stair_riser": "riser_max_in",
    "stair_tread": "tread_min_in",
    "handrail": "handrail_height_in",
    "overhead_wires": "wire_above_deck_in",
}
CALLS = {
    "passed": ("Yes, fine", "Fine"),
    "written_up": ("Not OK", "Not ok!", "Needs work"),
    "referred": ("Ask a pro",),
    "advised": ("Someday",),
    "not_seen": ("Could not see",),
}
FIRST = ["Report", "Date", "Inspector", "Area", "Deck age basis", "Deck year", "Deck height", "Customer", "Cell phone"]
THEN = ["Item", "Answer", "Reading", "Comment", "Suggestion"]
BASES = {"permit": ("permit",), "owner": ("seller said",), "estimate": ("estimated",)}
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "deck_built_year", "deck_built_basis",
    "deck_height_in", "observation_no", "topic", "place", "call", "comment", "recommendation",
    *READINGS.values(),
)  # fmt: skip
FIRM = Firm(
    seed=77,
    report_id="SH-{n}",
    inspectors=("JUN", "ROS"),
    regions=("Hollow", "Ridgeback"),
    builders=("",),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "We saw: "),
    phone="555 01{n:02}",
    holds=("name", "phone"),
)


def make(folder: Path) -> tuple[Export, str]:
    export = Export({}, more={"compare_without": ["observation_no"]})
    headers: dict[str, tuple[list[str], str]] = {}
    for at, visit in enumerate(FIRM.visits(12, 4, 8)):
        file = f"report {visit.facts['report_id']}.csv"
        header, delimiter = _form(at)
        _drop(visit, header)
        export.lines[file] = [_line(visit, row, header) for row in visit.rows]
        if at % 3 == 0:
            plant(export, FIRM, export.lines[file][-1], "Comment")
        headers[file] = header, delimiter
    _spoil(export)
    for line in export.data():
        if line.client:
            export.hide(FIRM, line.client)
    for file, lines in export.lines.items():
        header, delimiter = headers[file]
        write_delimited(folder / "export" / file, header, lines, delimiter)
    return export, README


def _form(at: int) -> tuple[list[str], str]:
    """The columns of the form as it was then: their order, and what it had not yet or no more."""
    header = [*FIRST, *THEN]
    if at in (3, 4):
        header = [*THEN, *FIRST]
    if at in (6, 7, 8):
        header = [*FIRST, "Spot", *THEN, "Drone used"]
    if at == 9:
        header = [name for name in header if name not in ("Deck age basis", "Suggestion")]
    return header, ";" if at in (4, 8) else ","


def _drop(visit: Visit, header: list[str]) -> None:
    """What that form had no room for is not known."""
    gone = {"Spot": "place", "Deck age basis": "deck_built_basis", "Suggestion": "recommendation"}
    for row in visit.rows:
        for name, column in gone.items():
            if name not in header:
                row.pop(column, None)
        for column in set(READINGS.values()) & set(row):
            if READINGS.get(row["topic"]) != column:
                del row[column]


def _line(visit: Visit, row: Row, header: list[str]) -> Line:
    dice, column = FIRM.dice, READINGS.get(row["topic"], "")
    reading = row.get(column, "")
    cells = {
        "Report": row["report_id"],
        "Date": ordered(row["inspected_on"], "%B %d, %Y"),
        "Inspector": row["inspector_id"],
        "Area": row["region"],
        "Deck age basis": word(dice, BASES, row.get("deck_built_basis", "")),
        "Deck year": row["deck_built_year"],
        "Deck height": f"{row['deck_height_in']} in",
        "Customer": visit.client.name,
        "Cell phone": visit.client.phone,
        "Item": word(dice, TOPICS, row["topic"]),
        "Answer": word(dice, CALLS, row["call"]),
        "Reading": fraction(reading) + '"' if column.endswith("_in") and reading else reading,
        "Comment": row.get("comment", ""),
        "Suggestion": row.get("recommendation", ""),
        "Spot": row.get("place", ""),
        "Drone used": "no",
    }
    cells = {name: value for name, value in cells.items() if name in header}
    return Line(cells, [row], report=row["report_id"], client=visit.client)


def _spoil(export: Export) -> None:
    files = list(export.lines)
    first = export.lines[files[1]]
    first[1].refuse("Item", "Water heater", "topic", "not an item of decks")
    for line in export.lines[files[5]]:
        line.refuse("Date", "June 31, 2023", "inspected_on", "there is no such day")
    export.lines[files[7]][0].refuse("Report", "", "report_id", "blank")
    export.lines[files[8]][2].refuse("Answer", "idk", "call", "a word that means nothing")
    export.lines[files[2]].append(again(export.lines[files[2]][0]))
    export.lines[files[3]] += [noise(), noise("End of report")]
    export.lines[files[10]].clear()  # somebody opened a report and wrote nothing


README = f"""
# Snapdragon Hollow Inspectors (invented): the folder `export/`

What a person of the firm knows. **One file a report**, twelve of them; one row an item. The form changed over the years:
columns stand in another order in two files, two are divided by semicolons, three have `Spot` and `Drone used`, one has
neither `Deck age basis` nor `Suggestion`. One file has a header only: a report in which nothing was written (it gives
nothing). `expected.json` counts each file under `by_file`.

| column | is |
|---|---|
| Report | report number (also in the file's name) |
| Date | day of the inspection, `March 4, 2024` |
| Inspector, Area | inspector's code, region |
| Deck year, Deck age basis | year built, how it is known |
| Deck height | walking surface above grade, inches (`48 in`) |
| Customer, Cell phone | **private**, also inside `Comment` |
| Item, Answer | topic, call |
| Reading | **what the item asks for**, see below; lengths in inches with fractions and an inch mark |
| Comment, Suggestion, Spot | comment, recommendation, place |
| Drone used | of no use |

There is no builder, no property and no number of the row (any that is unique in the report will do).

Item:
{told(TOPICS)}

Answer:
{told(CALLS)}

Reading, by item:
{chr(10).join(f"- {', '.join(f'`{word}`' for word in TOPICS[topic])}: {column}" for topic, column in READINGS.items())}
- the other items have none

Deck age basis:
{told(BASES)}

Not data: blank rows, the row `End of report`. The same row twice in a file is one row (unchanged).
To be refused: an item or answer not listed, `June 31, 2023` (the whole file), a row without report number: its number is
not to be taken from the file's name.
"""
