"""A season at the bench: what was expected of it by week, and what came, one panel over another."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from statistics import mean

from markupsafe import Markup

from planner.air.weeks import WEEK
from planner.plan.review_documents import ReviewDocument, ReviewWeek
from planner.report import svg
from planner.report.charts.timeline import (
    NARROW,
    WIDE,
    Layout,
    Panel,
    panel_over,
    stretches,
)
from planner.report.words import NBSP, bare_span, counted, day, number

TOP, HEIGHT, BETWEEN, FOOT = 26.0, 100.0, 38.0, 36.0
MIDWEEK = timedelta(days=3)
LONGEST_GAP = 8  # days between weeks that one band goes over
RING = 3.0  # px, radius
BESIDE = 1.0  # px left free between the bars of neighbouring weeks


@dataclass(frozen=True)
class Band:
    """A week's expected range with its middle, and what came; None where there is none."""

    day: date
    expected: tuple[float, float, float] | None
    came: float | None


@dataclass(frozen=True)
class Part:
    """One panel: its heading, its unit, its weeks, and how it is drawn."""

    heading: str
    class_: str
    unit: str
    decimals: int
    weeks: Sequence[Band]
    least: float
    levels: tuple[float, ...] = ()

    @property
    def values(self) -> list[float]:
        """All that must find room in the panel."""
        found = [value for week in self.weeks if week.expected for value in week.expected]
        found += [week.came for week in self.weeks if week.came is not None]
        return found


def season_picture(
    document: ReviewDocument, name: str, *, dates: str = "dmy", wide: bool = True
) -> Markup:
    """Return the picture of a season at the bench; nothing where nothing was planned or made.

    ``name`` is unique in the page.
    """
    weeks = [week for week in document.weeks if week.place == document.bench]
    parts = [part for part in _parts(document, weeks) if part.values]
    if not parts:
        return Markup("")
    layout = WIDE if wide else NARROW
    ends = (weeks[0].week_start, weeks[-1].week_start + MIDWEEK * 2)
    marks: list[Markup] = []
    for number_, part in enumerate(parts):
        top = TOP + number_ * (HEIGHT + BETWEEN)
        panel = _panel(part, ends, layout, top, dates)
        marks += [svg.text((0, top - 12), part.heading, f"t head {part.class_}"), *panel.grid()]
        marks += _drawn(panel, part, dates)
        marks += panel.foot(layout.months) if part is parts[-1] else [_floor(panel)]
    return svg.picture(
        name,
        f"The season at the bench, {document.bench}: expected and come",
        _described(parts, weeks, dates),
        (layout.width, TOP + len(parts) * (HEIGHT + BETWEEN) - BETWEEN + FOOT),
        *marks,
        class_="wide" if wide else "narrow",
    )


def _parts(document: ReviewDocument, weeks: Sequence[ReviewWeek]) -> list[Part]:
    return [
        Part("room", "air", f"{NBSP}%", 0, _bands(weeks, _room), 20.0),
        Part("diameter, mm", "cane", "", 2, _bands(weeks, _diameter), 0.5),
        Part(
            "opening, mm",
            "",
            "",
            2,
            _bands(weeks, _opening),
            0.2,
            (document.wanted_low_mm, document.wanted_high_mm),
        ),
    ]


Expected = tuple[float, float, float] | None


def _bands(
    weeks: Sequence[ReviewWeek], of: Callable[[ReviewWeek], tuple[Expected, float | None]]
) -> list[Band]:
    return [Band(week.week_start, *of(week)) for week in weeks]


def _room(week: ReviewWeek) -> tuple[Expected, float | None]:
    room = week.room_rh_pct
    return (room.p10, room.p50, room.p90) if room else None, week.seen_room_rh_pct


def _diameter(week: ReviewWeek) -> tuple[Expected, float | None]:
    advised = week.diameter_mm
    return (advised.low, advised.best, advised.high) if advised else None, week.made_diameter_mm


