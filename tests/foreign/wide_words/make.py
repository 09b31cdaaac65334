"""Larkensedge Home Survey: one row a report, one column a topic, words for calls in the cells."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from export import Export, Line, again, noise, told, word, write_delimited
from invented import Firm, Visit, fraction, ordered

FILE = "larkensedge_export.csv"
TOPICS = {
    "ledger_fasteners": "Ledger Bolts",
    "ledger_flashing": "Ledger Flashing",
    "hanger_missing": "Hangers Present",
    "hanger_size": "Hanger Size",
    "hanger_fasteners_missing": "Hanger Nails",
    "joist_gap": "Joist Ends",
    "deck_boards": "Boards",
    "beam_on_post": "Beam On Posts",
    "footing_depth": "Footings",
    "guard_height": "Guard Height",
    "guard_opening": "Guard Openings",
    "guard_movement": "Guard Firm",
    "stair_riser_spread": "Even Steps",
    "handrail": "Handrail",
    "wood_decay": "Decay",
    "insects": "Insects",
}
CALLS = {
    "passed": ("OK", "ok", "Good", "Acceptable"),
    "written_up": ("Defect", "DEF", "Fail"),
    "referred": ("Refer",),
    "advised": ("Watch", "Aging"),
    "not_seen": ("NV", "n/v", "Blocked"),
}
#: Nothing of the kind on this deck: no observation.
ABSENT = ("NA", "none")
#: The firm's column, the contract's, and the topic on whose row it belongs.
MEASURES = {
    "Joist Is": ("joist_nominal", "hanger_size"),
    "Hanger Is": ("hanger_nominal", "hanger_size"),
    "Nail Holes Empty": ("holes_empty", "hanger_fasteners_missing"),
    "Joist Gap In": ("joist_gap_in", "joist_gap"),
    "Guard Ht In": ("guard_height_in", "guard_height"),
    "Drop In": ("drop_in", "guard_height"),
    "Largest Opening In": ("opening_in", "guard_opening"),
    "Riser Spread In": ("riser_spread_in", "stair_riser_spread"),
    "Handrail Ht In": ("handrail_height_in", "handrail"),
    "Risers": ("riser_count", "handrail"),
    "Footing Depth In": ("footing_depth_in", "footing_depth"),
    "Photos Of Guard": ("photo_count", "guard_height"),
}
HEADER = [
    "Inspection #", "Inspection Date", "Inspector", "Zone", "Deck ID", "Built", "Contractor", "Deck Ht In",
    "Buyer", "Buyer Phone", "Buyer Email", "Property Address", *TOPICS.values(), *MEASURES, "General Notes", "Sqft",
    "Weather",
]  # fmt: skip
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "deck_id", "deck_built_year", "builder",
    "deck_height_in", "observation_no", "topic", "call", *(column for column, _ in MEASURES.values()),
)  # fmt: skip
FIRM = Firm(
    seed=55,
    report_id="LK{n}",
    inspectors=("A1", "B4", "C2", "C3", "D9"),
    regions=("Zone 1", "Zone 2", "Zone 3"),
    builders=("Inglewick Decking", "Marl & Daughter", "Owner"),
    topics=tuple(topic for topic in TOPICS if topic != "insects"),
    columns=RECORDED,
    phone="555.01{n:02}",
)


def make(folder: Path) -> tuple[Export, str]:
    lines = [_line(visit) for visit in FIRM.visits(58, 9, 15)]
    export = Export({FILE: lines})
    for line in lines:
        assert line.client is not None
        export.hide(FIRM, line.client)
    refused_cells = _spoil(lines)
    lines[20:20] = [noise(*HEADER)]
    lines.insert(41, again(lines[38]))
    lines += [noise(*[""] * len(HEADER)), noise("Count", f"{len(export.data())}", *[""] * (len(HEADER) - 2))]
    whole = sum(fault["observations"] for line in lines for fault in line.faults if not fault.get("cell"))
    export.more = {
        "compare_without": ["observation_no"],
        "cells_rejected": refused_cells,
        "observations_rejected": refused_cells + whole,
    }
    write_delimited(folder / "export" / FILE, HEADER, lines)
    return export, README


def _line(visit: Visit) -> Line:
    dice, client, facts = FIRM.dice, visit.client, visit.facts
    cells: dict[str, Any] = {
        "Inspection #": facts["report_id"],
        "Inspection Date": ordered(facts["inspected_on"], "%m/%d/%Y"),
        "Inspector": facts["inspector_id"],
        "Zone": facts["region"],
        "Deck ID": facts["deck_id"],
        "Built": facts["deck_built_year"],
        "Contractor": facts["builder"],
        "Deck Ht In": facts["deck_height_in"],
        "Buyer": client.name,
        "Buyer Phone": client.phone,
        "Buyer Email": client.mail,
        "Property Address": f"{client.street}, Unit {dice.randint(1, 4)}",
        "General Notes": dice.choice(("", f"{client.name} was there.", "Dog in yard.", f"Send copy to {client.mail}")),
        "Sqft": dice.randint(900, 3000),
        "Weather": dice.choice(("sun", "rain", "snow on the ground")),
    }
    for row in visit.rows:
        for column in {column for column, _ in MEASURES.values()} & set(row):
            if (column, row["topic"]) not in MEASURES.values():
                del row[column]  # the form has no room for it there
    seen = {row["topic"]: row for row in visit.rows}
    for topic, name in TOPICS.items():
        row = seen.get(topic)
        cells[name] = word(dice, CALLS, row["call"]) if row else dice.choice(("", "", *ABSENT))
    for name, (column, topic) in MEASURES.items():
        value = seen.get(topic, {}).get(column, "")
        cells[name] = fraction(value, " ") if column.endswith("_in") and value else value
    return Line(cells, visit.rows, report=facts["report_id"], client=client)


def _spoil(lines: list[Line]) -> int:
    """Three whole rows and five cells; the number of the cells."""
    lines[6].refuse("Inspection Date", "02/29/2023", "inspected_on", "there is no such day")
    lines[25].refuse("Inspection #", "", "report_id", "blank")
    lines[47].refuse("Deck Ht In", "tall", "deck_height_in", "no number, and a fact of all its observations")
    for at, value in ((11, "see notes"), (17, "5"), (30, "?"), (33, "see notes"), (52, "OK / Defect")):
        _refuse_cell(lines[at], value)
    return 5


def _refuse_cell(line: Line, value: str) -> None:
    """A word that means nothing, in the last topic that bears no measure: only that observation is refused."""
    row = [row for row in line.truth if not {column for column, _ in MEASURES.values()} & set(row)][-1]
    line.truth = [other for other in line.truth if other is not row]
    assert isinstance(line.cells, dict)
    column = TOPICS[row["topic"]]
    line.cells[column] = value
    why = "a word that means nothing; the other cells of the row are good"
    fault = {"column": column, "contract": "call", "value": value, "why": why, "observations": 1, "cell": True}
    line.faults.append(fault)


README = f"""
# Larkensedge Home Survey (invented): `export/{FILE}`

