"""The colours: contrast as WCAG reckons it, and told apart without red or green."""

import re
from itertools import combinations

import pytest

from planner.report.palette import DARK, LIGHT, MARK, PAIRS, PRINT, TEXT, variables

SCHEMES = {"light": LIGHT, "dark": DARK, "print": PRINT}

# Sight without one kind of cone, on linear RGB: Viénot, Brettel, Mollon 1999, "Digital video
# colourmaps for checking the legibility of displays by dichromats", Color Research and
# Application 24(4):243-252: protan and deutan, reduced to RGB (the figures from memory).
PROTAN = ((0.11238, 0.88762, 0.0), (0.11238, 0.88762, 0.0), (0.00401, -0.00401, 1.0))
DEUTAN = ((0.29275, 0.70725, 0.0), (0.29275, 0.70725, 0.0), (-0.02234, 0.02234, 1.0))
SIGHTS = {"protan": PROTAN, "deutan": DEUTAN}


def linear(colour):
    """Linear red, green and blue of a colour (WCAG 2.2, definition of relative luminance)."""
    values = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    return [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in values]


def luminance(colour):
    """Relative luminance as WCAG 2.2 defines it."""
    red, green, blue = linear(colour)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    """Contrast ratio as WCAG 2.2 defines it."""
    bright, dim = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dim + 0.05)


def lab(rgb):
    """CIE L*a*b* of linear RGB (CIE 15:2004; sRGB primaries and D65 of IEC 61966-2-1)."""
    matrix = ((0.4124, 0.3576, 0.1805), (0.2126, 0.7152, 0.0722), (0.0193, 0.1192, 0.9505))
    white = (0.9505, 1.0, 1.089)
    ratios = [
        max(sum(m * v for m, v in zip(row, rgb, strict=True)), 0.0) / w
        for row, w in zip(matrix, white, strict=True)
    ]
    x, y, z = (t ** (1 / 3) if t > (6 / 29) ** 3 else t * 841 / 108 + 4 / 29 for t in ratios)
    return 116 * y - 16, 500 * (x - y), 200 * (y - z)


def difference(one, other, sight=None):
    """Colour difference ΔE*ab, as seen with all cones or without one kind."""

    def seen(colour):
        rgb = linear(colour)
        if sight is not None:
            rgb = [sum(m * v for m, v in zip(row, rgb, strict=True)) for row in sight]
        return lab(rgb)

    return sum((a - b) ** 2 for a, b in zip(seen(one), seen(other), strict=True)) ** 0.5


def test_the_reckoning_itself_is_right():
    """WCAG's own ends: black on white is 21 : 1; #767676 on white just passes 4.5 : 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)
    assert contrast("#777777", "#ffffff") < 4.5
    assert difference("#ffffff", "#000000") == pytest.approx(100.0, abs=0.1)


@pytest.mark.parametrize("scheme", SCHEMES)
@pytest.mark.parametrize(("front", "back", "least"), PAIRS)
def test_every_pair_stands_out_as_it_must(scheme, front, back, least):
    """WCAG 2.2: 4.5 : 1 for text (1.4.3), 3 : 1 for marks (1.4.11)."""
    colours = SCHEMES[scheme]
    assert contrast(colours[front], colours[back]) >= least


def test_the_pairs_cover_all_that_is_written():
    """Every role of writing is checked on both grounds as text."""
    for role in ("ink", "soft", "air", "cane", "dry", "humid", "warn", "link"):
        for ground in ("paper", "raised"):
            assert (role, ground, TEXT) in PAIRS
    assert MARK < TEXT


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("sight", [None, *SIGHTS])
def test_roles_that_meet_in_one_picture_are_told_apart(scheme, sight):
    """Air and cane, dry and humid: 15 of ΔE*ab and more apart, whatever cones are missing.

    ΔE*ab of 2.3 is just noticeable (Mahy, Van Eycken, Oosterlinck 1994, Color Research and
    Application 19:105-121). Besides, each has a word, a hatch or a stroke of its own.
    """
    colours, seen = SCHEMES[scheme], SIGHTS.get(sight)
    for one, other in (("air", "cane"), ("dry", "humid"), ("air-fill", "cane-fill")):
        assert difference(colours[one], colours[other], seen) >= 15, (one, other)


def test_the_schemes_name_the_same_roles_once():
    """A role left out would be drawn in nothing; two alike by mistake would be one."""
    assert LIGHT.keys() == DARK.keys() == PRINT.keys()
    for colours in (LIGHT, DARK):
        grounds = [colours[role] for role in ("paper", "raised", "hair", "air-fill", "cane-fill")]
        assert all(one != other for one, other in combinations(grounds, 2))


def test_every_colour_of_the_style_sheet_is_of_the_palette():
    """The style sheet names roles, no colours of its own, and only roles that are there."""
    from planner.report.page import style

    text = style().removeprefix(variables())
    assert not re.findall(r"#[0-9a-fA-F]{3,8}\b|\brgba?\(|\bhsla?\(", text)
    assert set(re.findall(r"var\(--([a-z-]+)\)", text)) <= LIGHT.keys()
