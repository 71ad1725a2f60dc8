"""Invented documents for the pages: a workshop, its season, its gouger; nothing of it is real."""

import math
import random
from datetime import date, timedelta

from planner.plan.documents import (
    Basis,
    DiameterAdvice,
    Effect,
    GougeAdvice,
    PlanDocument,
    Preparation,
    SameCane,
    Source,
    Spell,
    StockLine,
    WeekAdvice,
    WorkshopLine,
    YieldLine,
)
from planner.report.figures import (
    HistoryShown,
    JudgedReed,
    QuarterSeen,
    RoomBasis,
    RoomShown,
    WeatherShown,
)
from planner.report.page import render_plan
from planner.spread import Spread
from planner.watch.documents import (
    ChartPoint,
    Frequency,
    GougeDocument,
    GougerState,
    Sides,
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
        "same_cane": SAME_CANE if len(places) > 1 else (),
        "stock": STOCK,
        "yields": YIELDS,
        "prepare_notes": ("The record has nothing gouged or tied for 12 reeds, week of 23 Nov.",),
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
            words=f"Dry spell, {place}: 28 Dec to 7 Feb (6 weeks), room about 32 %; cane about "
            "0.26 mm rounder than usual; 3 in 4.",
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
            words="Order 120 pieces of 10.00–10.25 mm, to lie here before the dry spell.",
        )
    )
    return tuple(tasks)


def gouge_document(checks: int = 40) -> GougeDocument:
    """Return an invented gouger that wears thicker until it is sharpened, and then again."""
    noise = random.Random(8)
    points, average = [], 0.59
    for index in range(checks):
        event = "sharpened" if index == 18 else "set" if index == 30 else None
        wear = 0.0006 * (index if index < 18 else index - 18)
        centre = 0.589 + wear + noise.gauss(0, 0.003)
        average = centre if event else average + 0.25 * (centre - average)
        points.append(
            ChartPoint(
                date=TODAY - timedelta(days=6 * (checks - index)),
                centre_mm=centre,
                average_mm=average,
                low_mm=0.583,
                high_mm=0.597,
                called=average > 0.597,
                event=event,
            )
        )
    state = GougerState(
        gouger="bench gouger",
        state="steady" if checks else "none",
        checks=checks,
        checks_since_restart=min(checks, 10),
        restart=points[30].date if checks > 30 else None,
        restart_event="set" if checks > 30 else None,
        last_check=points[-1].date if points else None,
        now_mm=Spread(0.588, 0.592, 0.596) if points else None,
        average_mm=average if points else None,
        average_low_mm=0.583 if points else None,
        average_high_mm=0.597 if points else None,
        since=None,
        spread_mm=0.003,
        spread_from_checks=0.8,
        drift_mm_per_week=Spread(0.0001, 0.0006, 0.0011) if points else None,
        leaves="thick" if points else None,
        leaves_on=date(2027, 1, 18) if points else None,
        leaves_from=date(2026, 12, 14) if points else None,
        thinnest_from=None,
        wet_offset_mm=None,
        sides=Sides(0, None, None, None, "unknown"),
        frequency=Frequency(2, 3, 60, 40.0, reached=True, rows=()),
        next_check=date(2026, 11, 27),
        points=tuple(points),
    )
    return GougeDocument(
        schema_version=1,
        today=TODAY,
        target_mm=0.59,
        low_mm=0.56,
        high_mm=0.62,
        tolerance_mm=0.01,
        false_alarm_checks=370,
        gougers=(state,),
    )


def history(reeds: int = 214) -> HistoryShown:
    """Return an invented history of two years, closed in the first winter and mended after."""
    noise = random.Random(3)
    start = TODAY - timedelta(days=800)
    judged = []
    for index in range(reeds):
        when = start + timedelta(days=round(800 * index / max(reeds, 1)))
        level = _level(when)
        opening = round(level + noise.gauss(0, 0.05), 2)
        verdict = "closed" if opening < 0.7 else "open" if opening > 0.9 else "good"
        expected = Spread(level - 0.066, level, level + 0.066)
        judged.append(JudgedReed(when, opening if index % 2 else None, verdict, expected))
    return HistoryShown(judged, 0.7, 0.9)


