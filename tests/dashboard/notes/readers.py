"""The text of a note read back out of each format, by libraries that did not write it or by the plainest means."""

from __future__ import annotations

import io
import re
import unicodedata
from html.parser import HTMLParser

import docx
import pypdf


def words_of(suffix: str, content: bytes) -> str:
    """The text of a file in one format, as :func:`plain` gives it."""
    return plain(READERS[suffix](content))


def plain(text: str) -> str:
    """Text without blanks, which line ends in a PDF cannot be told from; ligatures as letters."""
    return re.sub(r"\s+", "", unicodedata.normalize("NFKC", text))


def _docx(content: bytes) -> str:
    document = docx.Document(io.BytesIO(content))
    cells = [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    return "\n".join([*(paragraph.text for paragraph in document.paragraphs), *cells])


def _pdf(content: bytes) -> str:
    return "\n".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(content)).pages)


class _Shown(HTMLParser):
    """What a browser shows: no style, no title of the window."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.texts: list[str] = []
        self.hidden = 0

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.hidden += tag in ("style", "title")

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("style", "title")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.texts.append(data)


def _html(content: bytes) -> str:
    shown = _Shown()
    shown.feed(content.decode())
    return "".join(shown.texts)


def _markdown(content: bytes) -> str:
    unmarked = re.sub(r"(?m)^(#+|>|-|\|) |(?<!\\)\*\*| \|", "", content.decode())
    return re.sub(r"\\([^A-Za-z0-9\s])", r"\1", unmarked)


READERS = {".docx": _docx, ".pdf": _pdf, ".html": _html, ".md": _markdown}
