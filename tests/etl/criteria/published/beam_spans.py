"""Deck beam spans as published, in feet and inches: beam down, joist span up to so many feet across.

Two tables that look alike and are read differently, so they are kept apart:

- IRC 2021 Tables R507.5(1)-(4) take the *effective* joist span, which is the joist span times a factor for the ratio
  of overhang to joist span (Table R507.5(5)).
- DCA 6-2015 Table 3A takes the joist span as measured; it allows for the longest overhang in itself.

Both are transcribed second-hand: they come from our own facts table. At 40 psf all beams of the IRC are typed in; at
the heavier loads one light and one heavy beam of each species group.

What was read in a public copy is an older relative: the State of Wisconsin's register of 2015, deck appendix Table 3B
(southern pine, 40 psf), which is the table of the 2015 and 2018 texts. It stands below as ``STATE_2015``. 51 of its
56 cells are those of IRC 2021; the other five differ by an inch, one of them by four. Of DCA 6-2015 the line 2-2x6 of
both groups and three cells of the line 2-2x8 of the second were seen quoted, on pages of no standing.
"""

from __future__ import annotations

from tests.etl.criteria.published.joist_spans import DOUGLAS_FIR, REDWOOD, SOUTHERN_PINE

IRC = "IRC 2021 Table R507.5, from our facts table (second-hand)"
DCA_6 = "DCA 6-2015 Table 3A, from our facts table (second-hand)"
OTHERS = DOUGLAS_FIR + REDWOOD

#: IRC 2021 Table R507.5(5): overhang as one so-manieth of the joist span (0: none), and the factor.
FACTORS = {0: "0.66", 12: "0.72", 10: "0.80", 8: "0.84", 6: "0.90", 4: "1.00"}

#: By species group and load in psf, at the effective joist span.
IRC_2021 = {
    (SOUTHERN_PINE, 40): """
                 6      8     10     12     14     16     18
    2-2x6     6-11   5-11    5-4   4-10    4-6    4-3    4-0
    2-2x8      8-9    7-7    6-9    6-2    5-9    5-4    5-0
    2-2x10    10-4    9-0    8-0    7-4    6-9    6-4    6-0
    2-2x12    12-2   10-7    9-5    8-7    8-0    7-5    7-0
    3-2x6      8-6    7-5    6-8    6-1    5-8    5-3   4-11
    3-2x8    10-11    9-6    8-6    7-9    7-2    6-8    6-4
    3-2x10    13-0   11-2   10-0    9-2    8-6   7-11    7-6
    3-2x12    15-3   13-3  11-10   10-9   10-0    9-4   8-10
    """,
    (DOUGLAS_FIR, 40): """
                 6      8     10     12     14     16     18
    2-2x6      6-1    5-3    4-9    4-4   3-11    3-7    3-3
    2-2x8      8-2    7-1    6-4    5-9    5-2    4-8    4-4
    2-2x10    10-0    8-7    7-9    7-0    6-6    6-0    5-6
    2-2x12    11-7   10-0   8-11    8-2    7-7    7-1    6-8
    3-2x6      7-8    6-8    6-0    5-6    5-1    4-9    4-6
    3-2x8     10-3   8-10   7-11    7-3    6-8    6-3   5-11
    3-2x10    12-6  10-10    9-8   8-10    8-2    7-8    7-2
    3-2x12    14-6   12-7   11-3   10-3    9-6   8-11    8-5
    """,
    (REDWOOD, 40): """
                 6      8     10     12     14     16     18
    2-2x6      6-2    5-4   4-10    4-5    4-0    3-8    3-4
    2-2x8     7-10   6-10    6-1    5-7    5-2   4-10    4-5
    2-2x10     9-7    8-4    7-5    6-9    6-3   5-10    5-6
    2-2x12    11-1    9-8    8-7   7-10    7-3   6-10    6-5
    3-2x6      7-8    6-9    6-0    5-6    5-1    4-9    4-6
    3-2x8     9-10    8-6    7-7   6-11    6-5    6-0    5-8
    3-2x10    12-0   10-5    9-4    8-6   7-10    7-4   6-11
    3-2x12   13-11   12-1   10-9   9-10    9-1    8-6    8-1
    """,
    (SOUTHERN_PINE, 50): """
                 6      8     10     12     14     16     18
    2-2x10    10-1    8-9   7-10    7-1    6-7    6-2   5-10
    3-2x12   14-11  12-11   11-6   10-6    9-9    9-1    8-7
    """,
    (DOUGLAS_FIR, 50): """
                 6      8     10     12     14     16     18
    2-2x10     9-9    8-5    7-7   6-11    6-4   5-10    5-4
    3-2x12    14-3   12-4   11-0   10-1    9-4    8-9    8-3
    """,
    (REDWOOD, 50): """
                 6      8     10     12     14     16     18
    2-2x10     9-5    8-2    7-3    6-8    6-2    5-9    5-5
    3-2x12    13-8  11-10   10-7    9-8   8-11    8-4   7-10
    """,
    (SOUTHERN_PINE, 60): """
                 6      8     10     12     14     16     18
    2-2x10     9-4    8-1    7-3    6-7    6-1    5-8    5-4
    3-2x12    13-9  11-11   10-8    9-9    9-0    8-5   7-11
    """,
    (DOUGLAS_FIR, 60): """
                 6      8     10     12     14     16     18
    2-2x10     9-0   7-10    7-0    6-4    5-9    5-2   4-10
    3-2x12    13-2   11-5   10-2    9-4    8-7    8-1    7-7
    """,
    (REDWOOD, 60): """
                 6      8     10     12     14     16     18
    2-2x10     8-8    7-6    6-9    6-2    5-8    5-3   4-11
    3-2x12    12-8  10-11   9-10   8-11    8-3    7-9    7-3
    """,
    (SOUTHERN_PINE, 70): """
                 6      8     10     12     14     16     18
    2-2x10     8-9    7-7    6-9    6-2    5-8    5-4    5-0
    3-2x12   12-11   11-2   10-0    9-1    8-5   7-11    7-5
    """,
    (DOUGLAS_FIR, 70): """
                 6      8     10     12     14     16     18
    2-2x10     8-5    7-4    6-6   5-10    5-2    4-9    4-5
    3-2x12    12-4   10-8    9-7    8-9    8-1    7-7    7-1
    """,
    (REDWOOD, 70): """
                 6      8     10     12     14     16     18
    2-2x10     8-2    7-1    6-4    5-9    5-4   4-10    4-6
    3-2x12   11-10   10-3    9-2    8-4    7-9    7-3   6-10
    """,
}

