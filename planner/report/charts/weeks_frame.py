"""Where the weeks ahead lie on their picture: a column a week, two panels."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from planner.plan.documents import Spell, WeekAdvice, WorkshopLine
from planner.report.charts.classes import Lanes, lanes_for
from planner.report.scales import Scale, widened
from planner.report.words import span

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
class Frame:
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
        """Lower edge of the lanes."""
        return self.lanes.bottom

    @property
    def column(self) -> float:
        """Width of a week."""
        return (self.right - self.left) / len(self.shown.weeks)

    def edge(self, index: float) -> float:
        """Return the left edge of a week."""
        return self.left + index * self.column

    def centre(self, index: int) -> float:
        """Return the middle of a week."""
        return self.edge(index + 0.5)

    def at(self, when: date) -> float:
        """Return the place of a day, within the frame."""
        days = (when - self.shown.weeks[0].week_start).days
        return min(max(self.edge(days / 7), self.left), self.right)

    @property
    def roomy(self) -> bool:
        """True where a number fits over each week."""
        return self.column >= 38


def frame_of(shown: WeeksShown, name: str, *, wide: bool) -> Frame:
    """Return where the weeks shown lie on a sheet (wide) or a phone."""
    left, right = (74.0, 666.0) if wide else (56.0, 332.0)
    top = TODAY_HEIGHT + SPELL_HEIGHT * max(len(stacked(shown.spells)), 0.3)
    spreads = [week.room_rh_pct for week in shown.weeks]
    low, high = widened(min(s.p10 for s in spreads), max(s.p90 for s in spreads), least=20, step=5)
    lanes_top = top + ROOM_HEIGHT + MIDDLE
    return Frame(
        name,
        shown,
        left,
        right,
        Scale(max(low, 0), min(high, 100), top + ROOM_HEIGHT, top),
        lanes_for(shown.workshop, shown.weeks, lanes_top, LANES_HEIGHT),
        wide,
    )


def stacked(spells: Sequence[Spell]) -> list[list[Spell]]:
    """Spells in rows, so that no two of a row overlap."""
    rows: list[list[Spell]] = []
    for spell in sorted(spells, key=lambda spell: (spell.first_week, spell.last_week)):
        row = next((row for row in rows if row[-1].last_week < spell.first_week), None)
        if row is None:
            rows.append([spell])
        else:
            row.append(spell)
    return rows


def foreseen(week: WeekAdvice) -> bool:
    """Return True for a week that rests on the forecast alone."""
    return week.weather == "forecast"


def diameters_said(week: WeekAdvice) -> str:
    """Return the diameters of a week, with their unit."""
    return span(week.diameter_mm.low, week.diameter_mm.high)
