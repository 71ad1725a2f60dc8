"""One fetch under way: which questions are due, and what becomes of the answers."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from functools import partial
from typing import Protocol, TypeVar

import numpy as np

from planner.air.days import WHOLE_DAY_HOURS, Days
from planner.errors import WeatherError, WeatherRefused
from planner.weather.asked import Held, Remembered
from planner.weather.credits import Credit
from planner.weather.hours import counted
from planner.weather.http import Unavailable, Web
from planner.weather.missing import Span, missing_spans
from planner.weather.places import Place
from planner.weather.services import Ahead, Memory, Past, Reply, Together, Unchanged, short

MOST_AHEAD_DAYS = 46
SHORTEST_FRESH = timedelta(minutes=30)  # a forecast without an Expires holds at least that long
OLD_GAP = timedelta(days=30)  # a gap older than that is the service's own; asked for again weekly
WEEK = timedelta(days=7)

Answered = TypeVar("Answered")


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
        """Note where a place is [°, m]; True where what was fetched for it elsewhere was let go."""


@dataclass(frozen=True)
class Fetched:
    """What came for one place from one service."""

    place: str
    source: str
    kind: str
    days: int
    first: date
    last: date


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
class Round:
    """One fetch under way.

    ``down`` are the services that don't answer any more; ``answered`` is told how many of the
    places in hand a service is through with.
    """

    store: Store
    web: Web
    today: date
    now: datetime
    report: Report
    answered: Callable[[int], None]
    down: set[str] = field(default_factory=set)


def look_ahead(under_way: Round, service: Ahead, places: Sequence[Place]) -> None:
    """Ask for the coming days of those places whose last forecast doesn't hold any more."""
    if service.wants_contact and not under_way.web.contact:
        under_way.down.add(service.name)
        under_way.report.warnings.append(
            f"{service.name} wants to know who is calling: put your mail or web address as contact "
            "into [workshop] of workshop.toml. It wasn't asked."
        )
        return
    due = [place for place in places if not _fresh(under_way, service, place)]
    known = len(places) - len(due)
    for count, (place, reply) in enumerate(_forecasts(under_way, service, due), start=known + 1):
        if isinstance(reply, WeatherError):
            under_way.report.warnings.append(f"{place.name}: {reply}")
        else:
            _take_forecast(under_way, service, place, reply)
        under_way.answered(count)


def _fresh(under_way: Round, service: Ahead, place: Place) -> bool:
    known = under_way.store.recall(_question(service, place))
    if known and known.not_before and under_way.now < known.not_before:
        under_way.report.fresh.append(f"{place.name}: {service.name}")
        return True
    return False


def _question(service: Ahead, place: Place) -> str:
    where = f"{short(place.latitude)},{short(place.longitude)}"
    return f"{service.name} {where} for {place.name}"


def _forecasts(
    under_way: Round, service: Ahead, places: Sequence[Place]
) -> Iterator[tuple[Place, Reply | Unchanged | WeatherError]]:
    """Yield what a service says of each place; all at once where it can."""
    if isinstance(service, Together) and len(places) > 1:
        try:
            yield from zip(places, service.forecasts(under_way.web, places), strict=True)
        except WeatherRefused:
            pass  # one of them may be what it doesn't like: each by itself tells which
        else:
            return
    for place in places:
        known = under_way.store.recall(_question(service, place))
        since = known.last_modified if known else ""
        ask = partial(service.forecast, under_way.web, place, since=since)
        yield place, _or_refusal(partial(ask, memory=under_way.store, now=under_way.now))


def _take_forecast(
    under_way: Round, service: Ahead, place: Place, reply: Reply | Unchanged
) -> None:
    key, now = _question(service, place), under_way.now
    expires = max(reply.expires or now, now + SHORTEST_FRESH)
    expires = min(expires, now + timedelta(days=1))
    if isinstance(reply, Unchanged):
        known = under_way.store.recall(key)
        if known is None or not known.last_modified:
            under_way.report.warnings.append(
                f"{place.name}: {service.name} says that nothing is new, but nothing of it is "
                "stored; something between may keep old answers. Ask again later."
            )
            return
        under_way.report.fresh.append(f"{place.name}: {service.name}")
        under_way.store.remember(key, Remembered(now, expires, known.last_modified))
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
    under_way.store.remember(key, Remembered(now, expires, reply.last_modified))


