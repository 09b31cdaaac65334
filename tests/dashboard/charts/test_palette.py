"""Colors are told apart by everybody, and text is readable.

Outside sources: IEC 61966-2-1 (sRGB) for the decoding of colors and its matrix to CIE XYZ; CIE 15 for L*a*b* and the
difference of 1976; Machado, Oliveira and Fernandes, A Physiologically-based Model for Simulation of Color Vision
Deficiency, IEEE Transactions on Visualization and Computer Graphics 15 (2009) 1291-1298, for the matrices at severity
1.0 (applied to linear light); WCAG 2.2, success criteria 1.4.3 (text) and 1.4.11 (marks), and its formula of contrast.
That 10 in L* is a clear step, and 12 in the difference of 1976, is our choice: both are several times what is just
noticeable, since marks are small.
"""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest

from dashboard import labels
from dashboard.charts import topic_grid
from dashboard.charts.theme import PALETTES, Palette

Color = tuple[float, float, float]
Matrix = tuple[Color, Color, Color]
SAME: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
DEFICIENCIES: dict[str, Matrix] = {
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
TO_XYZ: Matrix = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
WHITE: Color = (0.9505, 1.0, 1.0890)
#: Outcomes that stand beside each other: in the bar of a kind of call, and as marks in a cell.
BESIDE = {
    frozenset(pair)
    for together in (
        ("upheld", "overcalled", "judgment", "undecided"),
        ("cleared", "missed", "judgment", "undecided"),
        ("cleared", "understated", "judgment", "undecided"),
        ("overcalled", "missed"),
        ("missed", "understated"),
        ("upheld", "missed"),
    )
    for pair in combinations(together, 2)
}
PAIRS = sorted(tuple(sorted(pair)) for pair in BESIDE)
#: Outcomes whose segment of a bar is hatched instead of filled.
HATCHED = {"undecided"}
CLEAR_STEP_L, CLEAR_DIFFERENCE = 10, 12


def linear(color: str) -> Color:
    parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return red, green, blue


def times(matrix: Matrix, color: Color) -> Color:
    red, green, blue = (sum(factor * part for factor, part in zip(row, color, strict=True)) for row in matrix)
    return red, green, blue


def lab(light: Color) -> Color:
    def f(part: float) -> float:
        return math.cbrt(part) if part > (6 / 29) ** 3 else part / (3 * (6 / 29) ** 2) + 4 / 29

    x, y, z = (f(part / white) for part, white in zip(times(TO_XYZ, light), WHITE, strict=True))
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def seen(color: str, deficiency: Matrix = SAME) -> Color:
    """L*, a*, b* of a color as somebody with that deficiency sees it."""
    red, green, blue = (min(1.0, max(0.0, part)) for part in times(deficiency, linear(color)))
    return lab((red, green, blue))


def difference(one: Color, other: Color) -> float:
    return math.dist(one, other)


def contrast(one: str, other: str) -> float:
    """The contrast ratio of WCAG 2.2."""
    light, dark = sorted((times(TO_XYZ, linear(color))[1] for color in (one, other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def told_apart_without_color(one: str, other: str) -> bool:
    """By the glyph, where both have one of their own; in a bar by its hatching."""
    glyphs = (labels.GLYPHS.get(one), labels.GLYPHS.get(other))
    return (None not in glyphs and glyphs[0] != glyphs[1]) or len({one, other} & HATCHED) == 1


@pytest.fixture(params=PALETTES.values(), ids=PALETTES)
def colors(request: pytest.FixtureRequest) -> Palette:
    return request.param


def test_the_formulas_give_what_their_sources_state() -> None:
    # WCAG 2.2: black on white is 21 to 1. CIE 15: white is L* 100, a* and b* 0. Each row of a matrix of Machado adds up
    # to 1, so that grays stay grays.
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21)
    assert lab(linear("#FFFFFF")) == pytest.approx((100, 0, 0), abs=0.02)
    assert lab(linear("#777777"))[0] == pytest.approx(50.03, abs=0.01)  # mid gray, L* 50 to two digits
    assert [sum(row) for matrix in DEFICIENCIES.values() for row in matrix] == pytest.approx([1.0] * 9, abs=2e-6)


@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_outcomes_beside_each_other_are_told_apart_in_gray(colors: Palette, pair: tuple[str, str]) -> None:
    one, other = (seen(colors.outcome(outcome))[0] for outcome in pair)
    assert abs(one - other) >= CLEAR_STEP_L or told_apart_without_color(*pair)


@pytest.mark.parametrize("deficiency", DEFICIENCIES)
@pytest.mark.parametrize("pair", PAIRS, ids="-".join)
def test_outcomes_beside_each_other_are_told_apart_by_the_color_blind(
    colors: Palette, pair: tuple[str, str], deficiency: str
) -> None:
    one, other = (seen(colors.outcome(outcome), DEFICIENCIES[deficiency]) for outcome in pair)
    assert difference(one, other) >= CLEAR_DIFFERENCE or told_apart_without_color(*pair)


@pytest.mark.parametrize("deficiency", [None, *DEFICIENCIES])
def test_the_two_ways_to_be_wrong_and_what_holds_differ_by_color_alone(colors: Palette, deficiency: str | None) -> None:
    matrix = DEFICIENCIES[deficiency] if deficiency else SAME
    held, over, missed = (seen(colors.outcome(outcome), matrix) for outcome in ("upheld", "overcalled", "missed"))
    assert min(difference(held, over), difference(over, missed), difference(held, missed)) >= CLEAR_DIFFERENCE


def test_no_two_outcomes_share_a_glyph() -> None:
    assert len(set(labels.GLYPHS.values())) == len(labels.GLYPHS)


def test_shades_of_rates_grow_evenly_stronger_in_gray(colors: Palette) -> None:
    steps = [seen(shade)[0] for shade in colors.rates]
    assert steps == sorted(steps, reverse=colors.name == "light")
    assert min(abs(one - other) for one, other in pairwise(steps)) >= 5


@pytest.mark.parametrize("role", ["ink", "soft", "accent", "overcalled_text", "missed_text"])
@pytest.mark.parametrize("ground", ["ground", "panel", "wash"])
def test_text_has_the_contrast_that_wcag_asks_for(colors: Palette, role: str, ground: str) -> None:
    assert contrast(getattr(colors, role), getattr(colors, ground)) >= 4.5


@pytest.mark.parametrize("wood", ["wood", "wood_held"])
def test_words_on_wood_have_the_contrast_that_wcag_asks_for(colors: Palette, wood: str) -> None:
    assert contrast(colors.ink, getattr(colors, wood)) >= 4.5


@pytest.mark.parametrize("outcome", ["upheld", "overcalled", "missed", "understated"])
def test_marks_stand_out_from_the_ground_as_wcag_asks_of_graphics(colors: Palette, outcome: str) -> None:
    assert contrast(colors.outcome(outcome), colors.ground) >= 3


def test_text_on_a_cell_has_that_contrast_at_every_rate(colors: Palette) -> None:
    # Between two shades the picture goes straight through CIE L*a*b*, as its scale says.
    weak, strong = topic_grid.CELL_TEXT[colors.name]
    shades = [seen(shade)[0] for shade in colors.rates]
    for rate in (place / 200 for place in range(201)):
        step = min(int(rate * (len(shades) - 1)), len(shades) - 2)
        part = rate * (len(shades) - 1) - step
        lightness = shades[step] + part * (shades[step + 1] - shades[step])
        text = strong if rate > topic_grid.TURNS[colors.name] else weak
        lights = sorted((luminance_of(lightness), luminance_of(seen(text)[0])))
        assert (lights[1] + 0.05) / (lights[0] + 0.05) >= 4.5, rate


def luminance_of(lightness: float) -> float:
    """Y of L*, by the formula of CIE 15 turned around."""
    return ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3
