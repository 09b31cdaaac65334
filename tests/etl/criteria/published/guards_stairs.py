"""Limits of guards, stairs and handrails as published, each with rows on both sides of it.

Every group says where its limit was read for this module, or that it comes from our own facts table. The sections are
those of IRC 2018 and 2021; 2024 numbers R312 as R321 and R311.7 as R318.7. Where a group holds for several editions,
that the others say the same is from our own facts table. A length at the limit itself is on the allowed side where the
text says "not less than" or "not more than"; a sphere of the limit's size is on neither, since the text forbids that it
passes.
"""

from __future__ import annotations

from typing import NamedTuple

from tests.etl.criteria.published.cells import Case

ALL_EDITIONS = ("IRC 2012", "IRC 2015", "IRC 2018", "IRC 2021", "IRC 2024")


class Group(NamedTuple):
    """Rows of one limit: what was recorded, the verdict last."""

    topic: str
    source: str
    editions: tuple[str, ...]
    rows: str


GROUPS = (
    Group(
        "guard_required",
        "R312.1.1, read in Jefferson County's copy of the 2018 text: more than 30 in, within 36 in of the edge",
        ALL_EDITIONS,
        """
        guard_present=no  drop_in=29-7/8   acceptable
        guard_present=no  drop_in=30       acceptable
        guard_present=no  drop_in=30-1/8   defect
        guard_present=no  drop_in=120      defect
        guard_present=yes drop_in=30-1/8   acceptable
        guard_present=no  deck_height_in=30      acceptable
        guard_present=no  deck_height_in=30-1/8  defect
        """,
    ),
    Group(
        "guard_height",
        "R312.1.2, read in Jefferson County's copy of the 2018 text: not less than 36 in",
        ALL_EDITIONS,
        """
        guard_place=deck drop_in=48     guard_height_in=35       defect
        guard_place=deck drop_in=48     guard_height_in=35-7/8   defect
        guard_place=deck drop_in=48     guard_height_in=36       acceptable
        guard_place=deck drop_in=48     guard_height_in=42       acceptable
        guard_place=deck drop_in=30-1/8 guard_height_in=35-7/8   defect
        guard_place=deck drop_in=30     guard_height_in=35-7/8   judgment
        """,
    ),
    Group(
        "guard_height",
        "R312.1.2 exception 1, read in Camden County's housing code of 2019 (same numbers): not less than 34 in on stairs",
        ALL_EDITIONS,
        """
        guard_place=stair drop_in=48 guard_height_in=33-7/8   defect
        guard_place=stair drop_in=48 guard_height_in=34       acceptable
        guard_place=stair drop_in=48 guard_height_in=35-7/8   acceptable
        drop_in=48 guard_height_in=33-7/8   defect
        drop_in=48 guard_height_in=34       cannot_tell
        drop_in=48 guard_height_in=35-7/8   cannot_tell
        drop_in=48 guard_height_in=36       acceptable
        """,
    ),
    Group(
        "guard_opening",
        "R312.1.3, read in Jefferson County's copy of the 2018 text: no sphere of 4 in",
        ALL_EDITIONS,
        """
        guard_place=deck drop_in=48     opening_in=3-7/8   acceptable
        guard_place=deck drop_in=48     opening_in=4       judgment
        guard_place=deck drop_in=48     opening_in=4-1/8   defect
        guard_place=deck drop_in=30-1/8 opening_in=4-1/8   defect
        guard_place=deck drop_in=30     opening_in=4-1/8   judgment
        guard_place=deck drop_in=48     sphere_passes=no   acceptable
        guard_place=deck drop_in=48     sphere_passes=yes  defect
        """,
    ),
    Group(
        "guard_opening",
        "R312.1.3 exception 2, read in Camden County's housing code of 2019 (same numbers): no sphere of 4-3/8 in on stairs",
        ALL_EDITIONS,
        """
        guard_place=stair drop_in=48 opening_in=4-1/8   acceptable
        guard_place=stair drop_in=48 opening_in=4-5/16  acceptable
        guard_place=stair drop_in=48 opening_in=4-3/8   judgment
        guard_place=stair drop_in=48 opening_in=4-7/16  defect
        """,
    ),
    Group(
        "guard_opening",
        "R312.1.3 exception 1, read in Camden County's housing code of 2019 (same numbers): no sphere of 6 in in the triangle",
        ALL_EDITIONS,
        """
        guard_place=stair_triangle drop_in=48 opening_in=5-7/8  acceptable
        guard_place=stair_triangle drop_in=48 opening_in=6      judgment
        guard_place=stair_triangle drop_in=48 opening_in=6-1/8  defect
        drop_in=48 opening_in=3-7/8  acceptable
        drop_in=48 opening_in=4-1/8  cannot_tell
        drop_in=48 opening_in=6-1/8  defect
        """,
    ),
    Group(
        "stair_riser",
        "R311.7.5.1, Jefferson County's copy of the 2018 text as our facts table has it: not more than 7-3/4 in",
        ALL_EDITIONS,
        """
        riser_max_in=7-11/16   acceptable
        riser_max_in=7-3/4     acceptable
        riser_max_in=7-13/16   defect
        riser_max_in=8         defect
        """,
    ),
    Group(
        "stair_riser_spread",
        "R311.7.5.1, second-hand: not more than 3/8 in between the tallest and the lowest",
        ALL_EDITIONS,
        """
        riser_spread_in=5/16   acceptable
        riser_spread_in=3/8    acceptable
        riser_spread_in=7/16   defect
        riser_max_in=7-3/4 riser_min_in=7-3/8    acceptable
        riser_max_in=7-3/4 riser_min_in=7-5/16   defect
        riser_max_in=7-3/4   cannot_tell
        """,
    ),
    Group(
        "stair_tread",
        "R311.7.5.2, Jefferson County's copy of the 2018 text as our facts table has it: not less than 10 in",
        ALL_EDITIONS,
        """
        tread_min_in=9-15/16   defect
        tread_min_in=10        acceptable
        tread_min_in=11        acceptable
        """,
    ),
    Group(
        "stair_open_riser",
        "R311.7.5.1 as New Mexico's residential code of 2021 has it, quoted second-hand: openings more than 30 in up, no sphere of 4 in",
        ("IRC 2018", "IRC 2021", "IRC 2024"),
        """
        riser_opening_in=3-7/8 height_above_grade_in=60       acceptable
        riser_opening_in=4     height_above_grade_in=60       judgment
        riser_opening_in=4-1/8 height_above_grade_in=60       defect
        riser_opening_in=4-1/8 height_above_grade_in=30-1/8   defect
        riser_opening_in=4-1/8 height_above_grade_in=30       acceptable
        riser_opening_in=7     height_above_grade_in=22       acceptable
        riser_opening_in=4-1/8 stair_rise_in=60               cannot_tell
        """,
    ),
    Group(
        "stair_open_riser",
        "R311.7.5.1 up to 2012, second-hand; quoted in the trade press without its edition: not limited where the stair rises 30 in or less",
        ("IRC 2009", "IRC 2012"),
        """
        riser_opening_in=3-7/8 stair_rise_in=60       acceptable
        riser_opening_in=4     stair_rise_in=60       judgment
        riser_opening_in=4-1/8 stair_rise_in=60       defect
        riser_opening_in=4-1/8 stair_rise_in=30-1/8   defect
        riser_opening_in=4-1/8 stair_rise_in=30       acceptable
        riser_opening_in=4-1/8 height_above_grade_in=60   cannot_tell
        """,
    ),
    Group(
        "handrail",
        "R311.7.8, a page of Londonderry's building department as our facts table has it: flights of four or more risers",
        ALL_EDITIONS,
        """
        handrail_present=no riser_count=3   acceptable
        handrail_present=no riser_count=4   defect
        handrail_present=no riser_count=5   defect
        handrail_present=yes riser_count=4  acceptable
        """,
    ),
    Group(
        "handrail",
        "R311.7.8.1, a page of Londonderry's building department as our facts table has it: 34 to 38 in",
        ALL_EDITIONS,
        """
        riser_count=4 handrail_present=yes handrail_height_in=33-7/8   defect
        riser_count=4 handrail_present=yes handrail_height_in=34       acceptable
        riser_count=4 handrail_present=yes handrail_height_in=38       acceptable
        riser_count=4 handrail_present=yes handrail_height_in=38-1/8   defect
        riser_count=3 handrail_present=yes handrail_height_in=33-7/8   judgment
        riser_count=3 handrail_present=yes handrail_height_in=38-1/8   judgment
        """,
    ),
    Group(
        "handrail_grip",
        "R311.7.8.5; R311.5.6.3 of an earlier edition read as quoted: round of 1-1/4 to 2 in, or shaped so that it can be grasped",
        ALL_EDITIONS,
        """
        riser_count=4 handrail_shape=round                    acceptable
        riser_count=4 handrail_shape=shaped graspable=yes     acceptable
        riser_count=4 handrail_shape=shaped graspable=no      defect
        riser_count=4 handrail_shape=flat_2x6                 defect
        riser_count=4 handrail_shape=flat_2x4                 defect
        riser_count=3 handrail_shape=flat_2x6                 acceptable
        """,
    ),
    Group(
        "guard_post",
        "R507.10.2 of 2021, second-hand: 4x4 posts are not notched; the 2021 text taken as adopted in 2022",
        ("IRC 2021", "IRC 2024"),
        """
        guard_post_fixing=bolts guard_post_tied_back=yes guard_post_notched=yes post_nominal=4x4 deck_built_year=2023  defect
        guard_post_fixing=bolts guard_post_tied_back=yes guard_post_notched=yes post_nominal=4x4 deck_built_year=2022  judgment
        guard_post_fixing=bolts guard_post_tied_back=yes guard_post_notched=no  post_nominal=4x4 deck_built_year=2023  acceptable
        guard_post_fixing=nails guard_post_notched=no post_nominal=4x4 deck_built_year=2023  defect
        """,
    ),
    Group(
        "guard_climbable",
        "R316.2 of 2000 only, second-hand: no pattern that makes a ladder",
        ("IRC 2000",),
        """
        guard_infill=horizontal  judgment
        guard_infill=cable       judgment
        guard_infill=vertical    acceptable
        """,
    ),
    Group(
        "guard_climbable",
        "no such rule after R316.2 of 2000, second-hand",
        ("IRC 2003", *ALL_EDITIONS),
        """
        guard_infill=horizontal  acceptable
        guard_infill=cable       acceptable
        """,
    ),
    Group(
        "stringer",
        "DCA 6-2015, second-hand: 2x12; cut ones up to 6-0 with 5 in of throat, solid ones up to 13-3; not in the IRC",
        ("IRC 2018", "IRC 2021", "IRC 2024"),
        """
        stringer_kind=cut   stringer_nominal=2x12 stringer_throat_in=5      stringer_span_in=72       acceptable
        stringer_kind=cut   stringer_nominal=2x12 stringer_throat_in=5      stringer_span_in=72-1/8   judgment
        stringer_kind=cut   stringer_nominal=2x12 stringer_throat_in=4-7/8  stringer_span_in=72       judgment
        stringer_kind=cut   stringer_nominal=2x10 stringer_throat_in=5      stringer_span_in=72       judgment
        stringer_kind=solid stringer_nominal=2x12 stringer_span_in=159      acceptable
        stringer_kind=solid stringer_nominal=2x12 stringer_span_in=159-1/8  judgment
        """,
    ),
)


def cases(group: Group) -> list[Case]:
    """Every row of a group under each edition for which it holds."""
    return [
        Case(
            group.topic,
            " ".join([*recorded, f"code_basis={edition.replace(' ', '_')}"]),
            verdict,
            f"IRC {group.source}",
        )
        for edition in group.editions
        for *recorded, verdict in map(str.split, group.rows.strip().splitlines())
    ]
