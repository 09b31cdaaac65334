"""Spacing of ledger fasteners as published, in inches: kind of fastener down, joist span up to so many feet across.

A lag or bolt with nothing but sheathing of up to 1/2 in between ledger and band joist, and a bolt that bridges up to
1 in because of stacked washers or a spacer of 1/2 in: the second kind carries less and is set closer.

40 psf: all 21 cells were read in the State of Wisconsin's register of 2015 (deck appendix of its dwelling code, Table
6, rows for 2x lumber), where sheathing is limited to 15/32 in; IRC 2021 Table R507.9.1.3(1) has the same numbers.
70 psf: all 21 cells were read in a deck sheet of Washington cities, in a permit file of the City of Everett of 2022.
50 and 60 psf: IRC 2021 Table R507.9.1.3(1), transcribed second-hand: these 42 cells come from our own facts table.
"""

from __future__ import annotations

READ_40 = "Wisconsin register 2015, deck appendix Table 6, read; IRC 2021 Table R507.9.1.3(1)"
READ_70 = "deck sheet of Washington cities in an Everett permit file, read; IRC 2021 Table R507.9.1.3(1)"
SECOND_HAND = "IRC 2021 Table R507.9.1.3(1), from our facts table (second-hand)"
SOURCES = {40: READ_40, 50: SECOND_HAND, 60: SECOND_HAND, 70: READ_70}

#: By load in psf.
SPACINGS = {
    40: """
                         6   8  10  12  14  16  18
    half_in_lag         30  23  18  15  13  11  10
    half_in_bolt        36  36  34  29  24  21  19
    half_in_bolt_spaced 36  36  29  24  21  18  16
    """,
    50: """
                         6   8  10  12  14  16  18
    half_in_lag         29  22  17  14  12  11   9
    half_in_bolt        36  36  33  27  23  20  18
    half_in_bolt_spaced 36  35  28  23  20  17  15
    """,
    60: """
                         6   8  10  12  14  16  18
    half_in_lag         25  18  15  12  10   9   8
    half_in_bolt        36  35  28  23  20  17  15
    half_in_bolt_spaced 36  30  24  20  17  15  13
    """,
    70: """
                         6   8  10  12  14  16  18
    half_in_lag         22  16  13  11   9   8   7
    half_in_bolt        36  31  25  20  17  15  13
    half_in_bolt_spaced 35  26  21  17  15  13  11
    """,
}
