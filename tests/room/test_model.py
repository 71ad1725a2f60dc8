"""The room: dry in winter, learning from readings, honest about the rest."""

import numpy as np
import pytest

from planner.air.days import Air, Days
from planner.air.humidity import vapour_pressure
from planner.room.knowledge import RoomKnowledge
from planner.room.misfit import Misfit, carried, simulate
from planner.room.model import fit_room, indoor
from planner.room.priors import NAMES, prior
from planner.room.readings import Readings
from planner.room.response import respond, trailing_mean

NOTHING = RoomKnowledge()


def air_of(table: Days) -> Air:
    """The table as air of one member."""
    return Air(table.day, table.temperature[None], table.vapour_pressure[None])


def logged(table: Days, seed: int) -> tuple[Readings, np.ndarray]:
    """Hourly readings of a room drawn from the prior, and its daily truth."""
    generator = np.random.default_rng(seed)
    known = prior(NOTHING)
    theta = generator.multivariate_normal(known.mean, known.covariance, size=1)
    warm, humidity = respond(theta, table.temperature[None], table.vapour_pressure[None])
    truth = humidity[0] + simulate(Misfit(2.0, 1.5), 1, len(table), generator).sum(axis=0)[0]
    time = np.repeat(table.day.astype("datetime64[h]"), 24) + np.tile(np.arange(24), len(table))
    readings = Readings(time, np.repeat(warm[0], 24), np.repeat(truth, 24))
    return readings, truth


def first_part(readings: Readings, hours: int) -> Readings:
    """The first *hours* readings."""
    return Readings(
        readings.time[:hours], readings.temperature[:hours], readings.relative_humidity[:hours]
    )


def test_a_heated_room_is_dry_in_winter(outdoor):
    """Outdoor air of 0 °C and 80 % makes a heated room dry, with nothing known of it."""
    cold = Days(
        outdoor.day[:60], np.zeros(60), vapour_pressure(80.0, np.zeros(60)), outdoor.hours[:60]
    )
    room = indoor(air_of(cold), fit_room(Readings.none(), cold, NOTHING))
    low, high = np.percentile(room.relative_humidity[:, 40:].mean(axis=1), [10, 90])
    assert 20 < low < high < 45
    assert room.members == 400


def test_readings_narrow_and_move_the_room(outdoor):
    """A year's log brings the rest of the record within 3 % and narrows the range."""
    readings, truth = logged(outdoor, 3)
    blind = indoor(air_of(outdoor), fit_room(Readings.none(), outdoor, NOTHING))
    fitted = indoor(air_of(outdoor), fit_room(first_part(readings, 365 * 24), outdoor, NOTHING))
    ahead = slice(400, 800)
    error = np.abs(np.median(fitted.relative_humidity, axis=0) - truth)[ahead].mean()
    assert error < 3.0
    assert fitted.relative_humidity[:, ahead].std(axis=0).mean() < 0.7 * (
        blind.relative_humidity[:, ahead].std(axis=0).mean()
    )


def test_a_hygrometer_read_beside_a_bath_hardly_moves_the_room(outdoor):
    """Three of two hundred days read 45 % too damp: no wandering explains that."""
    readings, _ = logged(outdoor, 3)
    noon = np.arange(12, 200 * 24, 24)
    usual = Readings(
        readings.time[noon], readings.temperature[noon], readings.relative_humidity[noon]
    )
    odd = usual.relative_humidity + 45.0 * (np.arange(200) % 60 == 50)
    slips = Readings(usual.time, usual.temperature, odd)
    medians = [
        np.median(
            indoor(air_of(outdoor), fit_room(read, outdoor, NOTHING)).relative_humidity, axis=0
        )
        for read in (usual, slips)
    ]
    moved = medians[1] - medians[0]
    assert np.abs(moved[220:]).mean() < 0.8
    assert 0.0 <= moved[:200].mean() < 1.5


def test_a_few_spot_readings_help(outdoor):
    """Eight readings in a month bring that season nearer than none."""
    readings, truth = logged(outdoor, 4)
    some = np.arange(12, 30 * 24, 4 * 24)
    few = Readings(
        readings.time[some], np.full(len(some), np.nan), readings.relative_humidity[some]
    )
    season = slice(31, 75)
    errors = []
    for known in (Readings.none(), few):
        room = indoor(air_of(outdoor), fit_room(known, outdoor, NOTHING))
        errors.append(np.abs(np.median(room.relative_humidity, axis=0) - truth)[season].mean())
    assert errors[1] < errors[0]


