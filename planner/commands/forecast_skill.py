"""How good the forecasts of a place have been, from those that were kept as issued."""

from datetime import date, timedelta

from planner.commands.workshop import Workshop
from planner.weather.footing import NOT_MOVED
from planner.weather.skill import Learned, learned_skill

COMPARED = timedelta(days=730)  # forecasts as old as that still tell how good the next will be


def skill_of(workshop: Workshop, place: str, source: str, today: date) -> Learned:
    """Return what a source's forecasts are worth at a place, from what was known on *today*."""
    store = workshop.weather
    move = store.footing(place, today).get(source, NOT_MOVED)
    issued = store.forecasts(place, today - COMPARED, today)
    told = [move.of(forecast.days) for forecast in issued if forecast.source == source]
    return learned_skill(told, store.observed(place, today, filled=False))
