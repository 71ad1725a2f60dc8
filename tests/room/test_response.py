"""The room's answer to the outdoors, part by part and by hand."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.air.humidity import relative_humidity, vapour_pressure
from planner.room.priors import USUAL
from planner.room.response import Parameters, hinge, moisture_excess, respond, share

PLAIN = {name: mean for name, (mean, _) in USUAL.items()} | {
    # Nothing but a heated room with no moisture added, no store, no machine and no cooling.
    "set_point": 20.0,
    "chill": 0.0,
    "cap": 60.0,
    "excess_cold": 0.0,
    "excess_mild": 0.0,
    "excess_hot": 0.0,
    "frost": 0.0,
    "store_logit": -40.0,
    "floor_logit": -40.0,
    "ceiling_logit": -40.0,
}


def answer(outdoors=0.0, humidity=80.0, *, dried=False, days=400, **known):
    """Temperature and relative humidity of the last day of steady weather."""
    theta = np.array([list({**PLAIN, **known}.values())])
    warmth = np.full((1, days), float(outdoors))
    room = respond(theta, warmth, vapour_pressure(humidity, warmth), always_dried=dried)
    return float(room[0][0, -1]), float(room[1][0, -1])


def excess(outdoors, **known):
    """Moisture added at a temperature. [g/m³]"""
    theta = np.array([list({**PLAIN, **known}.values())])
    return float(moisture_excess(Parameters(*theta.T[:, :, None]), np.array([[outdoors]]))[0, 0])


@pytest.mark.parametrize(
    ("outdoor", "humidity", "indoor"),
    [(-20, 70, 3.76), (-10, 80, 9.80), (0, 80, 20.91), (5, 80, 29.84)],
)
def test_a_heated_room_without_moisture_has_the_outdoor_vapour(outdoor, humidity, indoor):
    """At 20 °C: Hyland & Wexler (1983) over water, 0.15 % for the formulas' difference."""
    assert answer(outdoor, humidity) == (
        pytest.approx(20.0, abs=0.35),
        pytest.approx(indoor, abs=0.5),
    )


@pytest.mark.parametrize(
    ("outdoors", "expected"),
    [
        (-30, 3.0),
        (-20, 3.0),
        (-7.5, 2.5),
        (5, 2.0),
        (10, 1.25),
        (15, 0.5),
        (20, 0.1),
        (25, -0.3),
        (35, -0.3),
    ],
)
def test_the_moisture_excess_is_a_line_between_its_corners(outdoors, expected):
    """2 g/m³ at 5 °C, half as much more in frost, 0.5 at 15 °C, 0.8 less when hot."""
    found = excess(outdoors, excess_cold=2.0, excess_mild=0.5, excess_hot=-0.8, frost=0.5)
    assert found == pytest.approx(expected)


def test_a_gram_more_in_a_cubic_metre_is_so_much_damper():
    """1 g/m³ at 20 °C is 135.3 Pa (by hand), of 2339 Pa 5.79 % (Hyland & Wexler, 0.3 %)."""
    dry, damp = answer(0.0)[1], answer(0.0, excess_cold=1.0)[1]
    assert damp - dry == pytest.approx(5.79, abs=0.05)


def test_warm_weather_warms_the_room_by_its_share_and_not_above_the_cap():
    """Own arithmetic: 10 °C above 13 °C at 0.55 a degree are 5.5 °C, where no cap is near."""
    assert answer(23.0, warming=0.55, balance=13.0)[0] == pytest.approx(25.5, abs=0.2)
    assert answer(38.0, warming=0.55, balance=13.0, cap=26.0)[0] == pytest.approx(26.0, abs=0.1)


def test_a_chilly_room_cools_in_frost_and_is_at_its_set_point_at_five_degrees():
    """0.1 °C a degree: 2.5 °C from 5 to -20 °C."""
    at_five, in_frost = (answer(t, chill=0.1)[0] for t in (5.0, -20.0))
    assert at_five == pytest.approx(20.0, abs=0.3)
    assert at_five - in_frost == pytest.approx(2.5, abs=0.1)


@pytest.mark.parametrize(("logit", "made_good"), [(0.0, 0.5), (2.0, 0.881), (40.0, 1.0)])
def test_a_humidifier_makes_good_its_share_of_the_lack(logit, made_good):
    """From 21 % towards 45 %; the logistic function of the logit."""
    free = answer(0.0)[1]
    held = answer(0.0, floor=45.0, floor_logit=logit)[1]
    assert (held - free) / (45.0 - free) == pytest.approx(made_good, abs=0.01)


@pytest.mark.parametrize(("logit", "taken"), [(0.0, 0.5), (40.0, 1.0)])
def test_a_dehumidifier_takes_its_share_of_the_surplus(logit, taken):
    """In hot weather always; in cold weather only where the maker has one that works then."""
    free = answer(28.0, 90.0)[1]
    held = answer(28.0, 90.0, ceiling=50.0, ceiling_logit=logit)[1]
    assert (free - held) / (free - 50.0) == pytest.approx(taken, abs=0.02)
    damp = {"excess_cold": 8.0, "ceiling": 50.0, "ceiling_logit": logit}
    off, on = answer(4.0, **damp)[1], answer(4.0, dried=True, **damp)[1]
    assert off == pytest.approx(answer(4.0, excess_cold=8.0)[1], abs=0.05)
    assert (off - on) / (off - 50.0) == pytest.approx(taken, abs=0.02)


@pytest.mark.parametrize(("store_logit", "part"), [(-40.0, 0.0), (0.0, 0.5), (40.0, 1.0)])
def test_a_store_holds_its_share_back_for_weeks(store_logit, part):
    """Own arithmetic: three weeks after a step the store has followed 1 - exp(-21/20) of it."""
    theta = np.array([list({**PLAIN, "store_logit": store_logit, "log_lag": -3.0}.values())])
    days, step = 300, 200
    warmth = np.full((1, days), 5.0)
    vapour = np.where(np.arange(days) < step, 500.0, 700.0)[None]
    warm, humidity = (values[0] for values in respond(theta, warmth, vapour))
    before, after, later = humidity[step - 1], humidity[step + 20], humidity[-1]
    assert later == pytest.approx(float(relative_humidity(700.0, warm[-1])), abs=0.5)
    behind = (later - after) / (later - before)
    assert behind == pytest.approx(part * np.exp(-21 / 20), abs=0.02)


@given(st.floats(-50, 50), st.floats(0.1, 10))
def test_the_bend_is_a_smooth_corner(x, bend):
    """Never below max(x, 0), most at the corner: a quarter of the bend."""
    found = float(hinge(np.array([x]), bend)[0])
    assert -1e-12 <= found - max(x, 0.0) <= bend / 4 + 1e-12
    assert float(hinge(np.zeros(1), bend)[0]) == pytest.approx(bend / 4)


@given(st.floats(-30, 30))
def test_a_share_is_the_logistic_function(logit):
    """1 / (1 + exp(-x))."""
    assert float(share(np.array([logit]))[0]) == pytest.approx(1 / (1 + np.exp(-logit)), abs=1e-12)
