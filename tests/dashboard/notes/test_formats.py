"""The four formats say the same, figure by figure what the tables say, and take text from reports as text alone."""

from __future__ import annotations

import base64
import io
import re
import zipfile
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import docx
import pypdf
import pytest
from docx.oxml.ns import qn
from docx.shared import Inches
from fontTools import ttLib

from dashboard import labels, notes
from dashboard.filters import Filters
from dashboard.measures.summary import summary
from dashboard.measures.tables import table
from dashboard.notes import fonts, pdf_writer
from dashboard.warehouse import Snapshot
from etl.load import load
from tests.dashboard import firms
from tests.dashboard.builders import Firm
from tests.dashboard.notes.readers import plain, words_of

Publish = Callable[[Firm], Snapshot]
Several = list[tuple[notes.Note, dict[str, bytes]]]
SUFFIXES = list(notes.FORMATS)
ONE_DOWN = "hanger_size:2x10-joist-in-2x8-hanger"
SAMPLE_REPORTS = Path(__file__).parents[3] / "sample_warehouse" / "reports"
#: Text that would run, fetch or lay out something in one of the formats, were it not taken as text.
MARKUP = (
    '<script>alert(1)</script> <img src=x> #evil[markup] #read("x") $x$ **b** _i_ `c` :red[no] [go](x) {{ 7*7 }} & \\'
)


@pytest.fixture(scope="module")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Snapshot]:
    """The small sample reports, loaded as a user loads them."""
    folder = tmp_path_factory.mktemp("sample")
    load([str(SAMPLE_REPORTS)], folder)
    with Snapshot.open(folder) as snapshot:
        yield snapshot


def figures(text: str) -> list[str]:
    """The figures of a text in their order, sizes of lumber left out."""
    return re.findall(r"(?<![\dx.])\d[\d,]*(?:\.\d+)?(?![\dx])", text.replace("\u00a0", " "))


# ---- the same in each ------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def several(sample: Snapshot) -> Several:
    """Notes on a topic with a table, a topic of passed-over defects, and a kind; each in all formats."""
    kind = notes.kinds(sample)["pattern_id"].iloc[-1]
    some = [{"topic": "hanger_size"}, {"topic": "joist_gap"}, {"pattern": kind}]
    found = [notes.note_on(sample, **about) for about in some]
    return [(note, {suffix: notes.render(note, suffix) for suffix in SUFFIXES}) for note in found]


def test_every_format_has_every_sentence_in_the_same_order(several: Several) -> None:
    for note, files in several:
        for suffix, content in files.items():
            text, at = words_of(suffix, content), 0
            for sentence in map(plain, note.texts()):
                found = text.find(sentence, at)
                assert found >= 0, (note.title, suffix, sentence)
                at = found + len(sentence)


def test_a_writer_adds_no_word(several: Several) -> None:
    note, files = several[0]
    assert note.picture is not None
    known = [*note.texts(), *(case.glyph for case in note.cases), *(cell for row in note.picture.table for cell in row)]
    for suffix in (".docx", ".md"):
        left = words_of(suffix, files[suffix]).replace(plain(note.picture.says), "")
        for text in sorted(map(plain, known), key=len, reverse=True):
            left = left.replace(text, "", 1)
        assert re.sub(r"[-:|]", "", left) == "", suffix


def test_the_table_stands_in_every_format(several: Several) -> None:
    note, files = several[0]
    assert note.picture is not None
    assert len(note.picture.table) == 2
    for suffix, content in files.items():
        text = words_of(suffix, content)
        assert all(plain(cell) in text for row in note.picture.table for cell in row), suffix


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_the_same_snapshot_gives_the_same_file_byte_by_byte(published: Publish, suffix: str) -> None:
    firm = firms.one_size_down()
    first, second = (notes.render(notes.note_on(published(firm), topic="hanger_size"), suffix) for _ in range(2))
    assert first == second


# ---- figures ---------------------------------------------------------------------------------------------------------


def expected_of_kind(row: Any) -> list[str]:
    """The figures of a kind of write-up in the order in which its note tells them, from its row of the table."""
    none_holds = row.overcalled == row.judged
    judged = [row.written_up] if row.judged == row.written_up else [row.judged, row.written_up]
    rate = [labels.percent(row.share), labels.interval(row.share_low, row.share_high)]
    if none_holds:  # the rate is then of those that hold
        rate = [labels.percent(1 - row.share), labels.interval(1 - row.share_high, 1 - row.share_low)]
    all_of_them = row.inspectors_overcalled == row.inspectors
    people = [row.inspectors] if all_of_them else [row.inspectors_overcalled, row.inspectors]
    told = [*judged, *([] if none_holds else [row.overcalled]), *(rate if row.judged >= 20 else []), *people]
    return figures(" ".join(str(figure) for figure in told))


def test_the_figures_of_a_kind_are_those_of_its_row(sample: Snapshot) -> None:
    rows = table(sample, "patterns")
    passed = set(table(sample, "misses").query("missed + understated > 0")["pattern_id"])
    rows = rows[(rows["overcalled"] > 0) & ~rows["pattern_id"].isin(passed)].head(4)
    assert len(rows) >= 3
    for row in rows.itertuples():
        note = notes.note_on(sample, pattern=row.pattern_id)
        assert figures(note.sentence.plain) == expected_of_kind(row), row.pattern_id


