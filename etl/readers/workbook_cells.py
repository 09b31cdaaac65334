"""What the reader of workbooks passes over in silence: error cells, and formulas that were saved without a value.

The library gives both as empty cells. Left blank they would count as "not recorded"; they are found here in the
sheet's own XML and read as the text that the sheet holds (``#DIV/0!``, ``=1/8``), so that the check can refuse them.
"""

from __future__ import annotations

import posixpath
import re
import zipfile
from xml.etree import ElementTree

from etl.errors import SourceError

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
#: More such cells are no slip: the workbook was never calculated, or is broken throughout.
MOST_HIDDEN = 100_000
_CELL = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")


def hidden_texts(packed: zipfile.ZipFile, sheet: str) -> dict[tuple[int, int], str]:
    """The texts of error cells and of formulas without a value, by row and column from 0.

    Parameters
    ----------
    packed
        The opened workbook.
    sheet
        The sheet's name.

    Raises
    ------
    SourceError
        Where there are more of them than could be a slip.
    """
    path = _paths(packed).get(sheet)
    if path is None:
        return {}
    with packed.open(path) as file:
        if not any(mark in file.read() for mark in (b'"e"', b"'e'", b"<f", b":f>", b":f ")):
            return {}
    found: dict[tuple[int, int], str] = {}
    with packed.open(path) as file:
        for _, element in ElementTree.iterparse(file):
            if element.tag.endswith("}c"):
                text = _text(element)
                match = _CELL.fullmatch(element.get("r", ""))
                if len(found) == MOST_HIDDEN:
                    raise SourceError(
                        f"it has over {MOST_HIDDEN:,} cells with an error, or a formula without its value; "
                        "save it again from the spreadsheet program, or save the sheet as CSV"
                    )
                if text and match:
                    found[int(match[2]) - 1, _column(match[1])] = text
                element.clear()
    return found


def _text(cell: ElementTree.Element) -> str | None:
    value, formula = (next((part for part in cell if part.tag.endswith(f"}}{name}")), None) for name in "vf")
    if cell.get("t") == "e":
        return value.text if value is not None and value.text else "#ERROR"
    # A formula whose result is an empty text is of type str; it is blank indeed.
    if formula is not None and (value is None or not value.text) and cell.get("t") != "str":
        return f"={formula.text or ''}"
    return None


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number - 1


def _paths(packed: zipfile.ZipFile) -> dict[str, str]:
    """Where each sheet lies in the workbook, by its name."""
    relations = ElementTree.fromstring(packed.read("xl/_rels/workbook.xml.rels"))
    targets = {each.get("Id"): each.get("Target", "") for each in relations}
    book = ElementTree.fromstring(packed.read("xl/workbook.xml"))
    return {
        sheet.get("name", ""): _within(targets.get(sheet.get(_RELATION), ""))
        for sheet in book.iter(f"{_MAIN}sheet")
        if targets.get(sheet.get(_RELATION))
    }


def _within(target: str) -> str:
    return target.lstrip("/") if target.startswith("/") else posixpath.normpath(f"xl/{target}")
