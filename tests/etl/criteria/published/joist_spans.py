"""Deck joist spans as published, in feet and inches: size down, spacing in inches on centre across.

At 40 psf all 36 cells were read in a public copy of DCA 6-2012, Table 2 (a page of the City of Everett's records, as
read by a machine; two of its lines come out scrambled). The twelve of southern pine were read a second time in a
sheet of the 2015 text, without cantilever, which settles the scrambled line. IRC 2021 Table R507.6 has the same
numbers, which is known second-hand.

The 108 cells of 50, 60 and 70 psf are IRC 2021 Table R507.6, transcribed second-hand: they come from our own facts
table and no public copy of them was found. Southern pine and the douglas fir group were worked out again from the
design values of the lumber; every cell came out within an inch.
"""

from __future__ import annotations

SOUTHERN_PINE = ("southern_pine",)
DOUGLAS_FIR = ("douglas_fir_larch", "hem_fir", "spruce_pine_fir")
REDWOOD = ("redwood", "western_cedar", "ponderosa_pine", "red_pine")

READ = "DCA 6-2012 Table 2, read in a city's copy; IRC 2021 Table R507.6"
SECOND_HAND = "IRC 2021 Table R507.6, from our facts table (second-hand)"

#: By species group and load in psf.
SPANS = {
    (SOUTHERN_PINE, 40): """
             12      16      24
    2x6    9-11     9-0     7-7
    2x8    13-1   11-10     9-8
    2x10   16-2    14-0    11-5
    2x12   18-0    16-6    13-6
    """,
    (SOUTHERN_PINE, 50): """
             12      16      24
    2x6     9-2     8-4     7-4
    2x8    12-1    11-0     9-5
    2x10   15-5    13-9    11-3
    2x12   18-0    16-2    13-2
    """,
    (SOUTHERN_PINE, 60): """
             12      16      24
    2x6     8-8    7-10    6-10
    2x8    11-5    10-4     8-9
    2x10   14-7    12-9    10-5
    2x12   17-3    15-0    12-3
    """,
    (SOUTHERN_PINE, 70): """
             12      16      24
    2x6     8-3     7-6     6-5
    2x8   10-10    9-10     8-2
    2x10   13-9   11-11     9-9
    2x12   16-2    14-0    11-5
    """,
    (DOUGLAS_FIR, 40): """
             12      16      24
    2x6     9-6     8-4    6-10
    2x8    12-6    11-1     9-1
    2x10   15-8    13-7    11-1
    2x12   18-0    15-9   12-10
    """,
    (DOUGLAS_FIR, 50): """
             12      16      24
    2x6    8-10     8-0     6-8
    2x8    11-7    10-7    8-11
    2x10  14-10    13-3   10-10
    2x12   17-9    15-5    12-7
    """,
    (DOUGLAS_FIR, 60): """
             12      16      24
    2x6     8-4     7-6     6-2
    2x8   10-11    9-11     8-3
    2x10  13-11    12-4    10-0
    2x12   16-6    14-3    11-8
    """,
    (DOUGLAS_FIR, 70): """
             12      16      24
    2x6    7-11     7-1     5-9
    2x8    10-5     9-5     7-8
    2x10   13-3    11-6     9-5
    2x12   15-5    13-4   10-11
    """,
    (REDWOOD, 40): """
             12      16      24
    2x6    8-10     8-0    6-10
    2x8    11-8    10-7     8-8
    2x10  14-11    13-0    10-7
    2x12   17-5    15-1    12-4
    """,
    (REDWOOD, 50): """
             12      16      24
    2x6     8-3     7-6     6-6
    2x8   10-10    9-10     8-6
    2x10  13-10    12-7    10-5
    2x12  16-10    14-9    12-1
    """,
    (REDWOOD, 60): """
             12      16      24
    2x6     7-9     7-0     6-2
    2x8    10-2     9-3    7-11
    2x10   13-0    11-9     9-7
    2x12   15-9    13-8    11-2
    """,
    (REDWOOD, 70): """
             12      16      24
    2x6     7-4     6-8    5-10
    2x8     9-8    8-10     7-4
    2x10   12-4    11-0     9-0
    2x12   14-9    12-9    10-5
    """,
}
