"""Brindlecote Home Inspection: semicolons, decimal commas, Windows-1252, lengths in centimeters."""

from __future__ import annotations

from pathlib import Path

from export import Export, Line, again, noise, plant, told, word, write_delimited
from invented import Firm, Row, Visit, in_inches, measured, ordered, plain

FILE = "brindlecote_decks.csv"
TOPICS = {
    "ledger_wall": ("Wall behind ledger",),
    "ledger_fasteners": ("Ledger fixing", "Fixing of ledger"),
    "ledger_flashing": ("Flashing",),
    "hanger_missing": ("Hangers there?",),
    "hanger_size": ("Hangers, size",),
    "hanger_fasteners_missing": ("Hangers, nails missing",),
    "hanger_corrosion": ("Rust",),
    "joist_gap": ("Joist end", "Joist ends"),
    "post_base": ("Post foot",),
    "guard_height": ("Balustrade, height",),
    "guard_opening": ("Balustrade, gaps",),
    "guard_movement": ("Balustrade, firmness",),
    "stair_riser": ("Steps",),
    "handrail": ("Hand rail",),
    "wood_decay": ("Rot",),
    "other": ("Sundry",),
}
CALLS = {
    "written_up": ("Fault", "Defective", "to repair"),
    "referred": ("Specialist",),
    "advised": ("Advice", "Upkeep"),
    "passed": ("In order", "Fine", "o.k."),
    "not_seen": ("Hidden", "Not accessible"),
}
REASONS = {
    "low_clearance": ("too low",),
    "skirting": ("skirt",),
    "snow_ice": ("snow",),
    "stored_items": ("stuff stored", "stuff in the way"),
    "vegetation": ("hedge",),
    "no_access": ("locked",),
}
GRAVE = {"1": ("low",), "2": ("medium",), "3": ("high", "high!")}
BASES = {"permit": ("file",), "owner": ("owner says",), "estimate": ("guess",)}
ATTACHED = {"true": ("fixed to house",), "false": ("stands alone",)}
RUST = {"none": ("none",), "surface": ("film",), "pitting": ("pits",), "section_loss": ("eaten through",)}
#: The firm's column, the contract's, and the step of its tape in centimeters.
LENGTHS = {
    "Gap (cm)": ("joist_gap_in", "0.05"),
    "Rail height (cm)": ("guard_height_in", "0.5"),
    "Opening (cm)": ("opening_in", "0.1"),
    "Riser (cm)": ("riser_max_in", "0.1"),
}
SIZES = {"Joist": "joist_nominal", "Hanger": "hanger_nominal"}
HEADER = [
    "No.", "Visit", "Insp.", "District", "Site", "Year", "Year from", "Builder", "Height (cm)", "House", "Line",
    "Item", "Where", "Result", "Why not", "Gravity", "Remarks", "Action", "Photos", *LENGTHS, *SIZES, "Rust grade",
    "Client", "Client’s address", "Phone", "E-mail", "Fee", "Paid", "Rev.",
]  # fmt: skip
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "property_id", "deck_built_year", "deck_built_basis",
    "builder", "deck_height_in", "ledger_attached", "observation_no", "topic", "place", "call", "not_seen_reason",
    "consequence", "comment", "recommendation", "photo_count", "rust",
    *(name for name, _ in LENGTHS.values()), *SIZES.values(),
)  # fmt: skip
FIRM = Firm(
    seed=11,
    report_id="B-{n}",
    inspectors=("ÉL", "TM", "GJ", "HÖ"),
    regions=("Harbour", "Upper Fold", "Saint-Aubrey"),
    builders=("Böhmwald Timber", "Decks Océane", "Own work", "Pike & Façade"),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "Seen from below – ", "As the “before” photo shows: "),
)


def make(folder: Path) -> tuple[Export, str]:
    lines: list[Line] = []
    export = Export({FILE: lines})
    for visit in FIRM.visits(28, 4, 8):
        _in_centimeters(visit)
        lines += [_line(visit, row) for row in visit.rows]
        export.hide(FIRM, visit.client)
        if FIRM.dice.random() < 0.3:
            plant(export, FIRM, FIRM.dice.choice(lines[-3:]), "Remarks")
    _long_remarks(next(line for line in lines if line.truth[0]["topic"] == "ledger_flashing"))
    _spoil(lines, export)
    lines[40:40] = [noise(), noise(*HEADER)]
    lines[90:90] = [noise(*[""] * len(HEADER)), noise(*HEADER)]
    lines += [
        again(lines[5]),
        again(lines[61]),
        noise(),
        noise("Total", *[""] * 9, str(len(export.data())), *[""] * 18, "10.450,00", "", ""),
    ]
    write_delimited(folder / "export" / FILE, HEADER, lines, ";", "cp1252")
    return export, README


def _in_centimeters(visit: Visit) -> None:
    """What the tape said is the truth: a length read to a step, in centimeters."""
    for row in visit.rows:
        row["deck_height_in"] = in_inches(measured(visit.facts["deck_height_in"], "cm", "1"), "cm")
        for name, step in LENGTHS.values():
            if name in row:
                row[name] = in_inches(measured(row[name], "cm", step), "cm")


