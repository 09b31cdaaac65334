"""How foreign values are read. 1 in = 25.4 mm (exact, NIST SP 811); dressed sizes: PS 20, minimum dressed, dry."""

from __future__ import annotations

import duckdb
import pytest

from etl import private
from etl.layout.aliases import like, unit_of, word_like
from etl.layout.rows import parts_of
from etl.layout.written import date_text, quantity, size_text


@pytest.mark.parametrize(
    ("text", "unit", "decimal", "inches"),
    [
        ("7'-6\"", None, ".", "90"), ("7' 6 1/2\"", None, ".", "90.5"), ("7 ft 6 in", "cm", ".", "90"), ("7.5", "ft", ".", "90"),
        ("914 mm", None, ".", "35.984252"), ("91,4", "cm", ",", "35.984252"), ("1.250", "mm", ",", "49.212598"), ("1,250", "mm", ".", "49.212598"),
        ("36", "in", ".", "36"), ("36", None, ".", "36"), ("~36 in", "cm", ".", "36"), ("5/8\"", None, ".", "0.625"), ("½", "in", ".", "0.5"),
        ("low", "in", ".", None), ("34-36", "in", ".", None), ("", "in", ".", None),
    ],
)  # fmt: skip
def test_lengths(text, unit, decimal, inches):
    assert quantity(text, unit, decimal, "in") == inches


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("38x235", "2x10"), ("38 x 140 mm", "2x6"), ("89x89", "4x4"), ("1-1/2 x 9-1/4", "2x10"), ("1.5x7.25", "2x8"), ("2 by 10", "2x10"),
        ("(2) 2x10", "2-2x10"), ("3 ply 2x12", "3-2x12"), ("2-2x10", "2-2x10"), ("2x8-2x10", "2x8-2x10"), ("2X10s", "2x10"),
        ("50x250", "50x250"), ("big", "big"),
    ],
)  # fmt: skip
def test_sizes_as_dressed_and_as_called(text, size):
    assert size_text(text) == size


@pytest.mark.parametrize(
    ("text", "order", "day"),
    [
        ("3/4/2026", "month day year", "2026-03-04"), ("3/4/2026", "day month year", "2026-04-03"), ("3/4/2026", None, None),
        ("04.03.26", "day month year", "2026-03-04"), ("03/04/98", "month day year", "1998-03-04"), ("4-Mar-2026", None, "2026-03-04"),
        ("March 4, 2026", None, "2026-03-04"), ("2026/3/4", None, "2026-03-04"), ("20260304", None, "2026-03-04"),
        ("46085", "workbook days", "2026-03-04"), ("3/4/26 10:30 AM", {"/": "month day year"}, "2026-03-04"), ("31/2/2026", "day month year", None),
    ],
)  # fmt: skip
def test_dates(text, order, day):
    assert date_text(text, order) == day


def test_names_are_like_an_alias_or_like_nothing():
    assert like("Insp #", "columns") == ("report_id", True)
    assert like("Guard hieght", "columns") == ("guard_height_in", False)
    assert like("Guards", "topics") is None
    assert like("Weather", "columns") is None
    assert word_like("Marginal", "call") is None
    assert word_like("N/A", "call") == ("skip", True)
    assert [unit_of(label) for label in ("Gap (mm)", "Rail ht, cm", "deck_height_in", "Span")] == [
        "mm",
        "cm",
        "in",
        None,
    ]


@pytest.mark.parametrize(
    ("at", "text"),
    [
        ("lines", "Gap 1/2 in.\n- Rail low.\n\n"),
        ("numbers", "1. Gap 1/2 in. 2. Rail low."),
        ("semicolons", "Gap 1/2 in.; Rail low."),
        ("sentences", "Gap 1/2 in. Rail low."),
    ],
)
def test_a_text_is_cut_into_its_parts(at, text):
    found = parts_of(text, at)
    assert found == (["Gap 1/2 in.", "Rail low."] if at != "sentences" else ["Gap 1/2 in. Rail low."])


SENTENCES = [
    ("mail a.b-c@mail.example.org.", "mail [e-mail]."),
    ("(614) 555-0142 x12; 6145550142; 555-0142; +49 171 2345678", "[phone]; [phone]; [phone]; [phone]"),
    ("at 1204 N. Old Mill Rd., 9 OAK AVE", "at [address], [address]"),
    ("Mrs Ada Fenwick said; owner: Ada Fenwick; the client Bo Tane was told", "[name] said; owner: [name]; the client [name] was told"),
    # What inspectors write of decks stays.
    ('2x10 jsts in 2x8 hgrs, gap approx 5/8" at NE', 'same'),
    ("Owner installed 16 screws; 2 JOISTS IN PLACE at 36 in, span 144, +1 1/2", "same"),
    ("beam 3-2x10 on 6x6, drove 16 screws, IRC R507.9.1.3, 2026-03-04", "same"),
]  # fmt: skip


@pytest.mark.parametrize(("said", "masked"), SENTENCES)
def test_private_matters_in_a_known_form_are_masked_alike_in_python_and_sql(said, masked):
    wanted = said if masked == "same" else masked
    assert private.masked(said) == wanted
    with duckdb.connect() as connection:
        query = f"select {private.masked_sql('said')}, {private.suspect_sql('said')} from (select ? as said)"
        text, suspect = connection.execute(query, [said]).fetchall()[0]
    assert text == wanted
    assert suspect or wanted == said
