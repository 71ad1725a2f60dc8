"""Sources of the same air on one footing: height, mean difference, no step at a seam."""

from datetime import timedelta

import numpy as np
import pytest

from planner.air.days import Days
from planner.air.humidity import vapour_pressure
from planner.weather.footing import Told, difference, footing
from planner.weather.outlook import outlook

TODAY = np.datetime64("2026-01-12")


def truth(first: int, last: int, seed: int = 1) -> Days:
    """Invented air of the days from *first* to before *last*, counted from TODAY."""
    every = np.arange(-4100, 60)
    generator = np.random.default_rng(seed)
    departure = np.zeros(len(every))
    for i in range(1, len(every)):
        departure[i] = 0.8 * departure[i - 1] + 2.0 * generator.standard_normal()
    turn = 2 * np.pi * (every - 3) / 365.2425
    temperature = 9.0 - 11.0 * np.cos(turn) + departure
    pressure = vapour_pressure(65 + 5 * generator.standard_normal(len(every)), temperature)
    keep = (every >= first) & (every < last)
    n = int(keep.sum())
    return Days(TODAY + every[keep], temperature[keep], pressure[keep], np.full(n, 24))


def biased(days: Days, warm: float, damp: float, seed: int = 2) -> Days:
    """The same air as another source tells it: warmer, damper by a share, and with its noise."""
    generator = np.random.default_rng(seed)
    noise = generator.standard_normal((2, len(days)))
    return Days(
        days.day,
        days.temperature + warm + 0.8 * noise[0],
        days.vapour_pressure * (1.0 + damp) * np.exp(0.05 * noise[1]),
        days.hours,
    )


def test_a_higher_place_is_colder_and_drier():
    """700 m: 4.55 °C (ISO 2533: 6.5 a kilometre), vapour by exp(-0.38 x 0.7) (Kunkel, 1989)."""
    cell = truth(-400, 0)
    move = footing([Told("cell", cell, height=180.0)], height=880.0)["cell"]
    found = move.of(cell)
    np.testing.assert_allclose(found.temperature, cell.temperature - 4.55)
    np.testing.assert_allclose(found.vapour_pressure / cell.vapour_pressure, np.exp(-0.266))


@pytest.mark.parametrize(("height", "cell"), [(None, 180.0), (500.0, None), (500.0, 9100.0)])
def test_without_both_heights_or_with_an_absurd_one_nothing_is_moved(height, cell):
    """What isn't known is not made up."""
    move = footing([Told("cell", truth(-400, 0), height=cell)], height=height)["cell"]
    assert not move.rows.any()


def test_where_the_place_has_no_height_that_of_the_forecast_counts():
    """A forecast is made for the point; the archive's cell is brought to it."""
    days, ahead = truth(-400, 0), truth(0, 9)
    moves = footing([Told("cell", days, 500.0)], [Told("forecast", ahead, 100.0)])
    assert moves["cell"].rows[0] == pytest.approx(2.6)
    assert not moves["forecast"].rows.any()


@pytest.mark.parametrize(("days", "low", "high"), [(1, 0.0, 0.4), (8, 0.3, 0.75), (400, 0.9, 1.05)])
def test_the_difference_is_learned_as_shared_days_accumulate(days, low, high):
    """One day moves little, a year nearly all of 1.8 °C and 12 %."""
    ground = truth(-2000, 0)
    found, shared = difference(biased(truth(-days, 0), 1.8, 0.12), ground)
    assert shared == days
    assert low <= -found[0] / 1.8 <= high
    assert low <= -found[1] / np.log(1.12) <= high


def test_the_difference_of_a_few_days_by_hand():
    """Eight shared days, always 1.8 °C warmer and 12 % damper: two looks of four days.

    Own arithmetic: the scatter is 1.5² x 5 / 7 = 1.6071, over two looks 0.80357, so 1 / 1.80357 of
    1.8 is kept; of the vapour 0.1² x 5 / 7 / 2 = 0.0035714, 0.07² / (0.07² + that) = 0.57841.
    """
    ground = truth(-400, 0)
    days = truth(-8, 0)
    table = Days(days.day, days.temperature + 1.8, 1.12 * days.vapour_pressure, days.hours)
    found, shared = difference(table, ground)
    assert shared == 8
    assert found == pytest.approx([-1.8 / 1.80357, -0.57841 * np.log(1.12)], rel=1e-4)


