"""The room: fitted to its readings, and asked for its air under any outdoor air."""

from dataclasses import dataclass, replace

import numpy as np

from planner.air.days import Air, Days
from planner.air.humidity import Floats, vapour_pressure
from planner.room.fitting import HUMIDITY_MISFIT, TEMPERATURE_MISFIT, Evidence, fit
from planner.room.hygrometers import Disagreement, disagreement
from planner.room.knowledge import RoomKnowledge
from planner.room.misfit import Misfit, carried, simulate
from planner.room.priors import Prior, prior
from planner.room.reach import Beyond, as_it_is, beyond_reach, widening
from planner.room.readings import (
    Readings,
    Series,
    humidity_by_day,
    temperature_by_day,
)
from planner.room.response import DAMPEST, DRIEST, respond

LEAD_IN = 60  # days of weather before the first reading, for the slow store
BRIDGED = 3  # days of missing weather over which a reading still counts
FITTED_DAYS = 1500  # the last four years; rooms change


@dataclass(frozen=True)
class Wandering:
    """One quantity beside the model: its misfit, and the daily readings it was learned from."""

    misfit: Misfit
    seen: Series


@dataclass(frozen=True)
class RoomFit:
    """What is known of a room.

    Attributes
    ----------
    theta : (draws, parameters) of the posterior, columns as in ``response.Parameters``
    mean : (parameters,) its middle
    before : the prior it started from
    humidity, temperature : what goes on beside the model
    knowledge : what the maker has said, and what the readings show of it
    beyond : why the model reaches the room badly; usually nothing
    apart : two hygrometers that differ, if there are such
    """

    theta: Floats
    mean: Floats
    before: Prior
    humidity: Wandering
    temperature: Wandering
    knowledge: RoomKnowledge
    beyond: tuple[Beyond, ...] = ()
    apart: Disagreement | None = None

    def thinned(self, draws: int) -> "RoomFit":
        """Return the fit with its first *draws* draws only."""
        return replace(self, theta=self.theta[:draws])

    def without_readings(self) -> "RoomFit":
        """Return what the fit says by itself, not drawn to the readings of the days."""
        return replace(
            self,
            humidity=Wandering(self.humidity.misfit, _none_of(self.humidity.seen)),
            temperature=Wandering(self.temperature.misfit, _none_of(self.temperature.seen)),
        )


def fit_room(
    readings: Readings,
    outdoor: Days,
    knowledge: RoomKnowledge,
    *,
    draws: int = 400,
    seed: int = 0,
) -> RoomFit:
    """Fit a room to its readings; without any, what is known is the prior.

    Parameters
    ----------
    readings : of this room; those of days without weather don't count
    outdoor : observed days of the place
    knowledge : what the maker has said of the room
    draws : number of posterior draws
    seed : of their randomness
    """
    humidity = _with_weather(humidity_by_day(readings, knowledge.hygrometer_offset_pct), outdoor)
    temperature = _with_weather(temperature_by_day(readings), outdoor)
    beyond = beyond_reach(knowledge, humidity, temperature, outdoor)
    knowledge = as_it_is(knowledge, beyond)
    before = prior(knowledge)
    posterior = fit(before, _evidence(humidity, temperature, outdoor, knowledge))
    generator = np.random.default_rng(seed)
    theta = generator.multivariate_normal(
        posterior.mean, posterior.covariance, size=draws, method="cholesky"
    )
    found = {part.usual_misfit: part for part in posterior.evidence}
    return RoomFit(
        theta,
        posterior.mean,
        before,
        _wandering(found.get(HUMIDITY_MISFIT), humidity, HUMIDITY_MISFIT),
        _wandering(found.get(TEMPERATURE_MISFIT), temperature, TEMPERATURE_MISFIT),
        knowledge,
        beyond,
        disagreement(readings),
    )


