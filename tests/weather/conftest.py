"""Fixtures: places, an empty store, and a server on the loopback that speaks as the services do."""

from datetime import UTC, datetime

import httpx
import pytest

from planner.store.weather import WeatherStore
from planner.weather.choice import chosen, only
from planner.weather.fetch import fetch
from planner.weather.http import Web
from planner.weather.places import Place
from planner.weather.wanted import Wanted
from tests.replies import services
from tests.replies.loopback import speaking

# The zone's clock is the sun's clock, so that a service with solar days has the same days.
EXAMPLETON = Place("Exampleton", 50.12, 15.0, "Etc/GMT-1")
PRAIRIE = Place("Prairie", 41.5, -90.0, "Etc/GMT+6")


class Clock:
    """A clock that moves when somebody sleeps."""

    def __init__(self):
        self.slept = []
        self.seconds = 0.0

    def sleep(self, seconds):
        """Note the sleep, and let that time pass."""
        self.slept.append(seconds)
        self.seconds += seconds

    def clock(self):
        """Return the seconds passed."""
        return self.seconds


@pytest.fixture
def clock():
    """Return a clock at zero."""
    return Clock()


@pytest.fixture
def speaker():
    """Return the server."""
    with speaking() as running:
        yield running


@pytest.fixture
def store(tmp_path):
    """Return an empty store."""
    with WeatherStore.open(tmp_path / "weather.db") as opened:
        yield opened


@pytest.fixture
def web(clock):
    """Return the way to the services, with a clock of its own."""
    timeout = httpx.Timeout(5.0, connect=1.0)
    with httpx.Client(timeout=timeout, verify=False, trust_env=False) as client:
        yield Web(
            client,
            contact="maker@example.org",
            sleep=clock.sleep,
            clock=clock.clock,
            now=lambda: services.NOW,
            jitter=lambda: 0.5,
        )


@pytest.fixture
def fetching(speaker, store, web):
    """Return a function that fetches from one service (all by default) for some places."""

    def run(*services_asked, places=(), **more):
        wanted = Wanted(urls=speaker.urls, open_meteo_noncommercial=True)
        if services_asked:
            wanted = only(wanted, services_asked[0])
        found = chosen(wanted, {})
        if not places:
            us = services_asked[:1] == ("national-weather-service",)
            places = (PRAIRIE,) if us else (EXAMPLETON,)
        now = more.pop("now", speaker.now)
        return fetch(
            places,
            store,
            web,
            today=now.astimezone(UTC).date(),
            now=now,
            ahead=found.ahead,
            past=found.past,
            **{"years": 0, **more},
        )

    return run


def utc(*numbers):
    """Return a time in UTC."""
    return datetime(*numbers, tzinfo=UTC)
