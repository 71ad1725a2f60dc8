"""Bring the stored weather of places up to date: only what is missing, and whatever happens.

A trouble with a service is a warning, never the end: what came is stored, what didn't is asked for
again the next time. A service that doesn't answer for one place isn't asked for the others.
"""

from collections.abc import Callable, Sequence
from datetime import date, datetime
from functools import partial

from planner.errors import WeatherError
from planner.weather.asked import Remembered
from planner.weather.http import Unavailable, Web
from planner.weather.places import Place
from planner.weather.rounds import Report, Round, Store, look_ahead, look_back
from planner.weather.services import Ahead, Past, Together

PAST_YEARS = 15  # whole years before this one; ten are nearly as good as thirty

Progress = Callable[[int, int, str], None]  # places done, of how many, what is being asked
Job = tuple[str, Sequence[Place], Callable[[Sequence[Place]], None]]  # service, places, the asking


def silent(done: int, total: int, what: str) -> None:
    """Show no progress."""


def fetch(
    places: Sequence[Place],
    store: Store,
    web: Web,
    *,
    today: date,
    now: datetime,
    ahead: Ahead | None,
    past: Past | None,
    years: int = PAST_YEARS,
    progress: Progress = silent,
) -> Report:
    """Ask the services for what the store lacks, and store what comes.

    Parameters
    ----------
    places : whose weather is wanted
    store, web : where it goes, and the way to the services
    today : the local day; forecasts are issued today, past days end yesterday
    now : the time, with its zone
    ahead, past : the services; None asks nobody
    years : whole past years wanted
    progress : told how many places are answered, each counted once a service, and whose are asked

    Raises
    ------
    RecordError
        If the store can't be written. Troubles of the services are warnings in the report.
    """
    before = web.requests, web.bytes
    under_way = Round(store, web, today, now, Report(), lambda count: None)
    for place in places:
        _settle(under_way, place)
    jobs: list[Job] = []
    if ahead is not None:
        forward = partial(look_ahead, under_way, ahead)
        jobs += [(ahead.name, few, forward) for few in _a_few(places, ahead)]
    if past is not None:
        backward = partial(look_back, under_way, past, years)
        jobs += [(past.name, few, backward) for few in _a_few(places, past)]
    done, total = 0, sum(len(few) for _, few, _ in jobs)
    for name, few, ask in jobs:
        under_way.answered = partial(_further, progress, done, total, f"{name}, {named(few)}")
        under_way.answered(0)
        _try(under_way, name, few, ask)
        done += len(few)
    progress(total, total, "")
    under_way.report.requests = web.requests - before[0]
    under_way.report.bytes = web.bytes - before[1]
    return under_way.report


def _further(progress: Progress, done: int, total: int, what: str, count: int) -> None:
    progress(done + count, total, what)


def _a_few(places: Sequence[Place], service: Ahead | Past) -> list[Sequence[Place]]:
    """Return the places as they are asked for: one by one, or as many as the service takes."""
    most = service.at_once if isinstance(service, Together) else 1
    return [places[i : i + most] for i in range(0, len(places), most)]


def named(places: Sequence[Place]) -> str:
    """Return whose weather is asked for, in few words."""
    others = len(places) - 1
    if not others:
        return places[0].name
    return f"{places[0].name} and {others} other{'s' if others > 1 else ''}"


def _settle(under_way: Round, place: Place) -> None:
    if under_way.store.settle(place.name, place.latitude, place.longitude, place.altitude):
        under_way.report.notes.append(
            f"{place.name} has moved; what was fetched for the old coordinates was let go."
        )


def _try(
    under_way: Round, name: str, places: Sequence[Place], ask: Callable[[Sequence[Place]], None]
) -> None:
    """Ask, and turn trouble into a warning."""
    if name in under_way.down:
        return
    left_alone = under_way.store.recall(_silence(name))
    if left_alone and left_alone.not_before and under_way.now < left_alone.not_before:
        under_way.down.add(name)
        under_way.report.warnings.append(
            f"{name} wants to be asked again from {left_alone.not_before:%Y-%m-%d %H:%M} "
            "UTC; it wasn't asked."
        )
        return
    try:
        ask(places)
    except Unavailable as error:
        under_way.down.add(name)
        under_way.report.warnings.append(f"{named(places)}: {error}")
        if error.not_before is not None:
            what = Remembered(under_way.now, error.not_before)
            under_way.store.remember(_silence(name), what)
    except WeatherError as error:
        under_way.report.warnings.append(f"{named(places)}: {error}")


def _silence(name: str) -> str:
    return f"{name} left alone"
