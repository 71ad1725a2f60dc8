"""Rooms of known truth under invented weather: for ``room_recovery.py`` and the tests.

The rooms are drawn from what the planner itself thinks possible, so that a sound inference must
recover them: of its 80 % ranges eight in ten hold the truth. How real rooms differ from all such
rooms is for ``room_houses.py`` to say.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.air.days import Air, Days
from planner.air.humidity import vapour_pressure
from planner.room.fitting import HUMIDITY_MISFIT, LOG_DEVIATION, TEMPERATURE_MISFIT
from planner.room.knowledge import RoomKnowledge
from planner.room.misfit import QUICK_DAYS, SLOW_DAYS, Misfit
from planner.room.model import RoomFit, fit_room, indoor
from planner.room.priors import prior
from planner.room.readings import SWING_HUMIDITY, SWING_TEMPERATURE, Readings
from planner.room.response import respond

Values = NDArray[np.float64]
HOURS = 24
LEAD_IN = 90  # days of weather before the first reading
LEARNING, AHEAD = 365, 364  # days on which readings may be taken, days to be foretold
WEEK = 7


@dataclass(frozen=True)
class Climate:
    """Mean and yearly swing of the outdoor temperature [°C]; south of the equator or not."""

    mean: float
    swing: float
    southern: bool = False


CLIMATES = {
    "temperate": Climate(9.0, 9.0),
    "cold": Climate(-2.0, 20.0),
    "hot": Climate(19.0, 8.0),
    "southern": Climate(12.0, 7.0, southern=True),
}


@dataclass(frozen=True)
class Truth:
    """A room: its parameters, and its days (n,) of temperature and relative humidity."""

    theta: Values
    outdoor: Days
    temperature: Values
    humidity: Values


def weather(climate: Climate, days: int, generator: np.random.Generator) -> Days:
    """Invent weather from 1 October on: a cosine, with departures that last some days."""
    number = np.arange(days)
    coldest = 290.0 if climate.southern else 107.0  # mid-July, mid-January
    season = climate.mean - climate.swing * np.cos(2 * np.pi * (number - coldest) / 365.25)
    noise = generator.standard_normal((2, days))
    noise[:, 0] = 0.0
    departure = _lasting(noise, 0.8)
    warmth = season + 3.5 * departure[0]
    humid = np.clip(75.0 + 9.0 * departure[1] - 3.0 * departure[0], 25.0, 100.0)
    day = np.datetime64("2023-10-01") + number
    return Days(day, warmth, vapour_pressure(humid, warmth), np.full(days, HOURS))


def room(climate: Climate, seed: int, known: RoomKnowledge | None = None) -> Truth:
    """Draw a room, and let it live through the weather."""
    generator = np.random.default_rng([seed, 7])
    outdoor = weather(climate, LEAD_IN + LEARNING + AHEAD, generator)
    before = prior(known or RoomKnowledge())
    theta = generator.multivariate_normal(before.mean, before.covariance)
    indoors, humid = respond(theta[None], outdoor.temperature[None], outdoor.vapour_pressure[None])
    indoors = indoors[0] + _wandering(TEMPERATURE_MISFIT, len(outdoor), generator)
    humid = np.clip(humid[0] + _wandering(HUMIDITY_MISFIT, len(outdoor), generator), 1.0, 100.0)
    return Truth(theta, outdoor, indoors, humid)


def _wandering(usual: Misfit, days: int, generator: np.random.Generator) -> Values:
    """What a room does beside the model, by no code of the model's own."""
    slow, quick = np.exp(LOG_DEVIATION * generator.standard_normal(2))
    return np.asarray(
        usual.slow * slow * _lasting(generator.standard_normal(days), np.exp(-1.0 / SLOW_DAYS))
        + usual.quick * quick * _lasting(generator.standard_normal(days), np.exp(-1.0 / QUICK_DAYS))
    )


def _lasting(noise: Values, keep: float) -> Values:
    """Return departures (..., days) of which a share *keep* is left a day later."""
    found = noise.copy()
    for i in range(1, found.shape[-1]):
        found[..., i] = keep * found[..., i - 1] + np.sqrt(1.0 - keep**2) * noise[..., i]
    return found


def logged(truth: Truth, days: slice, seed: int) -> Readings:
    """A logger's hours on some of the learning days, with a swing within the day."""
    generator = np.random.default_rng([seed, 8])
    at = np.arange(LEAD_IN, LEAD_IN + LEARNING)[days]
    hours = np.arange(HOURS)
    swing = np.sqrt(2.0) * np.sin(2 * np.pi * hours / HOURS)
    time = (truth.outdoor.day[at].astype("datetime64[h]")[:, None] + hours).ravel()
    noise = generator.standard_normal((2, len(time)))
    return Readings(
        time.astype("datetime64[s]"),
        (truth.temperature[at, None] + SWING_TEMPERATURE * swing).ravel() + 0.2 * noise[0],
        (truth.humidity[at, None] - SWING_HUMIDITY * swing).ravel() + noise[1],
    )


def spots(truth: Truth, days: slice, seed: int) -> Readings:
    """One reading on each of some of the learning days, at any hour."""
    all_hours = logged(truth, days, seed)
    generator = np.random.default_rng([seed, 9])
    count = len(all_hours) // HOURS
    chosen = HOURS * np.arange(count) + generator.integers(0, HOURS, count)
    return Readings(
        all_hours.time[chosen], all_hours.temperature[chosen], all_hours.relative_humidity[chosen]
    )


SCHEDULES: dict[str, Callable[[Truth, int], Readings]] = {
    "none": lambda truth, seed: Readings.none(),
    "eight spot readings in a month": lambda truth, seed: spots(truth, slice(0, 30, 4), seed),
    "one a week for a year": lambda truth, seed: spots(truth, slice(0, None, WEEK), seed),
    "three months' log": lambda truth, seed: logged(truth, slice(0, 90), seed),
    "a year's log": lambda truth, seed: logged(truth, slice(0, None), seed),
}


@dataclass(frozen=True)
class Recovered:
    """How near a fit came in the year ahead.

    Attributes
    ----------
    error : (weeks,) truth less the members' median of the weekly mean humidity [%]
    inside : (weeks,) whether the truth lies within the 80 % range
    width : (weeks,) of that range [%]
    rank : (parameters,) share of the draws below the true parameter
    fit : the fit
    """

    error: Values
    inside: NDArray[np.bool_]
    width: Values
    rank: Values
    fit: RoomFit


def recover(truth: Truth, readings: Readings, known: RoomKnowledge | None = None) -> Recovered:
    """Fit a room to its readings and foretell the year after, under the weather as it came."""
    outdoor = truth.outdoor
    fit = fit_room(readings, outdoor, known or RoomKnowledge())
    air = Air(outdoor.day, outdoor.temperature[None], outdoor.vapour_pressure[None])
    ahead = slice(LEAD_IN + LEARNING, LEAD_IN + LEARNING + AHEAD)
    members = indoor(air, fit).relative_humidity[:, ahead]
    weekly = members.reshape(len(members), -1, WEEK).mean(axis=2)
    true = truth.humidity[ahead].reshape(-1, WEEK).mean(axis=1)
    low, middle, high = np.percentile(weekly, [10, 50, 90], axis=0)
    rank = (fit.theta < truth.theta).mean(axis=0)
    return Recovered(true - middle, (true >= low) & (true <= high), high - low, rank, fit)
