"""From the weather so far to the rooms and the cane of the coming weeks."""

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from planner.air.days import Air, Dates
from planner.air.humidity import Floats
from planner.air.weeks import monday_of
from planner.cane.moisture import moisture_content, moisture_over
from planner.commands.forecast_skill import skill_of
from planner.commands.learn import Learned
from planner.commands.observe import HISTORY_DRAWS, LEAD_IN
from planner.commands.workshop import Workshop
from planner.plan.coming import YearMean
from planner.room.model import indoor
from planner.weather.outlook import Outlook, outlook
from planner.weather.past import past_air
from planner.weather.skill import USUAL_SKILL

MEMBERS = 400
WEEK = 7
DAYS_A_YEAR = 365
MOST_OF_A_YEAR = 300  # days


@dataclass(frozen=True)
class Ahead:
    """The coming weeks at one place; arrays are (members, weeks).

    ``weather`` says of each week what it rests on: forecast, mixed or climate; ``room`` is the
    room's air by the day.
    """

    place: str
    mondays: Dates
    room_rh: Floats
    moisture: Floats
    weather: tuple[str, ...]
    notes: tuple[str, ...]
    room: Air


def mondays_from(today: date, weeks: int) -> Dates:
    """Return the Mondays of *weeks* weeks, beginning with the week that holds *today*."""
    first = np.datetime64(monday_of(today), "D")
    return first + WEEK * np.arange(weeks)


def look_ahead(
    workshop: Workshop,
    learned: Learned,
    place: str,
    mondays: Dates,
    *,
    played_days: int = 0,
    seed: int = 0,
) -> Ahead:
    """Return the room and the cane's moisture at a place with weather.

    For the bench (``played_days`` 0) the week in which a reed is judged counts; where reeds are
    played, the ``played_days`` days after that week.
    """
    starts = mondays if not played_days else mondays + WEEK
    length = played_days or WEEK
    future = _outlook(workshop, learned, place, last=(starts[-1] + length).item(), seed=seed)
    room = indoor(future.air, learned.rooms[place], seed=seed)
    return Ahead(
        place,
        mondays,
        _means(room.days, room.relative_humidity, starts, length),
        moisture_over(room, starts, length),
        tuple(_origin(future, start, length) for start in starts),
        future.notes,
        room,
    )


def _outlook(workshop: Workshop, learned: Learned, place: str, *, last: date, seed: int) -> Outlook:
    kept = workshop.weather.forecast(place, learned.today)
    return outlook(
        learned.outdoor[place],
        kept[0] if kept else None,
        skill=skill_of(workshop, place, kept[2], learned.today).skill if kept else USUAL_SKILL,
        first=monday_of(learned.today) - LEAD_IN,
        today=learned.today,
        last=last,
        members=MEMBERS,
        seed=seed,
    )


def _means(days: Dates, values: Floats, starts: Dates, length: int) -> Floats:
    """Means of daily *values* (members, days) over windows of *length* days (members, windows)."""
    first = (starts - days[0]).astype(int)
    return np.stack([values[:, i : i + length].mean(axis=1) for i in first], axis=1)


def _origin(future: Outlook, start: np.datetime64, length: int) -> str:
    """What a window's weather rests on; days behind it that are known make no forecast of it."""
    i = int((start - future.air.days[0]).astype(int))
    origins = set(future.origin[i : i + length].tolist())
    if "climate" not in origins:
        return "forecast"
    return "mixed" if "forecast" in origins else "climate"


def year_mean(learned: Learned, place: str) -> YearMean | None:
    """Return the mean room and cane of the last whole year at a place; None with less weather."""
    table = learned.outdoor[place]
    last = table.day[-1].item()
    if len(table) < MOST_OF_A_YEAR:
        return None
    first = last - timedelta(days=DAYS_A_YEAR - 1)
    air, _ = past_air(table, first - LEAD_IN, last)
    room = indoor(air, learned.rooms[place].thinned(HISTORY_DRAWS)).part(first, last)
    content = moisture_content(room.relative_humidity, room.temperature)
    weeks = content[:, : DAYS_A_YEAR // WEEK * WEEK].reshape(len(content), -1, WEEK).mean(axis=2)
    return YearMean(float(room.relative_humidity.mean()), float(content.mean()), weeks)
