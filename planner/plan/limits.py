"""What the maker can do: the cane that is sorted and the gouge that is set."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Limits:
    """Limits and habits of a workshop, all in mm.

    ``sorted_to`` is how finely the maker sorts: classes start at ``diameter_min`` and are that
    wide.
    """

    diameter_min: float = 9.5
    diameter_max: float = 11.5
    sorted_to: float = 0.25
    usual_diameter: float = 10.5
    gouge_min: float = 0.56
    gouge_max: float = 0.62
    usual_gouge: float = 0.59