def test_the_difference_of_days_that_scatter_by_hand():
    """The same in turn 1 °C more and less: 1.5² x 5 and 1² x 2 over seven are 1.8929.

    Over two looks 0.94643, so 1 / 1.94643 of 1.8 is kept.
    """
    ground = truth(-400, 0)
    days = truth(-8, 0)
    uneven = 1.8 + np.array([1.0, -1.0] * 4)
    table = Days(days.day, days.temperature + uneven, days.vapour_pressure, days.hours)
    assert difference(table, ground)[0][0] == pytest.approx(-1.8 / 1.94643, rel=1e-5)


def test_the_height_of_a_mountain_hut_is_moved_over():
    """4,900 m between a valley's cell and a place are odd but possible."""
    move = footing([Told("cell", truth(-400, 0), height=300.0)], height=5200.0)["cell"]
    assert move.rows == pytest.approx([-6.5 * 4.9, -0.38 * 4.9])


def test_no_shared_day_says_nothing():
    """A source that never met the other is left where it is."""
    found, shared = difference(truth(-30, 0), truth(-400, -300))
    assert shared == 0
    assert not found.any()


def test_only_the_last_three_years_of_a_source_count():
    """A service that changed its model five years ago is taken as it is now."""
    ground = truth(-3000, 0)
    old, new = biased(truth(-3000, -1200), 5.0, 0.0), biased(truth(-1200, 0), 0.5, 0.0)
    columns = [
        np.concatenate([getattr(old, name), getattr(new, name)])
        for name in ("day", "temperature", "vapour_pressure", "hours")
    ]
    found, shared = difference(Days(*columns), ground)
    assert shared == 1100
    assert found[0] == pytest.approx(-0.5, abs=0.1)


def test_moved_air_is_never_damper_than_saturated():
    """The cold of a height can't hold the vapour of the valley."""
    damp = Days(
        TODAY + np.arange(3), np.full(3, 5.0), np.full(3, vapour_pressure(100, 5.0)), np.full(3, 24)
    )
    found = footing([Told("cell", damp, 0.0)], height=1000.0)["cell"].of(damp)
    np.testing.assert_allclose(found.vapour_pressure, vapour_pressure(100, found.temperature))


def test_the_longest_record_is_the_footing():
    """Three weeks of the garden are moved to ten years of the archive, not the other way."""
    moves = footing(
        [Told("garden.csv", biased(truth(-21, 0), 2.0, 0.0)), Told("archive", truth(-3650, 0))]
    )
    assert not moves["archive"].rows.any()
    assert moves["garden.csv"].rows[0] < -0.5
    assert moves["garden.csv"].shared == 21


def seam(*, moved: bool) -> tuple[float, float]:
    """By how much the forecast's first days stand too high beside the climate, [°C] and [1].

    A forecast that is right about air like the season's, told by a source that is warmer and
    damper, over an archive of ten years; over forty invented workshops, so that weather cancels.
    """
    steps = []
    for seed in range(40):
        archive, soon = truth(-3650, -3, seed), truth(0, 9, seed)
        early, ahead = (biased(days, 2.5, 0.2, seed) for days in (truth(-300, 0, seed), soon))
        sources = [Told("archive", archive)], [Told("forecast", early)]
        move = footing(*sources)["forecast"]
        found = outlook(
            archive,
            move.of(ahead) if moved else ahead,
            first=TODAY.item(),
            today=TODAY.item(),
            last=TODAY.item() + timedelta(30),
            members=100,
        )
        air = found.air
        steps.append(
            [
                (air.temperature[:, :5].mean() - soon.temperature[:5].mean()),
                np.log(air.vapour_pressure[:, :5]).mean() - np.log(soon.vapour_pressure[:5]).mean(),
            ]
        )
    warm, damp = np.mean(steps, axis=0)
    return float(warm), float(damp)


def test_the_seam_between_forecast_and_climate_shows_no_step():
    """Left alone the first days would stand 2 °C and 15 % too high beside the climate after."""
    warm, damp = seam(moved=False)
    assert warm > 1.8
    assert damp > 0.12
    warm, damp = seam(moved=True)
    assert abs(warm) < 0.4
    assert abs(damp) < 0.03
