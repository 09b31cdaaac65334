"""Fallowhithe Inspections: a workbook with a title, bands of headings, merged cells, names instead of codes."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from pathlib import Path

import xlsxwriter
from export import Export, Line, again, noise, plant, told, word
from invented import Firm, Row, Visit, plain

FILE = "Fallowhithe deck list.xlsx"
SHEET = "Decks 22-25"
TOPICS = {
    "ledger_fasteners": ("Ledger bolts",),
    "ledger_flashing": ("Ledger flashing", "Flashing at house"),
    "hanger_missing": ("Missing hangers",),
    "hanger_size": ("Hanger fit",),
    "hanger_fasteners_missing": ("Hanger nailing", "Nailing"),
    "joist_gap": ("Short joists",),
    "joist_span": ("Bounce / span",),
    "post_height": ("Tall posts",),
    "footing_depth": ("Footings",),
    "diagonal_bracing": ("Bracing",),
    "guard_height": ("Guard ht.",),
    "guard_opening": ("Pickets",),
    "stair_tread": ("Treads",),
    "handrail": ("Grab rail",),
    "wood_decay": ("Rot",),
}
#: One column says the call, and of a write-up how grave it is.
RATINGS = {
    ("written_up", "3"): ("Safety hazard", "HAZARD"),
    ("written_up", "2"): ("Repair", "Repair / replace"),
    ("written_up", "1"): ("Minor defect",),
    ("referred", ""): ("Further evaluation",),
    ("advised", ""): ("Monitor", "Maintenance"),
    ("passed", ""): ("Satisfactory", "Sat.", "Serviceable"),
    ("not_seen", ""): ("Not inspected", "N.I."),
}
NAMES = {"PQ": ("Percival Quibbet",), "LS": ("Lavinia Snoad", "L. Snoad"), "AD": ("Ambrose Dunnick",)}
TOWNS = {"Vale": ("Nether Pockle", "Upper Pockle"), "Coast": ("Grimmet Sands", "Port Tansel"), "Moor": ("Hagstone",)}
FOOTINGS = {"concrete_pier": ("pier",), "block_on_grade": ("blocks",), "pad_on_grade": ("pad",)}
DECAY = {"none": ("sound",), "surface": ("weathered",), "soft": ("soft",), "advanced": ("gone",)}
MEMBERS = {"post": ("post",), "stringer": ("stair carriage",), "ledger": ("ledger",), "decking": ("boards",)}
YES = {"true": ("yes", "Y"), "false": ("no", "N")}
#: The bands above the header, each with its columns; two columns are called Height.
BANDS = {
    "": ["Report"],
    "Visit": ["Date", "Inspector", "Town"],
    "Client": ["Name", "Street", "Tel."],
    "Deck": ["Built", "By whom", "Height", "On house"],
    "Finding": ["Checked item", "Rating", "Spot", "Finding", "What to do"],
    "Guard": ["Drop", "Height", "Clear gap"],
    "Framing": ["Joist", "Hanger", "Nail holes", "Nailed", "Gap at end", "c/c", "Clear span", "Post", "Post ht."],
    "Other": ["Footing", "Depth", "Tread", "Rail?", "Decay", "Where decayed"],
    "Office": ["Inv.", "✔"],
}
COLUMNS = [(band, name) for band, names in BANDS.items() for name in names]
NUMBERS = {
    "Guard|Drop": "drop_in",
    "Guard|Height": "guard_height_in",
    "Guard|Clear gap": "opening_in",
    "Framing|Nail holes": "holes_total",
    "Framing|Nailed": "holes_filled",
    "Framing|Gap at end": "joist_gap_in",
    "Framing|c/c": "joist_spacing_in",
    "Framing|Clear span": "joist_span_in",
    "Framing|Post ht.": "post_height_in",
    "Other|Depth": "footing_depth_in",
    "Other|Tread": "tread_min_in",
}
TEXTS = {
    "Deck|By whom": "builder",
    "Finding|Spot": "place",
    "Finding|Finding": "comment",
    "Finding|What to do": "recommendation",
    "Framing|Joist": "joist_nominal",
    "Framing|Hanger": "hanger_nominal",
    "Framing|Post": "post_nominal",
}
WORDED = {
    "Visit|Inspector": ("inspector_id", NAMES),
    "Visit|Town": ("region", TOWNS),
    "Deck|On house": ("ledger_attached", YES),
    "Finding|Checked item": ("topic", TOPICS),
    "Other|Footing": ("footing_kind", FOOTINGS),
    "Other|Rail?": ("handrail_present", YES),
    "Other|Decay": ("decay", DECAY),
    "Other|Where decayed": ("decay_member", MEMBERS),
}
RECORDED = (
    "report_id", "inspected_on", "deck_built_year", "deck_height_in", "call", "consequence", "observation_no",
    *NUMBERS.values(), *TEXTS.values(), *(name for name, _ in WORDED.values()),
)  # fmt: skip
FIRM = Firm(
    seed=33,
    report_id="{n}",
    inspectors=tuple(NAMES),
    regions=tuple(TOWNS),
    builders=("Gadsby & Thrum", "unknown to us", "Tidemark Decks"),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "Observed: ", "At time of visit, "),
    phone="(555) 555-01{n:02}",
    holds=("name", "street", "phone"),
)


def make(folder: Path) -> tuple[Export, str]:
    lines: list[Line] = []
    export = Export({FILE: lines}, first_row=9, sheets={FILE: SHEET}, more={"compare_without": ["observation_no"]})
    for visit in FIRM.visits(17, 4, 7):
        lines += [_line(visit, row) for row in visit.rows]
        export.hide(FIRM, visit.client)
        if FIRM.dice.random() < 0.35:
            plant(export, FIRM, FIRM.dice.choice(lines[-3:]), "Finding|Finding")
    export.private |= {
        "Lavinia Snoad",
        "Percival Quibbet",
        "Ambrose Dunnick",
        "L. Snoad",
        "office@example.com",
        "(555) 555-0101",
    }
    _spoil(lines)
    lines.insert(34, again(lines[30]))
    lines[55:55] = [noise(), _header_again()]
    lines += [noise(), noise("Total", "", "", "", "", "", "", "", "", "", "", f"{len(export.data())} findings")]
    (folder / "export").mkdir(parents=True, exist_ok=True)
    _write(folder / "export" / FILE, lines)
    return export, README


def _header_again() -> Line:
    return noise(*(name for _, name in COLUMNS))


def _line(visit: Visit, row: Row) -> Line:
    dice, client = FIRM.dice, visit.client
    row["deck_height_in"] = plain(Decimal(round(int(visit.facts["deck_height_in"]) / 6)) * 6)
    cells = {
        "|Report": int(row["report_id"]),
        "Visit|Date": datetime.fromisoformat(row["inspected_on"]),
        "Client|Name": client.name,
        "Client|Street": client.street,
        "Client|Tel.": client.phone,
        "Deck|Built": int(row["deck_built_year"]),
        "Deck|Height": float(Decimal(row["deck_height_in"]) / 12),
        "Finding|Rating": dice.choice(RATINGS[row["call"], row.get("consequence", "")]),
        "Office|Inv.": dice.randint(400, 460),
    }
    cells |= {name: float(row[column]) for name, column in NUMBERS.items() if column in row}
    cells |= {name: row.get(column, "") for name, column in TEXTS.items()}
    cells |= {name: word(dice, words, row.get(column, "")) for name, (column, words) in WORDED.items()}
    return Line(cells, [row], report=row["report_id"], client=client)


def _spoil(lines: list[Line]) -> None:
    lines[7].refuse("|Report", "", "report_id", "blank")
    lines[15].refuse("Visit|Date", "6/31/2023", "inspected_on", "there is no such day")
    lines[27].refuse("Finding|Checked item", "Roof covering", "topic", "not an item of decks")
    lines[44].refuse("Finding|Rating", "see above", "call", "a word that means nothing")
    lines[60].refuse("Visit|Inspector", "temp", "inspector_id", "nobody knows who that was")
    lines[68].refuse("Framing|Gap at end", "#REF!", "joist_gap_in", "a broken formula, no value")


def _write(path: Path, lines: list[Line]) -> None:
    with xlsxwriter.Workbook(path, {"default_date_format": "d mmm yyyy"}) as book:
        book.set_properties({"created": datetime(2025, 10, 1)})
        bold, center = book.add_format({"bold": True}), book.add_format({"bold": True, "align": "center"})
        sheet = book.add_worksheet(SHEET)
        sheet.merge_range(0, 0, 0, 8, "Fallowhithe Inspections - list of deck findings", bold)
        sheet.write(1, 0, "Printed 1 Oct 2025 for the yearly review")
        sheet.write(2, 0, "Questions: office@example.com, (555) 555-0101")
        # Rows 4 and 5 are blank; the bands stand in row 6, the header in row 7, its units in row 8.
        sheet.merge_range(5, 0, 6, 0, "Report", center)
        for band, names in BANDS.items():
            first = COLUMNS.index((band, names[0]))
            if band:
                sheet.merge_range(5, first, 5, first + len(names) - 1, band, center)
                sheet.write_row(6, first, names, bold)
        for at, (band, name) in enumerate(COLUMNS):
            sheet.write(7, at, "ft" if (band, name) == ("Deck", "Height") else UNITS.get(f"{band}|{name}", ""))
        for row, line in enumerate(lines, 8):
            _write_line(sheet, row, line)
        legend = book.add_worksheet("Legend")
        legend.write_column(0, 0, ["Rating words", *(word for words in RATINGS.values() for word in words)])


UNITS = {name: "in" for name, column in NUMBERS.items() if column.endswith("_in")}


def _write_line(sheet: xlsxwriter.worksheet.Worksheet, row: int, line: Line) -> None:
    if isinstance(line.cells, list):
        sheet.write_row(row, 0, line.cells)
        return
    for name, value in line.cells.items():
        at = COLUMNS.index(tuple(name.split("|")))
        if value == "#REF!":
            sheet.write_formula(row, at, "=#REF!", None, "#REF!")
        elif value != "":
            sheet.write(row, at, value)


README = f"""
# Fallowhithe Inspections (invented): `export/{FILE}`, sheet `{SHEET}`

