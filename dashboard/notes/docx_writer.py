"""A note or a case pack as DOCX, to be edited: real heading styles, real tables, a picture with its words."""

from __future__ import annotations

import io
import zipfile
from datetime import UTC
from typing import Any

from docx import Document
from docx.enum.style import WD_STYLE_TYPE
from docx.enum.table import WD_TABLE_ALIGNMENT
from docx.enum.text import WD_ALIGN_PARAGRAPH
from docx.image.image import Image
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Emu, Inches, Length, Pt, RGBColor, Twips
from docx.text.paragraph import Paragraph

from dashboard import labels
from dashboard.charts import theme
from dashboard.notes import pictures
from dashboard.notes.model import Answer, CasePack, Note, Picture, Question

_SANS, _SERIF = "Calibri", "Georgia"
_PAGE = (Inches(8.5), Inches(11))
_SIDE, _TOP, _BOTTOM = Inches(0.8), Inches(0.55), Inches(0.5)
_ROOM = Emu(_PAGE[0] - 2 * _SIDE)
_PICTURE_HEIGHT = Inches(2.0)
#: Of a picture so many pixels of the screen go on an inch, where it need not be smaller.
_PX_PER_IN = 96
_NUMBER, _BOXES, _BOX = Inches(0.45), Inches(1.15), "☐"
_GLYPH_COLORS = {
    "overcalled": theme.LIGHT.overcalled_text,
    "missed": theme.LIGHT.missed_text,
    "understated": theme.LIGHT.missed_text,
}
#: The oldest day that a zip file can hold stands for "no day": the note's own day is in its properties.
_NO_DAY = (1980, 1, 1, 0, 0, 0)


def write(told: Note | CasePack) -> bytes:
    """The note or the pack as DOCX, dated as the snapshot."""
    document = Document()
    _set_page(document)
    _set_styles(document.styles)
    _set_properties(document.core_properties, told)
    document.add_paragraph(told.kicker, style="Small")
    document.add_heading(told.title, 1)
    if isinstance(told, Note):
        _note(document, told)
    else:
        _cases_to_call(document, told)
        _answers(document, told)
    _last_words(document, told)
    return _same_bytes(document)


def _note(document: Any, note: Note) -> None:
    _seen(document, note)
    _rule(document, note)
    if note.picture:
        _picture(document, note.picture)
    document.add_heading(note.habit_heading, 2)
    _habit(document, note)
    _cases(document, note)


# ---- page, styles, properties ----------------------------------------------------------------------------------------


def _set_page(document: Any) -> None:
    section = document.sections[0]
    section.page_width, section.page_height = _PAGE
    section.left_margin = section.right_margin = _SIDE
    section.top_margin, section.bottom_margin = _TOP, _BOTTOM


def _set_styles(styles: Any) -> None:
    _style(styles["Normal"], _SANS, 10.5, theme.LIGHT.ink, after=2)
    _style(styles["Heading 1"], _SERIF, 20, theme.LIGHT.ink, after=5, before=2, bold=True)
    _style(styles["Heading 2"], _SERIF, 12, theme.LIGHT.ink, after=2, before=8, bold=True)
    _style(_new(styles, "Answer"), _SERIF, 12, theme.LIGHT.ink, after=2)
    _style(_new(styles, "Small"), _SANS, 9, theme.LIGHT.soft, after=2)
    _style(_new(styles, "Cautions"), _SANS, 8, theme.LIGHT.soft, after=2)
    habit = _new(styles, "Habit")
    _style(habit, _SANS, 11.5, theme.LIGHT.ink, after=2)
    small = _new(styles, "Habit, small")
    _style(small, _SANS, 9, theme.LIGHT.soft, after=2)
    for style in (habit, small):
        style.paragraph_format.left_indent = Inches(0.15)
        _border(style.element.get_or_add_pPr(), "left", theme.LIGHT.accent, eighths=24, space=6)
    _border(styles["Cautions"].element.get_or_add_pPr(), "top", theme.LIGHT.rule, eighths=4, space=4)


def _new(styles: Any, name: str) -> Any:
    style = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH)
    style.base_style = styles["Normal"]
    return style


def _style(
    style: Any, family: str, size: float, color: str, after: float, before: float = 0, bold: bool = False
) -> None:
    style.font.name, style.font.size, style.font.bold = family, Pt(size), bold
    style.font.color.rgb = _color(color)
    # A theme's font would stand before the one that is named.
    fonts = style.element.get_or_add_rPr().get_or_add_rFonts()
    for kind in ("ascii", "hAnsi", "cs", "eastAsia"):
        fonts.attrib.pop(qn(f"w:{kind}Theme"), None)
        fonts.set(qn(f"w:{kind}"), family)
    layout = style.paragraph_format
    layout.space_before, layout.space_after, layout.line_spacing = Pt(before), Pt(after), 1.05


