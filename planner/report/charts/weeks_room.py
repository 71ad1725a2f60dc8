"""The upper panel of the weeks ahead: the humidity of the room."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

from markupsafe import Markup

from planner.plan.documents import WeekAdvice
from planner.report import svg
from planner.report.charts.weeks_frame import Frame, foreseen
from planner.report.words import bare_span, day, number, percent


def room_panel(frame: Frame) -> list[Markup]:
    """Return the band and the middle line of the room's humidity."""
    scale, weeks = frame.room, frame.shown.weeks
    marks = [
        svg.group(
            svg.line((frame.left, scale(tick)), (frame.right, scale(tick)), "hair"),
            svg.text((frame.left - 8, scale(tick) + 4), percent(tick), "t soft", "end"),
        )
        for tick in scale.ticks(4)
    ]
    marks.append(svg.text((0, scale.end - 9), "room", "t head air"))
    for run in _runs(weeks):
        marks.extend(_band(frame, run))
    marks.extend(_median(frame))
    return marks


def _runs(weeks: Sequence[WeekAdvice]) -> list[range]:
    """Stretches of weeks that rest on the forecast, or don't."""
    turns = [
        index
        for index in range(1, len(weeks))
        if foreseen(weeks[index]) != foreseen(weeks[index - 1])
    ]
    return [range(a, b) for a, b in pairwise([0, *turns, len(weeks)])]


def _band(frame: Frame, run: range) -> list[Markup]:
    """The band over a stretch of weeks, hatched where it rests on past years."""
    upper = [(x, frame.room(high)) for x, _, high in _corners(frame, run)]
    lower = [(x, frame.room(low)) for x, low, _ in _corners(frame, run)]
    outline = [*upper, *lower[::-1]]
    plain = svg.shape(outline, "air-band")
    if foreseen(frame.shown.weeks[run.start]):
        return [plain]
    return [plain, svg.hatch(upper, lower, "hatch air")]


def _corners(frame: Frame, run: range) -> Iterator[tuple[float, float, float]]:
    """Place, low and high at each week's middle, and half-way to the neighbours at both ends."""
    spreads = [week.room_rh_pct for week in frame.shown.weeks]

    def between(edge: int) -> tuple[float, float, float]:
        near, far = spreads[max(edge - 1, 0)], spreads[min(edge, len(spreads) - 1)]
        return frame.edge(edge), (near.p10 + far.p10) / 2, (near.p90 + far.p90) / 2

    yield between(run.start)
    yield from ((frame.centre(here), spreads[here].p10, spreads[here].p90) for here in run)
    yield between(run.stop)


def _median(frame: Frame) -> list[Markup]:
    """The middle line, whole while it rests on a forecast and broken after."""
    weeks = frame.shown.weeks
    points = [(frame.centre(i), frame.room(week.room_rh_pct.p50)) for i, week in enumerate(weeks)]
    known = sum(week.weather == "forecast" for week in weeks)
    marks = []
    if known > 1:
        marks.append(svg.curve(points[:known], "air-line"))
    if len(points) > known:
        marks.append(svg.curve(points[max(known - 1, 0) :], "air-line broken"))
    for week, point in zip(weeks, points, strict=True):
        marks.append(_reading(frame, week, point))
    return marks


def _reading(frame: Frame, week: WeekAdvice, point: svg.Point) -> Markup:
    rh = week.room_rh_pct
    said = (
        f"{day(week.week_start, frame.shown.dates)}: {percent(rh.p50)}, "
        f"8 in 10 between {bare_span(rh.p10, rh.p90, 0)}"
    )
    mark = svg.dot(
        point,
        3 if frame.column > 12 else 2,
        "air-dot" if week.weather == "forecast" else "air-dot hollow",
        said=said if frame.wide else "",
    )
    if not frame.roomy:
        return mark
    said = number(rh.p50, 0)
    label = svg.text_over((point[0], point[1] - 8), said, "t air", "middle", on="on-band")
    return Markup("").join((mark, label))


def forecast_end(frame: Frame) -> list[Markup]:
    """Where the forecast ends and past years begin, in words."""
    weeks = frame.shown.weeks
    reach = sum({"forecast": 1.0, "mixed": 0.5}.get(week.weather, 0.0) for week in weeks)
    y, x = frame.room.start + 19, frame.edge(reach)
    if reach == 0:
        return [svg.text((frame.left, y), "all from past years", "t soft")]
    if reach >= len(weeks):
        return [svg.text((frame.left, y), "all from the forecast", "t soft")]
    at_end = x > frame.right - 60
    return [
        svg.line((x, frame.room.end), (x, frame.bottom), "turn"),
        svg.text_over((x - 6, y), "forecast", "t soft", "end"),
        svg.text(
            (frame.right + 4 if at_end else x + 6, y + (12 if at_end else 0)),
            "past years",
            "t soft",
            "end" if at_end else None,
        ),
    ]