def test_the_figures_of_passed_over_defects_are_those_of_their_row(published: Publish) -> None:
    kind = {"recorded": "gap 1/2 in or more"}
    firm = Firm().many(3, "joist_gap", "passed", "defect", **kind).many(2, "joist_gap", "advised", "defect", **kind)
    firm.many(2, "joist_gap", "passed", "acceptable", **kind).many(1, "joist_gap", "passed", "cannot_tell", **kind)
    snapshot = published(firm)
    row = table(snapshot, "misses").iloc[0]
    assert list(row[["trials", "judged", "missed", "understated"]]) == [8, 7, 3, 2]
    assert plain(notes.note_on(snapshot, pattern=row["pattern_id"]).sentence.plain) == plain(
        "Recorded 8 times without a write-up, 7 of these judged; in 5 a defect was passed over: "
        "3 with no defect noted, 2 only advised upon."
    )


@pytest.mark.parametrize(
    ("call", "told"),
    [
        ("passed", "Recorded once without a write-up, and judged; a defect was passed over, with no defect noted."),
        ("advised", "Recorded once without a write-up, and judged; a defect was passed over, only advised upon."),
    ],
)
def test_of_one_defect_passed_over_no_part_is_told_that_is_nothing(published: Publish, call: str, told: str) -> None:
    firm = Firm().note("joist_gap", call, "defect", recorded="gap 1/2 in or more")
    note = notes.note_on(published(firm), pattern="joist_gap:gap-1-2-in-or-more")
    assert plain(note.sentence.plain) == plain(told)


def test_the_figures_of_a_topic_are_those_of_the_summary(sample: Snapshot) -> None:
    for topic in ("hanger_corrosion", "joist_gap"):
        found = summary(sample, Filters(topics=(topic,)))
        told = set(figures(notes.note_on(sample, topic=topic).sentence.plain))
        counts = [found.written_up, found.judged_write_ups.count, found.judged_passes.count, found.judged_passes.of]
        wrong = [found.overcalled.count, found.wrong_passes.count, found.missed, found.understated]
        assert {labels.count(figure) for figure in [*counts, *(each for each in wrong if each)]} <= told


# ---- text from reports -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_markup_in_a_comment_is_shown_as_it_was_written(published: Publish, suffix: str) -> None:
    firm = Firm().note("hanger_size", "written_up", "acceptable", comment=MARKUP, recorded="2x10 joist in 2x8 hanger")
    note = notes.note_on(published(firm), topic="hanger_size")
    assert note.cases[0].comment == f"“{MARKUP}”"
    assert plain(MARKUP) in words_of(suffix, notes.render(note, suffix))


@pytest.mark.parametrize("suffix", SUFFIXES)
@pytest.mark.parametrize("text", ["a\x00b\x0bc\ufffed", "\u202egnol si ti\u202c", "x" * 5000, "\U0001f9f0 ½ ⅜ ″"])
def test_odd_text_breaks_no_format(published: Publish, suffix: str, text: str) -> None:
    firm = Firm().note("joist_gap", "passed", "defect", comment=text, recorded="gap 1/2 in or more", joist_gap_in=0.5)
    content = notes.render(notes.note_on(published(firm), topic="joist_gap"), suffix)
    assert plain("The habit.") in words_of(suffix, content)


def test_hostile_names_are_in_no_format(published: Publish) -> None:
    note = notes.note_on(published(firms.hostile()), pattern=ONE_DOWN)
    for suffix in SUFFIXES:
        assert "HYPERLINK" not in words_of(suffix, notes.render(note, suffix)), suffix


# ---- each format -----------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def note(several: Several) -> notes.Note:
    return several[0][0]


@pytest.fixture(scope="module")
def files(several: Several) -> dict[str, bytes]:
    return several[0][1]


def structure(element: Any) -> Iterator[Any]:
    """Every element of a PDF's structure tree."""
    found = element.get_object()
    if isinstance(found, pypdf.generic.DictionaryObject):
        yield found
        kids = found.get("/K", [])
        for kid in kids if isinstance(kids, list) else [kids]:
            yield from structure(kid)


def test_the_pdf_is_tagged_titled_and_dated(note: notes.Note, files: dict[str, bytes]) -> None:
    made = pypdf.PdfReader(io.BytesIO(files[".pdf"]))
    root = made.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    assert made.metadata is not None
    assert made.metadata.title == note.title
    assert made.metadata.creation_date is not None
    assert made.metadata.creation_date.replace(tzinfo=None) == note.made_at.replace(microsecond=0)
    assert "pdfuaid:part" in root["/Metadata"].get_data().decode()


