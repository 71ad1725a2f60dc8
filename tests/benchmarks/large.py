"""Makes large workshops for the benchmarks: many reeds, many places, ten years of weather."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np

from planner.air.days import Days
from planner.commands.workshop import opened
from planner.demo import WEATHER_FROM
from planner.history.tables import Reading, Reed
from planner.invented.climate import weather
from planner.invented.truth import BENCH, COLD_DRY, HUMID_COAST, SAMPLE, PlaceTruth, Truth
from planner.invented.words import settings_text
from planner.settings import read_settings

TODAY = date(2026, 11, 23)
MADE_AT = datetime(2026, 11, 23, tzinfo=UTC)
READINGS = 150
KINDS = (BENCH, COLD_DRY, HUMID_COAST)


def workshop(folder: Path, *, reeds: int, places: int = 1, years: float = 10.0) -> Path:
    """Make a workshop in *folder* with so many reeds, places and years of weather."""
    folder.mkdir(parents=True)
    truth = replace(SAMPLE, places=tuple(_place(number) for number in range(places)))
    (folder / "workshop.toml").write_text(settings_text(truth), encoding="utf-8")
    generator = np.random.default_rng([reeds, places])
    with opened(read_settings(folder)) as made:
        first = max(WEATHER_FROM, TODAY - timedelta(days=round(365.25 * years)))
        for entry in truth.places:
            days = _weather(entry, first, generator)
            made.weather.put(entry.place.name, days, source="file", fetched_at=MADE_AT)
        made.record.import_rows("reeds", _reeds(truth, reeds, years, generator))
        made.record.import_rows("readings", _readings(truth, generator))
    return folder


def _place(number: int) -> PlaceTruth:
    """One of the sample's kinds of place under a name of its own, its coordinates shifted."""
    kind = KINDS[number % len(KINDS)]
    place = replace(
        kind.place,
        name=f"{kind.place.name} {number + 1}",
        latitude=kind.place.latitude + number * 0.01,
    )
    return replace(kind, place=place)


def _weather(entry: PlaceTruth, first: date, generator: np.random.Generator) -> Days:
    air = weather(entry.climate, first, TODAY - timedelta(days=1), generator)
    return Days(air.days, air.temperature[0], air.vapour_pressure[0], np.full(len(air.days), 24))


def _reeds(truth: Truth, count: int, years: float, generator: np.random.Generator) -> list[Reed]:
    """Reeds evenly over the years, a season in the openings, most measured and judged."""
    bench = truth.places[0].place.name
    span = round(365.25 * years) - 60
    rows = []
    for ago in np.sort(generator.integers(1, span, count))[::-1]:
        day = TODAY - timedelta(days=int(ago))
        season = np.cos(2 * np.pi * (day.timetuple().tm_yday - 200) / 365.25)
        diameter = 10.5 + 0.2 * season + generator.normal(0, 0.15)
        gouge = generator.normal(0.59, 0.01)
        opening = 0.8 - 0.22 * (diameter - 10.5) + 2.2 * (gouge - 0.59) + 0.05 * season
        opening += generator.normal(0, truth.spread)
        low, high = truth.wanted
        verdict = "closed" if opening < low else "open" if opening > high else "good"
        rows.append(
            Reed(
                date=day,
                place=bench,
                lot=f"{day.year}-{day.month // 3}",
                diameter_mm=round(float(diameter), 2),
                gouge_mm=round(float(gouge), 3) if generator.random() < 0.9 else None,
                opening_mm=round(float(opening), 2) if generator.random() < 0.8 else None,
                verdict=verdict,
            )
        )
    return rows


def _readings(truth: Truth, generator: np.random.Generator) -> list[Reading]:
    """Spot readings at the bench over the last year."""
    bench = truth.places[0].place.name
    rows = []
    for ago in range(READINGS):
        season = np.cos(2 * np.pi * (ago * 2 - 120) / 365.25)
        time = MADE_AT - timedelta(days=2 * ago + 1, hours=-10)
        humidity = float(np.clip(38 + 12 * season + generator.normal(0, 3), 10, 90))
        rows.append(Reading(time=time, place=bench, rh_pct=round(humidity), temperature_c=20.5))
    return rows
