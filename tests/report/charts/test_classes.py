"""The maker's classes as lanes."""

from hypothesis import given
from hypothesis import strategies as st

from planner.report.charts.classes import AT_MOST, HIGHEST, Lanes, class_limits, lanes_for
from tests.report import invented


def test_lanes_are_the_makers_classes_with_one_to_spare():
    """Own arithmetic: 10.10 to 10.40 mm in quarters from 9.5 mm touch 10.00 to 10.50 mm."""
    assert class_limits([10.1, 10.4], 9.5, 11.5, 0.25) == (9.75, 10.0, 10.25, 10.5, 10.75)


def test_lanes_end_where_the_maker_does():
    """No class below the smallest diameter or above the largest."""
    assert class_limits([9.5, 11.5], 9.5, 11.5, 0.5) == (9.5, 10.0, 10.5, 11.0, 11.5)


@given(
    st.lists(st.floats(9.5, 11.5), min_size=1, max_size=9),
    st.sampled_from([0.02, 0.05, 0.1, 0.125, 0.25, 0.3, 0.5, 1.0, 2.0]),
)
def test_lanes_hold_every_diameter_and_are_never_too_many(diameters, width):
    """However finely the maker sorts."""
    limits = class_limits(diameters, 9.5, 11.5, width)
    assert 2 <= len(limits) <= AT_MOST + 1
    assert limits[0] <= min(diameters) + 1e-3
    assert limits[-1] >= max(diameters) - 1e-3
    assert list(limits) == sorted(set(limits))


def test_rounder_cane_lies_lower_down():
    """And what lies outside is held at the edge."""
    lanes = Lanes((10.0, 10.25, 10.5), top=20.0, extent=100.0)
    assert [lanes.y(d) for d in (10.0, 10.25, 10.5)] == [120.0, 70.0, 20.0]
    assert (lanes.y(9.0), lanes.y(12.0)) == (120.0, 20.0)


def test_few_lanes_are_not_needlessly_high():
    """Two classes don't fill the whole height."""
    weeks = [invented.advice(index) for index in range(3)]
    lanes = lanes_for(invented.WORKSHOP, weeks, 0.0, 1000.0)
    assert lanes.extent == HIGHEST * (len(lanes.limits) - 1)
    low, high = lanes.limits[0], lanes.limits[-1]
    assert low <= min(week.diameter_mm.low for week in weeks)
    assert high >= invented.WORKSHOP.usual_diameter_mm
