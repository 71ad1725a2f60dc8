"""Rooms of known truth are recovered, north and south, and a log of one season spoils no other.

Long runs over many rooms and ways of reading: ``tests/benchmarks/room_recovery.py``.
"""

import numpy as np
import pytest
from room_truth import (
    AHEAD,
    CLIMATES,
    LEAD_IN,
    LEARNING,
    Recovered,
    Truth,
    logged,
    recover,
    room,
    spots,
)

from planner.air.days import Air, Days
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room, indoor
from planner.room.priors import NAMES
from planner.room.readings import Readings

ROOMS = 6  # of each climate
FAR = slice(15, 41)  # weeks of the other half year than that of the three months


@pytest.fixture(scope="module")
def rooms() -> list[Truth]:
    """Rooms drawn from what is thought possible, with their weather, of both hemispheres."""
    return [
        room(CLIMATES[name], seed) for name in ("temperate", "southern") for seed in range(ROOMS)
    ]


@pytest.fixture(scope="module")
def blind(rooms: list[Truth]) -> list[Recovered]:
    """With no reading."""
    return [recover(truth, Readings.none()) for truth in rooms]


@pytest.fixture(scope="module")
def weekly(rooms: list[Truth]) -> list[Recovered]:
    """With a reading a week for a year."""
    return [recover(t, spots(t, slice(0, None, 7), seed)) for seed, t in enumerate(rooms)]


def error(found: list[Recovered], weeks: slice = slice(None)) -> np.ndarray:
    """Mean absolute error of each room's weeks. [% RH]"""
    return np.array([np.abs(one.error[weeks]).mean() for one in found])


def width(found: list[Recovered], weeks: slice = slice(None)) -> float:
    """Mean width of the 80 % range. [% RH]"""
    return float(np.mean([one.width[weeks].mean() for one in found]))


def inside(found: list[Recovered], weeks: slice = slice(None)) -> float:
    """Share of weeks within the 80 % range."""
    return float(np.mean([one.inside[weeks].mean() for one in found]))


def test_a_reading_a_week_recovers_the_year_ahead(weekly, blind):
    """Nearer than with no reading in most rooms; eight in ten weeks within a narrower range.

    The coverage of twelve rooms has a standard error of about 0.05.
    """
    assert error(weekly).mean() < 0.75 * error(blind).mean()
    assert (error(weekly) < error(blind)).sum() > ROOMS
    assert inside(weekly) == pytest.approx(0.8, abs=0.12)
    assert width(weekly) < 0.75 * width(blind)


def test_the_parameters_are_found(rooms, weekly):
    """Moisture in cold weather, warmth and lag nearer the truth than the guess was; ranks even."""
    true = np.array([truth.theta for truth in rooms])
    found = np.abs(np.array([one.fit.mean for one in weekly]) - true).mean(axis=0)
    guess = np.abs(np.array([one.fit.before.mean for one in weekly]) - true).mean(axis=0)
    for name in ("excess_cold", "set_point", "log_lag"):
        assert found[NAMES.index(name)] < 0.8 * guess[NAMES.index(name)], name
    ranks = np.array([one.rank for one in weekly])
    assert ((ranks > 0.1) & (ranks < 0.9)).mean() == pytest.approx(0.8, abs=0.1)


def test_a_log_of_three_months_spoils_no_other_season(rooms, blind):
    """The far half year is foretold no worse than with no reading, and its range stays honest."""
    found = [recover(t, logged(t, slice(0, 90), seed)) for seed, t in enumerate(rooms)]
    assert error(found, FAR).mean() < 1.02 * error(blind, FAR).mean()
    assert inside(found, FAR) > 0.65
    assert 0.5 * width(blind, FAR) < width(found, FAR) < width(blind, FAR)


def test_seasons_turn_around_in_the_south():
    """January is the damp season of a heated room at 40° S, July the dry one."""
    truth = room(CLIMATES["southern"], 3)
    fit = fit_room(Readings.none(), truth.outdoor, RoomKnowledge())
    within = indoor(_air(truth.outdoor), fit)
    month = within.days.astype("datetime64[M]").astype(int) % 12 + 1
    january, july = (within.relative_humidity[:, month == m].mean() for m in (1, 7))
    assert january > july + 8.0


def test_what_the_last_weeks_did_beside_the_model_colours_the_next_and_fades():
    """Three damp weeks lift the next week, the one after less, and a season later nothing.

    The same readings with and without the last three weeks read 8 % high: a maker who has just
    hung out the washing sees it in this week's plan and not in the summer's.
    """
    truth = room(CLIMATES["temperate"], 5)
    last = LEAD_IN + LEARNING
    outdoor = truth.outdoor
    usual = spots(truth, slice(0, None, 2), 5)
    shown = usual.relative_humidity + 8.0 * (usual.time > usual.time[-1] - np.timedelta64(21, "D"))
    means = []
    for humidity in (usual.relative_humidity, shown):
        fit = fit_room(Readings(usual.time, usual.temperature, humidity), outdoor, RoomKnowledge())
        within = indoor(_air(outdoor), fit).relative_humidity[:, last : last + AHEAD]
        means.append(within.reshape(len(within), -1, 7).mean(axis=(0, 2)))
    lift = means[1] - means[0]
    assert 2.0 < lift[0] < 7.0
    assert 0.5 < lift[2] < lift[0]
    assert np.abs(lift[14:26]).max() < 1.2


def _air(outdoor: Days) -> Air:
    return Air(outdoor.day, outdoor.temperature[None], outdoor.vapour_pressure[None])
