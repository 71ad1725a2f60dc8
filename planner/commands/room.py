"""What is known of a place's room, from its readings."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from planner import __version__
from planner.air.days import Days, mondays_of
from planner.commands.observe import LEAD_IN, readings_of
from planner.commands.workshop import opened
from planner.errors import WeatherError
from planner.plan.documents import SCHEMA_VERSION
from planner.report.figures import RoomShown
from planner.report.index import write_listed
from planner.report.page import place_page
from planner.report.room_page import render_room
from planner.report.words import day
from planner.room.findings import Range, RoomKnown, WeekRead, findings
from planner.room.model import RoomFit, fit_room, indoor
from planner.room.response import respond
from planner.room.wanted import doubts
from planner.settings import Settings
from planner.spread import LEVELS
from planner.weather.past import past_air

SHOWN_WEEKS = 26
SHOWN_DAYS = 400  # a year and a little, so that a season stands beside the one before


@dataclass(frozen=True)
class RoomAnswer:
    """What is known of a room, and where its page lies."""

    known: RoomKnown
    page: Path


def room(settings: Settings, *, today: date, place: str | None = None) -> RoomAnswer:
    """Fit the room of a place (None: the bench) to its readings up to *today*, write its page.

    Raises
    ------
    UnknownPlace
        If the workshop has no such place.
    WeatherError
        If no weather of the place is stored.
    RecordFull
        If the folder of the pages can't be written.
    """
    chosen = settings.place_named(place)
    name = chosen.place.name
    with opened(settings) as workshop:
        outdoor = workshop.weather.observed(name, today)
        rows = workshop.record.readings(until=today)
        reports = workshop.reports
    if not len(outdoor):
        raise WeatherError(
            f"There is no weather of {name} yet, and a room is judged beside it. Fetch it with "
            '"planner weather fetch", or bring a table with "planner weather import FILE".'
        )
    readings = readings_of(rows, name, chosen.place.timezone)
    fit = fit_room(readings, outdoor, chosen.room)
    known = RoomKnown(
        today,
        name,
        fit.knowledge,
        findings(fit),
        len(readings),
        _weeks(fit, outdoor),
        doubts(fit, outdoor),
    )
    path = place_page(reports, "room", name, today)
    html = render_room(
        known,
        _shown(fit, name, outdoor),
        version=__version__,
        made_at=day(today, settings.dates),
        dates=settings.dates,
        fahrenheit=settings.fahrenheit,
    )
    write_listed(html, path, dates=settings.dates)
    return RoomAnswer(known, path)


def _shown(fit: RoomFit, place: str, outdoor: Days) -> RoomShown:
    """The last days of weather as the model has them by itself, and what was read on them."""
    last = outdoor.day[-1]
    first = max(outdoor.day[0], last - SHOWN_DAYS)
    air, _ = past_air(outdoor, first.item() - LEAD_IN, last.item())
    within = indoor(air, fit.without_readings()).relative_humidity
    shown = air.days >= first
    low, middle, high = np.percentile(within[:, shown], LEVELS, axis=0).tolist()
    seen = fit.humidity.seen.where(fit.humidity.seen.day >= first)
    return RoomShown(
        place,
        tuple(air.days[shown].tolist()),
        low,
        middle,
        high,
        tuple(zip(seen.day.tolist(), seen.value.tolist(), strict=True)),
    )


def _weeks(fit: RoomFit, outdoor: Days) -> tuple[WeekRead, ...]:
    """The last weeks with readings, beside the model without what it carried over."""
    seen = fit.humidity.seen
    if not len(seen):
        return ()
    air, _ = past_air(outdoor, seen.day[0].item() - LEAD_IN, seen.day[-1].item())
    dried = fit.knowledge.dehumidify_to_pct is not None
    _, humidity = respond(fit.mean[None], air.temperature, air.vapour_pressure, always_dried=dried)
    said = humidity[0, (seen.day - air.days[0]).astype(int)]
    monday = mondays_of(seen.day)
    return tuple(
        WeekRead(
            start.item(),
            int((monday == start).sum()),
            round(float(seen.value[monday == start].mean()), 1),
            round(float(said[monday == start].mean()), 1),
        )
        for start in np.unique(monday)[-SHOWN_WEEKS:]
    )


def to_json_dict(known: RoomKnown) -> dict[str, Any]:
    """Return the answer as ``--json`` prints it."""
    found = known.found
    return {
        "schema_version": SCHEMA_VERSION,
        "today": known.today,
        "place": known.place,
        "readings": known.readings,
        "days_read": found.days_read,
        "moisture_added_cold_g_m3": _range(found.excess_cold),
        "moisture_added_mild_g_m3": _range(found.excess_mild),
        "set_point_c": _range(found.set_point),
        "lag_days": _range(found.lag),
        "held_up_to_pct": _range(found.floor),
        "held_down_to_pct": _range(found.ceiling),
        "misfit_sd_pct": round(found.misfit, 1),
        "outside_reach": [vars(one) for one in found.beyond],
        "hygrometers_apart_pct": None if found.apart is None else round(found.apart.apart_pct, 1),
        "known_within": [
            {
                "outdoor_low_c": one.low_c,
                "outdoor_high_c": one.high_c,
                "days": one.days,
                "either_way_pct": round(one.either_way_pct, 1),
            }
            for one in known.doubts
        ],
        "weeks": [vars(week) for week in known.weeks],
    }


def _range(found: Range | None) -> dict[str, float] | None:
    return None if found is None else {key: round(x, 2) for key, x in vars(found).items()}
