"""Wexcombe Tallis: JSON of another nesting, with groups of items between deck and finding."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from export import Export, Line, plant, told, word
from invented import MARK, Firm, Row, Visit, fraction

FILE = "wexcombe_tallis_2025-10.json"
#: Groups of the form, and their items; the item alone says the topic.
GROUPS = {
    "At the house": {
        "ledger_wall": ("ledger backing",),
        "ledger_fasteners": ("ledger screws",),
        "ledger_flashing": ("ledger weatherproofing",),
    },
    "Framing": {
        "hanger_size": ("hanger match",),
        "hanger_corrosion": ("hanger condition",),
        "joist_gap": ("joist seating", "joist seating (end)"),
        "joist_overhang": ("joist overhang",),
        "beam_span": ("girder",),
    },
    "Ground": {"post_base": ("post base",), "footing_depth": ("footing",)},
    "Safety": {
        "guard_height": ("guard",),
        "guard_opening": ("guard infill",),
        "guard_post": ("guard posts",),
        "stair_riser": ("steps",),
        "handrail": ("hand hold",),
    },
}
TOPICS = {topic: words for items in GROUPS.values() for topic, words in items.items()}
CALLS = {
    "passed": ("pass", "PASS"),
    "written_up": ("fail", "fail-critical", "fail-minor"),
    "referred": ("escalate",),
    "advised": ("note",),
    "not_seen": ("no-access",),
}
SEVERITY = {"1": 1, "2": 2, "3": 3}
OVER = {"band_joist": ("rim",), "sheathing": ("sheathing",), "concrete": ("concrete",)} | {
    "vinyl_or_metal_siding": ("siding",),
    "wood_siding": ("clapboard",),
    "brick_veneer": ("brick facing",),
    "stone_veneer": ("stone facing",),
}
RUST = {"none": ("clean",), "surface": ("bloom",), "pitting": ("pitted",), "section_loss": ("lost section",)}
#: The firm's key under "sizes", and the contract's column.
SIZES = {
    "gap": "joist_gap_in",
    "overhang": "overhang_in",
    "girderSpan": "beam_span_in",
    "depth": "footing_depth_in",
    "drop": "drop_in",
    "guard": "guard_height_in",
    "infill": "opening_in",
    "rise": "riser_max_in",
    "hold": "handrail_height_in",
    "spacing": "ledger_fastener_spacing_in",
}
LUMBER = {"joist": "joist_nominal", "hanger": "hanger_nominal", "girder": "beam"}
KINDS = {"backing": ("ledger_over", OVER), "rust": ("rust", RUST)}
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "property_id", "deck_id", "deck_built_year", "builder",
    "deck_height_in", "ledger_attached", "observation_no", "topic", "place", "call", "consequence", "comment",
    "recommendation", "photo_count", *SIZES.values(), *LUMBER.values(), *(name for name, _ in KINDS.values()),
)  # fmt: skip
FIRM = Firm(
    seed=66,
    report_id="WT-{year}-{n}",
    inspectors=("k.o", "f.y", "b.u"),
    regions=("Inner ring", "Outer ring"),
    builders=("Plover Outdoor", "n/k", "Brothers Eddish"),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "Inspector's view: ", "Photo 1 - "),
    phone="+1-555-555-01{n:02}",
    n_sites=25,
)
#: The same number as people write it in a sentence.
OTHER_PHONE = "(555) 555 {last}"


def make(folder: Path) -> tuple[Export, str]:
    visits = FIRM.visits(24, 3, 9)
    lines, export = [], Export({FILE: []}, first_row=1, more={"compare_without": ["observation_no"]})
    by_job: list[list[Line]] = []
    for visit in visits:
        by_job.append([_line(visit, row) for row in visit.rows])
        lines += by_job[-1]
        export.hide(FIRM, visit.client)
        if FIRM.dice.random() < 0.4:
            plant(export, FIRM, by_job[-1][-1], "seen")
    export.lines[FILE] = lines
    _other_way(lines[21], export)
    _spoil(by_job)
    jobs = [_job(visit, own) for visit, own in zip(visits, by_job, strict=True)]
    jobs.append(jobs[4])
    repeats = [Line(dict(line.cells), kind="repeat", report=line.report) for line in by_job[4]]  # type: ignore[arg-type]
    lines += repeats
    places = {id(line): at for at, own in enumerate([*by_job, repeats], 1) for line in own}
    export.more["rejected"] = [
        {"file": FILE, "row": places[id(line)], "report": line.report} | fault
        for line in lines
        for fault in line.faults
    ]
    text = {"producer": {"who": "Wexcombe Tallis", "at": "2025-10-02T08:00:00Z"}, "count": len(jobs), "jobs": jobs}
    (folder / "export").mkdir(parents=True, exist_ok=True)
    (folder / "export" / FILE).write_text(json.dumps(text, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return export, README


def _line(visit: Visit, row: Row) -> Line:
    dice = FIRM.dice
    sizes: dict[str, Any] = {key: fraction(row[column]) for key, column in SIZES.items() if column in row}
    sizes |= {key: row[column] for key, column in LUMBER.items() if column in row}
    sizes |= {key: word(dice, words, row[column]) for key, (column, words) in KINDS.items() if column in row}
    cells = {
        "what": word(dice, TOPICS, row["topic"]),
        "state": word(dice, CALLS, row["call"]),
        "severity": SEVERITY.get(row.get("consequence", "")),
        "spot": row.get("place"),
        "seen": row.get("comment", ""),
        "do": row.get("recommendation", ""),
        "sizes": sizes,
        "pictures": int(row["photo_count"]) if "photo_count" in row else None,
        "uid": f"{dice.getrandbits(32):08x}",
    }
    return Line(cells, [row], report=row["report_id"], client=visit.client)


def _other_way(line: Line, export: Export) -> None:
    """A phone number written another way than in its own field."""
    assert isinstance(line.cells, dict)
    assert line.client is not None
    number = OTHER_PHONE.format(last=line.client.phone[-4:])
    line.cells["seen"] = (line.cells["seen"] + f" Owner answers at {number}.").strip()
    line.truth[0]["comment"] = (line.truth[0].get("comment", "") + f" Owner answers at {MARK}.").strip()
    export.private.add(number)


def _spoil(by_job: list[list[Line]]) -> None:
    for line in by_job[2]:
        line.blame("visit.when", "inspected_on", "there is no such day", "2022-11-31T10:00:00")
    for line in by_job[9]:
        line.blame("ref", "report_id", "null", "")
    by_job[6][1].refuse("what", "gutter", "topic", "not an item of decks")
    by_job[12][0].refuse("state", "pending", "call", "a word that means nothing")
    by_job[15][-1].refuse("severity", 9, "consequence", "beyond 3")


def _job(visit: Visit, lines: list[Line]) -> dict[str, Any]:
    facts, client, dice = visit.facts, visit.client, FIRM.dice
    when = f"{facts['inspected_on']}T{dice.randint(8, 16):02}:30:00"
    faults = {fault["column"]: fault["value"] for line in lines for fault in line.faults}
    return {
        "ref": None if "ref" in faults else facts["report_id"],
        "visit": {"when": faults.get("visit.when", when), "zone": facts["region"], "minutes": dice.randint(90, 200)},
        "people": {
            "inspector": {"code": facts["inspector_id"], "badge": dice.randint(100, 999)},
            "client": {"fullName": client.name, "reach": {"phone": client.phone, "mail": client.mail}},
        },
        "place": {"code": facts["property_id"], "line1": client.street},
        "structures": [
            {
                "tag": facts["deck_id"],
                "facts": {
                    "builtIn": int(facts["deck_built_year"]),
                    "builtBy": facts["builder"],
                    "above": {"value": int(facts["deck_height_in"]), "unit": "in"},
                    "hung": facts["ledger_attached"] == "true",
                },
                "groups": _groups(lines),
            }
        ],
    }


def _groups(lines: list[Line]) -> list[dict[str, Any]]:
    """The items under their groups, in the form's order; a strange item stands in the first group there is."""
    found: dict[str, list[dict[str, Any]]] = {}
    for line in lines:
        assert isinstance(line.cells, dict)
        what = line.cells["what"]
        own = (name for name, items in GROUPS.items() if any(what in words for words in items.values()))
        items = found.setdefault(next(own, "Framing"), [])
        items.append({key: value for key, value in line.cells.items() if value not in (None, "", {}) or key == "do"})
    return [{"name": name, "items": items} for name, items in found.items()]