def test_a_winter_log_leaves_the_summer_open(outdoor):
    """After two winter months the summer is as wide as it was, and not far from the prior."""
    readings, _ = logged(outdoor, 5)
    blind = indoor(air_of(outdoor), fit_room(Readings.none(), outdoor, NOTHING))
    winter = indoor(air_of(outdoor), fit_room(first_part(readings, 60 * 24), outdoor, NOTHING))
    summer = slice(180, 240)
    spread = [x.relative_humidity[:, summer].mean(axis=1).std() for x in (blind, winter)]
    assert 0.4 * spread[0] < spread[1] < 1.3 * spread[0]


def test_a_known_offset_is_taken_off(outdoor):
    """A hygrometer that shows 5 % too much, and is said to, gives the room without it."""
    readings, truth = logged(outdoor, 6)
    off = Readings(readings.time, readings.temperature, readings.relative_humidity + 5.0)
    room = fit_room(off, outdoor, RoomKnowledge(hygrometer_offset_pct=5.0))
    found = np.median(indoor(air_of(outdoor), room).relative_humidity, axis=0)
    assert abs((found - truth)[30:].mean()) < 1.0


def test_the_last_misfit_is_carried_on_and_fades():
    """A day that read 8 % high leaves the next days high, and a season later nothing."""
    generator = np.random.default_rng(0)
    seen = np.arange(30)
    out = carried(Misfit(3.0, 2.0), 300, seen, np.ones(30), np.full((400, 30), 8.0), generator)
    mean = out.mean(axis=0)
    assert mean[29] > 6.0
    assert 1.0 < mean[45] < mean[31] < 8.0
    assert abs(mean[250]) < 1.0


def test_wandering_has_the_size_asked_for():
    """4000 draws of 30 days: standard deviations 3 and 2, within 3 standard errors (3.4 %)."""
    slow, quick = simulate(Misfit(3.0, 2.0), 4000, 30, np.random.default_rng(1))
    for part, size in ((slow, 3.0), (quick, 2.0)):
        assert np.abs(part[:, [0, 15, 29]].std(axis=0) / size - 1).max() < 0.034


def test_trailing_mean_is_the_recursion():
    """By hand: y = k y + (1 - k) x, the days before the first like it."""
    values = np.array([[4.0, 1.0, 7.0, 3.0, 3.0]])
    keep, expected = np.exp(-1 / 2.5), [4.0]
    for value in values[0, 1:]:
        expected.append(keep * expected[-1] + (1 - keep) * value)
    np.testing.assert_allclose(trailing_mean(values, np.array([[2.5]]))[0], expected)


@pytest.mark.parametrize("said", [NOTHING, RoomKnowledge(damp=True)])
@pytest.mark.parametrize("hours", [0, 24 * 40])
def test_the_room_of_more_days_is_that_of_fewer_and_more(outdoor, said, hours):
    """With readings and without, and in a room that the model doesn't cover."""
    readings = first_part(logged(outdoor, 1)[0], hours)
    fit = fit_room(readings, outdoor, said)
    air = air_of(outdoor)
    fewer, more = indoor(air.part(air.days[0].item(), air.days[89].item()), fit), indoor(air, fit)
    np.testing.assert_allclose(fewer.temperature, more.temperature[:, :90], rtol=1e-9)
    np.testing.assert_allclose(fewer.vapour_pressure, more.vapour_pressure[:, :90], rtol=1e-9)


def test_the_same_seed_gives_the_same_room(outdoor):
    """Asked twice, the answer is the same to the last digit."""
    fit = fit_room(Readings.none(), outdoor, NOTHING)
    first, second = (indoor(air_of(outdoor), fit) for _ in range(2))
    np.testing.assert_array_equal(first.vapour_pressure, second.vapour_pressure)
    assert len(fit.thinned(7).theta) == 7
    assert fit.theta.shape == (400, len(NAMES))


def test_a_humidifier_holds_the_winter_up(outdoor):
    """With one set to 45 % the driest month is more humid than without."""
    month = slice(0, 31)
    dry, held = (
        indoor(air_of(outdoor), fit_room(Readings.none(), outdoor, known)).relative_humidity
        for known in (NOTHING, RoomKnowledge(humidify_to_pct=45.0))
    )
    assert held[:, month].mean() > dry[:, month].mean() + 5.0


