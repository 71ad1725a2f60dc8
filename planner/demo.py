"""Makes the invented sample: a workshop that never was, from a seed, with its truth known.

``python -m planner.demo FOLDER`` writes the tables and settings that ``planner demo`` loads. The
same seed gives the same files.
"""

import csv
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import NamedTuple

import numpy as np

from planner.air.days import Air
from planner.air.humidity import dew_point
from planner.air.weeks import monday_of
from planner.invented.climate import forecast, weather
from planner.invented.gouger import CheckRow, Gouger, checks
from planner.invented.reeds import InventedReed, ReedRow, reeds
from planner.invented.rooms import ReadingRow, every_few_days, readings, room_air
from planner.invented.truth import SAMPLE, Truth
from planner.invented.words import readme, settings_text
from planner.invented.work import MoveRow, Work, work

SEED = 5
TODAY = date(2026, 11, 23)
WEATHER_FROM = date(2016, 11, 1)
WORK_FROM = date(2023, 8, 14)
KNOWN_AFTER = 210  # days after today whose truth is made too, for whoever wants to compare
FORECAST_DAYS = 9
ORDERED_WEEKS = 10
REEDS_A_WEEK = 20


class WeatherRow(NamedTuple):
    """A row of a table of weather."""

    time: str
    temperature_c: str
    dew_point_c: str


class OrderRow(NamedTuple):
    """A row of the table of orders."""

    week_start: str
    place: str
    reeds: int


@dataclass(frozen=True)
class Invented:
    """An invented workshop as of *today*, and the truth behind it.

    ``outdoor`` and ``rooms`` (by the name of the place) go on after *today*; ``forecasts`` are
    what a weather service said then.
    """

    truth: Truth
    today: date
    outdoor: dict[str, Air]
    rooms: dict[str, Air]
    forecasts: dict[str, Air]
    reeds: list[InventedReed]
    readings: list[ReadingRow]
    checks: list[CheckRow]
    work: Work
    orders: list[OrderRow]


def invent(
    seed: int = SEED,
    truth: Truth = SAMPLE,
    *,
    today: date = TODAY,
    outdoor: dict[str, Air] | None = None,
    work_from: date = WORK_FROM,
) -> Invented:
    """Invent a workshop.

    Parameters
    ----------
    seed : of all that is left to chance
    truth : what the history is made from
    today : the day of the sample
    outdoor : real weather by the name of each place, of one member, to be used in place of an
        invented one; it should begin some weeks before *work_from* and reach past *today*
    work_from : first day of work; reeds are judged from two weeks later on
    """
    parts = np.random.SeedSequence(seed).spawn(6)
    sky, room, bench, judging, meter, gauge = (np.random.default_rng(part) for part in parts)
    end = today + timedelta(days=KNOWN_AFTER)
    if outdoor is None:
        outdoor = {p.place.name: weather(p.climate, WEATHER_FROM, end, sky) for p in truth.places}
    rooms = {p.place.name: room_air(outdoor[p.place.name], p.room, room) for p in truth.places}
    forecasts = {name: forecast(air, today, FORECAST_DAYS, sky) for name, air in outdoor.items()}
    gouger = Gouger(truth.gouger, gauge)
    done = work(work_from, today, bench)
    return Invented(
        truth=truth,
        today=today,
        outdoor=outdoor,
        rooms=rooms,
        forecasts=forecasts,
        reeds=reeds(truth, done.batches, gouger, rooms, today, judging),
        readings=_readings(truth, rooms, today, meter),
        checks=checks(gouger, work_from, today, gauge),
        work=done,
        orders=_orders(truth, today),
    )


def _readings(
    truth: Truth, rooms: dict[str, Air], today: date, generator: np.random.Generator
) -> list[ReadingRow]:
    """The bench every few days for a year and more; the others now and then."""
    rows: list[ReadingRow] = []
    for number, entry in enumerate(truth.places):
        step, days = (2.2, 420) if number == 0 else (6.0, 300)
        first = max(today - timedelta(days=days), rooms[entry.place.name].days[60].item())
        noted = every_few_days(first, today, step, generator)
        air = rooms[entry.place.name]
        rows += readings(air, entry.place.name, entry.place.timezone, noted, generator)
    return [row for row in rows if row.time[:10] <= today.isoformat()]


def _orders(truth: Truth, today: date) -> list[OrderRow]:
    monday = monday_of(today)
    return [
        OrderRow(
            (monday + timedelta(weeks=week)).isoformat(),
            entry.place.name,
            round(REEDS_A_WEEK * entry.share),
        )
        for week in range(1, ORDERED_WEEKS + 1)
        for entry in truth.places
    ]


def weather_rows(air: Air) -> list[WeatherRow]:
    """Return daily air of one member as rows of a table."""
    dew = dew_point(air.vapour_pressure[0])
    return [
        WeatherRow(str(day), f"{temperature:.1f}", f"{wet:.1f}")
        for day, temperature, wet in zip(air.days, air.temperature[0], dew, strict=True)
    ]


def write_sample(invented: Invented, folder: Path) -> None:
    """Write an invented workshop as tables, settings and a note that says what it is."""
    folder.mkdir(parents=True, exist_ok=True)
    _write(folder / "reeds.csv", ReedRow._fields, (reed.row for reed in invented.reeds))
    _write(folder / "readings.csv", ReadingRow._fields, invented.readings)
    _write(folder / "checks.csv", CheckRow._fields, invented.checks)
    _write(folder / "cane.csv", MoveRow._fields, invented.work.moves)
    _write(folder / "orders.csv", OrderRow._fields, invented.orders)
    yesterday = invented.today - timedelta(days=1)
    for name, air in invented.outdoor.items():
        seen = air.part(air.days[0].item(), yesterday)
        _write(folder / f"weather-{name}.csv", WeatherRow._fields, weather_rows(seen))
    for name, air in invented.forecasts.items():
        file = folder / f"forecast-{name}-{invented.today}.csv"
        _write(file, WeatherRow._fields, weather_rows(air))
    (folder / "workshop.toml").write_text(settings_text(invented.truth), encoding="utf-8")
    (folder / "README.md").write_text(readme(invented.today), encoding="utf-8")


def _write(path: Path, heading: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(heading)
        table.writerows(rows)


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit("Usage: python -m planner.demo FOLDER")
    write_sample(invent(), Path(sys.argv[1]))
