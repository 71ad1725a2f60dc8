"""From rows of the record to arrays: what the cane's moisture of past reeds is reckoned from."""

from datetime import date, timedelta

import numpy as np
import pytest

from planner.air.days import Days
from planner.air.humidity import vapour_pressure
from planner.commands import observe as observing
from planner.commands.observe import observe
from planner.history.tables import Reed
from planner.room.knowledge import RoomKnowledge
from planner.room.model import RoomFit, fit_room
from planner.room.readings import Readings


@pytest.fixture(scope="module")
def outdoor() -> Days:
    """Two years of invented weather from 2024 on."""
    number = np.arange(730)
    warmth = 9.0 - 9.0 * np.cos(2 * np.pi * number / 365.25)
    day = np.datetime64("2024-01-01") + number
    return Days(day, warmth, vapour_pressure(75.0, warmth), np.full(730, 24))


@pytest.fixture(scope="module")
def room(outdoor: Days) -> RoomFit:
    """A room of which nothing is known."""
    return fit_room(Readings.none(), outdoor, RoomKnowledge())


def reed(day: date) -> Reed:
    """A good one."""
    return Reed(day, "Bench", diameter_mm=10.4, verdict="good")


def test_decades_without_a_reed_are_not_gone_through(
    outdoor: Days, room: RoomFit, monkeypatch: pytest.MonkeyPatch
):
    """The moisture of each reed is as if the others were not; so are the days reckoned with.

    Own arithmetic: 45 days before each of three reeds and 45 after the first two, as far apart as
    they are, at most.
    """
    gone_through = 0
    really = observing.indoor

    def counted(air, *given, **more):
        nonlocal gone_through
        gone_through += len(air.days)
        return really(air, *given, **more)

    monkeypatch.setattr(observing, "indoor", counted)
    days = (date(1910, 3, 1), date(1957, 8, 1), date(2025, 1, 10))
    found = observe([reed(day) for day in days], {"Bench": room}, {"Bench": outdoor})
    assert gone_through == 91 + 91 + 46
    for index, day in enumerate(days):
        alone = observe([reed(day)], {"Bench": room}, {"Bench": outdoor})
        assert found.moisture[index] == pytest.approx(alone.moisture[0], abs=1e-9)
        assert found.moisture_sd[index] == pytest.approx(alone.moisture_sd[0], abs=1e-9)


def test_reeds_of_a_season_share_their_days(
    outdoor: Days, room: RoomFit, monkeypatch: pytest.MonkeyPatch
):
    """Four months apart, in any order: one stretch of days."""
    stretches = []
    really = observing.indoor
    monkeypatch.setattr(
        observing, "indoor", lambda air, *given: stretches.append(1) or really(air, *given)
    )
    first = date(2024, 6, 1)
    reeds = [reed(first + timedelta(days=days)) for days in (120, 0, 240)]
    found = observe(reeds, {"Bench": room}, {"Bench": outdoor})
    assert len(stretches) == 1
    assert np.isfinite(found.moisture).all()
