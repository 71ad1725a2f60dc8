"""A panel over days: axis of values at the left, months below, and marks laid upon it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from markupsafe import Markup

from planner.report import svg
from planner.report.scales import Calendar, Scale, nice_step, widened
from planner.report.words import MONTHS, number, short_day

TICKS = 4
KEY = 22.0  # length of a line's sample
MOST_POINTS = 420  # of a line: more than one to a pixel can't be seen


@dataclass(frozen=True)
class Layout:
    """Size of a picture, drawn for a sheet or for a phone."""

    left: float
    right: float
    width: float
    months: int


WIDE = Layout(74.0, 706.0, 720.0, 13)
NARROW = Layout(48.0, 332.0, 340.0, 6)


@dataclass(frozen=True)
class Panel:
    """A panel of values over days."""

    days: Calendar
    values: Scale
    unit: str
    decimals: int
    dates: str

    @property
    def top(self) -> float:
        """The upper edge."""
        return min(self.values.start, self.values.end)

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return max(self.values.start, self.values.end)

    def at(self, when: date, value: float) -> svg.Point:
        """Return where a value of a day lies, in the middle of the day."""
        start = self.days(when)
        return (start + self.days(when + timedelta(days=1))) / 2, self.values(value)

    def grid(self) -> list[Markup]:
        """Return the hairlines of round values, and the values at their left."""
        left, right = self.days.start, self.days.end
        return [
            svg.group(
                svg.line((left, self.values(tick)), (right, self.values(tick)), "hair"),
                svg.text(
                    (left - 8, self.values(tick) + 4),
                    number(tick, self.decimals) + self.unit,
                    "t soft",
                    "end",
                ),
            )
            for tick in self.values.ticks(TICKS)
        ]

    def foot(self, at_most: int) -> list[Markup]:
        """Return the days below: months where they are several, else single days."""
        marks = [svg.line((self.days.start, self.bottom), (self.days.end, self.bottom), "axis")]
        for when, words in self._named(at_most):
            x = self.days(when)
            marks.append(svg.line((x, self.bottom), (x, self.bottom + 4), "axis"))
            for row, word in enumerate(words):
                marks.append(svg.text((x, self.bottom + 17 + 13 * row), word, "t soft", "middle"))
        return marks

    def _named(self, at_most: int) -> list[tuple[date, list[str]]]:
        """The days to name below: firsts of months, their year with the first and with January."""
        months = self.days.months(at_most)
        if len(months) < 2:
            return [(d, [short_day(d, self.dates)]) for d in self._single_days(at_most)]
        years = {min(d for d in months if d.year == year) for year in {d.year for d in months}}
        return [
            (d, [MONTHS[d.month - 1], str(d.year)] if d in years else [MONTHS[d.month - 1]])
            for d in months
        ]

    def _single_days(self, at_most: int) -> list[date]:
        span = (self.days.last - self.days.first).days
        step = max(1, -(-span // max(at_most // 2, 1)))
        return [self.days.first + timedelta(days=d) for d in range(0, span, step)]

    def line(self, days: Sequence[date], values: Sequence[float], class_: str) -> Markup:
        """Return a line through values, thinned to what can be seen."""
        points = [self.at(when, value) for when, value in zip(days, values, strict=True)]
        return svg.curve(thinned(points), class_) if points else Markup("")

    def band(
        self,
        days: Sequence[date],
        low: Sequence[float],
        high: Sequence[float],
        class_: str,
    ) -> Markup:
        """Return a band between two lines."""
        if not days:
            return Markup("")
        upper = thinned([self.at(d, value) for d, value in zip(days, high, strict=True)])
        lower = thinned([self.at(d, value) for d, value in zip(days, low, strict=True)])
        return svg.shape([*upper, *lower[::-1]], class_)

    def level(self, value: float, class_: str) -> Markup:
        """Return a line across at one value."""
        y = self.values(value)
        return svg.line((self.days.start, y), (self.days.end, y), class_)

    def key(self, words: str, class_: str, above: float = 12.0) -> Markup:
        """Return what a kind of line is, above the right end of the panel, where no marks lie."""
        x, y = self.days.end, self.top - above
        return svg.group(
            svg.line((x - KEY, y - 4), (x, y - 4), class_),
            svg.text((x - KEY - 6, y), words, "t soft", "end"),
        )

    def moment(self, when: date, words: str, class_: str = "turn") -> Markup:
        """Return a line down at one day, with words at its head."""
        x = self.days(when)
        at_end = x > self.days.end - 60
        return svg.group(
            svg.line((x, self.top), (x, self.bottom), class_),
            svg.text(
                (x - 4 if at_end else x + 4, self.top - 4),
                words,
                "t soft",
                "end" if at_end else None,
            ),
        )


def panel_over(
    days: tuple[date, date],
    values: tuple[float, float],
    place: tuple[Layout, float, float],
    *,
    unit: str = "",
    least: float = 1.0,
    dates: str = "dmy",
) -> Panel:
    """Return a panel for days and values from the first to the last of each.

    ``place`` is the layout, the upper and the lower edge; ``least`` the narrowest range of values
    shown, so that small changes don't look large.
    """
    layout, top, bottom = place
    step = nice_step(max(values[1] - values[0], least), TICKS)
    scale = Scale(*widened(*values, least=least, step=step / 2), bottom, top)
    return Panel(
        Calendar(days[0], days[1] + timedelta(days=1), layout.left, layout.right),
        scale,
        unit,
        decimals_of(scale.ticks(TICKS)),
        dates,
    )


def decimals_of(values: Sequence[float]) -> int:
    """Return how many decimals tell these round values truly, three at most."""
    return next(
        (d for d in range(3) if all(abs(round(value, d) - value) < 1e-9 for value in values)), 3
    )


def thinned(points: Sequence[svg.Point], most: int = MOST_POINTS) -> list[svg.Point]:
    """Return the points, of very many only every so-manieth and the last."""
    every = -(-len(points) // most)
    if every <= 1:
        return list(points)
    kept = list(points[::every])
    return kept if kept[-1] == points[-1] else [*kept, points[-1]]


def specks(points: Iterable[svg.Point], class_: str) -> Markup:
    """Return many small round marks as one path, those on the same spot drawn once."""
    spots = dict.fromkeys((round(x, 1), round(y, 1)) for x, y in points)
    if not spots:
        return Markup("")
    return svg.tag(
        "path", d="".join(f"M{svg.short(x)},{svg.short(y)}h0" for x, y in spots), class_=class_
    )


def strokes(points: Iterable[svg.Point], height: float, class_: str) -> Markup:
    """Return many short upright strokes as one path, those on the same spot drawn once."""
    spots = dict.fromkeys((round(x, 1), round(y, 1)) for x, y in points)
    if not spots:
        return Markup("")
    return svg.tag(
        "path",
        d="".join(f"M{svg.short(x)},{svg.short(y)}v{svg.short(height)}" for x, y in spots),
        class_=class_,
    )


def stretches(days: Sequence[date], longest_gap: int = 21) -> list[slice]:
    """Return the runs of days without a gap longer than so many days."""
    breaks = [i + 1 for i, (a, b) in enumerate(pairwise(days)) if (b - a).days > longest_gap]
    return [slice(a, b) for a, b in pairwise([0, *breaks, len(days)])]
