"""Fetch weather, take it from a file, and keep it fresh for the plan.

What speaks to services or reads files is loaded when it is needed: the bench path passes here.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from planner.commands.workshop import Workshop
from planner.errors import TableError, WeatherUnavailable, WorkshopError, WrongUse
from planner.report.words import dated
from planner.settings import Settings
from planner.weather.asked import Remembered
from planner.weather.documents import Imported
from planner.weather.globe import Point, distance_km
from planner.weather.places import Place

if TYPE_CHECKING:
    from planner.weather.fetch import Progress
    from planner.weather.files import WeatherFile
    from planner.weather.rounds import Report

FRESH_FOR = timedelta(days=1)
AFTER_TROUBLE = timedelta(minutes=15)  # who plans without a network isn't made to wait each time
FAR_KM = 100.0
KEY = "weather refreshed"


def refresh(
    workshop: Workshop,
    *,
    today: date,
    now: datetime | None = None,
    places: Sequence[Place] | None = None,
    transport: Any = None,
) -> list[str]:
    """Bring the weather up to date if it is older than a day; return warnings for the maker.

    Trouble with the network or a service is never an error here: the plan is made from what is
    stored, and the warning says how old that is. A replay of another day than the present one
    asks nobody.

    Parameters
    ----------
    places : the places of the workshop by default
    transport : an ``httpx`` transport in place of the network, for tests
    """
    now = now or datetime.now(UTC)
    bench = workshop.settings.bench.place
    if today != now.astimezone(ZoneInfo(bench.timezone)).date():
        return []
    places = places or [entry.place for entry in workshop.settings.places]
    asked_for = "; ".join(f"{p.name} {p.latitude} {p.longitude}" for p in places)
    if not _due(workshop.weather.recall(KEY), now, asked_for):
        return []
    try:
        report = fetch_weather(workshop, today=today, now=now, places=places, transport=transport)
        warnings = list(report.warnings)
    except (WorkshopError, WeatherUnavailable) as error:
        warnings = [str(error)]
    workshop.weather.remember(
        KEY, Remembered(now, last_modified="trouble" if warnings else "", text=asked_for)
    )
    ages = [_age(workshop, place, today) for place in places if warnings]
    return [dated(line, workshop.settings.dates) for line in (*warnings, *ages)]


def fetch_weather(
    workshop: Workshop,
    *,
    today: date,
    now: datetime | None = None,
    places: Sequence[Place] | None = None,
    service: str | None = None,
    transport: Any = None,
    progress: "Progress | None" = None,
) -> "Report":
    """Ask the services for what is missing.

    Raises
    ------
    WorkshopError
        If the settings ask for a service that isn't there or may not be asked.
    WeatherUnavailable
        If nothing came and nothing was fresh.
    """
    from planner.weather.choice import chosen, only
    from planner.weather.fetch import fetch, silent
    from planner.weather.http import Web, open_client

    settings = workshop.settings
    wanted = settings.weather
    services = chosen(only(wanted, service) if service else wanted)
    with open_client(settings.contact, transport) as client:
        report = fetch(
            places or [entry.place for entry in settings.places],
            workshop.weather,
            Web(client, contact=settings.contact),
            today=today,
            now=now or datetime.now(UTC),
            ahead=services.ahead,
            past=services.past,
            progress=progress or silent,
        )
    if report.warnings and not report.fetched and not report.fresh:
        raise WeatherUnavailable("No weather came. " + " ".join(report.warnings))
    return report


def import_weather(
    workshop: Workshop,
    path: Path,
    *,
    today: date,
    now: datetime | None = None,
    place_name: str | None = None,
    kind: str = "observed",
    issued: date | None = None,
    said: Mapping[str, Any] | None = None,
    dry_run: bool = False,
) -> Imported:
    """Take the weather of a file into the store, for one place (the bench by default).

    ``said`` are the ``map`` and ``dates`` of :func:`planner.commands.foreign.foreign_for`.

    Raises
    ------
    TableError
        If the file can't be used or holds no day that could be stored; every bad row is named and
        nothing is stored.
    WrongUse
        If a day of issue is given for what isn't a forecast, or one after *today*; for a typical
        year as a forecast; if what is said of the table can't be understood.
    """
    place = workshop.settings.place_named(place_name).place
    if issued is not None and kind != "forecast":
        raise WrongUse("--issued goes with --kind forecast.")
    if issued is not None and issued > today:
        raise WrongUse(f"--issued {issued} lies after today, {today}.")
    last = None if kind == "forecast" else today
    found = read_own(workshop.settings, path, place.timezone, said or {}, last=last)
    if found.kind == "typical" and kind == "forecast":
        raise WrongUse(f"{path.name} is a typical year; it can't be a forecast.")
    if not len(found.days):
        raise TableError(_no_day(found, path.name, today))
    kind = "forecast" if kind == "forecast" else found.kind
    changed = 0
    if not dry_run:
        changed = workshop.weather.put(
            place.name,
            found.days,
            source=path.name,
            fetched_at=now or datetime.now(UTC),
            kind=kind,
            issued=(issued or today) if kind == "forecast" else None,
        )
    notes = (*found.notes, *_unused(found, said or {}), *_far_off(found.station, place))
    return Imported(
        file=path.name,
        place=place.name,
        kind=kind,
        days=len(found.days),
        thin=found.thin,
        changed=changed,
        first=found.days.day[0].item(),
        last=found.days.day[-1].item(),
        notes=tuple(dated(note, workshop.settings.dates) for note in notes),
    )


def read_own(
    settings: Settings, path: Path, zone: str, said: Mapping[str, Any], *, last: date | None = None
) -> "WeatherFile":
    """Read a file of weather by what is *said* of it now, over what the settings keep.

    See :func:`planner.weather.files.read_weather`.

    Raises
    ------
    TableError
        If the file can't be used.
    WrongUse
        If what is said or kept can't be understood.
    """
    from planner.commands.foreign import WEATHER, foreign_for
    from planner.weather.files import read_weather

    foreign = foreign_for(settings, WEATHER, said)
    return read_weather(path, zone, last=last, dates=foreign.dates, renamed=foreign.headings)


def _no_day(found: "WeatherFile", name: str, today: date) -> str:
    """Return why a file that could be read brings nothing, and what to do."""
    if found.later:
        days = "the one day" if found.later == 1 else f"all {found.later:,} days"
        lies = "lies" if found.later == 1 else "lie"
        return (
            f"{name}: {days} with temperature and humidity {lies} after today, {today}; nothing "
            'was stored. A forecast is taken in with "planner weather import --kind forecast".'
        )
    told = f" ({'; '.join(found.notes)})" if found.notes else ""
    return f"{name} holds no day with temperature and humidity{told}; nothing was stored."


def _unused(found: "WeatherFile", said: Mapping[str, Any]) -> Iterator[str]:
    """Yield what was said of the columns of a file whose columns are fixed."""
    if found.kind == "typical":
        for word in ("map", "dates"):
            if said.get(word):
                yield f"--{word} wasn't used, as the columns of a typical year are fixed"


def _far_off(station: Point | None, place: Place) -> Iterator[str]:
    if station is None:
        return
    away = distance_km(station, (place.latitude, place.longitude))
    if away > FAR_KM:
        yield f"its station stands {away:,.0f} km from {place.name}"


def _due(known: Remembered | None, now: datetime, asked_for: str) -> bool:
    if known is None or known.text != asked_for:
        return True
    age = now - known.at
    return age >= (AFTER_TROUBLE if known.last_modified else FRESH_FOR) or age < timedelta()


def _age(workshop: Workshop, place: Place, today: date) -> str:
    """Return how old the stored weather of a place is."""
    forecast = workshop.weather.forecast(place.name, today)
    observed = workshop.weather.observed(place.name, today, filled=False)
    if not len(observed) and forecast is None:
        return f"{place.name}: no weather is stored."
    past = f"observed to {observed.day[-1]}" if len(observed) else "no observed days"
    if forecast is None:
        return f"{place.name}: stored weather used: {past}, no forecast, so climate ahead."
    old = (today - forecast[1]).days
    return f"{place.name}: stored weather used: {past}, forecast {old} days old."
