"""A place's weeks in one small strip, for a page with many places."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from planner.plan.documents import WeekAdvice, WorkshopLine
from planner.report import svg
from planner.report.charts.classes import class_limits
from planner.report.scales import Scale
from planner.report.words import day, mm, number, short_day, span

WIDTH, TOP, BOTTOM, HEIGHT = 340.0, 6.0, 62.0, 82.0
LEFT, RIGHT = 46.0, 300.0
MOST_LIMITS = 4
LEAST = 0.4  # mm: small changes don't look large


def strip_picture(
    weeks: Sequence[WeekAdvice], workshop: WorkshopLine, name: str, dates: str = "dmy"
) -> Markup:
    """Return the diameters of one place as a band of steps; ``name`` is unique in the page.

    The band is the range to take, the line in it the best diameter, the broken line the usual one.
    """
    scale = _scale(weeks, workshop)
    column = (RIGHT - LEFT) / len(weeks)
    upper = _steps([scale(week.diameter_mm.high) for week in weeks], column)
    lower = _steps([scale(week.diameter_mm.low) for week in weeks], column)
    best = _steps([scale(week.diameter_mm.best) for week in weeks], column)
    usual = scale(workshop.usual_diameter_mm)
    return svg.picture(
        name,
        f"Diameters, {weeks[0].place}",
        _described(weeks, workshop, dates),
        (WIDTH, HEIGHT),
        *_grid(scale, workshop),
        svg.shape([*upper, *lower[::-1]], "cane-bar"),
        svg.line((LEFT, usual), (RIGHT, usual), "usual"),
        svg.text((RIGHT + 5, usual + 4), "usual", "t soft"),
        svg.curve(best, "cane-best"),
        *_foot(weeks, column, dates),
        class_="strip",
    )


def _scale(weeks: Sequence[WeekAdvice], workshop: WorkshopLine) -> Scale:
    usual = workshop.usual_diameter_mm
    low = min([usual, *(week.diameter_mm.low for week in weeks)])
    high = max([usual, *(week.diameter_mm.high for week in weeks)])
    spare = max(LEAST - (high - low), 0.0) / 2
    return Scale(low - spare, high + spare, BOTTOM, TOP)


def _grid(scale: Scale, workshop: WorkshopLine) -> Iterator[Markup]:
    """The limits of the maker's classes, thinned where they are many."""
    limits = class_limits(
        (scale.low, scale.high),
        workshop.diameter_min_mm,
        workshop.diameter_max_mm,
        workshop.sorted_to_mm,
    )
    within = [limit for limit in limits if scale.low - 1e-9 <= limit <= scale.high + 1e-9]
    for limit in within[:: -(-len(within) // MOST_LIMITS) or 1]:
        y = scale(limit)
        yield svg.line((LEFT, y), (RIGHT, y), "hair")
        yield svg.text((LEFT - 6, y + 4), number(limit), "t soft", "end")


def _foot(weeks: Sequence[WeekAdvice], column: float, dates: str) -> Iterator[Markup]:
    """The first week, the middle one and the last, as far as there are so many."""
    last = len(weeks) - 1
    for index in sorted({0, last // 2, last} if last > 3 else {0}):
        x = LEFT + (index + 0.5) * column
        yield svg.text((x, BOTTOM + 16), short_day(weeks[index].week_start, dates), "t", "middle")


def _steps(heights: Sequence[float], column: float) -> list[svg.Point]:
    return [
        (LEFT + x, y)
        for index, y in enumerate(heights)
        for x in (index * column, (index + 1) * column)
    ]


def _described(weeks: Sequence[WeekAdvice], workshop: WorkshopLine, dates: str) -> str:
    round_, flat = (choose(weeks, key=lambda w: w.diameter_mm.best) for choose in (min, max))
    return (
        f"Rounder cane than in any other week from {day(round_.week_start, dates)}, "
        f"{span(round_.diameter_mm.low, round_.diameter_mm.high)}; flatter than in any other "
        f"from {day(flat.week_start, dates)}, "
        f"{span(flat.diameter_mm.low, flat.diameter_mm.high)}. The usual diameter is "
        f"{mm(workshop.usual_diameter_mm)}."
    )
