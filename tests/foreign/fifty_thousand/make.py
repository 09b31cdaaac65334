"""Great Quillon Inspection Group: 50,000 rows, made when a test needs them.

    python tests/foreign/fifty_thousand/make.py FOLDER

writes ``FOLDER/export/great_quillon.csv`` and ``FOLDER/expected.csv``, the same bytes each time. With the option
``--record`` it also writes ``expected.json`` and ``README.md`` beside itself, which are kept.
"""

from __future__ import annotations

import sys
from datetime import date
from decimal import Decimal
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))
from export import Export, Line, again, noise, plant, told, word, write_delimited
from invented import CASES, Firm, Row, Visit, ordered, plain

HERE = Path(__file__).parent
FILE = "great_quillon.csv"
N_ROWS = 50_000
TOPICS = {
    topic: (topic.replace("_", " ").upper(), f"Deck - {topic.replace('_', ' ')}") for topic in CASES if topic != "other"
}
TOPICS["other"] = ("OTHER", "Deck - general")
CALLS = {
    "passed": ("Inspected", "Inspected - OK", "INSP"),
    "written_up": ("Deficient", "Deficient - repair", "DEF"),
    "referred": ("Deficient - specialist",),
    "advised": ("Maintenance", "Upgrade"),
    "not_seen": ("Not Inspected", "NI"),
}
MEASURES = {
    "GapIn": "joist_gap_in",
    "JoistSize": "joist_nominal",
    "HangerSize": "hanger_nominal",
    "RailIn": "guard_height_in",
    "OpeningIn": "opening_in",
    "RiserIn": "riser_max_in",
    "TreadIn": "tread_min_in",
    "EmptyHoles": "holes_empty",
}
HEADER = [
    "OrderId", "InspectionDate", "InspectorCode", "Branch", "PropertyCode", "DeckKey", "YearBuilt", "Builder",
    "DeckHeightFt", "LineId", "Component", "Status", "Location", "Narrative", "Recommendation", "Severity", "Photos",
    "Checked", "Affected", *MEASURES, "ClientName", "ClientPhone", "ClientEmail", "SiteStreet", "AgentFee", "SyncedAt",
]  # fmt: skip
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "property_id", "deck_id", "deck_built_year", "builder",
    "deck_height_in", "observation_no", "topic", "place", "call", "consequence", "comment", "recommendation",
    "photo_count", "checked", "affected", *MEASURES.values(),
)  # fmt: skip
FIRM = Firm(
    seed=1010,
    report_id="Q{n}",
    inspectors=tuple(f"I{n:02}" for n in range(1, 25)),
    regions=("Amberside", "Dry Fork", "Kettle Bay", "Longmoor", "Pell Hills"),
    builders=tuple(f"{name} Decks" for name in ("Cinder", "Dapple", "Ember", "Flint", "Gable", "Hazel Run", "Ivory")),
    topics=tuple(TOPICS),
    columns=RECORDED,
    voice=("", "", "", "At inspection: ", "See photos. "),
    phone="555-01{n:02}",
    first=date(2019, 1, 2),
    days=2400,
    n_sites=3000,
)


def make(folder: Path) -> tuple[Export, str]:
    lines = [_line(visit, row) for visit in FIRM.visits(5000, 10, 16) for row in visit.rows][: N_ROWS - 40]
    export = Export({FILE: lines})
    for client in FIRM.clients:
        export.hide(FIRM, client)
    for line in lines[7::97]:
        plant(export, FIRM, line, "Narrative")
    _spoil(lines)
    lines += [again(line) for line in lines[100:20_000:500]]
    assert len(export.data()) == N_ROWS
    lines[25_000:25_000] = [noise(*HEADER)]
    lines.append(noise("TOTAL", str(N_ROWS), *[""] * (len(HEADER) - 2)))
    write_delimited(folder / "export" / FILE, HEADER, lines)
    return export, README