What a person of the firm knows. The list is made to be printed: rows 1 to 3 a title with our address (**private**), 4
and 5 blank, 6 bands of headings over merged cells, 7 the header (`Report` is merged over 6 and 7), 8 the units. Data
begin in row 9; one row is one finding. **`Height` stands twice**: under the band `Deck` in feet, under `Guard` in inches.
The sheet `Legend` holds no findings. Rows bear no number of their own (`observation_no`): give them any that is unique in
the report. The same row twice is one finding (unchanged).

| column (band > header) | is |
|---|---|
| Report | report number |
| Visit > Date | day of the inspection, a date cell |
| Visit > Inspector | a name, **not to be kept**: use the initials below |
| Visit > Town | gives the region, below; the town itself is not kept |
| Client > Name, Street, Tel. | **private**, also inside `Finding` |
| Deck > Built, By whom, On house | year built, builder, ledger attached |
| Deck > Height | walking surface above grade, **feet with decimals** (7.5 is 90 inches) |
| Finding > Checked item | topic |
| Finding > Rating | call, and of write-ups the consequence |
| Finding > Spot, Finding, What to do | place, comment, recommendation |
{"".join(f"| {name.replace('|', ' > ')} | {column} |{chr(10)}" for name, column in NUMBERS.items())}| Framing > Joist, Hanger, Post | joist_nominal, hanger_nominal, post_nominal |
| Other > Footing, Rail?, Decay, Where decayed | footing_kind, handrail_present, decay, decay_member |
| Office > Inv., ✔ | of no use |

Checked item:
{told(TOPICS)}

Rating (case does not matter):
{told({call + (f", consequence {grave}" if grave else ""): words for (call, grave), words in RATINGS.items()})}

Inspector:
{told(NAMES)}

Town to region:
{told(TOWNS)}

Footing:
{told(FOOTINGS)}

Decay:
{told(DECAY)}

Where decayed:
{told(MEMBERS)}

Rail?, On house: `yes`, `Y`: true; `no`, `N`: false.

Not data: blank rows, the header again in the middle, the row `Total`.
To be refused: no report number, `6/31/2023`, an item, a rating or an inspector not listed, a cell with a broken formula.
"""
