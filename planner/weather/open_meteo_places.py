"""Places by name from Open-Meteo: villages too, with their height above the sea.

Its free host is for non-commercial use only, so it is asked only where the maker opts in, or with
the maker's key at the customer host.
"""

from dataclasses import dataclass
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from planner.weather.credits import PLACE_LIST, Credit
from planner.weather.http import Ask, Refused, Web
from planner.weather.open_meteo import patience
from planner.weather.search import Candidate
from planner.weather.services import height_of
from planner.weather.trees import branch, number

NAME = "Open-Meteo places"
HOST = "geocoding-api.open-meteo.com"
MOST = 10
SECONDS = 20.0
TOWN = "PPL"  # GeoNames' feature codes of towns and villages begin so


@dataclass(frozen=True)
class OpenMeteoPlaces:
    """The search of places; *url* in place of the host, *key* for the customer host."""

    url: str = ""
    key: str = ""
    credit: Credit = PLACE_LIST

    def search(self, web: Web, text: str) -> list[Candidate]:
        """Return the places that *text* may mean, towns first, the larger before the smaller.

        Raises
        ------
        WeatherError
            If the service doesn't answer, or answers what it wasn't asked.
        """
        host = f"{'customer-' if self.key else ''}{HOST}"
        url = f"{self.url or f'https://{host}'}/v1/search"
        params = {"name": text.strip(), "count": str(MOST), "format": "json"}
        hidden = {"apikey": self.key} if self.key else {}
        ask = Ask(NAME, url, params, hidden, seconds=SECONDS, patience=patience)
        return read_places(web.get_json(ask).content)


def read_places(content: Any) -> list[Candidate]:
    """Return the places of an answer; one that can't be placed is left out.

    Raises
    ------
    Refused
        If it isn't a list of places.
    """
    answer = branch(content, service=NAME)
    if answer.get("error"):
        raise Refused(f"{NAME} refused the request: {str(answer.get('reason'))[:160]}.")
    # Where nothing is found, the key is missing.
    results = answer.get("results", [])
    if not isinstance(results, list):
        raise Refused(f"{NAME} answered in a form that isn't its own: no list of results.")
    found = [entry for entry in results if isinstance(entry, dict)]
    towns_first = sorted(found, key=lambda entry: not _text(entry, "feature_code").startswith(TOWN))
    places = (_candidate(entry) for entry in towns_first)
    return [place for place in places if place is not None]


def _candidate(entry: dict[str, Any]) -> Candidate | None:
    # The service leaves out every field that is zero, even a latitude.
    latitude, longitude = number(entry.get("latitude", 0.0)), number(entry.get("longitude", 0.0))
    zone, name = _text(entry, "timezone"), _text(entry, "name")
    people = number(entry.get("population", 0.0))
    if not (name and abs(latitude) <= 90.0 and abs(longitude) <= 180.0 and _is_zone(zone)):
        return None
    return Candidate(
        name=name,
        region=_text(entry, "admin1"),
        country_code=_text(entry, "country_code"),
        country=_text(entry, "country"),
        latitude=latitude,
        longitude=longitude,
        timezone=zone,
        population=int(people) if 0.0 <= people < 1e9 else 0,
        altitude=height_of(entry.get("elevation", 0.0)),
    )


def _text(entry: dict[str, Any], key: str) -> str:
    value = entry.get(key)
    return "".join(c for c in value if c.isprintable())[:80] if isinstance(value, str) else ""


def _is_zone(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True
