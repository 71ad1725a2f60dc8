"""A place on earth, as the weather sees it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """A place whose weather is wanted.

    ``latitude`` and ``longitude`` in degrees (WGS84), ``timezone`` an IANA name, ``altitude`` in
    metres above the sea or None where it isn't known.
    """

    name: str
    latitude: float
    longitude: float
    timezone: str
    altitude: float | None = None


def plain(name: str) -> str:
    """Return a place's name as names are compared and kept: spacing and case forgiven."""
    return " ".join(name.split()).casefold()