def _opening(week: ReviewWeek) -> tuple[Expected, float | None]:
    opening = week.opening_mm
    return (opening.p10, opening.p50, opening.p90) if opening else None, week.seen_opening_mm


def _panel(part: Part, ends: tuple[date, date], layout: Layout, top: float, dates: str) -> Panel:
    shown = (*part.values, *part.levels)
    low, high = min(shown), max(shown)
    room = RING / HEIGHT * max(high - low, part.least)  # for a ring at either end
    return panel_over(
        ends,
        (max(low - room, 0.0), high + room),
        (layout, top, top + HEIGHT),
        unit=part.unit,
        least=part.least,
        dates=dates,
    )


def _floor(panel: Panel) -> Markup:
    return svg.line((panel.days.start, panel.bottom), (panel.days.end, panel.bottom), "axis")


def _drawn(panel: Panel, part: Part, dates: str) -> list[Markup]:
    """What was expected, and a ring for what came in each week."""
    marks = _band(panel, part) if part.class_ == "air" else _bars(panel, part)
    marks += [panel.level(level, "wanted") for level in part.levels]
    marks += [panel.key("wanted range", "wanted")] if part.levels else []
    for week in part.weeks:
        if week.came is not None:
            said = f"{day(week.day, dates)}: {_said(week, part)}"
            marks.append(svg.dot(panel.at(week.day + MIDWEEK, week.came), RING, "check", said=said))
    return marks


def _band(panel: Panel, part: Part) -> list[Markup]:
    """A band with its middle, broken where weeks are missing."""
    planned = [(week.day + MIDWEEK, week.expected) for week in part.weeks if week.expected]
    days = [when for when, _ in planned]
    marks = []
    for run in stretches(days, longest_gap=LONGEST_GAP) if days else []:
        low, middle, high = zip(*(expected for _, expected in planned[run]), strict=True)
        marks.append(panel.band(days[run], low, high, "air-band"))
        marks.append(panel.line(days[run], middle, "air-line"))
    return marks


def _bars(panel: Panel, part: Part) -> list[Markup]:
    """A bar for each week, with a stroke across at its middle."""
    marks = []
    for week in part.weeks:
        if week.expected is None:
            continue
        low, middle, high = (panel.values(value) for value in week.expected)
        left, right = panel.days(week.day) + BESIDE, panel.days(week.day + WEEK) - BESIDE
        marks.append(svg.rectangle((left, high), (right - left, low - high), "cane-band"))
        marks.append(svg.line((left, middle), (right, middle), "cane-best"))
    return marks


def _said(week: Band, part: Part) -> str:
    assert week.came is not None
    came = f"came {number(week.came, part.decimals)}{part.unit}"
    if week.expected is None:
        return came
    low, _, high = week.expected
    return f"{came}, {bare_span(low, high, part.decimals)}{part.unit} expected"


def _described(parts: Sequence[Part], weeks: Sequence[ReviewWeek], dates: str) -> str:
    said = [
        f"{counted(len(weeks), 'week')} from {day(weeks[0].week_start, dates)} to the week of "
        f"{day(weeks[-1].week_start, dates)}."
    ]
    said += [f"{part.heading.partition(',')[0].capitalize()}: {_summed(part)}." for part in parts]
    return " ".join(said)


def _summed(part: Part) -> str:
    both = [week for week in part.weeks if week.expected and week.came is not None]
    if not both:
        return "nothing to compare"
    inside = sum(w.expected[0] <= w.came <= w.expected[2] for w in both)  # type: ignore[index,operator]
    off = mean(w.came - w.expected[1] for w in both)  # type: ignore[index,operator]
    return (
        f"{inside} of {counted(len(both), 'week')} within what was expected, "
        f"{number(abs(off), part.decimals)}{part.unit} {'above' if off > 0 else 'below'} its "
        "middle on average"
    )
