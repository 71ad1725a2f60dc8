"""What of a plan goes where on the page: which week is now, what belongs to which place."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from planner.air.weeks import monday_of, same_week
from planner.plan.documents import PlanDocument, Preparation, Spell, WeekAdvice
from planner.report import words
from planner.report.words import DASH

GOUGE_STEP = 0.01  # mm, as a dial gauge is read
FIGURE = re.compile(r"[0-9]+(?:\.[0-9]+)?")


@dataclass(frozen=True)
class PlaceWeeks:
    """One place's weeks in order, and its spells."""

    name: str
    weeks: tuple[WeekAdvice, ...]
    spells: tuple[Spell, ...]


@dataclass(frozen=True)
class Reason:
    """Weeks that follow one another for the same reason."""

    first_week: date
    last_week: date
    why: str


@dataclass(frozen=True)
class Deadline:
    """What is to be done by one day."""

    by: date
    tasks: tuple[Preparation, ...]


def places_of(document: PlanDocument) -> tuple[PlaceWeeks, ...]:
    """Return the places that have weeks, the bench first, the others as the workshop lists them."""
    names = dict.fromkeys(
        (document.workshop.bench, *document.workshop.places, *(w.place for w in document.weeks))
    )
    found = []
    for name in names:
        weeks = tuple(
            sorted(
                (week for week in document.weeks if week.place == name),
                key=lambda week: week.week_start,
            )
        )
        if weeks:
            spells = tuple(spell for spell in document.spells if spell.place == name)
            found.append(PlaceWeeks(name, weeks, spells))
    return tuple(found)


def to_take_now(weeks: tuple[WeekAdvice, ...], today: date) -> WeekAdvice | None:
    """Return the week whose cane is sorted this week; None where the plan is too short."""
    return next((week for week in weeks if same_week(week.sort_by, today)), None)


def being_finished(weeks: tuple[WeekAdvice, ...], today: date) -> WeekAdvice | None:
    """Return the current week's own advice: the reeds being finished now."""
    return next((week for week in weeks if same_week(week.week_start, today)), None)


def reasons_of(weeks: tuple[WeekAdvice, ...]) -> tuple[Reason, ...]:
    """Return why, each reason once for the weeks in a row that share it but for its figures."""
    return tuple(
        Reason(run[0].week_start, run[-1].week_start, in_one([week.why for week in run]))
        for run in _alike(weeks)
        if run[0].why.strip()
    )


def _alike(weeks: tuple[WeekAdvice, ...]) -> Iterator[list[WeekAdvice]]:
    for _, run in groupby(weeks, key=lambda week: FIGURE.sub("#", week.why)):
        yield list(run)


def in_one(sentences: Sequence[str]) -> str:
    """Return sentences that differ in their figures alone as one, a figure that varies as a range.

    ``Room about 26 %`` and ``Room about 28 %`` are ``Room about 26–28 %``.
    """
    columns = zip(*(FIGURE.findall(sentence) for sentence in sentences), strict=True)
    ranges = iter([_from_to(sorted(set(column), key=float)) for column in columns])
    return FIGURE.sub(lambda _: next(ranges), sentences[0])


def _from_to(figures: Sequence[str]) -> str:
    return figures[0] if len(figures) == 1 else f"{figures[0]}{DASH}{figures[-1]}"


@dataclass(frozen=True)
class EffectShown:
    """What a step of something does to the opening [mm], in a size that a maker knows."""

    step: str
    estimate_mm: float
    low_mm: float
    high_mm: float
    from_history: float


def effects_of(document: PlanDocument) -> Iterator[EffectShown]:
    """Yield the effects: of a sorting step, of a hundredth of gouge, of a percent of moisture."""
    sorted_to = document.workshop.sorted_to_mm
    steps = {
        "diameter": (sorted_to, f"{words.fine_mm(sorted_to)} of diameter"),
        "gouge": (GOUGE_STEP, f"{words.mm(GOUGE_STEP)} of gouge"),
        "moisture": (1.0, f"{words.percent(1)} of cane moisture"),
    }
    for effect in document.basis.effects:
        step, name = steps.get(effect.name, (1.0, effect.name))
        low, high = sorted((step * effect.low, step * effect.high))
        yield EffectShown(name, step * effect.estimate, low, high, effect.from_history)


def deadlines_of(document: PlanDocument) -> tuple[Deadline, ...]:
    """Return what is to be prepared, by day; without a preparation, the bench's weeks to sort.

    Days before the current week's Monday are left to the record: that cane is sorted already.
    """
    tasks = document.prepare or tuple(_to_sort(document))
    ordered = sorted(tasks, key=lambda task: task.by)
    return tuple(
        Deadline(by, tuple(together)) for by, together in groupby(ordered, key=lambda task: task.by)
    )


def _to_sort(document: PlanDocument) -> Iterator[Preparation]:
    monday = monday_of(document.today)
    for week in document.weeks:
        if week.place == document.workshop.bench and week.sort_by >= monday:
            yield Preparation(
                by=week.sort_by,
                action="sort",
                diameter_low_mm=week.diameter_mm.low,
                diameter_high_mm=week.diameter_mm.high,
                gouge_mm=week.gouge_mm.target,
                pieces=0,
                place=week.place,
                week_start=week.week_start,
                words="",
            )