def look_back(under_way: Round, service: Past, years: int, places: Sequence[Place]) -> None:
    """Ask for the past days that are missing, places that miss the same ones together."""
    first = date(under_way.today.year - years, 1, 1)
    last = under_way.today - timedelta(days=1 + service.days_behind)
    lacking: dict[Span, list[Place]] = {}
    for place in places:
        held = under_way.store.held(place.name, service.name)
        spans = missing_spans(held, first, last, under_way.today)
        spans = [span for span in spans if not _asked_in_vain(under_way, place, service.name, span)]
        if not spans:
            under_way.report.fresh.append(f"{place.name}: {service.name}")
        for span in spans:
            lacking.setdefault(span, []).append(place)
    open_spans = Counter(place.name for few in lacking.values() for place in few)
    for (start, end), few in lacking.items():
        # The newest days come along where they are there already.
        until = under_way.today - timedelta(days=1) if end == last else end
        for place, reply in _histories(under_way, service, few, (start, until)):
            if isinstance(reply, WeatherError):
                under_way.report.warnings.append(f"{place.name}: {reply}")
            else:
                _take_history(under_way, service.name, place, reply, (start, until))
            open_spans[place.name] -= 1
            under_way.answered(len(places) - len(+open_spans))


def _histories(
    under_way: Round, service: Past, places: Sequence[Place], span: Span
) -> Iterator[tuple[Place, Reply | WeatherError]]:
    """Yield what a service says of each place; as many at once as it takes for so many days."""
    most = service.most(span) if isinstance(service, Together) else 1
    for i in range(0, len(places), most):
        few = places[i : i + most]
        if isinstance(service, Together) and len(few) > 1:
            try:
                yield from zip(few, service.histories(under_way.web, few, *span), strict=True)
            except WeatherRefused:
                pass  # one of them may be what it doesn't like: each by itself tells which
            else:
                continue
        for place in few:
            yield place, _or_refusal(partial(service.history, under_way.web, place, *span))


def _or_refusal(ask: Callable[[], Answered]) -> Answered | WeatherError:
    """Return the answer, or why this place has none; a service that is down is down for all."""
    try:
        return ask()
    except Unavailable:
        raise
    except WeatherError as error:
        return error


def _take_history(under_way: Round, name: str, place: Place, reply: Reply, span: Span) -> None:
    days = _between(under_way, place, name, reply.days, *span)
    _note(under_way, place, name, reply.notes)
    if under_way.today - span[1] >= OLD_GAP:
        _remember_gap(under_way, place, name, span)
    if len(days):
        _put(under_way, place, name, days, reply, kind="observed")
    else:
        _nothing(under_way, place, name, span)


def _nothing(under_way: Round, place: Place, name: str, span: Span) -> None:
    """Tell that nothing came: usual for the newest days, a trouble for a whole past."""
    told = f"{place.name}: {name} has nothing from {span[0]} to {span[1]}"
    if span[1] - span[0] < OLD_GAP:
        under_way.report.notes.append(f"{told} yet.")
    else:
        under_way.report.warnings.append(f"{told}.")


def _asked_in_vain(under_way: Round, place: Place, name: str, span: Span) -> bool:
    """Return whether an old gap was asked for within the week, and stayed."""
    known = under_way.store.recall(_gap(place, name, span))
    return known is not None and under_way.now - known.at < WEEK


def _remember_gap(under_way: Round, place: Place, name: str, span: Span) -> None:
    under_way.store.remember(_gap(place, name, span), Remembered(under_way.now))


def _gap(place: Place, name: str, span: Span) -> str:
    return f"{name} gap {span[0]} to {span[1]} of {place.name}"


def _between(
    under_way: Round, place: Place, name: str, days: Days, first: date, last: date
) -> Days:
    """Return the days that were asked for; others are left out, and counted if in the future."""
    first_day, last_day = np.datetime64(first, "D"), np.datetime64(last, "D")
    beyond = int((days.day > last_day + 1).sum())
    if beyond:
        under_way.report.warnings.append(
            f"{place.name}: {counted(beyond, 'day')} of {name} after {last} left out."
        )
    return days.where((days.day >= first_day) & (days.day <= last_day))


def _note(under_way: Round, place: Place, name: str, notes: Iterable[str]) -> None:
    under_way.report.notes.extend(f"{place.name}, {name}: {note}." for note in notes)


def _put(under_way: Round, place: Place, name: str, days: Days, reply: Reply, *, kind: str) -> None:
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
