"""Pictures as text: escaped, short, well formed."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

from planner.report import svg


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (1.04, "1"), (1.06, "1.1"), (-0.04, "0"), (-2.26, "-2.3"), (1234.56, "1234.6")],
)
def test_coordinates_are_kept_short(value, text):
    """A tenth of a pixel, no needless nought, no minus nought."""
    assert svg.short(value) == text


@given(st.floats(-1e5, 1e5))
def test_a_short_coordinate_is_true_to_a_twentieth(value):
    """Half a tenth of a pixel."""
    assert abs(float(svg.short(value)) - value) <= 0.05 + 1e-6


def test_text_and_attributes_are_escaped():
    """What a maker typed is never markup."""
    made = svg.tag("text", '<b>&"', said='"><script>', class_="t")
    assert "<b>" not in made
    assert "<script>" not in made
    found = ElementTree.fromstring(made)
    assert found.text == '<b>&"'
    assert found.attrib == {"said": '"><script>', "class": "t"}


def test_names_are_written_as_svg_has_them():
    """A trailing underscore for a word of Python, hyphens for the others, nothing for None."""
    assert svg.tag("g", class_="a", aria_label="b", x=None) == '<g class="a" aria-label="b"/>'


def test_what_is_markup_already_stays():
    """Elements within elements."""
    assert svg.group(Markup("<g/>"), "") == "<g><g/></g>"
    assert svg.group("", "") == ""


@given(st.text(max_size=40))
def test_any_text_makes_a_whole_picture(text):
    """Control characters, quotes, emoji: still well formed, the text within."""
    made = svg.picture("p", text, text, (10.0, 10.0), svg.text((1, 1), text, "t"))
    found = ElementTree.fromstring(made)
    assert found.attrib["role"] == "img"
    assert found.attrib["aria-labelledby"] == "p-title p-desc"
    assert found.attrib["viewBox"] == "0 0 10 10"


def test_a_way_goes_through_its_points():
    """And a shape closes."""
    points = [(0.0, 0.0), (10.0, 5.25)]
    assert svg.way(points) == "M0,0L10,5.2"
    assert 'd="M0,0L10,5.2Z"' in svg.shape(points, "s", said="what it is")
    assert "<title>what it is</title>" in svg.dot((1, 1), 2, "c", said="what it is")


def test_a_rectangle_is_never_less_than_nothing():
    """A stock of none."""
    assert 'width="0"' in svg.rectangle((0, 0), (-3, 5), "bar")


def test_hatching_stays_between_its_lines():
    """Upright strokes, each from the upper line to the lower at its place."""
    made = svg.hatch([(0, 0), (10, 10)], [(0, 20), (10, 20)], "hatch", apart=5)
    assert 'd="M2.5,2.5V20M7.5,7.5V20"' in made


def test_words_over_lines_have_a_rim():
    """Drawn twice: the rim first."""
    rim, words = ElementTree.fromstring(f"<g>{svg.text_over((0, 0), 'w', 't')}</g>")
    assert rim.attrib["class"] == "t halo"
    assert words.attrib["class"] == "t"