def _line(visit: Visit, row: Row) -> Line:
    dice, client = FIRM.dice, visit.client
    row["deck_height_in"] = plain(Decimal(round(int(visit.facts["deck_height_in"]) / 3)) * 3)
    cells = {
        "OrderId": row["report_id"],
        "InspectionDate": ordered(row["inspected_on"], "%m/%d/%Y"),
        "InspectorCode": row["inspector_id"],
        "Branch": row["region"],
        "PropertyCode": row["property_id"],
        "DeckKey": row["deck_id"],
        "YearBuilt": row["deck_built_year"],
        "Builder": row["builder"],
        "DeckHeightFt": plain(Decimal(row["deck_height_in"]) / 12),
        "LineId": row["observation_no"],
        "Component": word(dice, TOPICS, row["topic"]),
        "Status": word(dice, CALLS, row["call"]),
        "Location": row.get("place", ""),
        "Narrative": row.get("comment", ""),
        "Recommendation": row.get("recommendation", ""),
        "Severity": row.get("consequence", ""),
        "Photos": row.get("photo_count", ""),
        "Checked": row.get("checked", ""),
        "Affected": row.get("affected", ""),
        "ClientName": client.name,
        "ClientPhone": client.phone,
        "ClientEmail": client.mail,
        "SiteStreet": client.street,
        "AgentFee": "0.00",
        "SyncedAt": "2025-10-01T00:00:00Z",
    }
    cells |= {name: row.get(column, "") for name, column in MEASURES.items()}
    return Line(cells, [row], report=row["report_id"], client=client)


def _spoil(lines: list[Line]) -> None:
    for at in range(250, 30_000, 5_000):
        lines[at].refuse("InspectionDate", "13/32/2024", "inspected_on", "there is no such day")
        lines[at + 1_001].refuse("Status", "See Narrative", "call", "a word that means nothing")
        lines[at + 2_002].refuse("Component", "Attic", "topic", "not a component of decks")
        lines[at + 3_003].refuse("OrderId", "", "report_id", "blank")


README = f"""
# Great Quillon Inspection Group (invented): 50,000 rows, made by `make.py`

`python make.py FOLDER` writes `FOLDER/export/{FILE}` and `FOLDER/expected.csv`, the same bytes each time; both are too
large to keep. `expected.json` is kept. **Budget: with a reviewed layout, reading and turning these {N_ROWS:,} rows into rows of
the contract takes 5 seconds at most on two cores.**

What a person of the firm knows. One row is one thing looked at.

| column | is |
|---|---|
| OrderId, LineId | report number, number of the row within it |
| InspectionDate | **month/day/year** (the data prove it) |
| InspectorCode, Branch, PropertyCode, DeckKey | inspector, region, property_id, deck_id |
| YearBuilt, Builder | year built, builder |
| DeckHeightFt | walking surface above grade, **feet** |
| Component, Status | topic, call |
| Location, Narrative, Recommendation | place, comment, recommendation |
| Severity, Photos, Checked, Affected | consequence, photos, how many checked, how many affected |
| {", ".join(MEASURES)} | {", ".join(MEASURES.values())}; lengths in inches |
| ClientName, ClientPhone, ClientEmail, SiteStreet | **private**, also inside `Narrative` |
| AgentFee, SyncedAt | of no use |

Component:
{told(TOPICS)}

Status:
{told(CALLS)}

Not data: the header again in the middle, the row `TOTAL`. The same row twice is one row (unchanged).
To be refused: days that do not exist, a component or status not listed, no order.
"""

if __name__ == "__main__":
    target = Path(sys.argv[1])
    target.mkdir(parents=True, exist_ok=True)
    made, readme = make(target)
    made.write_expected(target)
    if "--record" in sys.argv:
        made.write_counts(HERE)
        (HERE / "README.md").write_text(readme.strip() + "\n", encoding="utf-8")
