"""Which services are asked: by the settings, else a set that anyone may use, worldwide."""

import difflib
import os
from collections.abc import Mapping
from dataclasses import dataclass, replace

from planner.errors import WorkshopError
from planner.weather.credits import OPEN_METEO, OPEN_METEO_ARCHIVE, OPEN_METEO_ENSEMBLE, Credit
from planner.weather.met_norway import MetNorway
from planner.weather.nasa_power import NasaPower
from planner.weather.national_weather_service import NationalWeatherService
from planner.weather.open_meteo import OpenMeteo
from planner.weather.open_meteo_places import OpenMeteoPlaces
from planner.weather.services import Ahead, Past
from planner.weather.wanted import Wanted

AHEAD = ("met-norway", "national-weather-service", "open-meteo", "open-meteo-ensemble")
PAST = ("nasa-power", "open-meteo-archive")
PLACES = ("open-meteo",)
PLACES_URL = "open-meteo-places"  # its name among the addresses
OPEN_METEO_CREDITS = {
    "open-meteo": OPEN_METEO,
    "open-meteo-ensemble": OPEN_METEO_ENSEMBLE,
    "open-meteo-archive": OPEN_METEO_ARCHIVE,
}
NOT_ASKED = "none"


@dataclass(frozen=True)
class Chosen:
    """The services to ask; None where nobody is asked."""

    ahead: Ahead | None
    past: Past | None


def chosen(wanted: Wanted, environment: Mapping[str, str] | None = None) -> Chosen:
    """Return the services that the settings ask for.

    Open-Meteo is never chosen by itself, and asked only with the maker's word that the use is
    non-commercial, or with the maker's key.

    Raises
    ------
    WorkshopError
        If a service or an address isn't known, or Open-Meteo is asked for without either.
    """
    environment = os.environ if environment is None else environment
    _check_urls(wanted.urls)
    ahead = _known(wanted.ahead or AHEAD[0], AHEAD, "ahead")
    past = _known(wanted.past or PAST[0], PAST, "past")
    return Chosen(_ahead(wanted, ahead, environment), _past(wanted, past, environment))


def _ahead(wanted: Wanted, name: str, environment: Mapping[str, str]) -> Ahead | None:
    if name in OPEN_METEO_CREDITS:
        return _open_meteo(wanted, name, environment)
    if name == "met-norway":
        return MetNorway(_url(wanted, name, MetNorway.url))
    if name == "national-weather-service":
        return NationalWeatherService(_url(wanted, name, NationalWeatherService.url))
    return None


def _past(wanted: Wanted, name: str, environment: Mapping[str, str]) -> Past | None:
    if name in OPEN_METEO_CREDITS:
        return _open_meteo(wanted, name, environment)
    return NasaPower(_url(wanted, name, NasaPower.url)) if name == "nasa-power" else None


def only(wanted: Wanted, service: str) -> Wanted:
    """Return the wish to ask that one service and nobody else.

    Raises
    ------
    WorkshopError
        If it isn't known.
    """
    _known(service, (*AHEAD, *PAST), "--from")
    ahead, past = (service, NOT_ASKED) if service in AHEAD else (NOT_ASKED, service)
    return replace(wanted, ahead=ahead, past=past)


def place_search(
    wanted: Wanted, service: str, environment: Mapping[str, str] | None = None
) -> OpenMeteoPlaces:
    """Return the service that places are searched with.

    Raises
    ------
    WorkshopError
        If it isn't known, or may not be asked.
    """
    _check_urls(wanted.urls)
    _known(service, PLACES, "--from")
    key = _open_meteo_key(wanted, os.environ if environment is None else environment)
    return OpenMeteoPlaces(_url(wanted, PLACES_URL, ""), key)


def _open_meteo(wanted: Wanted, service: str, environment: Mapping[str, str]) -> OpenMeteo:
    credit: Credit = OPEN_METEO_CREDITS[service]
    key = _open_meteo_key(wanted, environment)
    return OpenMeteo(credit, _url(wanted, service, ""), key)


def _open_meteo_key(wanted: Wanted, environment: Mapping[str, str]) -> str:
    """Return the maker's key, empty where the use is said to be non-commercial."""
    variable = wanted.open_meteo_apikey_env
    key = environment.get(variable, "") if variable else ""
    if variable and not key:
        raise WorkshopError(
            f"Open-Meteo's key is to come from the variable \"{variable}\", which isn't set; set "
            "it, or take open_meteo_apikey_env out of [weather] in workshop.toml."
        )
    if not key and not wanted.open_meteo_noncommercial:
        raise WorkshopError(
            "Open-Meteo is free for non-commercial use only. If yours is, put "
            "open_meteo_noncommercial = true into [weather] of workshop.toml; if you sell reeds, "
            "name the variable that holds your key with open_meteo_apikey_env."
        )
    return key


def _url(wanted: Wanted, service: str, usual: str) -> str:
    return wanted.urls.get(service, usual).rstrip("/")


def _known(name: str, names: tuple[str, ...], key: str) -> str:
    if name in names or name == NOT_ASKED:
        return name
    near = difflib.get_close_matches(name, names, n=1, cutoff=0.3)
    hint = f'; did you mean "{near[0]}"?' if near else ""
    raise WorkshopError(
        f'No weather service is called "{name}" ({key}); there are {", ".join(names)}{hint}'
    )


def _check_urls(urls: Mapping[str, str]) -> None:
    for name, url in urls.items():
        _known(name, (*AHEAD, *PAST, PLACES_URL), "[weather.urls]")
        if not isinstance(url, str) or not url.startswith(("https://", "http://")):
            raise WorkshopError(
                f'[weather.urls] {name} = "{url}" must be an address that begins with https://'
            )
