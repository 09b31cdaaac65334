"""How far deck joists may run past their beam, as published: size down, back span up to so many feet across.

IRC 2021 Table R507.6, cantilever columns, for southern pine at 40 psf: transcribed second-hand, from our own facts
table; no public copy was found, nor the columns of other species and loads. NP is the table's own mark: not permitted.

That no joist overhangs more than a quarter of its back span stands in R507.5 of 2015 and R507.6 of 2018; DCA 6-2012
Table 2, read in a copy of the City of Everett, says the same in its third note.
"""

from __future__ import annotations

TABLE = "IRC 2021 Table R507.6, cantilever columns, from our facts table (second-hand)"
QUARTER = (
    "a quarter of the back span: IRC R507.5 (2015), R507.6 (2018); DCA 6-2012 Table 2 note 3, read in a city's copy"
)

#: Southern pine, 40 psf, in feet and inches.
IRC_2021 = """
         4    6    8   10   12   14   16   18
2x6    1-0  1-6  1-5   NP   NP   NP   NP   NP
2x8    1-0  1-6  2-0  2-6  2-3   NP   NP   NP
2x10   1-0  1-6  2-0  2-6  3-0  3-4  3-4   NP
2x12   1-0  1-6  2-0  2-6  3-0  3-6  4-0  4-1
"""
