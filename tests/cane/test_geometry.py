"""Circles of tube, gauge and gouge."""

from math import radians
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.cane.geometry import (
    arc_sagitta,
    blade_radius,
    gauge_diameter,
    gouge_thickness,
    half_angle,
)

PROFILE = Path(__file__).parents[1] / "published" / "gouge_profile.csv"
ROWS = np.loadtxt(PROFILE, delimiter=",", comments="#", skiprows=3)


@pytest.mark.parametrize(
    ("diameter", "chord", "sagitta"),
    [(10.0, 6.5, 1.2003), (10.5, 7.0, 1.3369), (10.75, 7.5, 1.5243), (11.0, 7.0, 1.2574)],
)
def test_sagitta_of_an_arc(diameter, chord, sagitta):
    """Own arithmetic: s = R - sqrt(R² - w²/4), four decimals."""
    assert arc_sagitta(diameter, chord) == pytest.approx(sagitta, abs=6e-5)


def test_half_of_the_angle():
    """Own arithmetic: a chord of 7 mm on 10.5 mm is asin(2/3) = 41.810 degrees."""
    assert half_angle(10.5, 7.0) == pytest.approx(radians(41.810), abs=1e-5)


@pytest.mark.parametrize(("diameter", "height"), [(10.0, 2.0), (10.25, 1.921), (10.5, 1.8496)])
def test_a_radius_gauge_gives_the_diameter(diameter, height):
    """Own arithmetic, 8 mm gauge; 0.0001 mm of height is 0.0005 mm of diameter."""
    assert gauge_diameter(8.0, height) == pytest.approx(diameter, abs=5e-4)


@given(st.floats(8.0, 13.0), st.floats(0.3, 0.95))
def test_the_gauge_undoes_the_sagitta(diameter, share):
    """Measuring the arc that a tube makes gives the tube back."""
    chord = share * diameter
    assert gauge_diameter(chord, arc_sagitta(diameter, chord)) == pytest.approx(diameter)


@pytest.mark.parametrize(("bed", "blade", "centre", "angle", "thickness"), ROWS.tolist())
def test_profile_of_the_gouge(bed, blade, centre, angle, thickness):
    """Own arithmetic, four decimals."""
    found = gouge_thickness(radians(angle), bed, blade, centre)
    assert found == pytest.approx(thickness, abs=6e-5)


def test_the_blade_for_a_side():
    """Own arithmetic: bed 5.25, centre 0.59, 0.45 mm at a half chord of 3.5 mm: 5.272 mm."""
    assert blade_radius(5.25, 0.59, 0.45, 7.0) == pytest.approx(5.272, abs=5e-4)


@given(st.floats(4.8, 6.0), st.floats(0.55, 0.65), st.floats(0.35, 0.54))
def test_the_blade_found_leaves_the_side_asked_for(bed, centre, side):
    """The profile of the blade found has that thickness at the side."""
    radius = blade_radius(bed, centre, side, 7.0)
    angle = half_angle(2 * bed, 7.0)
    assert gouge_thickness(angle, bed, radius, centre) == pytest.approx(side, abs=1e-9)


def test_impossible_measures_are_refused():
    """Each message shows the value and what is asked for."""
    with pytest.raises(ValueError, match="chord of 12 mm is wider"):
        arc_sagitta(10.5, 12.0)
    with pytest.raises(ValueError, match="chord of 12 mm is wider"):
        half_angle(10.5, 12.0)
    with pytest.raises(ValueError, match="length of -1 mm: must be positive"):
        arc_sagitta(10.5, -1.0)
    with pytest.raises(ValueError, match="length of 0 mm: must be positive"):
        gauge_diameter(8.0, 0.0)
    with pytest.raises(ValueError, match="height of 5 mm: at most half the chord"):
        gauge_diameter(8.0, 5.0)
    with pytest.raises(ValueError, match="radius 1 mm doesn't reach"):
        gouge_thickness(1.0, 5.25, 1.0, 0.59)
    with pytest.raises(ValueError, match=r"no blade leaves 0\.3 mm"):
        blade_radius(5.25, 1.6, 0.3, 7.0)