What a person of the firm knows. A **wide** table: one row is one report, one column is one topic, and the cell says the
call. Further columns hold measures. Turned long, a row gives one observation for each topic whose cell says a call.

**How rows count.** `rows_read`, `rows_loaded`, `rows_unchanged`, `rows_rejected` count source rows, one a report;
`observations` counts what they give. A row is rejected only where a fact of the whole report is wrong (its number, its
date, the deck's height). Where one cell is wrong, that observation alone is refused and the row counts as loaded: such
cells have `"cell": true` in `rejected` and are counted in `cells_rejected`; `observations_rejected` counts these and the
observations of the rejected rows.

| column | is |
|---|---|
| Inspection # | report number |
| Inspection Date | **month/day/year** (the data prove it) |
| Inspector, Zone | inspector's code, region |
| Deck ID, Built, Contractor, Deck Ht In | deck_id, year built, builder, height in inches |
| Buyer, Buyer Phone, Buyer Email, Property Address | **private** |
| General Notes | of the whole visit and of no topic, with names in it: **not to be kept** |
| Sqft, Weather | of no use (the house) |

Columns of topics:
{chr(10).join(f"- `{name}`: {topic}" for topic, name in TOPICS.items())}

`Insects` is on the form and was never filled in.

Words for calls in them:
{told(CALLS)}
- {", ".join(f"`{each}`" for each in ABSENT)}: there is no such thing on this deck; **no observation**
- blank: not on that day's form; **no observation**, and no pass is implied

Columns of measures, and the topic on whose observation each belongs (on no other):
{chr(10).join(f"- `{name}`: {column}, with {topic}" for name, (column, topic) in MEASURES.items())}

Inches may have fractions (`1 1/2`).

Not data: the header again in the middle, the blank row, the row `Count`. The same row twice is one row (unchanged).
To be refused: a day that does not exist, no number, a height that is no number (whole rows); a call word that is not
listed, such as `see notes`, `?`, `5`, `OK / Defect` (that cell alone).
"""
