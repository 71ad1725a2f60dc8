"""Rooms beyond the vapour balance are named, by word or by their readings, and ranges widen."""

import numpy as np
import pytest

from planner.air.days import Air, Days
from planner.air.humidity import relative_humidity, vapour_pressure
from planner.room.hygrometers import disagreement
from planner.room.knowledge import RoomKnowledge
from planner.room.model import RoomFit, fit_room, indoor
from planner.room.reach import COOLED, DAMP, UNHEATED, Beyond, widening
from planner.room.readings import Readings

YEAR = 365


def year(mean: float, swing: float, *, humid: float = 75.0, days: int = 800) -> Days:
    """Weather by a cosine with the coldest day on 1 January, without days' own weather."""
    day = np.datetime64("2024-01-01") + np.arange(days)
    warmth = mean - swing * np.cos(2 * np.pi * np.arange(days) / 365.25)
    warmth = warmth + 2.0 * np.sin(np.arange(days) * 1.7)
    return Days(day, warmth, vapour_pressure(humid, warmth), np.full(days, 24))


def noons(outdoor: Days, warmth: np.ndarray, humidity: np.ndarray, days: slice) -> Readings:
    """One reading at noon on some of the days."""
    time = (outdoor.day[days] + np.timedelta64(12, "h")).astype("datetime64[s]")
    return Readings(time, warmth[days], humidity[days])


def spread(room: RoomFit, outdoor: Days, days: slice) -> float:
    """Width of the 80 % interval of a day's humidity."""
    air = indoor(Air(outdoor.day, outdoor.temperature[None], outdoor.vapour_pressure[None]), room)
    low, high = np.percentile(air.relative_humidity[:, days], [10, 90], axis=0)
    return float((high - low).mean())


def kinds(room: RoomFit) -> list[tuple[str, bool]]:
    """What the room is beyond reach for, and whether the maker said so."""
    return [(one.kind, one.said) for one in room.beyond]


@pytest.fixture(scope="module")
def temperate() -> Days:
    """Winters about 0 °C, summers about 20 °C."""
    return year(10.0, 10.0)


@pytest.fixture(scope="module")
def hot() -> Days:
    """Summers of 28 °C and humid."""
    return year(17.0, 11.0)


@pytest.mark.parametrize(
    ("said", "kind"),
    [
        (RoomKnowledge(heated=False), UNHEATED),
        (RoomKnowledge(air_conditioned=True), COOLED),
        (RoomKnowledge(damp=True), DAMP),
    ],
)
def test_what_the_maker_says_is_named_and_widens_the_range(said, kind, hot):
    """Summer's range is wider than by the parameters alone, with no reading and after a month."""
    summer = slice(535, 595)
    warmth = np.full(len(hot), 20.0)
    humidity = np.asarray(relative_humidity(hot.vapour_pressure, warmth)) + 12.0
    for readings in (Readings.none(), noons(hot, warmth, humidity, slice(365, 395))):
        room = fit_room(readings, hot, said)
        assert (kind, True) in kinds(room)
        certain = RoomFit(**{**vars(room), "beyond": ()})
        assert spread(room, hot, summer) > 1.03 * spread(certain, hot, summer)


@pytest.mark.parametrize("said", [RoomKnowledge(heated=False), RoomKnowledge(damp=True)])
def test_cellars_are_far_less_certain_than_ordinary_rooms(said, temperate):
    """With nothing read the range of a summer week is wider by a quarter or more."""
    summer = slice(535, 595)
    widths = [
        spread(fit_room(Readings.none(), temperate, known), temperate, summer)
        for known in (RoomKnowledge(), said)
    ]
    assert widths[1] > 1.25 * widths[0]


def test_a_cooled_room_is_no_wider_in_winter(hot):
    """Cooling leaves the cold days alone."""
    room = fit_room(Readings.none(), hot, RoomKnowledge(air_conditioned=True))
    certain = RoomFit(**{**vars(room), "beyond": ()})
    winter = slice(365, 395)
    assert spread(room, hot, winter) == pytest.approx(spread(certain, hot, winter), rel=0.05)


def test_readings_of_a_cold_room_show_that_it_is_not_heated(temperate):
    """At 8 °C within and 2 °C outdoors nobody heats, whatever the settings leave open."""
    warmth = temperate.temperature * 0.7 + 7.0
    humidity = np.asarray(relative_humidity(temperate.vapour_pressure + 100.0, warmth))
    room = fit_room(noons(temperate, warmth, humidity, slice(0, 40)), temperate, RoomKnowledge())
    assert (UNHEATED, False) in kinds(room)
    assert not room.knowledge.heated


def test_readings_of_a_cool_room_in_hot_weather_show_the_cooling(hot):
    """24 °C within on days of 27 °C."""
    warmth = np.minimum(20.0 + 0.5 * np.maximum(hot.temperature - 13, 0), 24.0)
    humidity = np.full(len(hot), 52.0)
    room = fit_room(noons(hot, warmth, humidity, slice(150, 230)), hot, RoomKnowledge())
    assert kinds(room) == [(COOLED, False)]


def test_readings_of_a_cellar_show_that_it_is_damp(temperate):
    """Four and a half grams a cubic metre more than outdoors in mild weather."""
    warmth = np.full(len(temperate), 18.0)
    humidity = np.asarray(relative_humidity(temperate.vapour_pressure + 605.0, warmth))
    room = fit_room(noons(temperate, warmth, humidity, slice(80, 140)), temperate, RoomKnowledge())
    assert (DAMP, False) in kinds(room)


