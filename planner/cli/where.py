"""Which place a name means, asked in a terminal where it may mean several."""

import sys
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from planner.cli.shared import notes

if TYPE_CHECKING:
    from planner.weather.places import Place


# What to do, where an option is wrong, about a place that the list doesn't have.
OTHERWISE = (
    "the place itself with --latitude and --longitude; in a workshop that may ask Open-Meteo, "
    '"planner weather places {} --from open-meteo" finds villages too.'
)


def coordinate_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """Add the options of a place that the list doesn't have: --latitude, --longitude."""
    latitude = click.option(
        "--latitude", type=click.FloatRange(-90, 90), help="Instead of a listed town."
    )
    longitude = click.option(
        "--longitude", type=click.FloatRange(-180, 180), help="Instead of a listed town."
    )
    return latitude(longitude(command))


def place_of(
    text: str, latitude: float | None, longitude: float | None, *, otherwise: str = ""
) -> "Place":
    """Return the place of a name, or of coordinates under that name.

    *otherwise* says what else to give for a place that the list doesn't have.

    Raises
    ------
    WrongUse
        If no place of the list has that name, or several have and nobody can be asked.
    """
    from planner.errors import WrongUse
    from planner.weather.places import Place
    from planner.weather.search import place_named, search_places, zone_at

    if (latitude is None) != (longitude is None):
        raise WrongUse("--latitude and --longitude go together; one of them is missing.")
    if latitude is not None and longitude is not None:
        return Place(text, latitude, longitude, zone_at(latitude, longitude))
    found = place_named(text)
    if found is not None:
        return found
    candidates = search_places(text, limit=5)
    if not candidates:
        raise WrongUse(
            f'No place of the list is named "{text}". Give the next larger town, or '
            f"{otherwise or OTHERWISE.format(text)}"
        )
    lines = [f"  {i}  {candidate}" for i, candidate in enumerate(candidates, start=1)]
    if not sys.stdin.isatty():
        raise WrongUse(
            "\n".join([f'"{text}" may mean several places; say which, as "Name, CC":', *lines])
        )
    notes(f'"{text}" may mean:', *lines)
    number = click.prompt("Which one", type=click.IntRange(1, len(candidates)), err=True)
    return candidates[number - 1].place
