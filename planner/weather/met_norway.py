"""MET Norway Locationforecast 2.0: nine days ahead, worldwide, free for any use.

Asked with coordinates of two decimals, never before ``Expires``, then with ``If-Modified-Since``,
as its terms of service ask.
"""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

import numpy as np

from planner.weather.credits import MET_NORWAY
from planner.weather.hours import Hours, days_of, filled_between, mended, vapour_of
from planner.weather.http import Ask, Refused, Web
from planner.weather.places import Place
from planner.weather.services import Memory, Reply, Unchanged, height_of, short
from planner.weather.trees import branch, celsius, check_near, number, numbers, times

NAME = MET_NORWAY.name
LONGEST_STEP = 6  # hours between the later values of a forecast


@dataclass(frozen=True)
class MetNorway:
    """The forecast of MET Norway; *url* is the address up to the version."""

    url: str = "https://api.met.no/weatherapi/locationforecast/2.0"
    name: str = NAME
    wants_contact: bool = True

    def forecast(
        self, web: Web, place: Place, *, since: str, memory: Memory, now: datetime
    ) -> Reply | Unchanged:
        """Return the coming days; see :class:`planner.weather.services.Ahead`."""
        params = {"lat": short(place.latitude), "lon": short(place.longitude)}
        if place.altitude is not None:
            params["altitude"] = f"{place.altitude:.0f}"
        headers = {"If-Modified-Since": since} if since else {}
        # After a 429 MET asks to stop: no patience, unless Retry-After says how long.
        answer = web.get_json(
            Ask(NAME, f"{self.url}/complete", params, headers=headers, redirects=True,
                patience=lambda status, words, now: None)
        )  # fmt: skip
        if answer.unchanged:
            return Unchanged(answer.expires)
        hours = read_forecast(answer.content, place)
        return Reply(
            days_of(filled_between(hours, LONGEST_STEP), place.timezone),
            MET_NORWAY,
            (*answer.notes, *hours.notes),
            answer.expires,
            answer.last_modified,
            _height(answer.content),
        )


def read_forecast(content: Any, place: Place) -> Hours:
    """Return what an answer says of air temperature and humidity, by its own steps.

    Raises
    ------
    Refused
        If it isn't a forecast of that service for that place.
    """
    point = branch(content, "geometry", service=NAME).get("coordinates")
    lon_lat = point if isinstance(point, list) else []
    check_near(place.latitude, place.longitude, lon_lat[1::-1], service=NAME, tolerance=0.1)
    units = branch(content, "properties", "meta", "units", service=NAME)
    steps = branch(content, "properties", service=NAME).get("timeseries")
    steps = [step for step in steps if isinstance(step, dict)] if isinstance(steps, list) else []
    if not steps:
        raise Refused(f"{NAME} answered without any step of a forecast.")
    details = [_details(step) for step in steps]
    temperature, dew_point, humidity = (
        numbers([number(step.get(key)) for step in details])
        for key in ("air_temperature", "dew_point_temperature", "relative_humidity")
    )
    temperature, notes = celsius(temperature, units.get("air_temperature"), NAME)
    if np.isfinite(dew_point).any():
        dew_point, _ = celsius(dew_point, units.get("dew_point_temperature"), NAME)
    vapour = vapour_of(dew_point, humidity, temperature)
    when = times(step.get("time") for step in steps)
    return mended(Hours(when, temperature, vapour, notes))


def _height(content: Any) -> float | None:
    """Return the height that an answer, already read, is for."""
    point = content["geometry"]["coordinates"]
    return height_of(point[2]) if len(point) > 2 else None


def _details(step: dict[str, Any]) -> dict[str, Any]:
    found: Any = step
    for key in ("data", "instant", "details"):
        found = found.get(key) if isinstance(found, dict) else None
    return found if isinstance(found, dict) else {}
