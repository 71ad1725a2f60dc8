"""Invented documents for the pages: a workshop, its season, its gouger; nothing of it is real."""

import math
from datetime import date, timedelta

from planner.plan.documents import (
    Basis,
    DiameterAdvice,
    Effect,
    GougeAdvice,
    PlanDocument,
    Preparation,
    Source,
    Spell,
    Spread,
    WeekAdvice,
    WorkshopLine,
)

TODAY = date(2026, 11, 25)
MONDAY = date(2026, 11, 23)
BENCH = "Aldermoor"

WORKSHOP = WorkshopLine(
    name="Reeds at the Old Ropewalk",
    bench=BENCH,
    places=(BENCH, "Port Selby", "Highmere"),
    usual_diameter_mm=10.5,
    usual_gouge_mm=0.59,
    sorted_to_mm=0.25,
    diameter_min_mm=9.5,
    diameter_max_mm=11.5,
)

BASIS = Basis(
    reeds=214,
    with_mm=120,
    with_verdict=187,
    first_reed=date(2024, 9, 3),
    last_reed=date(2026, 11, 20),
    grade="good",
    grade_why="Two winters and two summers are in it, with cane of four classes in each.",
    effects=(
        Effect("diameter", "mm per mm", -0.31, -0.39, -0.23, 0.72),
        Effect("gouge", "mm per mm", 3.2, 0.9, 5.4, 0.21),
        Effect("moisture", "mm per %", -0.034, -0.046, -0.022, 0.58),
    ),
    season_worth="Following the season is worth 9 reeds in 100 against one diameter all year.",
    wanted_low_mm=0.7,
    wanted_high_mm=0.9,
    wanted_learned=False,
    readings=96,
    weather_years=11.0,
    notes=("Two reeds noted without a gouge were counted with the spread that brings.",),
)


def advice(index: int, place: str = BENCH, *, damp: float = 0.0) -> WeekAdvice:
    """Return one invented week: dry in February, damp in August."""
    start = MONDAY + timedelta(weeks=index)
    season = math.cos(2 * math.pi * ((start - date(2027, 2, 5)).days / 365.25))
    humidity = 44 - 12 * season + damp + 1.5 * math.sin(index * 1.7)
    width = 3 + min(index, 6) * 0.9
    best = round(10.5 + 0.022 * (humidity - 44), 2)
    gouge = 0.59
    return WeekAdvice(
        week_start=start,
        place=place,
        sort_by=start - timedelta(days=14),
        weather="forecast" if index == 0 else "mixed" if index == 1 else "climate",
        room_rh_pct=Spread(humidity - width, humidity, humidity + width * 1.1),
        moisture_pct=Spread(
            (humidity - width) / 5 + 0.3, humidity / 5 + 0.2, (humidity + width) / 5 + 0.2
        ),
        diameter_mm=DiameterAdvice(best - 0.13, best, best + 0.12),
        gouge_mm=GougeAdvice(gouge - 0.01, gouge, gouge + 0.008),
        in_band_share=0.845 - 0.004 * min(index, 8),
        in_band_share_usual=0.79 - 0.006 * min(index, 12),
        opening_mm=Spread(0.71, 0.8 + 0.003 * math.sin(index), 0.895),
        bench_opening_mm=None if place == BENCH else Spread(0.69, 0.77 + 0.0015 * damp, 0.86),
        why="The room dries to a third while the heating runs; rounder cane makes up for it."
        if humidity < 37
        else "The room stays near its middle; your usual class is close.",
    )


def plan_document(
    weeks: int = 12, places: tuple[str, ...] = WORKSHOP.places, **changes: object
) -> PlanDocument:
    """Return an invented plan of so many weeks and places."""
    workshop = WorkshopLine(**{**vars(WORKSHOP), "places": places, "bench": places[0]})
    advised = tuple(
        advice(index, place, damp=(5.0 * (number % 3 - 1) if number else 0.0))
        for number, place in enumerate(places)
        for index in range(weeks)
    )
    given: dict[str, object] = {
        "schema_version": 1,
        "today": TODAY,
        "workshop": workshop,
        "basis": BASIS,
        "weeks": advised,
        "spells": _spells(places[0], weeks),
        "prepare": _prepare(places[0], weeks),
        "warnings": ("The forecast is from Mon 23 Nov 2026, two days old.",),
        "sources": (
            Source(
                "Invented forecast",
                "CC BY 4.0",
                "Invented forecast for the example",
                date(2026, 11, 23),
            ),
            Source("Invented past weather", "public domain", "Invented past weather"),
        ),
        "trials": ("Three pieces of 10.00–10.25 mm gouged to 0.60 mm would teach the most.",),
    }
    return PlanDocument(**{**given, **changes})  # type: ignore[arg-type]


def _spells(place: str, weeks: int) -> tuple[Spell, ...]:
    if weeks < 11:
        return ()
    return (
        Spell(
            place=place,
            kind="dry",
            first_week=MONDAY + timedelta(weeks=5),
            last_week=MONDAY + timedelta(weeks=10),
            diameter_mm=10.24,
            shift_mm=-0.26,
            probability=0.78,
            room_rh_pct=Spread(25.5, 32.0, 38.6),
            words="Sort for it from Mon 14 Dec 2026 on.",
        ),
    )


def _prepare(place: str, weeks: int) -> tuple[Preparation, ...]:
    tasks = [
        Preparation(
            by=MONDAY + timedelta(weeks=index),
            action="sort",
            diameter_low_mm=10.25 if index < 4 else 10.0,
            diameter_high_mm=10.5 if index < 4 else 10.25,
            gouge_mm=0.59,
            pieces=34 + index,
            place=place,
            week_start=MONDAY + timedelta(weeks=index + 2),
            words="",
        )
        for index in range(max(min(weeks, 12) - 2, 0))
    ]
    tasks.append(
        Preparation(
            by=date(2026, 12, 4),
            action="order",
            diameter_low_mm=10.0,
            diameter_high_mm=10.25,
            gouge_mm=None,
            pieces=120,
            place=place,
            week_start=None,
            words="so that it lies here before the dry spell",
        )
    )
    return tuple(tasks)