def _level(when: date) -> float:
    season = math.cos(2 * math.pi * ((when - date(2025, 2, 5)).days / 365.25))
    return 0.8 - 0.06 * season * (1.0 if when < date(2025, 9, 1) else 0.35)


QUARTERS = (
    QuarterSeen(date(2025, 11, 27), date(2026, 2, 25), 14, 31, 2),
    QuarterSeen(date(2026, 2, 26), date(2026, 5, 27), 6, 38, 5),
)

ROOMS = (
    RoomBasis(BENCH, Spread(19.4, 20.1, 20.9), 240, held_up_to_pct=Spread(38.0, 40.2, 42.0)),
    RoomBasis("Port Selby", None, 0),
    RoomBasis("Highmere", Spread(18.0, 20.5, 23.0), 0, air_conditioned=True),
)

STOCK = (
    StockLine(None, None, 60, 0, 0, 0, 180, 0, 0, 180, "60 tubes wait to be sorted."),
    StockLine(10.0, 10.25, 8, 12, 10, 0, 46, 171, 125, 0, "Short from the week of 4 Jan 2027 on."),
    StockLine(10.25, 10.5, 60, 20, 30, 10, 240, 150, 0, 90, "Enough."),
)

YIELDS = (
    YieldLine("split", "gouged", 0.86, 0.82, 0.89, 640),
    YieldLine("gouged", "tied", 0.78, 0.73, 0.82, 512),
)

SAME_CANE = (
    SameCane(
        week_start=date(2026, 12, 7),
        sort_by=MONDAY,
        diameter_low_mm=10.25,
        diameter_high_mm=10.5,
        gouge_mm=0.59,
        places=(BENCH, "Highmere"),
        reeds=20,
        pieces=31,
        words="20 reeds from 10.25–10.50 mm, gouge 0.59 mm (31 pieces to gouge): "
        "Aldermoor and Highmere.",
    ),
)


def room(days: int = 420) -> RoomShown:
    """Return an invented room of so many days, with readings of its second half."""
    noise = random.Random(5)
    dates = [TODAY - timedelta(days=days - index) for index in range(days)]
    middle = [
        44 - 12 * math.cos(2 * math.pi * ((d - date(2026, 2, 5)).days / 365.25)) + noise.gauss(0, 2)
        for d in dates
    ]
    return RoomShown(
        BENCH,
        dates,
        [value - 5 for value in middle],
        middle,
        [value + 5 for value in middle],
        [
            (d, value + noise.gauss(0, 2.5))
            for d, value in zip(dates[days // 2 :], middle[days // 2 :], strict=True)
        ],
    )


def weather(days: int = 120) -> WeatherShown:
    """Return invented weather, ten days of it a forecast, a week of it missing."""
    noise = random.Random(6)
    dates = [TODAY - timedelta(days=days - 10 - index) for index in range(days)]
    dates = [d for d in dates if not date(2026, 10, 1) <= d < date(2026, 10, 8)]
    warm = [12 - 0.12 * (d - date(2026, 9, 1)).days + noise.gauss(0, 2.5) for d in dates]
    damp = [0.75 * 6.112 * math.exp(17.62 * t / (243.12 + t)) for t in warm]
    return WeatherShown(BENCH, dates, warm, damp, TODAY)


MADE = {"version": "0.1.0", "made_at": "Wed 25 Nov 2026"}


def everything(document: PlanDocument) -> str:
    """Return the page with all that may stand on it."""
    return render_plan(
        document,
        gouger=gouge_document(),
        history=history(),
        rooms=ROOMS,
        quarters=QUARTERS,
        **MADE,
    )
