"""A place's weeks in one small strip, for a page with many places."""

from collections.abc import Sequence

from markupsafe import Markup

from planner.plan.documents import WeekAdvice, WorkshopLine
from planner.report import svg
from planner.report.scales import Scale
from planner.report.words import day, mm, span

WIDTH, HEIGHT = 300.0, 46.0


def strip_picture(
    weeks: Sequence[WeekAdvice], workshop: WorkshopLine, name: str, dates: str = "dmy"
) -> Markup:
    """Return the diameters of one place as a band of steps; ``name`` is unique in the page.

    The band is the range to take, the line in it the best diameter, the broken line the usual one.
    """
    lows = [week.diameter_mm.low for week in weeks] + [workshop.usual_diameter_mm]
    highs = [week.diameter_mm.high for week in weeks] + [workshop.usual_diameter_mm]
    scale = Scale(min(lows), max(highs), HEIGHT - 4, 4)
    column = WIDTH / len(weeks)
    upper = _steps([scale(week.diameter_mm.high) for week in weeks], column)
    lower = _steps([scale(week.diameter_mm.low) for week in weeks], column)
    best = _steps([scale(week.diameter_mm.best) for week in weeks], column)
    usual = scale(workshop.usual_diameter_mm)
    return svg.picture(
        name,
        f"Diameters, {weeks[0].place}",
        _described(weeks, workshop, dates),
        (WIDTH, HEIGHT),
        svg.shape([*upper, *lower[::-1]], "cane-bar"),
        svg.line((0, usual), (WIDTH, usual), "usual"),
        svg.curve(best, "cane-best"),
        class_="strip",
    )


def _steps(heights: Sequence[float], column: float) -> list[svg.Point]:
    return [
        (x, y) for index, y in enumerate(heights) for x in (index * column, (index + 1) * column)
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
