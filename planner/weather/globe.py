"""Distances on the globe."""

import math

EARTH_KM = 6371.0
Point = tuple[float, float]  # latitude and longitude, in degrees


def distance_km(here: Point, there: Point) -> float:
    """Return the distance [km] of two points on the globe, across the date line too (haversine)."""
    one, two = math.radians(here[0]), math.radians(there[0])
    across = math.radians(there[1] - here[1])
    chord = (
        math.sin((two - one) / 2) ** 2 + math.cos(one) * math.cos(two) * math.sin(across / 2) ** 2
    )
    return 2 * EARTH_KM * math.asin(math.sqrt(min(1.0, chord)))
