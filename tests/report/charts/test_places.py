"""A place's weeks in one small strip."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from planner.plan.documents import DiameterAdvice
from planner.report.charts.places import BOTTOM, LEFT, RIGHT, TOP, strip_picture
from tests.report import invented


def weeks_of(*diameters):
    """Weeks at a far place with the best diameters given."""
    return [
        replace(
            invented.advice(index, "Far"), diameter_mm=DiameterAdvice(best - 0.1, best, best + 0.1)
        )
        for index, best in enumerate(diameters)
    ]


def words_in(picture):
    """The words written in a picture."""
    return re.findall(r"<text[^>]*>([^<]+)</text>", picture)


def test_the_makers_classes_are_written_at_the_left():
    """Limits of classes, not round numbers of a scale."""
    words = words_in(strip_picture(weeks_of(10.1, 10.1, 10.3), invented.WORKSHOP, "strip"))
    assert words[:3] == ["10.00", "10.25", "10.50"]
    assert "usual" in words


def test_first_middle_and_last_week_are_named():
    """In the workshop's order."""
    picture = strip_picture(weeks_of(*[10.1] * 12), invented.WORKSHOP, "strip", "mdy")
    assert words_in(picture)[-3:] == ["Nov\u00a023", "Dec\u00a028", "Feb\u00a08"]


@pytest.mark.parametrize("count", [1, 2, 52])
def test_nothing_leaves_the_strip(count):
    """One week to a year, diameters wide apart or all alike."""
    picture = strip_picture(weeks_of(*([9.6, 11.4] * 26)[:count]), invented.WORKSHOP, "strip")
    for path in ElementTree.fromstring(picture).iter("path"):
        for x, y in re.findall(r"([0-9.]+),([0-9.]+)", path.attrib["d"]):
            assert LEFT <= float(x) <= RIGHT + 0.1
            assert TOP - 0.1 <= float(y) <= BOTTOM + 0.1


def test_many_fine_classes_are_thinned():
    """A maker who sorts to 0.05 mm: no label upon another."""
    fine = replace(invented.WORKSHOP, sorted_to_mm=0.05)
    picture = strip_picture(weeks_of(9.8, 10.4), fine, "strip")
    assert len([word for word in words_in(picture) if re.fullmatch(r"[0-9.]+", word)]) <= 4


def test_the_picture_is_told_in_words():
    """Where it is roundest, where flattest, against the usual."""
    picture = strip_picture(weeks_of(10.1, 10.4), invented.WORKSHOP, "strip")
    said = re.sub(r"\s", " ", picture)
    assert "Rounder cane than in any other week from Mon 23 Nov 2026, 10.00–10.20 mm" in said
    assert "The usual diameter is 10.50 mm." in said
