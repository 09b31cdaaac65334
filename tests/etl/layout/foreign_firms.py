"""Small foreign files of invented firms, and the review that a person would make of what is suggested for them."""

from __future__ import annotations

import io
import json
from datetime import date

import openpyxl


def _saved(book: openpyxl.Workbook) -> bytes:
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


def titled_sheet() -> bytes:
    """A title, a fact, a blank row, bands over merged labels, each report merged over its two rows, and a total."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["A1"] = "Quorn Deck Checks, export of findings"
    sheet.merge_cells("A1:H1")
    sheet["A2"], sheet["B2"] = "Office:", "North"
    for area, text in {"A4:C4": "Visit", "D4:E4": "Hanger", "F4:H4": "What was found"}.items():
        sheet[area.split(":")[0]] = text
        sheet.merge_cells(area)
    labels = ["Job #", "Day", "Insp.", "Joist size", "Hanger size", "Component", "Rating", "Remarks"]
    for column, label in zip("ABCDEFGH", labels, strict=True):
        sheet[f"{column}5"] = label
    for report in range(3):
        for k, (topic, rating) in enumerate([("Hanger size", "Deficient"), ("Joist gap", "Satisfactory")]):
            row = 6 + 2 * report + k
            cells = [None if k else 100 + report, date(2026, 3, 4), "AB", "38x235", "2x8", topic, rating, "seen"]
            for column, cell in zip("ABCDEFGH", cells, strict=True):
                sheet[f"{column}{row}"] = cell
        sheet.merge_cells(f"A{6 + 2 * report}:A{7 + 2 * report}")
    sheet["A13"] = "Total rows: 6"
    return _saved(book)


def two_sheets() -> bytes:
    """Jobs with a client in one sheet, items in the other; an item of a job that is not there."""
    book = openpyxl.Workbook()
    jobs, items = book.active, book.create_sheet("Items")
    jobs.title = "Jobs"
    jobs.append(["Job No", "Inspected", "Surveyor", "Branch", "Client", "Deck height (ft)"])
    items.append(["Job No", "Seq", "Checklist item", "Outcome", "Gap (mm)", "Notes"])
    for job in range(3):
        jobs.append([f"J{job}", date(2026, 1, 5 + job), "KM", "South", "Ada Fenwick", "7'-6\""])
        items.append([f"J{job}", 1, "Joist gap", "Fail", 8, "Fenwick was told, call 614-555-0142"])
        items.append([f"J{job}", 2, "Guard height", "Pass", None, None])
        items.append([f"J{job}", 3, "Rot", "N/A", None, None])
    items.append(["J9", 1, "Rot", "Pass", None, "no job"])
    return _saved(book)


def wide_table() -> bytes:
    """A column a topic, with semicolons and decimal commas in Windows-1252."""
    lines = ["Report;Date;Inspector;County;Guard ht (cm);Guards - result;Balusters;Balusters notes"]
    lines += ["A1;14.03.2026;AB;Tallow;91,5;OK;Defect;Lücke zu weit", "A2;15.03.2026;AB;Tallow;;;OK;"]
    return ("\n".join(line.replace("Guards - result", "Guard height result") for line in lines) + "\n").encode("cp1252")


def nested_documents() -> str:
    """Reports within a wrapper, with the measures as named values."""
    gap = {"name": "joist gap", "value": 8, "unit": "mm"}
    entry = {"rating": "fail", "text": "gap at the end", "measurements": [gap]}
    reports = [
        {
            "report no": f"I{number}",
            "when": {"date": f"2026-02-0{number}"},
            "inspector": {"code": "ZZ"},
            "district": "West",
            "areas": [{"component": "joist gap", "entries": [entry]}],
        }
        for number in (1, 2)
    ]
    return json.dumps({"made": "2026-03-01", "inspections": reports})
