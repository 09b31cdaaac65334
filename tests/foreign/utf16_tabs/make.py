"""Ottermere Property Checks: UTF-16, tabs, codes instead of words, one region, two rows that contradict each other."""

from __future__ import annotations

from pathlib import Path

from export import Export, Line, again, noise, plant, told, word, write_delimited
from invented import Firm, Row, Visit, fraction

FILE = "OTTERMERE_ITEMS.tsv"
TOPICS = {
    "ledger_fasteners": ("L1",),
    "ledger_flashing": ("L2",),
    "lateral_ties": ("L3",),
    "hanger_missing": ("H1",),
    "hanger_size": ("H2",),
    "hanger_fastener_kind": ("H3",),
    "joist_bearing": ("J1",),
    "joist_overhang": ("J2",),
    "deck_boards": ("J3",),
    "beam_on_post": ("B1",),
    "guard_height": ("G1",),
    "guard_post": ("G2",),
    "stair_riser_spread": ("S1",),
    "handrail_grip": ("S2",),
    "overhead_wires": ("X1",),
    "other": ("X9", "X8"),
}
CALLS = {"passed": ("0",), "advised": ("1",), "written_up": ("2", "3", "4"), "referred": ("7",), "not_seen": ("9",)}
#: The same column says how grave a write-up is.
GRAVE = {"1": "2", "2": "3", "3": "4"}
FASTENERS = {
    "common_nail": ("CN",),
    "structural_screw": ("SS",),
    "drywall_screw": ("DW", "dw"),
    "deck_screw": ("DS",),
    "roofing_nail": ("RN",),
    "gun_nail": ("GN",),
}
SHAPES = {"round": ("O",), "shaped": ("S",), "flat_2x6": ("=6",), "flat_2x4": ("=4",)}
SUPPORTS = {"post_cap": ("cap",), "notched_with_bearing": ("notch",), "side_nailed": ("side, nails",)} | {
    "on_post_loose": ("loose",),
    "side_bolted": ("side, bolts",),
}
FIXINGS = {"bolts": ("bolts",), "hold_down": ("HD",), "nails": ("nails",), "deck_screws": ("DS",)}
YES = {"true": ("✓",), "false": ("✗",)}
LENGTHS = {
    "Bearing ″": "bearing_length_in",
    "Overhang ″": "overhang_in",
    "Drop ″": "drop_in",
    "Guard ″": "guard_height_in",
    "Rise max ″": "riser_max_in",
    "Rise min ″": "riser_min_in",
    "Wire ″": "wire_above_deck_in",
}
SIZES = {"Joist": "joist_nominal", "Hanger": "hanger_nominal"}
CODED = {
    "Fstnr": ("fastener_kind", FASTENERS),
    "Grip": ("handrail_shape", SHAPES),
    "Beam/post": ("beam_support", SUPPORTS),
    "Rail posts": ("guard_post_fixing", FIXINGS),
    "Tied back": ("guard_post_tied_back", YES),
}
HEADER = [
    "RPT", "WHEN", "WHO", "PARCEL", "STRUCT", "YR", "BLDR", "ITEM NO", "CODE", "STATUS", "LOC", "TEXT", "DO", "PIX",
    "SEEN", "BAD", *LENGTHS, *SIZES, *CODED, "OWNER NAME", "OWNER TEL", "AGENT MAIL", "BATCH",
]  # fmt: skip
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "property_id", "deck_id", "deck_built_year", "builder",
    "observation_no", "topic", "place", "call", "consequence", "comment", "recommendation", "photo_count",
    "checked", "affected", *LENGTHS.values(), *SIZES.values(), *(name for name, _ in CODED.values()),
)  # fmt: skip
FIRM = Firm(
    seed=22,
    report_id="{n}/{year}",
    inspectors=("07", "11", "12"),
    regions=("Dunmarrow",),
    builders=("Hobbleton & Sons", "Unlisted", "Tern Carpentry"),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "NOTE: ", "pls. see: "),
    phone="+1 555 555 01{n:02}",
    holds=("name", "phone", "mail"),
)


def make(folder: Path) -> tuple[Export, str]:
    lines: list[Line] = []
    export = Export({FILE: lines})
    for visit in FIRM.visits(22, 4, 8):
        lines += [_line(visit, row) for row in visit.rows]
        export.hide(FIRM, visit.client)
        export.private.add(visit.client.name.upper())
        if FIRM.dice.random() < 0.35:
            plant(export, FIRM, FIRM.dice.choice(lines[-3:]), "TEXT")
    _tab_in_text(lines[12])
    _spoil(lines, export)
    contradicting = _contradict(lines[66])
    lines[70:70] = [contradicting, again(lines[8])]
    lines[50:50] = [noise(*HEADER)]
    lines += [noise(), noise("END OF EXPORT", f"{len(export.data())} items")]
    write_delimited(folder / "export" / FILE, HEADER, lines, "\t", "utf-16")
    return export, README


