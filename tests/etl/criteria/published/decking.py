"""How far apart joists may stand under deck boards, as published, in inches.

IRC 2015 and 2018 Table R507.7: all four cells were read in the City of Everett's copy of that section.
IRC 2021 and 2024 Table R507.7: second-hand, from our own facts table. It tells boards over one bay from boards over
two and more.
"""

from __future__ import annotations

READ = "IRC 2015 and 2018 Table R507.7, read in a city's copy"
SECOND_HAND = "IRC 2021 Table R507.7, from our facts table (second-hand)"

#: By decking and angle: what is enough in the 2015 and 2018 texts.
IRC_2018 = {
    ("five_quarter", "straight"): 16,
    ("five_quarter", "diagonal"): 12,
    ("two_by", "straight"): 24,
    ("two_by", "diagonal"): 16,
}

#: By decking and angle: boards over one bay, boards over two and more.
IRC_2021 = {
    ("five_quarter", "straight"): (12, 16),
    ("five_quarter", "diagonal"): (8, 12),
    ("two_by", "straight"): (24, 24),
    ("two_by", "diagonal"): (18, 24),
}
