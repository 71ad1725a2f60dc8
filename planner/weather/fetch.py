"""Bring the stored weather of places up to date: only what is missing, and whatever happens.

A trouble with a service is a warning, never the end: what came is stored, what didn't is asked for
again the next time. A service that doesn't answer for one place isn't asked for the others.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import partial
from typing import Protocol

import numpy as np

from planner.air.days import WHOLE_DAY_HOURS, Days
from planner.errors import WeatherError
from planner.weather.asked import Held, Remembered
from planner.weather.credits import Credit
from planner.weather.http import Unavailable, Web
from planner.weather.missing import Span, missing_spans
from planner.weather.places import Place
from planner.weather.services import Ahead, Memory, Past, Reply, Unchanged, short

PAST_YEARS = 15  # whole years before this one; ten are nearly as good as thirty
MOST_AHEAD_DAYS = 46
SHORTEST_FRESH = timedelta(minutes=30)  # a forecast without an Expires holds at least that long
OLD_GAP = timedelta(days=30)  # a gap older than that is the service's own; asked for again weekly
WEEK = timedelta(days=7)

Progress = Callable[[int, int, str], None]  # done, of how many, what is being asked


def silent(done: int, total: int, what: str) -> None:
    """Show no progress."""


class Store(Memory, Protocol):
    """What fetching needs of the weather store."""

    def put(
        self,
        place_name: str,
        days: Days,
        *,
        source: str,
        fetched_at: datetime,
        kind: str = "observed",
        issued: date | None = None,
        credit: Credit | None = None,
        height: float | None = None,
    ) -> int:
        """Store days, told for a height [m]."""

    def held(self, place_name: str, source: str) -> Iterable[Held]:
        """Return the observed days stored from a source."""

    def settle(
        self, place_name: str, latitude: float, longitude: float, altitude: float | None = None
    ) -> bool:
        """Note where a place is; True where what was fetched for it elsewhere was let go."""


@dataclass(frozen=True)
class Fetched:
    """What came for one place from one service."""

    place: str
    source: str
    kind: str
    days: int
    first: date | None
    last: date | None


@dataclass
class Report:
    """What a fetch brought and what it didn't."""

    fetched: list[Fetched] = field(default_factory=list)
    fresh: list[str] = field(default_factory=list)  # "place: source": needn't be asked yet
    warnings: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    requests: int = 0
    bytes: int = 0