README = f"""
# Wexcombe Tallis (invented): `export/{FILE}`

What a person of the firm knows. One object with some words about the export, then `jobs`: one a report. A job has
`structures` (its decks), a structure `groups`, a group `items`; **an item is a finding**, and counts as a row. In
`rejected`, `row` is the number of the job, from 1.

| path | is |
|---|---|
| producer, count | about the export; not data |
| jobs[].ref | report number |
| jobs[].visit.when | day and hour of the inspection |
| jobs[].visit.zone | region |
| jobs[].visit.minutes, jobs[].people.inspector.badge | of no use |
| jobs[].people.inspector.code | inspector |
| jobs[].people.client.fullName, .reach.phone, .reach.mail | **private**, also inside `seen`; once the phone is written another way there |
| jobs[].place.code | property_id |
| jobs[].place.line1 | the address, **private** |
| …structures[].tag | deck_id |
| …structures[].facts.builtIn, builtBy, hung | year built, builder, ledger attached |
| …structures[].facts.above.value | deck height; `above.unit` is always `in` |
| …groups[].name | a heading of the form; the item alone says the topic |
| …items[].what, state | topic, call |
| …items[].severity | consequence, 1 to 3 |
| …items[].spot, seen, do, pictures | place, comment, recommendation, photos |
| …items[].uid | of no use |
{"".join(f"| …items[].sizes.{key} | {column} |{chr(10)}" for key, column in (SIZES | LUMBER).items())}| …items[].sizes.backing, sizes.rust | ledger_over, rust |

Lengths are inches, as text with fractions (`1-1/2`). Items bear no number (`observation_no`): any that is unique in the
report will do.

what:
{told(TOPICS)}

state:
{told(CALLS)}

sizes.backing:
{told(OVER)}

sizes.rust:
{told(RUST)}

The last job is a job that stands there already, once more: its items are unchanged.
To be refused: all items of the job without `ref` and of the job whose day does not exist; a `what` or `state` that is not
listed; a severity of 9.
"""