def test_an_ordinary_room_is_within_reach(temperate):
    """A heated room with 2 g/m³ in winter and less in summer gets no such name."""
    warmth = 20.5 + 0.5 * np.maximum(temperate.temperature - 13.0, 0.0)
    added = np.interp(temperate.temperature, [5.0, 15.0], [270.0, 70.0])
    humidity = np.asarray(relative_humidity(temperate.vapour_pressure + added, warmth))
    room = fit_room(noons(temperate, warmth, humidity, slice(0, YEAR)), temperate, RoomKnowledge())
    assert room.beyond == ()


def test_a_year_of_readings_takes_half_of_the_doubt_away(temperate):
    """What is read needs no guess: the added deviation shrinks with the days read."""
    warmth = temperate.temperature * 0.7 + 7.0
    humidity = np.full(len(temperate), 70.0)
    few, many = (
        fit_room(noons(temperate, warmth, humidity, slice(0, n)), temperate, RoomKnowledge())
        for n in (20, YEAR)
    )
    assert many.beyond[0].wider < 0.5 * few.beyond[0].wider


def beside(apart: float, pairs: int, *, logger: bool = False) -> Readings:
    """A reading every second day, or an hourly log, and so many of a second hygrometer beside."""
    step = np.timedelta64(1, "h") if logger else np.timedelta64(2, "D")
    time = np.datetime64("2026-01-05T09:00:00") + np.arange(240) * step
    humidity = 42.0 + np.sin(np.arange(240))
    at = np.linspace(5, 230, pairs).astype(int)
    both = np.concatenate([time, time[at] + np.timedelta64(4, "m")])
    shown = np.concatenate([humidity, humidity[at] + apart])
    return Readings(both.astype("datetime64[s]"), np.full(len(both), np.nan), shown)


@pytest.mark.parametrize("logger", [False, True])
def test_a_second_hygrometer_that_differs_is_caught(logger):
    """Six per cent apart in four pairs, among spot readings and among a logger's rows."""
    found = disagreement(beside(6.0, 4, logger=logger))
    assert found is not None
    assert found.pairs == 4
    assert found.apart_pct == pytest.approx(6.0)


@pytest.mark.parametrize(
    "readings", [beside(1.0, 6), beside(3.0, 1), beside(0.0, 0), beside(9.0, 0, logger=True)]
)
def test_hygrometers_that_agree_are_not_accused(readings):
    """One per cent apart, a single pair a little apart, no pair at all."""
    assert disagreement(readings) is None


def test_a_five_minute_log_is_no_pair_of_hygrometers():
    """A bath that raises the humidity by 3 % between rows of one logger is no second reading."""
    time = np.datetime64("2026-01-05") + np.arange(0, 3000, 5) * np.timedelta64(1, "m")
    rising = 40.0 + 3.0 * np.arange(600)
    assert disagreement(Readings(time.astype("datetime64[s]"), rising * np.nan, rising)) is None


def test_two_hygrometers_apart_widen_the_range_until_one_is_corrected(temperate):
    """Eight per cent apart: either may be wrong, until it is said what to take off."""
    year_ahead = slice(400, 700)
    alike, apart = (
        fit_room(beside_in(temperate, by), temperate, RoomKnowledge()) for by in (0.0, 8.0)
    )
    corrected = fit_room(
        beside_in(temperate, 8.0), temperate, RoomKnowledge(hygrometer_offset_pct=4.0)
    )
    widths = [spread(room, temperate, year_ahead) for room in (alike, apart, corrected)]
    assert widths[1] > 1.2 * widths[0]
    assert widths[2] < 1.1 * widths[0]


def beside_in(outdoor: Days, apart: float) -> Readings:
    """Readings on each day of a year, every tenth with a second hygrometer."""
    time = (outdoor.day[:YEAR] + np.timedelta64(12, "h")).astype("datetime64[s]")
    humidity = 45.0 + outdoor.temperature[:YEAR]
    both = np.concatenate([time, time[::10] + np.timedelta64(120, "s")])
    shown = np.concatenate([humidity, humidity[::10] + apart])
    return Readings(both, np.full(len(both), np.nan), shown)


def test_what_several_reasons_add_is_summed_as_variances():
    """Own arithmetic: 5 and 6 % together are 7.81 %; half the variance after thirty days read.

    Cooling adds in hot weather only.
    """
    hot, cold = np.full((1, 40), 32.0), np.full((1, 40), 0.0)
    cellar = (Beyond(UNHEATED, said=True, days_read=0), Beyond(DAMP, said=True, days_read=0))
    read = (Beyond(DAMP, said=False, days_read=30),)
    cooled = (Beyond(COOLED, said=True, days_read=0),)
    assert widening(cellar, cold) == pytest.approx(np.full((1, 40), np.hypot(5.0, 6.0)))
    assert widening(read, cold)[0, 0] == pytest.approx(6.0 / np.sqrt(2.0))
    assert widening(cooled, hot)[0, -1] == pytest.approx(5.0, abs=0.01)
    assert widening(cooled, cold)[0, -1] == pytest.approx(0.0, abs=0.01)


def test_of_a_cooled_room_the_hot_days_read_are_counted(hot):
    """What winter's readings tell of the cooling is nothing."""
    warmth = np.full(len(hot), 21.0)
    humidity = np.full(len(hot), 45.0)
    days = slice(365, 365 + 200)
    said = RoomKnowledge(air_conditioned=True)
    (one,) = fit_room(noons(hot, warmth, humidity, days), hot, said, draws=20).beyond
    assert one.days_read == (hot.temperature[days] > 24.0).sum() > 10
