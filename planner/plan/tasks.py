"""What to sort and gouge by which day: the plan's cane, gathered into a short list."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from planner.air.weeks import WEEK
from planner.plan.calendar import Calendar
from planner.plan.documents import Preparation
from planner.plan.phrases import SayDay, class_mm, counted, named, reeds_said, weeks_said
from planner.plan.stock import Diameters
from planner.plan.yields import Yields, tubes_of, whole

# What is due later is settled by later plans, on better forecasts.
AHEAD = timedelta(days=42)
WEEKS_TOGETHER = 4  # one task holds at most so many weeks: about a month's cane


@dataclass(frozen=True)
class Use:
    """Cane that goes into the reeds of one place and week.

    ``in_tubes`` and ``split`` are the pieces taken up at those stages, ``reeds`` what they give.
    ``sorts_to`` is the class that the reeds need, where cane is bought in a wider one.
    """

    monday: date
    place: str
    diameters: Diameters
    gouge: float
    reeds: float
    in_tubes: float = 0.0
    split: float = 0.0
    sorts_to: Diameters | None = None


@dataclass(frozen=True)
class Run:
    """Uses of one class in weeks that follow one another."""

    uses: tuple[Use, ...]

    @property
    def first(self) -> date:
        """The first week."""
        return self.uses[0].monday

    @property
    def diameters(self) -> Diameters:
        """The class. [mm]"""
        return self.uses[0].diameters

    @property
    def reeds(self) -> float:
        """Finished reeds expected."""
        return sum(use.reeds for use in self.uses)

    def said(self, say_day: SayDay) -> str:
        """What it is for: how many reeds, when, and where."""
        weeks = weeks_said([use.monday for use in self.uses], say_day)
        places = named([use.place for use in self.uses])
        return f"for {reeds_said(self.reeds)}, {weeks}: {places}"


def gathered(uses: Iterable[Use]) -> list[Run]:
    """Gather uses by class and gouge into runs of neighbouring weeks, the earliest first."""
    by_cane: dict[tuple[Diameters, float], list[Use]] = defaultdict(list)
    for use in uses:
        by_cane[use.diameters, round(use.gouge, 3)].append(use)
    found = [Run(tuple(run)) for same in by_cane.values() for run in _cut(same)]
    return sorted(found, key=lambda run: (run.first, run.diameters))


def _cut(uses: Sequence[Use]) -> Iterator[list[Use]]:
    run: list[Use] = []
    for use in sorted(uses, key=lambda use: use.monday):
        apart = run and use.monday - run[-1].monday > WEEK
        full = run and use.monday - run[0].monday >= WEEKS_TOGETHER * WEEK
        if apart or full:
            yield run
            run = []
        run.append(use)
    if run:
        yield run


def tasks(
    uses: Iterable[Use], yields: Yields, calendar: Calendar, say_day: SayDay
) -> Iterator[Preparation]:
    """Yield what to sort and what to gouge, for cane that isn't gouged yet."""
    for run in gathered(uses):
        sort_by = calendar.sort_by(run.first)
        if sort_by <= calendar.today + AHEAD:
            yield _sorting(run, sort_by, calendar, say_day)
        gouge_by = calendar.begin_by("gouged", run.first)
        if gouge_by <= calendar.today + AHEAD:
            yield _gouging(run, gouge_by, yields, calendar, say_day)


def _sorting(run: Run, by: date, calendar: Calendar, say_day: SayDay) -> Preparation:
    in_tubes = sum(use.in_tubes for use in run.uses)
    split = whole(sum(use.split for use in run.uses))
    parts = [counted(tubes_of(in_tubes), "tube")] if in_tubes else []
    parts += [counted(split, "split piece")] if split else []
    return _preparation(
        run,
        calendar.shown(by),
        "sort",
        None,
        whole(in_tubes) + split,
        f"Sort {' and '.join(parts)} of {class_mm(*run.diameters)} {run.said(say_day)}.",
    )


def _gouging(
    run: Run, by: date, yields: Yields, calendar: Calendar, say_day: SayDay
) -> Preparation:
    pieces = yields.pieces("gouged", run.reeds)
    gouge = run.uses[0].gouge
    return _preparation(
        run,
        calendar.shown(by),
        "gouge",
        gouge,
        pieces,
        f"Gouge {counted(pieces, 'piece')} of {class_mm(*run.diameters)} to {gouge:.2f}\u00a0mm "
        f"{run.said(say_day)}.",
    )


def _preparation(
    run: Run, by: date, action: str, gouge: float | None, pieces: int, words: str
) -> Preparation:
    return Preparation(
        by=by,
        action=action,
        diameter_low_mm=run.diameters[0],
        diameter_high_mm=run.diameters[1],
        gouge_mm=gouge,
        pieces=pieces,
        place=named([use.place for use in run.uses]),
        week_start=run.first,
        words=words,
    )