def _border(properties: Any, side: str, color: str, eighths: int, space: int) -> None:
    borders = OxmlElement("w:pBdr")
    line = OxmlElement(f"w:{side}")
    for name, value in (("val", "single"), ("sz", eighths), ("space", space), ("color", color.lstrip("#"))):
        line.set(qn(f"w:{name}"), str(value))
    borders.append(line)
    # The schema asks for an order, and python-docx knows it for what it adds itself.
    properties.insert_element_before(
        borders, "w:shd", "w:tabs", "w:suppressAutoHyphens", "w:spacing", "w:ind", "w:jc", "w:outlineLvl", "w:rPr"
    )


def _color(name: str) -> RGBColor:
    return RGBColor.from_string(name.lstrip("#"))


def _set_properties(properties: Any, note: Note | CasePack) -> None:
    made = note.made_at.replace(tzinfo=UTC)
    properties.title, properties.subject, properties.author = note.title, note.kicker, labels.PRODUCT
    properties.last_modified_by, properties.comments, properties.language = labels.PRODUCT, note.origin, "en-US"
    properties.created = properties.modified = made


# ---- content ---------------------------------------------------------------------------------------------------------


def _seen(document: Any, note: Note) -> None:
    paragraph = document.add_paragraph(style="Answer")
    for part in note.seen:
        paragraph.add_run(part.text).bold = part.strong or None


def _glyph(paragraph: Paragraph, glyph: str, outcome: str) -> None:
    paragraph.add_run(f"{glyph} ").font.color.rgb = _color(_GLYPH_COLORS.get(outcome, theme.LIGHT.ink))


def _rule(document: Any, told: Note | CasePack) -> None:
    document.add_heading(told.rule_heading, 2)
    document.add_paragraph(told.rule)
    document.add_paragraph(told.source, style="Small")


def _picture(document: Any, picture: Picture) -> None:
    document.add_heading(picture.heading, 2)
    paragraph = document.add_paragraph()
    paragraph.paragraph_format.keep_with_next = True
    drawn = pictures.png(picture)
    shown = paragraph.add_run().add_picture(io.BytesIO(drawn))
    natural = Inches(Image.from_blob(drawn).px_width / pictures.PNG_SCALE / _PX_PER_IN)
    largest = min(_ROOM / shown.width, _PICTURE_HEIGHT / shown.height, natural / shown.width)
    shown.width, shown.height = Emu(int(shown.width * largest)), Emu(int(shown.height * largest))
    shown._inline.docPr.set("descr", picture.says)
    document.add_paragraph(picture.caption, style="Small")
    if picture.table:
        _table(document, picture.table, picture.caption)