def _comma(inches: str, step: str) -> str:
    return plain(measured(inches, "cm", step)).replace(".", ",") if inches else ""


def _line(visit: Visit, row: Row) -> Line:
    dice, client = FIRM.dice, visit.client
    cells = {
        "No.": row["report_id"],
        "Visit": ordered(row["inspected_on"], "%d.%m.%Y"),
        "Insp.": row["inspector_id"],
        "District": row["region"],
        "Site": row["property_id"],
        "Year": row["deck_built_year"],
        "Year from": word(dice, BASES, row["deck_built_basis"]),
        "Builder": row["builder"],
        "Height (cm)": _comma(row["deck_height_in"], "1"),
        "House": word(dice, ATTACHED, row["ledger_attached"]),
        "Line": row["observation_no"],
        "Item": word(dice, TOPICS, row["topic"]),
        "Where": row.get("place", ""),
        "Result": word(dice, CALLS, row["call"]),
        "Why not": word(dice, REASONS, row.get("not_seen_reason", "")),
        "Gravity": word(dice, GRAVE, row.get("consequence", "")),
        "Remarks": row.get("comment", ""),
        "Action": row.get("recommendation", ""),
        "Photos": row.get("photo_count", ""),
        "Rust grade": word(dice, RUST, row.get("rust", "")),
        "Client": client.name,
        "Client’s address": client.street,
        "Phone": client.phone,
        "E-mail": client.mail,
        "Fee": dice.choice(("380,00", "410,50", "1.250,00")),
        "Paid": dice.choice(("y", "n")),
        "Rev.": "0",
    }
    cells |= {name: _comma(row.get(column, ""), step) for name, (column, step) in LENGTHS.items()}
    cells |= {name: row.get(column, "").replace("x", " x ") for name, column in SIZES.items()}
    return Line(cells, [row], report=row["report_id"], client=client)


def _long_remarks(line: Line) -> None:
    """Two lines, a semicolon, quotes and a half sign within one cell."""
    assert isinstance(line.cells, dict)
    text = "Flashing is ½ open; the “drip edge” was cut.\nSee the façade too."
    line.cells["Remarks"] = text.replace("\n", "\r\n")
    line.truth[0]["comment"] = text


def _spoil(lines: list[Line], export: Export) -> None:
    lines[17].refuse("Visit", "31.02.2023", "inspected_on", "there is no such day")
    lines[33].refuse("Visit", "ask the client, 555-0197", "inspected_on", "no date; and a phone number")
    lines[48].refuse("Item", "Chimney", "topic", "a word that is on no checklist of decks")
    lines[72].refuse("No.", "", "report_id", "blank")
    lines[85].refuse("Result", "siehe Foto", "call", "a word that means nothing")
    lines[101].refuse("Result", "??", "call", "a word that means nothing")
    lines[112].refuse("Rail height (cm)", "waist", "guard_height_in", "no number")
    export.private.add("555-0197")


README = f"""
# Brindlecote Home Inspection (invented): `export/{FILE}`

What a person of the firm knows. One row is one thing looked at. Windows-1252, semicolons, **decimal commas** (`9,5`
is nine and a half, and so is any comma here: `1,905` is 1.905). Every length is in **centimeters**.

| column | is |
|---|---|
| No. | report number |
| Visit | day of the inspection, **day.month.year** (the data prove it: there are days above 12) |
| Insp. | the inspector's initials |
| District | region |
| Site | our code of the property, no address (`property_id`) |
| Year, Year from | when the deck was built, and how we know |
| Builder | builder |
| Height (cm) | walking surface above grade |
| House | whether the deck hangs on the house (`ledger_attached`) |
| Line | number of the row within its report (`observation_no`) |
| Item, Where, Result, Why not, Gravity | topic, place, call, reason for not seeing, consequence |
| Remarks, Action | comment, recommendation |
| Photos | number of photos |
| {", ".join(LENGTHS)} | {", ".join(name for name, _ in LENGTHS.values())} |
| {", ".join(SIZES)} | {", ".join(SIZES.values())} |
| Rust grade | rust |
| Client, Client’s address, Phone, E-mail | **private**; the same also stands in some remarks, and must not be kept there |
| Fee, Paid, Rev. | of no use |

Words for topics (case does not matter, here and below):
{told(TOPICS)}

Words for calls:
{told(CALLS)}

Why not:
{told(REASONS)}

Gravity:
{told(GRAVE)}

Year from:
{told(BASES)}

House:
{told(ATTACHED)}

Rust grade:
{told(RUST)}

Not data: blank rows, the header again in the middle, and the row that begins with `Total`.
The same row twice is one row (it counts as unchanged).
To be refused: a day that does not exist or a visit that is no date, an item or a result that is not listed above, a row
without a report number, a height that is no number. One of the refused dates holds a phone number: not even the list of
refused rows may show it.
"""
