"""The weeks ahead: room humidity above, diameter to take below on the maker's classes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from markupsafe import Markup

from planner.plan.documents import Spell, WeekAdvice, WorkshopLine
from planner.report import svg
from planner.report.charts.classes import Lanes, lanes_for
from planner.report.scales import Scale, widened
from planner.report.words import bare_span, day, in_100, mm, number, percent, short_day, span

ROOM_HEIGHT = 128.0
LANES_HEIGHT = 176.0
SPELL_HEIGHT = 20.0
TODAY_HEIGHT = 18.0
MIDDLE = 52.0
FOOT = 38.0


@dataclass(frozen=True)
class WeeksShown:
    """What the picture shows: one place's weeks in order, and what is marked in them.

    ``taking`` is the week to take cane for now, None where the plan doesn't reach it.
    """

    weeks: Sequence[WeekAdvice]
    workshop: WorkshopLine
    today: date
    spells: Sequence[Spell] = ()
    taking: date | None = None
    dates: str = "dmy"


@dataclass(frozen=True)
class _Frame:
    """Where things lie: a column a week between ``left`` and ``right``, two panels."""

    name: str
    shown: WeeksShown
    left: float
    right: float
    room: Scale
    lanes: Lanes
    wide: bool

    @property
    def bottom(self) -> float:
        return self.lanes.bottom

    @property
    def column(self) -> float:
        return (self.right - self.left) / len(self.shown.weeks)

    def edge(self, index: float) -> float:
        return self.left + index * self.column

    def centre(self, index: int) -> float:
        return self.edge(index + 0.5)

    def at(self, when: date) -> float:
        days = (when - self.shown.weeks[0].week_start).days
        return min(max(self.edge(days / 7), self.left), self.right)

    @property
    def roomy(self) -> bool:
        return self.column >= 38


def weeks_picture(shown: WeeksShown, name: str, *, wide: bool = True) -> Markup:
    """Return the picture of one place's weeks; ``name`` is unique in the page.

    The wide one is drawn for a sheet or a screen, the other for a phone.
    """
    frame = _frame(shown, name, wide=wide)
    return svg.picture(
        name,
        f"Room humidity and diameter, {shown.weeks[0].place}",
        described(shown),
        (frame.right + (54 if wide else 8), frame.bottom + FOOT),
        *_spells(frame),
        *_today(frame),
        *_room(frame),
        *_between(frame),
        *_cane(frame),
        *_foot(frame),
        class_="wide" if wide else "narrow",
    )


def described(shown: WeeksShown) -> str:
    """Return in words what is to be seen in the picture."""
    first, last = shown.weeks[0], shown.weeks[-1]
    dry = min(shown.weeks, key=lambda week: week.room_rh_pct.p50)
    damp = max(shown.weeks, key=lambda week: week.room_rh_pct.p50)
    order = shown.dates
    parts = [
        f"{len(shown.weeks)} weeks from {day(first.week_start, order)} to the week of "
        f"{day(last.week_start, order)}.",
        f"The room is driest in the week of {day(dry.week_start, order)}, at about "
        f"{percent(dry.room_rh_pct.p50)}, and dampest in the week of "
        f"{day(damp.week_start, order)}, at about {percent(damp.room_rh_pct.p50)}.",
        f"Diameters go from {_range(first)} in the first week to {_range(last)} in the last.",
        *(_spell_said(spell, order) for spell in shown.spells),
    ]
    return " ".join(parts)


def _range(week: WeekAdvice) -> str:
    return span(week.diameter_mm.low, week.diameter_mm.high)


def _spell_said(spell: Spell, order: str) -> str:
    return (
        f"A {spell.kind} spell from the week of {day(spell.first_week, order)} to that of "
        f"{day(spell.last_week, order)}, {in_100(spell.probability)}."
    )


def _frame(shown: WeeksShown, name: str, *, wide: bool) -> _Frame:
    left, right = (74.0, 666.0) if wide else (56.0, 332.0)
    top = TODAY_HEIGHT + SPELL_HEIGHT * max(len(_stacked(shown.spells)), 0.3)
    spreads = [week.room_rh_pct for week in shown.weeks]
    low, high = widened(min(s.p10 for s in spreads), max(s.p90 for s in spreads), least=20, step=5)
    lanes_top = top + ROOM_HEIGHT + MIDDLE
    return _Frame(
        name,
        shown,
        left,
        right,
        Scale(max(low, 0), min(high, 100), top + ROOM_HEIGHT, top),
        lanes_for(shown.workshop, shown.weeks, lanes_top, LANES_HEIGHT),
        wide,
    )


def _stacked(spells: Sequence[Spell]) -> list[list[Spell]]:
    """Spells in rows, so that no two of a row overlap."""
    rows: list[list[Spell]] = []
    for spell in sorted(spells, key=lambda spell: (spell.first_week, spell.last_week)):
        row = next((row for row in rows if row[-1].last_week < spell.first_week), None)
        if row is None:
            rows.append([spell])
        else:
            row.append(spell)
    return rows


def _spells(frame: _Frame) -> list[Markup]:
    marks = []
    for row, spells in enumerate(_stacked(frame.shown.spells)):
        y = frame.room.end - 8 - SPELL_HEIGHT * row
        for spell in spells:
            marks.append(_spell(frame, spell, y))
    return marks


def _spell(frame: _Frame, spell: Spell, y: float) -> Markup:
    """A bracket over the spell's weeks, a tint below it, and its name where it fits."""
    start, end = frame.at(spell.first_week), frame.at(spell.last_week + timedelta(days=7))
    bracket = [(start + 1, y + 5), (start + 1, y), (end - 1, y), (end - 1, y + 5)]
    said = f"{spell.kind} spell, {in_100(spell.probability)}"
    at_end = start + 6 * len(said) > frame.right
    return svg.group(
        svg.tag("title", _spell_said(spell, frame.shown.dates)),
        svg.rectangle((start, y), (end - start, frame.bottom - y), f"tint {spell.kind}"),
        svg.tag("path", d=svg.way(bracket), class_=f"bracket {spell.kind}"),
        svg.text(
            (end if at_end else start, y - 6), said, f"t {spell.kind}", "end" if at_end else None
        ),
    )