def spot(day: np.datetime64, humidity: float = 40.0) -> Readings:
    """One reading at noon UTC."""
    return Readings(
        np.array([day]).astype("datetime64[h]") + 12, np.array([21.0]), np.array([humidity])
    )


@pytest.mark.parametrize(
    ("day", "counts"), [(-4, False), (-3, True), (99, True), (102, True), (103, False)]
)
def test_a_reading_counts_within_three_days_of_the_weather(outdoor, day, counts):
    """Weather of a hundred days: what was read long before or after it tells nothing."""
    weather = outdoor.where(np.arange(len(outdoor)) < 100)
    fit = fit_room(spot(weather.day[0] + day), weather, NOTHING, draws=20)
    assert (len(fit.humidity.seen), len(fit.temperature.seen)) == (int(counts),) * 2


@pytest.mark.parametrize(("day", "counts"), [(53, True), (55, False), (57, True)])
def test_a_reading_in_a_gap_counts_by_the_nearer_end(outdoor, day, counts):
    """Weather to the 50th day and from the 60th: the four days between are too far from both."""
    number = np.arange(len(outdoor))
    weather = outdoor.where((number <= 50) | ((number >= 60) & (number < 100)))
    fit = fit_room(spot(outdoor.day[day]), weather, NOTHING, draws=20)
    assert len(fit.humidity.seen) == int(counts)


def test_possible_weathers_are_paired_with_possible_rooms_in_turn(outdoor):
    """Three futures, of frost, cool and mild weather, and seven rooms: the first three, again."""
    days = np.arange(np.datetime64("2026-01-01"), np.datetime64("2026-03-01"))
    warmth = np.repeat(np.array([[-15.0], [0.0], [15.0]]), len(days), axis=1)
    future = Air(days, warmth, vapour_pressure(80.0, warmth))
    room = indoor(future, fit_room(Readings.none(), outdoor, NOTHING, draws=7))
    assert room.members == 7
    damp = room.vapour_pressure[:, 30:].mean(axis=1)
    frost, cool, mild = (damp[first::3] for first in range(3))
    assert frost.max() < cool.min()
    assert cool.max() < mild.min()


def test_a_fit_without_its_readings_keeps_what_it_learned(outdoor):
    """Same parameters and wandering; only the days that were read are no longer drawn to them."""
    readings, _ = logged(outdoor, 3)
    fit = fit_room(first_part(readings, 90 * 24), outdoor, NOTHING, draws=60)
    bare = fit.without_readings()
    assert (bare.humidity.misfit, bare.temperature.misfit) == (
        fit.humidity.misfit,
        fit.temperature.misfit,
    )
    assert (len(bare.humidity.seen), len(bare.temperature.seen)) == (0, 0)
    spreads = [
        indoor(air_of(outdoor), one).relative_humidity[:, 10:80].std(axis=0).mean()
        for one in (fit, bare)
    ]
    assert spreads[0] < 0.6 * spreads[1]


def test_weather_that_ends_before_the_last_reading_is_answered(outdoor):
    """The air of the days asked for, though the hygrometer was read on the day after."""
    fit = fit_room(spot(outdoor.day[100]), outdoor, NOTHING, draws=20)
    until = Air(
        outdoor.day[:100], outdoor.temperature[None, :100], outdoor.vapour_pressure[None, :100]
    )
    assert indoor(until, fit).temperature.shape == (20, 100)


def test_a_dehumidifier_works_in_cold_weather_too(outdoor):
    """A damp cellar in winter: with a machine set to 50 % far drier, without none is supposed."""
    cold = Days(
        outdoor.day[:90], np.full(90, 4.0), vapour_pressure(85.0, np.full(90, 4.0)), np.full(90, 24)
    )
    humid, dried = (
        indoor(air_of(cold), fit_room(Readings.none(), cold, known)).relative_humidity[:, 40:]
        for known in (
            RoomKnowledge(heated=False, damp=True),
            RoomKnowledge(heated=False, damp=True, dehumidify_to_pct=50.0),
        )
    )
    assert np.median(humid) > 70.0
    assert np.median(dried) < 60.0