def test_the_pdf_has_headings_a_table_and_the_words_of_its_picture(note: notes.Note, files: dict[str, bytes]) -> None:
    assert note.picture is not None
    made = pypdf.PdfReader(io.BytesIO(files[".pdf"]))
    elements = list(structure(made.trailer["/Root"]["/StructTreeRoot"]))
    kinds = [str(element.get("/S", "")) for element in elements]
    assert kinds.count("/H1") == 1
    assert kinds.count("/H2") == 4
    assert {"/Table", "/TH", "/TD", "/P"} <= set(kinds)
    assert note.picture.says in [element.get("/Alt") for element in elements]


def test_a_note_is_one_letter_page_with_its_fonts_in_it(several: Several) -> None:
    for note, files in several:
        pages = pypdf.PdfReader(io.BytesIO(files[".pdf"])).pages
        assert len(pages) == 1, note.title
        assert (pages[0].mediabox.width, pages[0].mediabox.height) == (612, 792)
        fonts = [font.get_object() for font in pages[0]["/Resources"]["/Font"].values()]
        inner = [font["/DescendantFonts"][0].get_object()["/FontDescriptor"] for font in fonts]
        assert all({"/FontFile2", "/FontFile3"} & set(descriptor) for descriptor in inner)


def test_the_docx_has_real_headings_a_real_table_and_the_words_of_its_picture(
    note: notes.Note, files: dict[str, bytes]
) -> None:
    assert note.picture is not None
    made = docx.Document(io.BytesIO(files[".docx"]))
    headings = [(each.style.name, each.text) for each in made.paragraphs if each.style.name.startswith("Heading")]
    assert headings[0] == ("Heading 1", note.title)
    inner = [note.rule_heading, note.picture.heading, note.habit_heading, note.cases_heading]
    assert headings[1:] == [("Heading 2", text) for text in inner]
    assert made.tables[0].rows[0]._tr.trPr.find(qn("w:tblHeader")) is not None
    assert made.inline_shapes[0]._inline.docPr.get("descr") == note.picture.says
    assert (made.core_properties.title, made.core_properties.created.replace(tzinfo=None)) == (
        note.title,
        note.made_at.replace(microsecond=0),
    )


def test_nothing_in_the_docx_is_wider_than_its_letter_page(several: Several) -> None:
    for _, files in several:
        made = docx.Document(io.BytesIO(files[".docx"]))
        section = made.sections[0]
        assert (section.page_width, section.page_height) == (Inches(8.5), Inches(11))
        room = section.page_width - section.left_margin - section.right_margin
        assert all(shape.width <= room for shape in made.inline_shapes)
        assert all(sum(cell.width for cell in made_table.rows[0].cells) <= room for made_table in made.tables)


def test_the_docx_has_no_clock_in_it(note: notes.Note, files: dict[str, bytes]) -> None:
    with zipfile.ZipFile(io.BytesIO(files[".docx"])) as parts:
        assert {datetime(*part.date_time) for part in parts.infolist()} == {datetime(1980, 1, 1)}


def test_the_html_names_no_address_and_forbids_to_fetch_or_run(note: notes.Note, files: dict[str, bytes]) -> None:
    page = files[".html"].decode()
    policy = re.findall(r'http-equiv="Content-Security-Policy" content="([^"]+)"', page)
    allowed = {"default-src 'none'", "img-src data:", "font-src data:", "style-src 'unsafe-inline'"}
    assert [set(each.split("; ")) for each in policy] == [allowed]
    assert "http:" not in page
    assert "https:" not in page
    assert not re.search(r"<(script|link|iframe|img|object|form)|\son\w+=|url\((?!data:font/woff;)", page)
    assert note.picture is not None
    assert f'aria-label="{note.picture.says}"' in page


def test_the_html_carries_fonts_with_every_letter_of_its_text_and_stays_small(
    note: notes.Note, files: dict[str, bytes]
) -> None:
    carried = re.findall(r"url\(data:font/woff;base64,([^)]+)\)", files[".html"].decode())
    known = [ttLib.TTFont(io.BytesIO(base64.b64decode(font))).getBestCmap() for font in carried]
    assert len(known) == 4
    letters = {ord(sign) for sign in "".join(note.texts()) if sign.isalnum() or sign in " “”’.,:;%()"}
    assert all(letters <= set(signs) for signs in known)
    assert len(files[".html"]) < 400_000


def test_without_the_font_packages_the_html_is_a_note_all_the_same(
    note: notes.Note, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fonts, "faces", tuple)
    content = notes.render(note, ".html")
    assert plain(note.cautions) in words_of(".html", content)
    assert b"@font-face" not in content


def test_the_html_keeps_its_title_and_language(note: notes.Note, files: dict[str, bytes]) -> None:
    page = files[".html"].decode()
    assert '<html lang="en">' in page
    assert f"<title>{note.title}</title>" in page
    assert page.count("<h1>") == 1


def test_without_our_fonts_the_pdf_takes_those_of_its_writer(note: notes.Note, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(fonts, "folders", list)
    pdf_writer._compiler.cache_clear()
    try:
        content = notes.render(note, ".pdf")
    finally:
        pdf_writer._compiler.cache_clear()
    assert plain(note.cautions) in words_of(".pdf", content)
    assert b"SourceSans" not in content