def _table(document: Any, rows: tuple[tuple[str, ...], ...], says: str) -> None:
    table = document.add_table(len(rows), len(rows[0]))
    table.alignment, table.autofit = WD_TABLE_ALIGNMENT.LEFT, False
    first = Inches(1.6)
    rest = Twips((_ROOM - first) // Twips(1) // (len(rows[0]) - 1))
    for row, texts in zip(table.rows, rows, strict=True):
        for at, (cell, text) in enumerate(zip(row.cells, texts, strict=True)):
            cell.width = rest if at else first
            paragraph = cell.paragraphs[0]
            paragraph.add_run(text).font.color.rgb = _color(theme.LIGHT.ink if at else theme.LIGHT.soft)
            paragraph.alignment = WD_ALIGN_PARAGRAPH.RIGHT if at else WD_ALIGN_PARAGRAPH.LEFT
    for column, width in zip(table.columns, [first] + [rest] * (len(rows[0]) - 1), strict=True):
        column.width = width
    head = table.rows[0]._tr.get_or_add_trPr()
    head.append(OxmlElement("w:tblHeader"))
    # The alternative text of a table; the schema has it last.
    told = OxmlElement("w:tblDescription")
    told.set(qn("w:val"), says)
    table._tbl.tblPr.append(told)


def _habit(document: Any, note: Note) -> None:
    document.add_paragraph(note.habit, style="Habit")
    if note.record:
        document.add_paragraph(note.record, style="Habit, small")


def _cases(document: Any, note: Note) -> None:
    if not note.cases:
        return
    document.add_heading(note.cases_heading, 2)
    for case in note.cases:
        paragraph: Paragraph = document.add_paragraph()
        paragraph.paragraph_format.keep_with_next = True
        _glyph(paragraph, case.glyph, case.outcome_id)
        paragraph.add_run(case.heading).bold = True
        if case.comment:
            paragraph.add_run(f" {case.comment}")
        document.add_paragraph(case.why, style="Small")


def _cases_to_call(document: Any, pack: CasePack) -> None:
    """What to do, what to fill in, and a row a case: its number, what was recorded, the boxes to tick."""
    document.add_paragraph(pack.how)
    to_fill = document.add_paragraph(style="Small")
    to_fill.paragraph_format.space_before = to_fill.paragraph_format.space_after = Pt(8)
    for number, label in enumerate(pack.fields):
        to_fill.add_run(f"{'   ' if number else ''}{label} ")
        to_fill.add_run("\t").underline = True
        to_fill.paragraph_format.tab_stops.add_tab_stop(Inches(2.6 * (number + 1)))
    table = _rows(document, len(pack.questions), (_NUMBER, Emu(_ROOM - _NUMBER - _BOXES), _BOXES))
    for row, question in zip(table.rows, pack.questions, strict=True):
        number, case, boxes = row.cells
        number.paragraphs[0].add_run(question.number).bold = True
        _question(case, question, pack.more)
        for place, call in enumerate(pack.boxes):
            (boxes.add_paragraph() if place else boxes.paragraphs[0]).add_run(f"{_BOX} {call}")


def _question(cell: Any, question: Question, more: str) -> None:
    paragraph = cell.paragraphs[0]
    for place, (name, value) in enumerate(question.recorded):
        if place:
            paragraph.add_run().add_break()
        paragraph.add_run(f"{name}: ").font.color.rgb = _color(theme.LIGHT.soft)
        paragraph.add_run(value).bold = True
    cell.add_paragraph(question.sentence)
    line = cell.add_paragraph(f"{more} ", style="Small")
    line.add_run("\t").underline = True
    line.add_run(f" {question.code}")
    line.paragraph_format.tab_stops.add_tab_stop(Inches(4))
    line.paragraph_format.space_before = Pt(6)


def _answers(document: Any, pack: CasePack) -> None:
    document.add_heading(pack.answers_heading, 1).paragraph_format.page_break_before = True
    document.add_paragraph(pack.drawn, style="Small")
    _rule(document, pack)
    table = _rows(document, len(pack.answers), (_NUMBER, Emu(_ROOM - _NUMBER)))
    for row, answer in zip(table.rows, pack.answers, strict=True):
        row.cells[0].paragraphs[0].add_run(answer.number).bold = True
        _answer(row.cells[1], answer)
    document.add_heading(pack.habit_heading, 2)
    document.add_paragraph(pack.habit, style="Habit")


def _answer(cell: Any, answer: Answer) -> None:
    paragraph = cell.paragraphs[0]
    if answer.glyph:
        _glyph(paragraph, answer.glyph, answer.outcome_id)
    paragraph.add_run(answer.verdict).bold = True
    paragraph.add_run(f" {answer.called}")
    cell.add_paragraph(answer.why)
    if answer.source:
        cell.add_paragraph(answer.source, style="Small")


def _rows(document: Any, number: int, widths: tuple[Length, ...]) -> Any:
    """A table with a thin line above each row, no row of it torn apart by a page's end."""
    table = document.add_table(number, len(widths))
    table.alignment, table.autofit = WD_TABLE_ALIGNMENT.LEFT, False
    for row in table.rows:
        row._tr.get_or_add_trPr().append(OxmlElement("w:cantSplit"))
        for cell, width in zip(row.cells, widths, strict=True):
            cell.width = width
    for column, width in zip(table.columns, widths, strict=True):
        column.width = width
    properties = table._tbl.tblPr
    borders = OxmlElement("w:tblBorders")
    for side in ("top", "bottom", "insideH"):
        line = OxmlElement(f"w:{side}")
        for name, value in (("val", "single"), ("sz", 4), ("space", 0), ("color", theme.LIGHT.rule.lstrip("#"))):
            line.set(qn(f"w:{name}"), str(value))
        borders.append(line)
    margins = OxmlElement("w:tblCellMar")
    for side in ("top", "bottom"):
        room = OxmlElement(f"w:{side}")
        room.set(qn("w:w"), str(Pt(4).twips))
        room.set(qn("w:type"), "dxa")
        margins.append(room)
    # The schema asks for an order: borders stand before the layout, margins after it.
    properties.insert_element_before(borders, "w:shd", "w:tblLayout", "w:tblCellMar", "w:tblLook")
    properties.insert_element_before(margins, "w:tblLook")
    return table


def _last_words(document: Any, note: Note | CasePack) -> None:
    document.add_paragraph(note.judged, style="Small").paragraph_format.space_before = Pt(6)
    document.add_paragraph(note.cautions, style="Cautions")
    document.add_paragraph(note.origin, style="Small")


def _same_bytes(document: Any) -> bytes:
    """The file with no clock in it, so that the same note is the same file."""
    saved, made = io.BytesIO(), io.BytesIO()
    document.save(saved)
    with zipfile.ZipFile(saved) as parts, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as kept:
        for name in parts.namelist():
            entry = zipfile.ZipInfo(name, _NO_DAY)
            entry.compress_type = zipfile.ZIP_DEFLATED
            kept.writestr(entry, parts.read(name))
    return made.getvalue()