def _line(visit: Visit, row: Row) -> Line:
    dice, client = FIRM.dice, visit.client
    status = GRAVE[row.get("consequence", "2")] if row["call"] == "written_up" else word(dice, CALLS, row["call"])
    cells = {
        "RPT": row["report_id"],
        "WHEN": f"{row['inspected_on']} {dice.randint(8, 16):02}:{dice.choice(('00', '15', '40'))}",
        "WHO": row["inspector_id"],
        "PARCEL": row["property_id"],
        "STRUCT": row["deck_id"],
        "YR": row["deck_built_year"],
        "BLDR": row["builder"],
        "ITEM NO": row["observation_no"],
        "CODE": word(dice, TOPICS, row["topic"]),
        "STATUS": status,
        "LOC": row.get("place", ""),
        "TEXT": row.get("comment", ""),
        "DO": row.get("recommendation", ""),
        "PIX": row.get("photo_count", ""),
        "SEEN": row.get("checked", ""),
        "BAD": row.get("affected", ""),
        "OWNER NAME": client.name.upper(),
        "OWNER TEL": client.phone,
        "AGENT MAIL": client.mail,
        "BATCH": "0031",
    }
    cells |= {name: fraction(row[column], " ") + "″" for name, column in LENGTHS.items() if column in row}
    cells |= {name: row.get(column, "").replace("x", "×") for name, column in SIZES.items()}
    cells |= {name: word(dice, words, row.get(column, "")) for name, (column, words) in CODED.items()}
    return Line(cells, [row], report=row["report_id"], client=client)


def _tab_in_text(line: Line) -> None:
    assert isinstance(line.cells, dict)
    line.cells["TEXT"] = line.truth[0]["comment"] = "left\tright: both ends the same (½ done)"


def _spoil(lines: list[Line], export: Export) -> None:
    lines[9].refuse("RPT", "", "report_id", "blank")
    lines[21].refuse("WHEN", "2023-02-30 10:15", "inspected_on", "there is no such day")
    lines[37].refuse("CODE", "Q4", "topic", "a code that is not in use")
    lines[58].refuse("STATUS", "5", "call", "a code that means nothing")
    plant(export, FIRM, lines[58], "TEXT")


def _contradict(line: Line) -> Line:
    """The number of a row given twice, to rows that say different things: neither can be trusted."""
    assert isinstance(line.cells, dict)
    other = Line(dict(line.cells), [dict(line.truth[0])], report=line.report)
    assert isinstance(other.cells, dict)
    other.cells["LOC"] = "garage side"
    for each in (line, other):
        each.blame("ITEM NO", "observation_no", "the same number twice in a report, on rows that differ")
    return other


README = f"""
# Ottermere Property Checks (invented): `export/{FILE}`

What a person of the firm knows. One row is one thing looked at. UTF-16 with a byte order mark, tabs between cells.
Everything is in codes; the sheet that explains them hangs on the office wall. The firm works in one region only:
**`Dunmarrow`** for every row.

| column | is |
|---|---|
| RPT | report number |
| WHEN | day and hour of the inspection, year-month-day |
| WHO | the inspector's number, as text (`07` is not `7`) |
| PARCEL, STRUCT | code of the property, of the deck (`property_id`, `deck_id`) |
| YR, BLDR | year built, builder |
| ITEM NO | number of the row within its report |
| CODE | topic |
| STATUS | call, and of write-ups the consequence |
| LOC, TEXT, DO | place, comment, recommendation |
| PIX, SEEN, BAD | photos, how many were checked, how many of them affected |
| {", ".join(LENGTHS)} | {", ".join(LENGTHS.values())}, in inches with an inch mark |
| {", ".join(SIZES)} | {", ".join(SIZES.values())} |
| {", ".join(CODED)} | {", ".join(name for name, _ in CODED.values())} |
| OWNER NAME, OWNER TEL, AGENT MAIL | **private**, in texts too. The name is in capitals in its column and in ordinary letters in texts |
| BATCH | of no use |

CODE:
{told(TOPICS)}

STATUS is a call:
{told(CALLS)}

and the consequence of a write-up: `2` is 1 (minor), `3` is 2 (needs repair), `4` is 3 (safety); other codes have none.

Fstnr:
{told(FASTENERS)}

Grip:
{told(SHAPES)}

Beam/post:
{told(SUPPORTS)}

Rail posts:
{told(FIXINGS)}

Tied back:
{told(YES)}

Not data: the header again in the middle, the blank row, the row `END OF EXPORT`.
The same row twice is one row (unchanged). Where two rows of a report bear the same ITEM NO and differ, both are to be
refused. To be refused as well: no report number, a day that does not exist, a CODE or STATUS that is not listed.
"""
