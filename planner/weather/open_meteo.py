"""Open-Meteo: forecast, ensemble mean and the ERA5 archive.

Its free host is for non-commercial use only, so it is asked only where the maker opts in, or with
the maker's key at the customer host. Hours are asked for in GMT: its local time uses one offset
for a whole series.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

import numpy as np

from planner.air.humidity import Floats, saturation_pressure, vapour_pressure
from planner.errors import WeatherError
from planner.weather.credits import (
    OPEN_METEO,
    OPEN_METEO_ARCHIVE,
    OPEN_METEO_ENSEMBLE,
    Credit,
)
from planner.weather.hours import Hours, days_of, mended
from planner.weather.http import Ask, Refused, Web
from planner.weather.places import Place
from planner.weather.services import Memory, Reply, height_of, short
from planner.weather.trees import branch, celsius, check_near, number, numbers, times

NAME = OPEN_METEO.name
TEMPERATURE, DEW_POINT, HUMIDITY = "temperature_2m", "dew_point_2m", "relative_humidity_2m"
VARIABLES = 2
MOST_PLACES = 50  # in one question, so that its address stays short
MOST_WEIGHT = 500.0  # of the 600 that the free host allows in a minute
DAYS_AHEAD = {OPEN_METEO.name: "16", OPEN_METEO_ENSEMBLE.name: "35"}
MODELS = {OPEN_METEO_ENSEMBLE.name: "ncep_gefs05", OPEN_METEO_ARCHIVE.name: "era5"}
HOSTS = {
    OPEN_METEO.name: "api.open-meteo.com",
    OPEN_METEO_ENSEMBLE.name: "ensemble-api.open-meteo.com",
    OPEN_METEO_ARCHIVE.name: "archive-api.open-meteo.com",
}
PATHS = {
    OPEN_METEO.name: "/v1/forecast",
    OPEN_METEO_ENSEMBLE.name: "/v1/ensemble",
    OPEN_METEO_ARCHIVE.name: "/v1/archive",
}


@dataclass(frozen=True)
class OpenMeteo:
    """One of the three services of Open-Meteo, by its credit; *key* for the customer host."""

    credit: Credit = OPEN_METEO
    url: str = ""
    key: str = ""
    wants_contact: bool = False
    days_behind: int = 5

    @property
    def name(self) -> str:
        """The name of the service."""
        return self.credit.name

    @property
    def at_once(self) -> int:
        """How many places are asked for in one question about the coming days."""
        return MOST_PLACES

    def most(self, span: tuple[date, date]) -> int:
        """Return how many places are asked for in one question about so many past days.

        The service weighs a question by places, variables and days, and allows so much a minute.
        """
        days = (span[1] - span[0]).days + 1
        weight = max(1.0, VARIABLES / 10.0 * max(1.0, days / 14.0))
        return max(1, min(MOST_PLACES, int(MOST_WEIGHT / weight)))

    def forecast(
        self, web: Web, place: Place, *, since: str, memory: Memory, now: datetime
    ) -> Reply:
        """Return the coming days; see :class:`planner.weather.services.Ahead`."""
        return _the_only(self.forecasts(web, [place]))

    def forecasts(self, web: Web, places: Sequence[Place]) -> list[Reply | WeatherError]:
        """Return the coming days of each place; see :class:`planner.weather.services.Together`."""
        # A day back, as "today" is the day of Greenwich, which may be tomorrow at the place.
        wanted = {"forecast_days": DAYS_AHEAD[self.name], "past_days": "1"}
        return self._asked(web, places, wanted)

    def history(self, web: Web, place: Place, first: date, last: date) -> Reply:
        """Return past days; see :class:`planner.weather.services.Past`."""
        return _the_only(self.histories(web, [place], first, last))

    def histories(
        self, web: Web, places: Sequence[Place], first: date, last: date
    ) -> list[Reply | WeatherError]:
        """Return past days of each place; see :class:`planner.weather.services.Together`."""
        # The days of the place reach into the neighbouring days of Greenwich.
        start, end = first - timedelta(days=1), last + timedelta(days=1)
        wanted = {"start_date": start.isoformat(), "end_date": end.isoformat()}
        return self._asked(web, places, wanted)

    def _asked(
        self, web: Web, places: Sequence[Place], wanted: Mapping[str, str]
    ) -> list[Reply | WeatherError]:
        params = {
            "latitude": ",".join(short(place.latitude) for place in places),
            "longitude": ",".join(short(place.longitude) for place in places),
            "hourly": f"{TEMPERATURE},{DEW_POINT}",
            "timezone": "GMT",
            **wanted,
        }
        if self.name in MODELS:
            params["models"] = MODELS[self.name]
        if all(place.altitude is not None for place in places):
            params["elevation"] = ",".join(f"{place.altitude:.0f}" for place in places)
        hidden = {"apikey": self.key} if self.key else {}
        host = f"{'customer-' if self.key else ''}{HOSTS[self.name]}"
        url = (self.url or f"https://{host}") + PATHS[self.name]
        answer = web.get_json(Ask(self.name, url, params, hidden, seconds=120.0, patience=patience))
        return read_answers(answer.content, places, self.credit)


def read_answers(
    content: Any, places: Sequence[Place], credit: Credit
) -> list[Reply | WeatherError]:
    """Return the days of each place from one answer, or why that place has none.

    Raises
    ------
    Refused
        If there aren't as many tables as places.
    """
    tables = content if isinstance(content, list) else [content]
    if len(tables) != len(places):
        raise Refused(
            f"{credit.name} answered in a form that isn't its own: {len(tables)} tables for "
            f"{len(places)} places."
        )
    found: list[Reply | WeatherError] = []
    for place, table in zip(places, tables, strict=True):
        try:
            hours = read_hours(table, place, credit.name)
        except Refused as error:
            found.append(error)
            continue
        days, height = days_of(hours, place.timezone), height_of(table.get("elevation"))
        found.append(Reply(days, credit, hours.notes, height=height))
    return found


def _the_only(replies: list[Reply | WeatherError]) -> Reply:
    (reply,) = replies
    if isinstance(reply, WeatherError):
        raise reply
    return reply


def patience(status: int, words: str, now: datetime) -> float | None:
    """Return how long [s] to wait after a 429, by what it says; None where the day is used up."""
    text = words.casefold()
    if "concurrent" in text:
        return 3.0
    if text.startswith("minutely"):
        return 60.0 - now.second + 2.0 if now.second > 2 else 60.0
    return None


def read_hours(content: Any, place: Place, name: str) -> Hours:
    """Return the hours of an answer; of an ensemble, the mean over its members.

    Raises
    ------
    Refused
        If it isn't a table of that service for that place.
    """
    content = branch(content, service=name)
    if content.get("error"):
        raise Refused(f"{name} refused the request: {str(content.get('reason'))[:160]}.")
    found = [content.get("latitude"), content.get("longitude")]
    check_near(place.latitude, place.longitude, found, service=name, tolerance=0.6)
    table = branch(content, "hourly", service=name)
    units = branch(content, "hourly_units", service=name)
    labels = table.get("time")
    if not isinstance(labels, list) or not labels:
        raise Refused(f"{name} answered without any hour.")
    if units.get("time") not in (None, "iso8601"):
        raise Refused(f'{name} gave times as "{units.get("time")}" instead of iso8601.')
    temperature, notes = _in_celsius(table, units, TEMPERATURE, len(labels), name)
    vapour, more = _vapour(table, units, temperature, name)
    # Labels with an offset, against what was asked: the same offset holds for the whole series.
    offset = number(content.get("utc_offset_seconds", 0))
    offset = offset if abs(offset) <= 86_400 else 0.0
    shifted = (f"times came {offset / 3600:+g} h off and were put right",) if offset else ()
    when = times(labels) - np.timedelta64(int(offset), "s")
    return _mean(when, temperature, vapour, (*notes, *more, *shifted))


def _mean(when: Any, temperature: Floats, vapour: Floats, notes: tuple[str, ...]) -> Hours:
    """Mend each member by itself, then take the mean over those that have the hour."""
    members = [
        mended(Hours(when, one, other, notes))
        for one, other in zip(temperature, vapour, strict=True)
    ]
    if len(members) == 1:
        return members[0]
    both = np.array([[m.temperature, m.vapour_pressure] for m in members])
    sound = np.isfinite(both).all(axis=1, keepdims=True)
    count = np.maximum(sound.sum(axis=0), 1)
    means = np.where(sound, both, 0.0).sum(axis=0) / count
    # An hour that less than half of the members have is no mean of the ensemble.
    means = np.where(2 * sound.sum(axis=0) >= len(members), means, np.nan)
    told = tuple(dict.fromkeys(note for member in members for note in member.notes))
    return Hours(when, means[0], means[1], (*told, f"mean of {len(members)} members"))


def _vapour(
    table: dict[str, Any], units: dict[str, Any], temperature: Floats, name: str
) -> tuple[Floats, tuple[str, ...]]:
    """Vapour pressure (members, hours): from the dew point, else from relative humidity."""
    length = temperature.shape[1]
    if _columns(table, DEW_POINT):
        dew_point, notes = _in_celsius(table, units, DEW_POINT, length, name)
        vapour = saturation_pressure(dew_point)
    else:
        if not _columns(table, HUMIDITY):
            raise Refused(f"{name} answered without {DEW_POINT}.")
        humidity = np.array([numbers(table[key], length) for key in _columns(table, HUMIDITY)])
        if len(humidity) != len(temperature):
            raise Refused(f"{name} gave other members for humidity than for temperature.")
        vapour, notes = vapour_pressure(humidity, temperature), ()
    if len(vapour) != len(temperature):
        raise Refused(f"{name} gave other members for {DEW_POINT} than for temperature.")
    return vapour, notes


def _in_celsius(
    table: dict[str, Any], units: dict[str, Any], variable: str, length: int, name: str
) -> tuple[Floats, tuple[str, ...]]:
    """Return one variable (members, hours) in °C."""
    keys = _columns(table, variable)
    if not keys:
        raise Refused(f"{name} answered without {variable}.")
    values = np.array([numbers(table[key], length) for key in keys])
    return celsius(values, units.get(keys[0]), name)


def _columns(table: dict[str, Any], variable: str) -> list[str]:
    """Return the keys of a variable: by itself, with a model's name, or with its members."""
    return sorted(_matching(table, variable))


def _matching(table: dict[str, Any], variable: str) -> Iterator[str]:
    for key in table:
        rest = key.removeprefix(variable)
        if key == variable or (rest.startswith("_") and not rest.startswith("_spread")):
            yield key
