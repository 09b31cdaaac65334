"""Mistlewade Building Checks: every inspector writes lengths in another unit, often within one column."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

from export import Export, Line, again, noise, plant, told, word, write_delimited
from invented import Firm, Row, Visit, feet_and_inches, fraction, in_inches, measured, ordered, plain

FILE = "mistlewade.csv"
TOPICS = {
    "ledger_fasteners": ("Ledger: fixings",),
    "hanger_size": ("Hanger: size",),
    "joist_gap": ("Joist: end gap",),
    "joist_bearing": ("Joist: bearing",),
    "joist_span": ("Joist: span",),
    "joist_overhang": ("Joist: overhang",),
    "beam_span": ("Beam: span",),
    "post_height": ("Post: height",),
    "footing_depth": ("Footing: depth",),
    "guard_height": ("Guard: height",),
    "guard_opening": ("Guard: gaps",),
    "stair_riser": ("Stair: riser",),
    "stair_tread": ("Stair: going",),
}
CALLS = {
    "passed": ("pass", "p"),
    "written_up": ("defect", "d", "defect (photo)"),
    "referred": ("refer on",),
    "advised": ("recommend",),
    "not_seen": ("hidden", "buried"),
}
FOOTINGS = {"concrete_pier": ("sonotube",), "block_on_grade": ("deck block",), "pad_on_grade": ("slab",)}
#: The dressed size in millimeters of each nominal one (PS 20: 1 1/2 x 9 1/4 in is a 2x10).
DRESSED = {"2x6": "38x140", "2x8": "38x184", "2x10": "38x235", "2x12": "38x286"} | {"4x4": "89x89", "6x6": "140x140"}
#: Columns whose cells bear their own unit, and the ways in which they are written.
FREE = {
    "Deck ht": ("deck_height_in", ("7'-6\"", "ft", "cm", "in")),
    "Gap": ("joist_gap_in", ("3/8", '3/8"', "sign", "mm")),
    "Bearing": ("bearing_length_in", ("3/8", '3/8"', "mm", "cm")),
    "Post ht": ("post_height_in", ("7'-6\"", "ft in", "mm")),
    "Footing depth": ("footing_depth_in", ("ft", '3/8"', "cm")),
    "Guard gap": ("opening_in", ("3/8", "sign", "cm", "mm")),
    "Drop": ("drop_in", ("7'-6\"", "ft in", "cm")),
}
#: Columns with the unit in the header; a unit in the cell stands above it.
FIXED = {
    "Guard [cm]": ("guard_height_in", "cm"),
    "Riser [mm]": ("riser_max_in", "mm"),
    "Going [mm]": ("tread_min_in", "mm"),
}
#: What the pair Length, Unit means, by the item.
LENGTH = {
    "joist_span": "joist_span_in",
    "joist_overhang": "overhang_in",
    "beam_span": "beam_span_in",
    "ledger_fasteners": "ledger_fastener_spacing_in",
}
SPELLED = {"in": ("in", "inch"), "ft": ("ft", "feet"), "mm": ("mm",), "cm": ("cm",)}
LUMBER = {"Joist": "joist_nominal", "Hanger for": "hanger_nominal", "Beam": "beam", "Post": "post_nominal"}
SIGNS = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜"}
HEADER = ["Report", "Day", "Who", "Side of county", "Site", "Built", "Nr", "Item", "Finding", "Spacing of joists", *FREE,
          *FIXED, "Length", "Unit", *LUMBER, "Footing", "Note", "Then", "Customer", "Street", "Cell"]  # fmt: skip
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "property_id", "deck_built_year", "deck_height_in",
    "observation_no", "topic", "call", "comment", "recommendation", "joist_spacing_in", "footing_kind",
    *(name for name, _ in FREE.values()), *(name for name, _ in FIXED.values()), *LENGTH.values(), *LUMBER.values(),
)  # fmt: skip
FIRM = Firm(
    seed=99,
    report_id="{year}.{n}",
    inspectors=("one", "two", "three"),
    regions=("East", "West"),
    builders=("",),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "Measured twice. "),
    phone="555-01{n:02}",
    holds=("name", "street", "phone"),
    calls={"passed": 48, "written_up": 38, "referred": 4, "advised": 6, "not_seen": 4},
)


def make(folder: Path) -> tuple[Export, str]:
    lines: list[Line] = []
    export = Export({FILE: lines})
    for visit in FIRM.visits(15, 5, 8):
        height = _free(visit.facts["deck_height_in"], FREE["Deck ht"][1])
        lines += [_line(visit, row, height) for row in visit.rows]
        export.hide(FIRM, visit.client)
        if FIRM.dice.random() < 0.3:
            plant(export, FIRM, lines[-1], "Note")
    _spoil(lines)
    lines += [noise(), noise("n =", str(len(export.data())))]
    lines.insert(50, again(lines[45]))
    write_delimited(folder / "export" / FILE, HEADER, lines)
    return export, README


def _line(visit: Visit, row: Row, height: tuple[str, str]) -> Line:
    dice, client = FIRM.dice, visit.client
    for column in set(LENGTH.values()) & set(row):
        if LENGTH.get(row["topic"]) != column:
            del row[column]
    cells = {
        "Report": row["report_id"],
        "Day": ordered(row["inspected_on"], "%d-%b-%Y"),
        "Who": row["inspector_id"],
        "Side of county": row["region"],
        "Site": row["property_id"],
        "Built": row["deck_built_year"],
        "Nr": row["observation_no"],
        "Item": word(dice, TOPICS, row["topic"]),
        "Finding": word(dice, CALLS, row["call"]),
        "Spacing of joists": f'{row["joist_spacing_in"]}" o.c.' if "joist_spacing_in" in row else "",
        "Footing": word(dice, FOOTINGS, row.get("footing_kind", "")),
        "Note": row.get("comment", ""),
        "Then": row.get("recommendation", ""),
        "Customer": client.name,
        "Street": client.street,
        "Cell": client.phone,
    }
    for name, (column, ways) in FREE.items():
        if column in row:
            cells[name], row[column] = height if column == "deck_height_in" else _free(row[column], ways)
    for name, (column, unit) in FIXED.items():
        if column in row:
            cells[name], row[column] = _fixed(row[column], unit)
    if row["topic"] in LENGTH and LENGTH[row["topic"]] in row:
        column = LENGTH[row["topic"]]
        cells["Length"], cells["Unit"], row[column] = _with_unit(row[column])
    cells |= {name: _size(row[column]) for name, column in LUMBER.items() if column in row}
    return Line(cells, [row], report=row["report_id"], client=client)


def _free(inches: str, ways: tuple[str, ...]) -> tuple[str, str]:
    """A length as some inspector writes it, and what that is in inches."""
    way = FIRM.dice.choice(ways)
    match way:
        case "7'-6\"":
            return feet_and_inches(inches), inches
        case "ft in":
            feet, rest = divmod(Decimal(inches), 12)
            return f"{feet} ft {plain(rest)} in", inches
        case "ft":
            number = measured(inches, "ft", "0.25")
            return plain(number) + FIRM.dice.choice((" ft", "'")), in_inches(number, "ft")
        case "sign":
            return _signed(inches) + '"', inches
        case "3/8" | '3/8"' | "in":
            mark = {"3/8": "", '3/8"': '"', "in": " in"}[way]
            return fraction(inches, FIRM.dice.choice("- ")) + mark, inches
        case _:
            number = measured(inches, way, "1" if way == "mm" else "0.1")
            return f"{plain(number)}{FIRM.dice.choice(('', ' '))}{way}", in_inches(number, way)


def _signed(inches: str) -> str:
    """Inches with a sign for the fraction where there is one, ``4½``."""
    whole, _, rest = fraction(inches, "+").rpartition("+")
    return whole + SIGNS[rest] if rest in SIGNS else fraction(inches, " ")


def _fixed(inches: str, unit: str) -> tuple[str, str]:
    """A number in the header's unit; now and then somebody writes inches all the same, and says so."""
    if FIRM.dice.random() < 0.25:
        return fraction(inches) + '"', inches
    number = measured(inches, unit, "1" if unit == "mm" else "0.5")
    return plain(number), in_inches(number, unit)