def _room(frame: _Frame) -> list[Markup]:
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
        index for index in range(1, len(weeks)) if _known(weeks[index]) != _known(weeks[index - 1])
    ]
    return [range(a, b) for a, b in pairwise([0, *turns, len(weeks)])]


def _known(week: WeekAdvice) -> bool:
    return week.weather == "forecast"


def _band(frame: _Frame, run: range) -> list[Markup]:
    """The band over a stretch of weeks, hatched where it rests on past years."""
    upper = [(x, frame.room(high)) for x, _, high in _corners(frame, run)]
    lower = [(x, frame.room(low)) for x, low, _ in _corners(frame, run)]
    outline = [*upper, *lower[::-1]]
    plain = svg.shape(outline, "air-band")
    if _known(frame.shown.weeks[run.start]):
        return [plain]
    return [plain, svg.hatch(upper, lower, "hatch air")]


def _corners(frame: _Frame, run: range) -> Iterator[tuple[float, float, float]]:
    """Place, low and high at each week's middle, and half-way to the neighbours at both ends."""
    spreads = [week.room_rh_pct for week in frame.shown.weeks]

    def between(edge: int) -> tuple[float, float, float]:
        near, far = spreads[max(edge - 1, 0)], spreads[min(edge, len(spreads) - 1)]
        return frame.edge(edge), (near.p10 + far.p10) / 2, (near.p90 + far.p90) / 2

    yield between(run.start)
    yield from ((frame.centre(here), spreads[here].p10, spreads[here].p90) for here in run)
    yield between(run.stop)


def _median(frame: _Frame) -> list[Markup]:
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


def _reading(frame: _Frame, week: WeekAdvice, point: svg.Point) -> Markup:
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


def _between(frame: _Frame) -> list[Markup]:
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


def _cane(frame: _Frame) -> list[Markup]:
    lanes, usual = frame.lanes, frame.shown.workshop.usual_diameter_mm
    y = lanes.y(usual)
    marks = [
        svg.text((0, lanes.top - 15), "diameter, mm", "t head cane"),
        *lanes.drawn(frame.left, frame.right),
        svg.group(
            svg.tag("title", f"usual diameter, {mm(usual)}"),
            svg.line((frame.left, y), (frame.right, y), "usual"),
            svg.text((frame.right + 6, y + 4), "usual", "t soft")
            if frame.wide
            else svg.text_over((frame.right, y - 5), "usual", "t soft", "end"),
        ),
    ]
    marks.extend(_diameter(frame, index, week) for index, week in enumerate(frame.shown.weeks))
    return marks


def _diameter(frame: _Frame, index: int, week: WeekAdvice) -> Markup:
    """One week's range as a bar, its best diameter as a stroke across."""
    advice, lanes = week.diameter_mm, frame.lanes
    width = frame.column * 0.72
    x = frame.centre(index) - width / 2
    top, bottom = lanes.y(advice.high), lanes.y(advice.low)
    said = (
        f"{day(week.week_start, frame.shown.dates)}: {_range(week)}, best {mm(advice.best)}, "
        f"{in_100(week.in_band_share)} in range"
    )
    place, size, y = (x, top), (width, max(bottom - top, 3)), lanes.y(advice.best)
    hatched = svg.hatch(
        [(x, top), (x + width, top)], [(x, bottom), (x + width, bottom)], "hatch cane"
    )
    return svg.group(
        svg.tag("title", said) if frame.wide else "",
        svg.rectangle(place, size, "cane-bar"),
        "" if _known(week) else hatched,
        svg.line((x, y), (x + width, y), "cane-best"),
    )


def _foot(frame: _Frame) -> list[Markup]:
    """Weeks by their Mondays, thinned to what fits, and the week to take cane for now."""
    every = max(1, round(44 / frame.column + 0.49))
    marks = []
    for index, week in enumerate(frame.shown.weeks):
        if index % every == 0:
            words = short_day(week.week_start, frame.shown.dates)
            marks.append(svg.text((frame.centre(index), frame.bottom + 17), words, "t", "middle"))
        if week.week_start == frame.shown.taking:
            marks.append(_taking(frame, index))
    return marks


def _taking(frame: _Frame, index: int) -> Markup:
    """A frame about the week whose cane is sorted now, and a pointer that says so."""
    x, y = frame.centre(index), frame.bottom + 24
    at_end = x > frame.right - 150
    return svg.group(
        svg.rectangle(
            (frame.edge(index), frame.lanes.top), (frame.column, frame.lanes.extent), "taking"
        ),
        svg.shape([(x, y), (x - 5, y + 8), (x + 5, y + 8)], "pointer"),
        svg.text(
            (x - 10 if at_end else x + 10, y + 9),
            "take cane for this week now",
            "t strong",
            "end" if at_end else None,
        ),
    )


def _today(frame: _Frame) -> list[Markup]:
    x, top = frame.at(frame.shown.today), TODAY_HEIGHT - 5
    return [
        svg.line((x, top), (x, frame.bottom), "today"),
        svg.text((x + 5, 11), "today", "t strong"),
    ]
