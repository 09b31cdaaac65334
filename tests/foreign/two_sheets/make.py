"""Pennywhistle & Grole: jobs in one sheet, findings in another; what is not mentioned was fine."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Any

import xlsxwriter
from export import Export, Line, again, noise, plant, told, word
from invented import Firm, Row, Visit

FILE = "pennywhistle_jobs.xlsx"
JOBS, FINDINGS = "Jobs", "Findings"
TOPICS = {
    "ledger_wall": ("Ledger substrate",),
    "ledger_flashing": ("Ledger water barrier",),
    "hanger_missing": ("Hangers absent",),
    "hanger_size": ("Hangers wrong size",),
    "hanger_corrosion": ("Hangers rusty", "Rusty hangers"),
    "joist_gap": ("Joist ends short",),
    "joist_notch": ("Joists cut",),
    "beam_on_post": ("Beam seat",),
    "post_base": ("Post feet",),
    "guard_height": ("Rail height",),
    "guard_opening": ("Rail openings",),
    "guard_movement": ("Rail loose",),
    "stair_riser": ("Stair steepness",),
    "handrail": ("Stair rail",),
}
#: Written down when it strikes the eye, not on the checklist: silence about it says nothing.
EXTRA = {"receptacle": ("Outlet",), "wood_decay": ("Rot",), "other": ("Misc.", "Miscellaneous")}
CALLS = {
    "written_up": ("D", "D+", "Deficiency"),
    "referred": ("E",),
    "advised": ("R", "Rec."),
    "not_seen": ("X",),
}
REASONS = {
    "low_clearance": ("crawl",),
    "skirting": ("skirted",),
    "snow_ice": ("snow",),
    "stored_items": ("storage",),
    "vegetation": ("plants",),
    "no_access": ("gate",),
}
MOVES = {"loose": ("wobbly",), "flexes": ("gives",), "firm": ("firm",)}
NUMBERS = {
    "gap": "joist_gap_in",
    "rail": "guard_height_in",
    "opening": "opening_in",
    "rise": "riser_max_in",
    "handrail": "handrail_height_in",
    "photos": "photo_count",
}
SIZES = {"joist": "joist_nominal", "hanger": "hanger_nominal"}
JOB_COLUMNS = ["Job", "On", "By", "County end", "Deck code", "Deck since", "Made by", "Deck height in.", "Ordered by"]
JOB_COLUMNS += ["Site address", "Mobile", "Mail", "Paid $"]
FINDING_COLUMNS = ["Finding", "Job no.", "Element", "Kind", "Why unseen", "Prio", "Where", "Text", "Advice", *NUMBERS]
FINDING_COLUMNS += [*SIZES, "push test", "last edit"]
RECORDED = (
    "report_id", "inspected_on", "inspector_id", "region", "deck_id", "deck_built_year", "builder",
    "deck_height_in", "observation_no", "topic", "place", "call", "not_seen_reason", "consequence", "comment",
    "recommendation", "guard_movement", *NUMBERS.values(), *SIZES.values(),
)  # fmt: skip
FIRM = Firm(
    seed=44,
    report_id="{n}",
    inspectors=("GR", "PW", "MB"),
    regions=("North end", "South end"),
    builders=("Alder & Alder", "homeowner", "Cobnut Carpenters"),
    topics=tuple(TOPICS) + tuple(EXTRA),
    columns=RECORDED,
    voice=("", "", "Client was told: ", "(again) "),
    calls={"written_up": 64, "referred": 10, "advised": 16, "not_seen": 10},
)
#: The joist's notch has no case of its own in cases.toml; no finding of it is made, so all of its passes are implied.
SILENT = "joist_notch"
BAD_DAY = "2022-13-05"
PRIORITY = {"1": "low", "2": "mid", "3": "now"}


def make(folder: Path) -> tuple[Export, str]:
    FIRM.topics = tuple(topic for topic in FIRM.topics if topic != SILENT)
    visits = FIRM.visits(30, 1, 5)
    for visit in visits[5::9]:
        visit.rows.clear()  # nothing was found: the job stands in its sheet alone
    lines: list[Line] = []
    export = Export({FILE: lines}, sheets={FILE: FINDINGS})
    number = 5000
    for visit in visits:
        for row in visit.rows:
            number += 1
            row["observation_no"] = str(number)
            lines.append(_line(visit, row))
        export.hide(FIRM, visit.client)
        if visit.rows and FIRM.dice.random() < 0.4:
            plant(export, FIRM, lines[-1], "Advice" if lines[-1].cells["Advice"] else "Text", _column(lines[-1]))  # type: ignore[call-overload]
    bad_job = visits[3].facts["report_id"]
    _spoil(lines, bad_job)
    mentioned = {(line.report, topic) for line in lines for topic in [_topic_of(line)]}
    export.added = [
        visit.facts | {"observation_no": f"implied {topic}", "topic": topic, "call": "passed"}
        for visit in visits
        if visit.facts["report_id"] != bad_job
        for topic in TOPICS
        if (visit.facts["report_id"], topic) not in mentioned
    ]
    export.more = {
        "implied_passes": len(export.added),
        "rows_of_the_sheet_of_reports": len(visits),
        "rejected_reports": [bad_job],
        "compare_without": ["observation_no of implied passes"],
    }
    lines.insert(20, again(lines[16]))
    lines += [noise(), noise("", "", "", f"{len(export.data())} findings")]
    (folder / "export").mkdir(parents=True, exist_ok=True)
    _write(folder / "export" / FILE, [_job(visit, bad_job) for visit in visits], lines)
    return export, README


def _column(line: Line) -> str:
    assert isinstance(line.cells, dict)
    return "recommendation" if line.cells["Advice"] else "comment"


def _topic_of(line: Line) -> str:
    """The topic that a line mentions, refused or not; blank where its word is unknown."""
    assert isinstance(line.cells, dict)
    return next((topic for topic, words in (TOPICS | EXTRA).items() if line.cells["Element"] in words), "")


def _line(visit: Visit, row: Row) -> Line:
    dice = FIRM.dice
    cells: dict[str, Any] = {
        "Finding": int(row["observation_no"]),
        "Job no.": row["report_id"],  # text here, a number in the sheet of jobs
        "Element": word(dice, TOPICS | EXTRA, row["topic"]),
        "Kind": word(dice, CALLS, row["call"]),
        "Why unseen": word(dice, REASONS, row.get("not_seen_reason", "")),
        "Prio": PRIORITY.get(row.get("consequence", ""), ""),
        "Where": row.get("place", ""),
        "Text": row.get("comment", ""),
        "Advice": row.get("recommendation", ""),
        "push test": word(dice, MOVES, row.get("guard_movement", "")),
        "last edit": "2025-09-30",
    }
    cells |= {name: float(row[column]) for name, column in NUMBERS.items() if column in row}
    cells |= {name: row.get(column, "").replace("x", "X") for name, column in SIZES.items()}
    return Line(cells, [row], report=row["report_id"], client=visit.client)


def _spoil(lines: list[Line], bad_job: str) -> None:
    for line in lines:
        if line.report == bad_job:
            line.blame("On", "inspected_on", "its job's day, in the sheet of jobs, does not exist", BAD_DAY)
    good = [line for line in lines if line.truth]
    # Not on the checklist: whose job is unknown cannot keep a pass from being implied there.
    off_list = [line for line in good if line.truth[0]["topic"] in EXTRA]
    off_list[2].refuse("Job no.", "", "report_id", "blank: nobody knows which job it is of")
    off_list[4].refuse("Job no.", "9999", "report_id", "no such job in the sheet of jobs")
    good = [line for line in lines if line.truth]
    good[30].refuse("Kind", "tbd", "call", "a word that means nothing")
    good[37].refuse("Element", "Garage door", "topic", "not an element of decks")


def _job(visit: Visit, bad_job: str) -> dict[str, Any]:
    facts, client = visit.facts, visit.client
    day: Any = datetime.fromisoformat(facts["inspected_on"])
    return {
        "Job": int(facts["report_id"]),
        "On": BAD_DAY if facts["report_id"] == bad_job else day,
        "By": facts["inspector_id"],
        "County end": facts["region"],
        "Deck code": facts["deck_id"],
        "Deck since": int(facts["deck_built_year"]),
        "Made by": facts["builder"],
        "Deck height in.": int(facts["deck_height_in"]),
        "Ordered by": client.name,
        "Site address": client.street,
        "Mobile": client.phone,
        "Mail": client.mail,
        "Paid $": 425,
    }


def _write(path: Path, jobs: list[dict[str, Any]], lines: list[Line]) -> None:
    with xlsxwriter.Workbook(path, {"default_date_format": "yyyy-mm-dd"}) as book:
        book.set_properties({"created": datetime(2025, 10, 1)})
        sheet = book.add_worksheet(JOBS)
        sheet.write_row(0, 0, JOB_COLUMNS)
        for at, job in enumerate(jobs, 1):
            sheet.write_row(at, 0, [job[name] for name in JOB_COLUMNS])
        sheet.write(len(jobs) + 2, 0, "jobs in all:")
        sheet.write(len(jobs) + 2, 1, len(jobs))
        sheet = book.add_worksheet(FINDINGS)
        sheet.write_row(0, 0, FINDING_COLUMNS)
        for at, line in enumerate(lines, 1):
            cells = line.cells
            row = [cells.get(name, "") for name in FINDING_COLUMNS] if isinstance(cells, dict) else cells
            for column, value in enumerate(row):
                if value != "":
                    sheet.write(at, column, value)


README = f"""
# Pennywhistle & Grole (invented): `export/{FILE}`