def _with_unit(inches: str) -> tuple[str, str, str]:
    unit = FIRM.dice.choice(list(SPELLED))
    number = measured(inches, unit, {"in": "0.5", "ft": "0.25", "mm": "1", "cm": "0.5"}[unit])
    return plain(number), FIRM.dice.choice(SPELLED[unit]), in_inches(number, unit)


def _size(nominal: str) -> str:
    """A size as called at the lumber yard or as dressed in millimeters, of a beam with the number of its plies."""
    dice = FIRM.dice
    plies, _, size = nominal.rpartition("-")
    shown = dice.choice((size, size.replace("x", " x "), size.replace("x", "×"), DRESSED[size], DRESSED[size]))
    return f"{dice.choice((f'{plies}-', f'({plies}) '))}{shown}" if plies else shown


def _spoil(lines: list[Line]) -> None:
    lines[4].refuse("Day", "31-Apr-2024", "inspected_on", "there is no such day")
    lines[13].refuse("Report", "", "report_id", "blank")
    lines[22].refuse("Item", "Furnace", "topic", "not an item of decks")
    lines[31].refuse("Finding", "!!", "call", "a word that means nothing")
    for at, (name, value, column, why) in enumerate(
        (
            ("Guard [cm]", "waist high", "guard_height_in", "no number"),
            ("Deck ht", "12 hands", "deck_height_in", "no unit of ours"),
            ("Joist", "38x300", "joist_nominal", "no size of lumber that we know"),
            ("Gap", "3/0", "joist_gap_in", "no number"),
        )
    ):
        lines[40 + 8 * at].refuse(name, value, column, why)


