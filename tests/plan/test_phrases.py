"""Turns of phrase, and counting back in the calendar."""

from datetime import date

import pytest

from planner.plan.calendar import Calendar
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.phrases import class_mm, counted, named, reeds_said, weeks_said


@pytest.mark.parametrize(
    ("places", "said"),
    [
        ([], ""),
        (["A"], "A"),
        (["A", "B", "A"], "A and B"),
        (["A", "B", "C", "D"], "A, B, C and D"),
        (["A", "B", "C", "D", "E", "F"], "A, B, C and 3 more"),
    ],
)
def test_places_are_named_once_and_many_cut_short(places, said):
    """A list of fifty places is no sentence."""
    assert named(places) == said


def test_classes_show_a_third_decimal_where_the_maker_sorts_so_finely():
    """10.125 isn't 10.12."""
    assert class_mm(10.0, 10.25) == "10.00\u201310.25\u00a0mm"
    assert class_mm(10.0, 10.125) == "10.000\u201310.125\u00a0mm"


def test_counts_and_weeks_are_said_in_the_singular_too():
    """One tube, one week."""
    monday = date(2026, 12, 7)
    assert counted(1, "tube") == "1\u00a0tube"
    assert counted(1200, "piece") == "1,200\u00a0pieces"
    assert weeks_said([monday], date.isoformat) == "week of 2026-12-07"
    assert weeks_said([date(2026, 12, 14), monday], date.isoformat) == (
        "weeks of 2026-12-07 to 2026-12-14"
    )


def test_work_is_counted_back_from_the_week_of_judging():
    """Own arithmetic: 14 days from sorting, half of them from the gouge."""
    calendar = Calendar(date(2026, 11, 25), 14, 21)
    week = date(2026, 12, 21)
    assert calendar.begin_by("tube", week) == date(2026, 12, 7)
    assert calendar.begin_by("gouged", week) == date(2026, 12, 14)
    assert calendar.begin_by("tied", week) == week
    assert calendar.order_by(week) == date(2026, 11, 16)
    assert calendar.in_time(date(2026, 11, 23))
    assert not calendar.in_time(date(2026, 11, 22))
    assert calendar.due_now(date(2026, 11, 29))
    assert not calendar.due_now(date(2026, 11, 30))


@pytest.mark.parametrize(
    ("limits", "edges"),
    [
        (Limits(10.0, 11.0, 0.25), [10.0, 10.25, 10.5, 10.75, 11.0]),
        (Limits(10.0, 10.6, 0.25), [10.0, 10.25, 10.5, 10.6]),
        (Limits(10.0, 10.5, 2.0), [10.0, 10.5]),
        (Limits(23.0, 26.0, 1.0, 24.5, 0.9, 1.1, 1.0), [23, 24, 25, 26]),
    ],
)
def test_classes_begin_at_the_smallest_diameter_and_end_at_the_largest(limits, edges):
    """The last class may be narrower; another double reed's sizes do as well."""
    assert Grid(limits).edges.tolist() == pytest.approx(edges)


def test_the_gouges_tried_hold_the_usual_one_and_keep_to_the_limits():
    """Steps of a hundredth of a mm; wide limits are tried more coarsely."""
    usual = Grid(Limits())
    assert usual.gouges.tolist() == pytest.approx([0.56, 0.57, 0.58, 0.59, 0.60, 0.61, 0.62])
    assert usual.gouges[usual.usual_gouge] == pytest.approx(0.59)
    wide = Grid(Limits(gouge_min=0.4, gouge_max=0.9, usual_gouge=0.593))
    assert len(wide.gouges) <= 13
    assert wide.gouges[wide.usual_gouge] == pytest.approx(0.593)
    assert wide.gouges.min() >= 0.4
    assert wide.gouges.max() <= 0.9


def test_a_diameter_on_a_limit_belongs_to_the_flatter_class():
    """10.25 mm is in 10.25-10.50; beyond the ends the end classes are meant."""
    grid = Grid(Limits())
    assert grid.edges[grid.class_of(10.25)] == 10.25
    assert grid.class_of(9.0) == 0
    assert grid.class_of(12.0) == len(grid.edges) - 2


@pytest.mark.parametrize(
    ("expected", "said"),
    [(28.17, "28 reeds"), (28.5, "29 reeds"), (0.62, "1 reed"), (0.46, "less than 1 reed")],
)
def test_reeds_expected_are_said_to_the_nearest(expected: float, said: str):
    """Neither more than the cane gives, nor none at all."""
    assert reeds_said(expected).replace("\u00a0", " ") == said
