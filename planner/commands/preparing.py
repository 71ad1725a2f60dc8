"""From the workshop's record and settings to what to sort, gouge and order by when."""

from collections.abc import Sequence
from datetime import date
from functools import partial

from planner.commands.learn import Learned
from planner.commands.wishes import Asked
from planner.commands.workshop import Workshop
from planner.plan.calendar import Calendar
from planner.plan.phrases import SayDay
from planner.plan.preparation import Output, Prepared, Record, prepare
from planner.plan.recommend import PlaceAdvice
from planner.report.words import short_day
from planner.settings import Settings


def prepared(
    workshop: Workshop, learned: Learned, asked: Asked, advices: Sequence[PlaceAdvice]
) -> Prepared:
    """Return what to do by when for the weeks advised, the bench's advice first."""
    settings = workshop.settings
    return prepare(
        advices,
        Record(workshop.record.cane(until=learned.today), workshop.record.orders()),
        Output(
            settings.output.reeds_per_week,
            {entry.place.name: entry.share for entry in settings.places},
            settings.output.pieces_per_good_reed,
        ),
        Calendar(learned.today, asked.sort_to_finish_days, settings.lead.order_days),
        say_day_of(settings),
    )


def say_day_of(settings: Settings) -> SayDay:
    """Return how the workshop writes a day of the plan."""
    return partial(_said, order=settings.dates)


def _said(when: date, *, order: str) -> str:
    return short_day(when, order)