README = f"""
# Mistlewade Building Checks (invented): `export/{FILE}`

What a person of the firm knows. One row is one thing looked at. **Units differ from cell to cell.** Each inspector
writes as used to:

- feet and inches: `7'-6"`, `7 ft 6 in`, `7.5 ft`, `7.5'`
- inches: `90 in`, `3/8`, `3/8"`, `1-1/2"`, `1 1/2`, `⅜"`, `4½"`
- metric: `9.5 mm`, `10mm`, `228.6cm`. An inch is 25.4 mm
- a **bare** number or fraction (`3/8`, `1-1/2`) is in inches, but for columns with a unit in their header
- **a unit in the cell stands above the unit in the header**: `7-3/4"` in `Riser [mm]` is inches
- lumber: `2x10`, `2 x 10`, `2×10`, or dressed in millimeters: {", ".join(f"`{mm}` is a {nominal}" for nominal, mm in DRESSED.items())}
- beams: plies and size, `2-2x10`, `(2) 2x10`, `2-38x235`, `(2) 38x235`: all are `2-2x10`

| column | is |
|---|---|
| Report | report number |
| Day | day of the inspection, `14-May-2024` |
| Who, Side of county, Site, Built | inspector, region, property_id, year built |
| Nr | number of the row within its report |
| Item, Finding | topic, call |
| Spacing of joists | joist_spacing_in, inches on center (`16" o.c.`) |
| {", ".join(FREE)} | {", ".join(column for column, _ in FREE.values())}; unit in the cell, else inches |
| {", ".join(FIXED)} | {", ".join(column for column, _ in FIXED.values())}; unit in the header, else as the cell says |
| Length, Unit | a number and its unit (`in`, `inch`, `ft`, `feet`, `mm`, `cm`), of **what the item asks for**: {", ".join(f"{column} with {topic}" for topic, column in LENGTH.items())} |
| {", ".join(LUMBER)} | {", ".join(LUMBER.values())} |
| Footing | footing_kind |
| Note, Then | comment, recommendation |
| Customer, Street, Cell | **private**, also inside `Note` |

Item:
{told(TOPICS)}

Finding:
{told(CALLS)}

Footing:
{told(FOOTINGS)}

Not data: the blank row, the row `n =`. The same row twice is one row (unchanged).
To be refused: `31-Apr-2024`, no report number, an item or finding not listed, and lengths or sizes that are none:
`waist high`, `12 hands`, `38x300`, `3/0`. In `expected.csv` lengths are inches to six decimals.
"""