What a person of the firm knows. **Two sheets**: `{JOBS}`, one row a report; `{FINDINGS}`, one row a finding. `Job no.` of
a finding is `Job` of its job (a number in one sheet, text in the other).

**Passes are implied.** Only what is not right, or could not be seen, is written down. Every inspector works through the
checklist of {len(TOPICS)} elements below; an element of it that a job does not mention **passed**, without measures. A job
without any finding passed on all of them. What is not on the checklist ({", ".join(EXTRA)}) says nothing when it is not
mentioned. A finding that is refused was still no silence: no pass is implied for its element. A job that is refused has
no passes. In `expected.csv` the implied passes bear `implied …` as `observation_no`; how they are numbered is free.

Rows read are the findings; the {JOBS.lower()} are counted as `rows_of_the_sheet_of_reports`, the implied passes as
`implied_passes`: they are observations, no rows read.

| column of `{JOBS}` | is |
|---|---|
| Job | report number |
| On | day of the inspection |
| By | the inspector's initials |
| County end | region |
| Deck code | deck_id |
| Deck since, Made by, Deck height in. | year built, builder, height in inches |
| Ordered by, Site address, Mobile, Mail | **private**, also inside `Text` and `Advice` of the findings |
| Paid $ | of no use |

| column of `{FINDINGS}` | is |
|---|---|
| Finding | number of the row (`observation_no`) |
| Element, Kind, Why unseen | topic, call, reason for not seeing |
| Prio | consequence: `low` 1, `mid` 2, `now` 3 |
| Where, Text, Advice | place, comment, recommendation |
| {", ".join(NUMBERS)} | {", ".join(NUMBERS.values())}; lengths in inches |
| {", ".join(SIZES)} | {", ".join(SIZES.values())} |
| push test | guard_movement |
| last edit | of no use |

Element, on the checklist:
{told(TOPICS)}

Element, not on it:
{told(EXTRA)}

Kind:
{told(CALLS)}

Why unseen:
{told(REASONS)}

push test:
{told(MOVES)}

Not data: blank rows and the counts at the bottom of both sheets. The same row twice is one row (unchanged).
To be refused: a finding without a job number or of a job that is not there; all findings of the job whose day is
`{BAD_DAY}`, which gives no report at all; `Kind` `tbd`; an element not listed.
"""
