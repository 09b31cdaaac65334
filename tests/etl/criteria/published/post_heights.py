"""How high deck posts may stand, as published, in feet and inches from the footing to the underside of the beam.

- IRC 2015 Table R507.8: a 4x4 of 8-0 was read in the trade press on that edition; 4x6 and 6x6 are known second-hand
  and from memory. The State of Wisconsin's register of 2015 (deck appendix, table of post heights) was read: 4x6 8-0
  and 6x6 14-0 are the same there, its 4x4 stops at 6-0.
- IRC 2018 Table R507.4: second-hand. A 4x4 stops at 6-9, or at 8-0 under a beam of one or two plies.
- IRC 2021 Table R507.4, southern pine at 40 psf, by the area that a post carries: second-hand, from our own facts
  table. Other species and loads are not in it.
- DCA 6-2012 Table 4, 6x6 at 40 psf by beam span and joist span: all 105 cells were read in a public copy (a page of
  the City of Everett's records, as read by a machine). The heading that names the species was not legible; their
  order is taken from the 2015 edition.
"""

from __future__ import annotations

IRC_2015_SOURCE = "IRC 2015 Table R507.8, trade press (4x4) and our facts table (second-hand)"
IRC_2018_SOURCE = "IRC 2018 Table R507.4, from our facts table (second-hand)"
IRC_2021_SOURCE = "IRC 2021 Table R507.4, from our facts table (second-hand)"

DCA_6_SOURCE = "DCA 6-2012 Table 4, read in a city's copy, order of species assumed"

IRC_2015 = {"4x4": "8-0", "4x6": "8-0", "6x6": "14-0"}

#: By post and beam; any beam where it makes no difference.
IRC_2018 = {
    ("4x4", "1-2x12"): "8-0",
    ("4x4", "2-2x10"): "8-0",
    ("4x4", "3-2x10"): "6-9",
    ("4x6", "2-2x10"): "8-0",
    ("4x6", "3-2x10"): "8-0",
    ("6x6", "2-2x10"): "14-0",
    ("6x6", "3-2x10"): "14-0",
    ("8x8", "3-2x12"): "14-0",
}

#: Southern pine, 40 psf: post down, area up to so many square feet across.
IRC_2021 = """
        20     40     60     80    100    120    140    160
4x4   14-0   13-8   11-0    9-5    8-4    7-5    6-9    6-2
6x6   14-0   14-0   14-0   14-0   14-0   14-0   14-0   14-0
8x8   14-0   14-0   14-0   14-0   14-0   14-0   14-0   14-0
"""

#: The columns of DCA 6-2012 Table 4.
DCA_6_SPECIES = (
    ("southern_pine",),
    ("douglas_fir_larch",),
    ("hem_fir", "western_cedar"),
    ("redwood",),
    ("ponderosa_pine", "red_pine", "spruce_pine_fir"),
)

#: 6x6 posts in feet: beam span and joist span up to so many feet, then a column for each group of species.
DCA_6_2012 = """
 6 10   14 14 14 14 14
 6 14   14 14 14 14 14
 6 18   14 14 12 14 11
 8 10   14 14 14 14 14
 8 14   14 14 14 14 11
 8 18   14 13 11 12  8
10 10   14 14 14 14 12
10 14   14 13 11 13  8
10 18   12 11  8 11  2
12 10   14 14 12 14 10
12 14   13 12  9 11  5
12 18   11  9  6  9  2
14 10   14 13 11 13  8
14 14   11 10  7 10  2
14 18    9  8  2  8 NP
16 10   13 12 10 12  6
16 14   10  9  5  9  2
16 18    7  5  2  7 NP
18 10   12 11  8 11  2
18 14    9  8  2  8 NP
18 18    5  2  2  6 NP
"""
