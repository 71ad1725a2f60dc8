"""The gouger's checks: each piece, the average with its limits, and what was done to the blade."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise

from markupsafe import Markup

from planner.report import svg
from planner.report.charts.timeline import NARROW, WIDE, Panel, panel_over
from planner.report.words import day, mm
from planner.watch.documents import ChartPoint, GougeDocument, GougerState

TOP, BOTTOM, FOOT = 42.0, 208.0, 36.0
HEAD = 30.0  # of the heading above the panel; what was done to the blade is said below it
CHECKS_SHOWN = 60  # the last; before them the blade was another


def gouger_picture(
    document: GougeDocument, state: GougerState, name: str, *, dates: str = "dmy", wide: bool = True
) -> Markup:
    """Return the chart of one gouger; nothing where it has no checks.

    ``name`` is unique in the page.
    """
    points = state.points[-CHECKS_SHOWN:]
    if not points:
        return Markup("")
    layout = WIDE if wide else NARROW
    panel = _panel(document, points, dates, wide=wide)
    return svg.picture(
        name,
        f"Checks of the gouger {state.gouger}".rstrip(),
        _described(document, points, dates),
        (layout.width, BOTTOM + FOOT),
        svg.text((0, TOP - HEAD), "centre, mm", "t head"),
        panel.key("aimed at", "usual", HEAD),
        *panel.grid(),
        *_limits(panel, points),
        panel.level(document.target_mm, "usual"),
        *_events(panel, points),
        *(_average(panel, run) for run in _runs(points)),
        *(_check(panel, point, dates) for point in points),
        *panel.foot(layout.months),
        class_="wide" if wide else "narrow",
    )


def _panel(
    document: GougeDocument, points: Sequence[ChartPoint], dates: str, *, wide: bool
) -> Panel:
    seen = [value for p in points for value in (p.centre_mm, p.low_mm, p.high_mm)]
    return panel_over(
        (points[0].date, max(points[-1].date, document.today)),
        (min(*seen, document.target_mm), max(*seen, document.target_mm)),
        (WIDE if wide else NARROW, TOP, BOTTOM),
        least=0.04,
        dates=dates,
    )


def _runs(points: Sequence[ChartPoint]) -> list[Sequence[ChartPoint]]:
    """The checks between one event and the next: the average starts anew with each."""
    starts = [0, *(i for i, point in enumerate(points) if point.event and i), len(points)]
    return [points[a:b] for a, b in pairwise(starts)]


def _limits(panel: Panel, points: Sequence[ChartPoint]) -> list[Markup]:
    marks = []
    for run in _runs(points):
        days = [point.date for point in run]
        for values in ([p.low_mm for p in run], [p.high_mm for p in run]):
            marks.append(panel.line(days, values, "limit"))
    return marks


def _average(panel: Panel, run: Sequence[ChartPoint]) -> Markup:
    return panel.line([p.date for p in run], [p.average_mm for p in run], "cane-line")


def _events(panel: Panel, points: Sequence[ChartPoint]) -> list[Markup]:
    """Lines where the blade was sharpened or set; words only where they don't run together."""
    marks, free_from = [], 0.0
    for point in points:
        if point.event:
            x = panel.days(point.date)
            words = point.event if x >= free_from else ""
            if words:
                free_from = x + 8 + 6 * len(words)
            marks.append(panel.moment(point.date, words))
    return marks


def _check(panel: Panel, point: ChartPoint, dates: str) -> Markup:
    """A ring for a check; a filled diamond where the chart called."""
    x, y = panel.at(point.date, point.centre_mm)
    said = f"{day(point.date, dates)}: {mm(point.centre_mm, 3)}, average {mm(point.average_mm, 3)}"
    if not point.called:
        return svg.dot((x, y), 2.6, "check", said=said)
    corners = [(x, y - 5), (x + 5, y), (x, y + 5), (x - 5, y)]
    return svg.shape(corners, "called", said=f"{said}; the average is outside the limits")


def _described(document: GougeDocument, points: Sequence[ChartPoint], dates: str) -> str:
    last = points[-1]
    called = sum(point.called for point in points)
    said = [
        f"{len(points)} checks from {_on(points[0].date, dates)} to {_on(last.date, dates)}.",
        f"The average stands at {mm(last.average_mm, 3)}, within limits of {mm(last.low_mm, 3)} "
        f"and {mm(last.high_mm, 3)}; {mm(document.target_mm, 3)} is aimed at."
        if last.low_mm <= last.average_mm <= last.high_mm
        else f"The average stands at {mm(last.average_mm, 3)}, outside its limits of "
        f"{mm(last.low_mm, 3)} and {mm(last.high_mm, 3)}.",
        f"It was outside at {called} of them." if called else "It was outside at none of them.",
    ]
    return " ".join(said)


def _on(when: date, dates: str) -> str:
    return day(when, dates)