def indoor(outdoor: Air, room: RoomFit, *, seed: int = 0) -> Air:
    """Return the room's air under an outdoor air.

    Parameters
    ----------
    outdoor : with 30 or more days of lead-in; its members are paired with the draws in turn
    room : as fitted; one member comes out for each of its draws
    seed : of the room's own wandering

    Returns
    -------
    Air of (draws, days). On days with readings it keeps to them, after the last reading what
    the room did beside the model fades away.
    """
    draws = len(room.theta)
    temperature = _paired(outdoor.temperature, draws)
    vapour = _paired(outdoor.vapour_pressure, draws)
    indoors, humidity = respond(
        room.theta, temperature, vapour, always_dried=_always_dried(room.knowledge)
    )
    # Each part has a source of its own, so that none shifts the draws of another.
    beyond, damp, warm, read = np.random.default_rng([seed, 1]).spawn(4)
    humidity = humidity + _beyond(room, temperature, beyond)
    humidity = humidity + _carried(room.humidity, outdoor, humidity, damp)
    indoors = indoors + _carried(room.temperature, outdoor, indoors, warm)
    humidity = humidity + _either_hygrometer(room, read)
    humidity = np.clip(humidity, DRIEST, DAMPEST)
    return Air(outdoor.days, indoors, vapour_pressure(humidity, indoors))


def _none_of(series: Series) -> Series:
    return series.where(np.zeros(len(series), np.bool_))


def _paired(values: Floats, draws: int) -> Floats:
    if len(values) == 1 or len(values) == draws:
        return values
    return np.asarray(values[np.arange(draws) % len(values)])


def _always_dried(knowledge: RoomKnowledge) -> bool:
    return knowledge.dehumidify_to_pct is not None


def _beyond(room: RoomFit, outdoors: Floats, generator: np.random.Generator) -> Floats:
    """What else a room beyond the model's reach may do (draws, days). [% RH]"""
    days = outdoors.shape[1]
    if not room.beyond:
        return np.zeros((1, days))
    free = simulate(Misfit(1.0, 0.0), len(room.theta), days, generator)[0]
    return np.asarray(free * widening(room.beyond, outdoors))


def _either_hygrometer(room: RoomFit, generator: np.random.Generator) -> Floats:
    """How far all readings may be off (draws, 1), unless it is said what to take off. [% RH]"""
    if room.apart is None or room.knowledge.hygrometer_offset_pct:
        return np.zeros((1, 1))
    return np.asarray(room.apart.deviation * generator.standard_normal((len(room.theta), 1)))


def _carried(
    wandering: Wandering, outdoor: Air, modelled: Floats, generator: np.random.Generator
) -> Floats:
    position = (wandering.seen.day - outdoor.days[0]).astype(np.int64)
    inside = (position >= 0) & (position < len(outdoor.days))
    seen, position = wandering.seen.where(inside), position[inside]
    residuals = seen.value - modelled[:, position]
    return carried(
        wandering.misfit, len(outdoor.days), position, seen.variance, residuals, generator
    )


def _with_weather(series: Series, outdoor: Days) -> Series:
    """Keep the last days of a series that lie on or near a day with weather."""
    if not len(outdoor) or not len(series):
        return _none_of(series)
    have, day = outdoor.day.astype(np.int64), series.day.astype(np.int64)
    after = np.searchsorted(have, day)
    gap = np.minimum(
        np.abs(have[np.minimum(after, len(have) - 1)] - day),
        np.abs(have[np.maximum(after - 1, 0)] - day),
    )
    return series.where((gap <= BRIDGED) & (day > day[-1] - FITTED_DAYS))


def _evidence(
    humidity: Series, temperature: Series, outdoor: Days, knowledge: RoomKnowledge
) -> tuple[Evidence, ...]:
    days = np.concatenate([humidity.day, temperature.day]).astype(np.int64)
    if not len(days):
        return ()
    span = np.arange(days.min() - LEAD_IN, days.max() + 1)
    have = outdoor.day.astype(np.int64)
    outside = np.interp(span, have, outdoor.temperature)[None]
    vapour = np.interp(span, have, outdoor.vapour_pressure)[None]

    def part(series: Series, usual: Misfit, which: int) -> Evidence:
        day = series.day.astype(np.int64)

        def predict(theta: Floats) -> Floats:
            room = respond(theta, outside, vapour, always_dried=_always_dried(knowledge))
            return np.asarray(room[which][:, day - span[0]])

        return Evidence(day, series.value, series.variance, predict, usual, usual)

    return (part(humidity, HUMIDITY_MISFIT, 1), part(temperature, TEMPERATURE_MISFIT, 0))


def _wandering(part: Evidence | None, series: Series, usual: Misfit) -> Wandering:
    if part is None:
        return Wandering(usual, series)
    return Wandering(part.misfit, replace(series, variance=part.variance))