#: By species group, at 40 psf and the joist span as measured.
DCA_6_2015 = {
    SOUTHERN_PINE: """
                 6      8     10     12     14     16     18
    2-2x6      6-8    5-8    5-1    4-7    4-3    4-0    3-9
    2-2x8      8-6    7-4    6-6   5-11    5-6    5-1    4-9
    2-2x10    10-1    8-9    7-9    7-1    6-6    6-1    5-9
    2-2x12   11-11   10-4    9-2    8-4    7-9    7-3    6-9
    3-2x6     7-11    7-2    6-5   5-10    5-5    5-0    4-9
    3-2x8     10-7    9-3    8-3    7-6   6-11    6-5    6-1
    3-2x10    12-9   11-0    9-9    8-9    8-3    7-8    7-3
    3-2x12    15-0   13-0   11-7   10-6    9-9    9-1    8-7
    """,
    OTHERS: """
                 6      8     10     12     14     16     18
    3x6        5-2    4-5   3-11    3-7    3-3   2-10    2-6
    2-2x6      5-2    4-5   3-11    3-7    3-3   2-10    2-6
    3x8        6-7    5-8    5-1    4-7    4-3   3-10    3-5
    2-2x8      6-7    5-8    5-1    4-7    4-3   3-10    3-5
    3x10       8-1    7-0    6-3    5-8    5-3   4-10    4-5
    2-2x10     8-1    7-0    6-3    5-8    5-3   4-10    4-5
    3x12       9-5    8-2    7-3    6-7    6-1    5-8    5-4
    2-2x12     9-5    8-2    7-3    6-7    6-1    5-8    5-4
    4x6        6-2    5-3    4-8    4-3   3-11    3-8    3-5
    4x8        8-2    7-0    6-3    5-8    5-3   4-11    4-7
    4x10       9-8    8-4    7-5    6-9    6-3   5-10    5-5
    4x12      11-2    9-8    8-7   7-10    7-3    6-9    6-4
    3-2x6      7-1    6-5    5-9    5-3   4-10    4-6    4-3
    3-2x8      9-5    8-3    7-4    6-8    6-2    5-9    5-5
    3-2x10    11-9   10-2    9-1    8-3    7-7    7-1    6-8
    3-2x12    13-8  11-10   10-6    9-7   8-10    8-3   7-10
    """,
}

#: Southern pine at 40 psf in the State of Wisconsin's register of 2015, deck appendix Table 3B, read.
STATE_2015 = """
              6      8     10     12     14     16     18
2-2x6      6-11   5-11    5-4   4-10    4-6    4-3    4-0
2-2x8       8-9    7-7    6-9    6-2    5-9    5-4    5-0
2-2x10     10-4    9-0    8-0    7-4    6-9    6-4    6-0
2-2x12     12-2   10-7    9-5    8-7    8-0    7-6    7-0
3-2x6       8-2    7-5    6-8    6-1    5-8    5-3    5-0
3-2x8     10-10    9-6    8-6    7-9    7-2    6-8    6-4
3-2x10     13-0   11-3   10-0    9-2    8-6   7-11    7-6
3-2x12     15-3   13-3  11-10   10-9   10-0    9-4   8-10
"""
