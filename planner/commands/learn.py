"""From record and weather to what is known: the rooms, the moisture of each reed, the effects."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import partial

import numpy as np

from planner.air.days import Days
from planner.cane.moisture import USUAL_MOISTURE
from planner.commands.kept import kept_or_made
from planner.commands.observe import middle_of, observe, readings_of
from planner.commands.workshop import Workshop
from planner.history.tables import Reading, Reed
from planner.opening.draws import Reference
from planner.opening.model import OpeningFit, fit_opening
from planner.opening.observations import Observations
from planner.opening.trials import Workable
from planner.room.model import RoomFit, fit_room
from planner.settings import Cane, Settings


@dataclass(frozen=True)
class Learned:
    """What is known as of a day.

    ``outdoor`` and ``rooms`` by the name of the place; a place without weather is in neither.
    """

    today: date
    usual_diameter: float
    outdoor: dict[str, Days]
    rooms: dict[str, RoomFit]
    reeds: tuple[Reed, ...]
    readings: int
    observations: Observations
    fit: OpeningFit


def learn(workshop: Workshop, today: date, *, keep: bool = False) -> Learned:
    """Learn from all that was known on the morning after *today*: nothing later is used.

    Rooms and model are taken as kept where nothing they rest on has changed; with *keep* those
    made now are kept for the next time.
    """
    settings = workshop.settings
    reeds = tuple(sorted(workshop.record.reeds(until=today), key=lambda reed: reed.date))
    readings = workshop.record.readings(until=today)
    outdoor = _outdoor(workshop, today)
    rooms = {
        name: _room(workshop, name, readings, table, keep=keep) for name, table in outdoor.items()
    }
    usual = usual_diameter(settings.cane, reeds, today)
    observations = observe(reeds, rooms, outdoor)
    fit = kept_or_made(
        workshop,
        "opening",
        (observations, usual, settings.gouge, settings.cane, settings.opening, today.isoformat()),
        OpeningFit,
        partial(fit_of, settings, observations, usual, today),
        keep=keep,
    )
    return Learned(today, usual, outdoor, rooms, reeds, len(readings), observations, fit)


def rooms_of(workshop: Workshop, today: date) -> dict[str, RoomFit]:
    """Return the rooms alone, by place, as known on the morning after *today*."""
    readings = workshop.record.readings(until=today)
    return {
        name: _room(workshop, name, readings, table, keep=False)
        for name, table in _outdoor(workshop, today).items()
    }


def _outdoor(workshop: Workshop, today: date) -> dict[str, Days]:
    """The weather observed by a day at each place that has any."""
    names = workshop.settings.place_names
    tables = {name: workshop.weather.observed(name, today) for name in names}
    return {name: table for name, table in tables.items() if len(table)}


def _room(
    workshop: Workshop, name: str, readings: Sequence[Reading], outdoor: Days, *, keep: bool
) -> RoomFit:
    here = workshop.settings.place_named(name)
    own = readings_of(readings, name, here.place.timezone)
    return kept_or_made(
        workshop,
        f"room of {name}",
        (own, outdoor, here.room),
        RoomFit,
        partial(fit_room, own, outdoor, here.room),
        keep=keep and len(own) > 0,  # without readings it is the prior: quicker made than read
    )


def fit_of(
    settings: Settings, observations: Observations, usual_diameter: float, today: date
) -> OpeningFit:
    """Return the opening model of a workshop, fitted to what was observed by *today*."""
    cane, gouge = settings.cane, settings.gouge
    return fit_opening(
        observations,
        reference=Reference(usual_diameter, gouge.usual_mm, USUAL_MOISTURE),
        wanted=(settings.opening.low_mm, settings.opening.high_mm),
        workable=Workable(
            (cane.diameter_min_mm, cane.diameter_max_mm),
            (gouge.min_mm, gouge.max_mm),
            cane.sorted_to_mm,
        ),
        as_of=today,
        resolution=settings.opening.resolution_mm,
    )


def usual_diameter(cane: Cane, reeds: Sequence[Reed], today: date) -> float:
    """Return the maker's usual diameter. [mm]

    The one set; else the median of the last year's reeds; else the middle of the range.
    """
    if cane.usual_mm is not None:
        return cane.usual_mm
    year_ago = today - timedelta(days=365)
    recent = [middle_of(reed) for reed in reeds if reed.date > year_ago]
    if recent:
        return float(np.median(recent))
    return (cane.diameter_min_mm + cane.diameter_max_mm) / 2
