"""Thornbeck: three offices, three orders of day, month and year, one of which the data do not prove."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

from export import Export, Line, again, noise, plant, told, word, write_delimited
from invented import Firm, Row, Visit, ordered, plain

TOPICS = {
    "ledger_flashing": ("flashing", "ledger flashing"),
    "hanger_missing": ("hangers missing",),
    "hanger_size": ("hangers undersized", "hanger size"),
    "hanger_fastener_kind": ("hanger screws",),
    "joist_gap": ("joist gap",),
    "beam_on_post": ("beam/post",),
    "guard_height": ("rail height",),
    "guard_movement": ("rail firmness",),
    "stair_riser": ("risers",),
    "handrail_grip": ("handrail grip",),
    "wood_decay": ("rot",),
}
CALLS = {
    "passed": ("good", "no issue"),
    "written_up": ("problem", "issue", "bad"),
    "referred": ("specialist",),
    "advised": ("tip",),
    "not_seen": ("unseen", "n.s."),
}
MEASURES = {
    "joist": "joist_nominal",
    "hanger": "hanger_nominal",
    "gap, in": "joist_gap_in",
    "rail, in": "guard_height_in",
    "riser, in": "riser_max_in",
}

RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "property_id", "deck_built_year", "builder",
    "deck_height_in", "observation_no", "topic", "call", "comment", "recommendation", *MEASURES.values(),
)  # fmt: skip


class Office:
    """An office: its file, its region, what it calls the day and how it writes it."""

    def __init__(self, name: str, column: str, order: str, seed: int, days: tuple[int, ...]) -> None:
        self.name, self.column, self.order, self.days = name, column, order, days
        self.file = f"thornbeck_{name.lower()}.csv"
        self.firm = Firm(
            seed=seed,
            report_id=name[0] + "{n}",
            inspectors=(f"{name[0]}1", f"{name[0]}2"),
            regions=(name,),
            builders=("Wickerby Porches", "Hob Carpentry", "self-built"),
            topics=tuple(TOPICS),
            columns=RECORDED,
            voice=("", "", "fyi: "),
            phone="555-01{n:02}",
            holds=("name", "phone"),
            n_sites=15,
        )

    @property
    def header(self) -> list[str]:
        return ["report", self.column, "sent", "by", "office", "site", "built", "builder", "height, ft", "item", "call",
                *MEASURES, "words", "advice", "for", "phone"]  # fmt: skip


ANY, LOW = tuple(range(1, 29)), tuple(range(1, 13))
OFFICES = (
    Office("Eastrow", "visited (UK)", "%d/%m/%Y", 81, ANY),
    Office("Midfell", "visit date", "%m/%d/%Y", 82, LOW),
    Office("Westrow", "visited", "%Y/%m/%d", 83, ANY),
)


def make(folder: Path) -> tuple[Export, str]:
    export = Export({office.file: [] for office in OFFICES}, more={"compare_without": ["observation_no"]})
    export.more["date_order"] = {
        office.file: {"column": office.column, "order": order, "proved": office.days is ANY}
        for office, order in zip(OFFICES, ("day-month-year", "month-day-year", "year-month-day"), strict=True)
    }
    for office in OFFICES:
        lines = export.lines[office.file]
        for visit in office.firm.visits(9, 4, 6):
            _on_a_day(visit, office)
            lines += [_line(visit, row, office) for row in visit.rows]
            export.hide(office.firm, visit.client)
            if office.firm.dice.random() < 0.3:
                plant(export, office.firm, lines[-1], "words")
    _spoil(export)
    for office in OFFICES:
        write_delimited(folder / "export" / office.file, office.header, export.lines[office.file])
    return export, README


def _on_a_day(visit: Visit, office: Office) -> None:
    """The visit on one of the days of the month that the office's dates may have."""
    day = date.fromisoformat(visit.facts["inspected_on"]).replace(day=office.firm.dice.choice(office.days))
    height = plain(Decimal(round(int(visit.facts["deck_height_in"]) / 3)) * 3)
    for row in visit.rows:
        row |= {"inspected_on": str(day), "deck_height_in": height}


def _line(visit: Visit, row: Row, office: Office) -> Line:
    dice = office.firm.dice
    cells = {
        "report": row["report_id"],
        office.column: ordered(row["inspected_on"], office.order),
        "sent": ordered("2025-09-30", office.order) if office.days is ANY else ordered("2025-10-01", office.order),
        "by": row["inspector_id"],
        "office": row["region"],
        "site": row["property_id"],
        "built": row["deck_built_year"],
        "builder": row["builder"],
        "height, ft": plain(Decimal(row["deck_height_in"]) / 12),
        "item": word(dice, TOPICS, row["topic"]),
        "call": word(dice, CALLS, row["call"]),
        "words": row.get("comment", ""),
        "advice": row.get("recommendation", ""),
        "for": visit.client.name,
        "phone": visit.client.phone,
    }
    cells |= {name: row.get(column, "") for name, column in MEASURES.items()}
    return Line(cells, [row], report=row["report_id"], client=visit.client)


def _spoil(export: Export) -> None:
    east, middle, west = (export.lines[office.file] for office in OFFICES)
    east[6].refuse("visited (UK)", "04/31/2023", "inspected_on", "there is no month 31")
    east[13].refuse("item", "skylight", "topic", "not an item of decks")
    middle[4].refuse("visit date", "0/12/2023", "inspected_on", "there is no month 0")
    middle[17].refuse("report", "", "report_id", "blank")
    west[9].refuse("visited", "2023/02/29", "inspected_on", "there is no such day")
    west[20].refuse("call", "hm", "call", "a word that means nothing")
    east[20:20] = [noise()]
    west.append(again(west[2]))
    middle += [noise("total", str(len(middle)), *[""] * 18)]


README = f"""
# Thornbeck (invented): `export/`, one file an office

What a person of the firm knows. Three offices, each with its own sheet; **each writes the day in its own order**:

| file | column of the day | order | do the data prove it? |
|---|---|---|---|
| {OFFICES[0].file} | `visited (UK)` | day/month/year | yes: days above 12 stand first |
| {OFFICES[1].file} | `visit date` | month/day/year | **no: no day is above 12; a person must say so** |
| {OFFICES[2].file} | `visited` | year/month/day | yes: the year stands first, days above 12 last |

Nothing of {OFFICES[1].file} may be loaded before somebody has said which order it is.

| column | is |
|---|---|
| report | report number |
| by, office | inspector's code, region |
| site, built, builder | property_id, year built, builder |
| height, ft | walking surface above grade, **feet** with decimals |
| item, call | topic, call |
| {", ".join(f"`{name}`" for name in MEASURES)} | {", ".join(MEASURES.values())}; lengths in inches |
| words, advice | comment, recommendation |
| for, phone | **private**, also inside `words` |
| sent | day on which the report was sent; of no use |

Rows have no number of their own (`observation_no`): any that is unique in the report will do.

item:
{told(TOPICS)}

call:
{told(CALLS)}

Not data: blank rows, the row `total`. The same row twice is one row (unchanged).
To be refused: days that do not exist in the office's own order (`04/31/2023` in {OFFICES[0].file} has no month 31, and is
not to be turned around), an item or call not listed, no report number. `expected.json` has counts under `by_file`.
"""
