"""US National Weather Service: seven days ahead in the United States, public domain.

A place's cell of the grid is looked up once and remembered for two weeks; the forecast comes as
values that hold for a span of hours.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

import numpy as np

from planner.weather.asked import Remembered
from planner.weather.credits import NATIONAL_WEATHER_SERVICE
from planner.weather.hours import HOUR, Hours, days_of, mended, vapour_of
from planner.weather.http import Answer, Ask, Refused, Web
from planner.weather.places import Place
from planner.weather.services import Memory, Reply, Unchanged, height_of, short
from planner.weather.trees import branch, celsius, check_near, number, time_of

NAME = NATIONAL_WEATHER_SERVICE.name
LAYERS = ("temperature", "dewpoint", "relativeHumidity")
CELL_DAYS = 14  # a cell is looked up anew after that; grids get moved
OLD_HOURS = 12
MOST_HOURS = 24 * 30
HEADERS = {"Accept": "application/geo+json"}
# ISO 8601-1:2019, 5.5.2: durations, without fractions.
DURATION = re.compile(r"P(?:(\d{1,3})D)?(?:T(?=\d)(?:(\d{1,4})H)?(?:(\d{1,5})M)?(?:(\d{1,6})S)?)?")


@dataclass(frozen=True)
class NationalWeatherService:
    """The forecast of the US National Weather Service; *url* is the address without a path."""

    url: str = "https://api.weather.gov"
    name: str = NAME
    wants_contact: bool = True

    def forecast(
        self, web: Web, place: Place, *, since: str, memory: Memory, now: datetime
    ) -> Reply | Unchanged:
        """Return the coming days; see :class:`planner.weather.services.Ahead`."""
        cell, known = self._cell(web, place, memory, now)
        try:
            answer = self._get(web, cell, since)
        except Refused as error:
            if error.status != 404 or not known:
                raise
            # The grid was moved: look the cell up anew, once.
            memory.remember(_key(place), Remembered(now))
            answer = self._get(web, self._cell(web, place, memory, now)[0], "")
        if answer.unchanged:
            return Unchanged(answer.expires)
        hours = read_forecast(answer.content, place, now)
        return Reply(
            days_of(hours, place.timezone),
            NATIONAL_WEATHER_SERVICE,
            hours.notes,
            answer.expires,
            answer.last_modified,
            _height(answer.content["properties"]),
        )

    def _cell(self, web: Web, place: Place, memory: Memory, now: datetime) -> tuple[str, bool]:
        """Return the path of a place's cell, and whether it was known already."""
        known = memory.recall(_key(place))
        if known is not None and known.text and now - known.at < timedelta(days=CELL_DAYS):
            return known.text, True
        point = f"/points/{short(place.latitude)},{short(place.longitude)}"
        path = read_cell(self._get(web, point, "").content)
        memory.remember(_key(place), Remembered(now, text=path))
        return path, False

    def _get(self, web: Web, path: str, since: str) -> Answer:
        headers = {**HEADERS, **({"If-Modified-Since": since} if since else {})}
        return web.get_json(Ask(NAME, self.url + path, headers=headers, redirects=True, pause=0.2))


def _key(place: Place) -> str:
    return f"{NAME} cell {short(place.latitude)},{short(place.longitude)}"


def read_cell(content: Any) -> str:
    """Return the path of the cell that an answer on a point names.

    The path is put together here: an address in an answer is not followed.

    Raises
    ------
    Refused
        If it names none.
    """
    cell = branch(content, "properties", service=NAME)
    office, x, y = (str(cell.get(key)) for key in ("gridId", "gridX", "gridY"))
    if not (re.fullmatch(r"[A-Z]{3}", office) and all(re.fullmatch(r"\d{1,4}", n) for n in (x, y))):
        raise Refused(f"{NAME} names no cell of its grid for this point.")
    return f"/gridpoints/{office}/{x},{y}"


def read_forecast(content: Any, place: Place, now: datetime) -> Hours:
    """Return the hours of an answer.

    Raises
    ------
    Refused
        If it isn't a forecast of that service for that place.
    """
    properties = branch(content, "properties", service=NAME)
    _check_outline(content, place)
    layers = {key: _layer(properties, key) for key in LAYERS}
    if not layers["temperature"][0]:
        raise Refused(f"{NAME} answered without any temperature.")
    hours = sorted(layers["temperature"][0])
    columns = [np.array([layers[key][0].get(hour, np.nan) for hour in hours]) for key in LAYERS]
    temperature, notes = celsius(columns[0], layers["temperature"][1], NAME)
    dew_point = columns[1]
    if layers["dewpoint"][0]:
        dew_point, _ = celsius(dew_point, layers["dewpoint"][1], NAME)
    vapour = vapour_of(dew_point, columns[2], temperature)
    notes = (*notes, *_age(properties, now))
    return mended(Hours(np.array(hours, dtype="datetime64[s]"), temperature, vapour, notes))


def _height(properties: dict[str, Any]) -> float | None:
    elevation = properties.get("elevation")
    return height_of(elevation.get("value")) if isinstance(elevation, dict) else None


def _layer(properties: dict[str, Any], key: str) -> tuple[dict[np.datetime64, float], Any]:
    """Return a layer hour by hour, and its unit; empty where the layer is missing."""
    layer = properties.get(key)
    layer = layer if isinstance(layer, dict) else {}
    values = layer.get("values")
    out: dict[np.datetime64, float] = {}
    for entry in values if isinstance(values, list) else []:
        if isinstance(entry, dict):
            value = number(entry.get("value"))
            for hour in span_hours(entry.get("validTime")):
                out[hour] = value
    return out, layer.get("uom", layer.get("unitCode"))


def span_hours(text: Any) -> Iterator[np.datetime64]:
    """Yield the full hours of a span such as ``2030-01-01T03:00:00+00:00/PT2H``; none if unsound.

    Also ``start/end`` and ``duration/end``.
    """
    first, slash, last = text.partition("/") if isinstance(text, str) else ("", "", "")
    start, end = time_of(first), time_of(last)
    length = _duration(last if start is not None else first)
    if start is None and end is not None and length is not None:
        start = end - length
    if not slash or start is None:
        return
    if length is None and end is not None:
        length = end - start
    if length is None:
        return
    count = length / timedelta(hours=1)
    begins = np.datetime64(start.replace(tzinfo=None), "h")
    for hour in range(min(round(count), MOST_HOURS)):
        yield begins + hour * HOUR


def _duration(text: str) -> timedelta | None:
    found = DURATION.fullmatch(text)
    if found is None or text == "P":
        return None
    days, hours, minutes, seconds = (int(part or 0) for part in found.groups())
    return timedelta(days=days, hours=hours, minutes=minutes, seconds=seconds)


def _check_outline(content: dict[str, Any], place: Place) -> None:
    """Check the place against the cell's outline, where the answer has one."""
    corner = content.get("geometry")
    corner = corner.get("coordinates") if isinstance(corner, dict) else None
    for _ in ("ring", "corner"):
        corner = corner[0] if isinstance(corner, list) and corner else None
    if isinstance(corner, list):
        check_near(place.latitude, place.longitude, corner[1::-1], service=NAME, tolerance=0.2)


def _age(properties: dict[str, Any], now: datetime) -> tuple[str, ...]:
    updated = time_of(properties.get("updateTime"))
    if updated is None or now - updated < timedelta(hours=OLD_HOURS):
        return ()
    return (f"its forecast is of {updated:%Y-%m-%d %H:%M} UTC",)
