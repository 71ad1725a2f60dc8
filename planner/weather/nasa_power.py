"""NASA POWER: past days, worldwide, free for any use.

Days are asked for, not hours: a twentieth of the bytes. Its day runs by the sun (local solar
time), which is close enough for the mean of a day. Vapour pressure comes from specific humidity
and air pressure, so that no choice between dew and frost point is needed.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

import numpy as np

from planner.air.days import Dates, Days
from planner.air.humidity import Floats, vapour_pressure_of_specific_humidity
from planner.weather.credits import NASA_POWER, Credit
from planner.weather.hours import Hours, mended
from planner.weather.http import Ask, Refused, Web
from planner.weather.places import Place
from planner.weather.services import Reply, height_of, short
from planner.weather.trees import branch, celsius, check_near, number

NAME = NASA_POWER.name
TEMPERATURE, SPECIFIC_HUMIDITY, PRESSURE = "T2M", "QV2M", "PS"
UNITS = {SPECIFIC_HUMIDITY: ("g/kg", "gkg-1", "g kg-1"), PRESSURE: ("kpa",)}
FILL = -999.0  # where the header doesn't say another
SECONDS = 120.0  # it works for long before it answers


@dataclass(frozen=True)
class NasaPower:
    """The past days of NASA POWER; *url* is the address up to ``api``."""

    url: str = "https://power.larc.nasa.gov/api"
    name: str = NAME
    days_behind: int = 2

    def history(self, web: Web, place: Place, first: date, last: date) -> Reply:
        """Return past days; see :class:`planner.weather.services.Past`."""
        params = {
            "parameters": ",".join((TEMPERATURE, SPECIFIC_HUMIDITY, PRESSURE)),
            "community": "AG",
            "latitude": short(place.latitude),
            "longitude": short(place.longitude),
            "start": f"{first:%Y%m%d}",
            "end": f"{last:%Y%m%d}",
            "format": "JSON",
            "time-standard": "LST",
        }
        url = f"{self.url}/temporal/daily/point"
        answer = web.get_json(Ask(NAME, url, params, seconds=SECONDS, pause=2.0))
        return read_history(answer.content, place)


def read_history(content: Any, place: Place) -> Reply:
    """Return the days of an answer.

    Raises
    ------
    Refused
        If it isn't a table of that service for that place.
    """
    header = branch(content, "header", service=NAME)
    table = content.get("properties")
    if not isinstance(table, dict) or not isinstance(table.get("parameter"), dict):
        raise Refused(f"{NAME} refused the request: {_told(content)}.")
    point = branch(content, "geometry", service=NAME).get("coordinates")
    lon_lat = point if isinstance(point, list) else []
    check_near(place.latitude, place.longitude, lon_lat[1::-1], service=NAME, tolerance=0.7)
    columns = {key: branch(table, "parameter", key, service=NAME) for key in _KEYS}
    days = sorted(key for key in columns[TEMPERATURE] if _day(key) is not None)
    fill = number(header.get("fill_value", FILL))
    values = {key: _column(columns[key], days, fill) for key in _KEYS}
    temperature, notes = celsius(values[TEMPERATURE], _unit(content, TEMPERATURE), NAME)
    for key, names in UNITS.items():
        if str(_unit(content, key)).casefold() not in names:
            raise Refused(f'{NAME} gave {key} in "{_unit(content, key)}" instead of {names[0]}.')
    vapour = vapour_pressure_of_specific_humidity(
        values[SPECIFIC_HUMIDITY] / 1000.0, values[PRESSURE] * 1000.0
    )
    day = np.array([_day(key) for key in days], dtype="datetime64[D]")
    hours = mended(Hours(day.astype("datetime64[s]"), temperature, vapour, notes))
    return Reply(
        _days(day, hours),
        _credit(header),
        (*hours.notes, *_messages(content)),
        height=height_of(lon_lat[2]) if len(lon_lat) > 2 else None,
    )


_KEYS = (TEMPERATURE, SPECIFIC_HUMIDITY, PRESSURE)


def _days(day: Dates, hours: Hours) -> Days:
    sound = np.isfinite(hours.temperature) & np.isfinite(hours.vapour_pressure)
    return Days(day, hours.temperature, hours.vapour_pressure, np.full(len(day), 24)).where(sound)


def _day(key: str) -> date | None:
    """Return the day that a key such as 20300131 names; 203013 (a year's mean) names none."""
    try:
        return date.fromisoformat(key) if len(key) == 8 and key.isascii() else None
    except ValueError:
        return None


def _column(column: dict[str, Any], days: list[str], fill: float) -> Floats:
    values = np.array([number(column.get(day)) for day in days], dtype=float)
    # No quantity asked for comes near any of the fill numbers that POWER has used.
    missing = np.isclose(values, fill) | np.isclose(values, FILL) | np.isclose(values, -99.0)
    return np.where(missing, np.nan, values)


def _unit(content: dict[str, Any], key: str) -> Any:
    return branch(content, "parameters", key, service=NAME).get("units")


def _credit(header: dict[str, Any]) -> Credit:
    api = header.get("api")
    version = str(api.get("version", "")) if isinstance(api, dict) else ""
    version = version[:20] if version.isprintable() else ""
    words = f"{NASA_POWER.attribution}; POWER Project's Daily {version} version".replace("  ", " ")
    return Credit(NAME, NASA_POWER.licence, words)


def _messages(content: dict[str, Any]) -> tuple[str, ...]:
    found = content.get("messages")
    texts = [text for text in found if isinstance(text, str)] if isinstance(found, list) else []
    return tuple(f"the service says: {text[:160]}" for text in texts[:3])


def _told(content: dict[str, Any]) -> str:
    texts = _messages(content)
    return "; ".join(text.removeprefix("the service says: ") for text in texts) or "no word why"
