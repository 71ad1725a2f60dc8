"""Roundness of the tube and thickness of the gouge, as circles. All lengths in mm, angles in rad.

The formulas are elementary geometry of circles; functions broadcast.
"""

import numpy as np
from numpy.typing import ArrayLike

from planner.air.humidity import Floats


def arc_sagitta(diameter: ArrayLike, chord: ArrayLike) -> Floats:
    """Height of the arc [mm] that a tube of a *diameter* makes over a *chord*.

    Raises
    ------
    ValueError
        If a chord is wider than its tube.
    """
    diameter, chord = _lengths(diameter, chord)
    _fits(chord, diameter)
    radius = diameter / 2.0
    return np.asarray(radius - np.sqrt(radius**2 - chord**2 / 4.0), dtype=float)


def half_angle(diameter: ArrayLike, chord: ArrayLike) -> Floats:
    """Half the angle [rad] under which a *chord* is seen from the axis of a tube.

    Raises
    ------
    ValueError
        If a chord is wider than its tube.
    """
    diameter, chord = _lengths(diameter, chord)
    _fits(chord, diameter)
    return np.asarray(np.arcsin(chord / diameter), dtype=float)


def gauge_diameter(chord: ArrayLike, height: ArrayLike) -> Floats:
    """Diameter [mm] of a tube from a radius gauge: two feet *chord* apart, arc *height* between.

    The feet and the plunger must stand in one plane across the tube. An error in the height
    counts c²/(4h²) - 1 times in the diameter: take the widest gauge that fits.

    Raises
    ------
    ValueError
        If a height is not positive, or more than half the chord.
    """
    chord, height = _lengths(chord, height)
    if (height > chord / 2.0).any():
        raise ValueError(f"height of {np.max(height):g} mm: at most half the chord")
    return np.asarray(chord**2 / (4.0 * height) + height, dtype=float)


def gouge_thickness(
    angle: ArrayLike, bed_radius: float, blade_radius: float, centre_thickness: float
) -> Floats:
    """Thickness of gouged cane [mm] at an *angle* [rad] from the middle, square to the bark.

    The bark lies in a bed of *bed_radius*; the blade cuts a circle of *blade_radius* that leaves
    *centre_thickness* in the middle.

    Raises
    ------
    ValueError
        If the blade does not reach that far to the side.
    """
    angle = np.asarray(angle, dtype=float)
    offset = bed_radius - centre_thickness - blade_radius
    inside = blade_radius**2 - (offset * np.sin(angle)) ** 2
    if (inside < 0).any():
        raise ValueError(f"a blade of radius {blade_radius:g} mm doesn't reach that far")
    return np.asarray(bed_radius - offset * np.cos(angle) - np.sqrt(inside), dtype=float)


def blade_radius(
    bed_radius: float, centre_thickness: float, side_thickness: float, side_chord: float
) -> float:
    """Radius of the blade [mm] that leaves *side_thickness* at the edges of a *side_chord*.

    Raises
    ------
    ValueError
        If the chord is wider than the bed, or no blade can cut that.
    """
    angle = float(half_angle(2.0 * bed_radius, side_chord))
    middle, side = bed_radius - centre_thickness, bed_radius - side_thickness
    rise = middle - side * np.cos(angle)
    if rise <= 0:
        raise ValueError(
            f"no blade leaves {side_thickness:g} mm at the side and {centre_thickness:g} mm in "
            "the middle"
        )
    squares = side**2 + middle**2 - 2.0 * middle * side * np.cos(angle)
    return float(squares / (2.0 * rise))


def _lengths(*values: ArrayLike) -> tuple[Floats, ...]:
    arrays = tuple(np.asarray(value, dtype=float) for value in values)
    for array in arrays:
        if (array <= 0).any():
            raise ValueError(f"length of {np.min(array):g} mm: must be positive")
    return arrays


def _fits(chord: Floats, diameter: Floats) -> None:
    if (chord > diameter).any():
        raise ValueError(f"chord of {np.max(chord):g} mm is wider than the tube")