@dataclass
class _Round:
    """One fetch under way; ``down`` are the services that don't answer any more."""

    store: Store
    web: Web
    today: date
    now: datetime
    report: Report
    down: set[str] = field(default_factory=set)


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
    progress : told before each question

    Raises
    ------
    RecordError
        If the store can't be written. Troubles of the services are warnings in the report.
    """
    before = web.requests, web.bytes
    under_way = _Round(store, web, today, now, Report())
    jobs: list[tuple[Place, str, Callable[[], None]]] = []
    for place in places:
        _settle(under_way, place)
        if ahead is not None:
            jobs.append((place, ahead.name, partial(_look_ahead, under_way, place, ahead)))
        if past is not None:
            jobs.append((place, past.name, partial(_look_back, under_way, place, past, years)))
    for done, (place, name, ask) in enumerate(jobs):
        progress(done, len(jobs), f"{name}, {place.name}")
        _try(under_way, place, name, ask)
    progress(len(jobs), len(jobs), "")
    under_way.report.requests = web.requests - before[0]
    under_way.report.bytes = web.bytes - before[1]
    return under_way.report


def _settle(under_way: _Round, place: Place) -> None:
    if under_way.store.settle(place.name, place.latitude, place.longitude, place.altitude):
        under_way.report.notes.append(
            f"{place.name} has moved; what was fetched for the old coordinates was let go."
        )


def _try(under_way: _Round, place: Place, name: str, ask: Callable[[], None]) -> None:
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
        ask()
    except Unavailable as error:
        under_way.down.add(name)
        under_way.report.warnings.append(f"{place.name}: {error}")
        if error.not_before is not None:
            what = Remembered(under_way.now, error.not_before)
            under_way.store.remember(_silence(name), what)
    except WeatherError as error:
        under_way.report.warnings.append(f"{place.name}: {error}")


def _silence(name: str) -> str:
    return f"{name} left alone"


def _look_ahead(under_way: _Round, place: Place, service: Ahead) -> None:
    if service.wants_contact and not under_way.web.contact:
        under_way.down.add(service.name)
        under_way.report.warnings.append(
            f"{service.name} wants to know who is calling: put your mail or web address as contact "
            "into [workshop] of workshop.toml. It wasn't asked."
        )
        return
    key = f"{service.name} {short(place.latitude)},{short(place.longitude)} for {place.name}"
    known = under_way.store.recall(key)
    if known and known.not_before and under_way.now < known.not_before:
        under_way.report.fresh.append(f"{place.name}: {service.name}")
        return
    since = known.last_modified if known else ""
    reply = service.forecast(
        under_way.web, place, since=since, memory=under_way.store, now=under_way.now
    )
    expires = max(reply.expires or under_way.now, under_way.now + SHORTEST_FRESH)
    expires = min(expires, under_way.now + timedelta(days=1))
    if isinstance(reply, Unchanged):
        under_way.report.fresh.append(f"{place.name}: {service.name}")
        under_way.store.remember(key, Remembered(under_way.now, expires, since))
        return
    end = under_way.today + timedelta(days=MOST_AHEAD_DAYS)
    days = _between(under_way, place, service.name, reply.days, under_way.today, end)
    # A day of a few hours left says little of that day, and isn't to replace the whole one that
    # was issued in the morning.
    whole = days.where(days.hours >= WHOLE_DAY_HOURS)
    _note(under_way, place, service.name, reply.notes)
    if not len(whole):
        under_way.report.warnings.append(
            f"{place.name}: {service.name} gave no whole day from {under_way.today} on."
        )
        return
    _put(under_way, place, service.name, whole, reply, kind="forecast")
    under_way.store.remember(key, Remembered(under_way.now, expires, reply.last_modified))


def _look_back(under_way: _Round, place: Place, service: Past, years: int) -> None:
    first = date(under_way.today.year - years, 1, 1)
    last = under_way.today - timedelta(days=1 + service.days_behind)
    held = under_way.store.held(place.name, service.name)
    spans = missing_spans(held, first, last, under_way.today)
    spans = [span for span in spans if not _asked_in_vain(under_way, place, service.name, span)]
    if not spans:
        under_way.report.fresh.append(f"{place.name}: {service.name}")
    for start, end in spans:
        # The newest days come along where they are there already.
        end = under_way.today - timedelta(days=1) if end == last else end
        reply = service.history(under_way.web, place, start, end)
        days = _between(under_way, place, service.name, reply.days, start, end)
        _note(under_way, place, service.name, reply.notes)
        if under_way.today - end >= OLD_GAP:
            _remember_gap(under_way, place, service.name, (start, end))
        if len(days):
            _put(under_way, place, service.name, days, reply, kind="observed")
        else:
            _nothing(under_way, place, service.name, (start, end))


def _nothing(under_way: _Round, place: Place, name: str, span: Span) -> None:
    """Tell that nothing came: usual for the newest days, a trouble for a whole past."""
    told = f"{place.name}: {name} has nothing from {span[0]} to {span[1]}"
    if span[1] - span[0] < OLD_GAP:
        under_way.report.notes.append(f"{told} yet.")
    else:
        under_way.report.warnings.append(f"{told}.")


def _asked_in_vain(under_way: _Round, place: Place, name: str, span: Span) -> bool:
    """Return whether an old gap was asked for within the week, and stayed."""
    known = under_way.store.recall(_gap(place, name, span))
    return known is not None and under_way.now - known.at < WEEK


def _remember_gap(under_way: _Round, place: Place, name: str, span: Span) -> None:
    under_way.store.remember(_gap(place, name, span), Remembered(under_way.now))


def _gap(place: Place, name: str, span: Span) -> str:
    return f"{name} gap {span[0]} to {span[1]} of {place.name}"


def _between(
    under_way: _Round, place: Place, name: str, days: Days, first: date, last: date
) -> Days:
    """Return the days that were asked for; others are left out, and counted if in the future."""
    first_day, last_day = np.datetime64(first, "D"), np.datetime64(last, "D")
    beyond = int((days.day > last_day + 1).sum())
    if beyond:
        under_way.report.warnings.append(
            f"{place.name}: {beyond} days of {name} lie after {last}; they were left out."
        )
    return days.where((days.day >= first_day) & (days.day <= last_day))


def _note(under_way: _Round, place: Place, name: str, notes: Iterable[str]) -> None:
    under_way.report.notes.extend(f"{place.name}, {name}: {note}." for note in notes)


def _put(
    under_way: _Round, place: Place, name: str, days: Days, reply: Reply, *, kind: str
) -> None:
    issued = under_way.today if kind == "forecast" else None
    under_way.store.put(
        place.name,
        days,
        source=name,
        fetched_at=under_way.now,
        kind=kind,
        issued=issued,
        credit=reply.credit,
        height=reply.height,
    )
    first, last = days.day[0].item(), days.day[-1].item()
    fetched = Fetched(place.name, name, kind, len(days), first, last)
    under_way.report.fetched.append(fetched)
