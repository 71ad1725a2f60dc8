"""How a room answers the outdoor air: the model itself, for many parameter sets at once."""

from typing import NamedTuple

import numpy as np

from planner.air.humidity import (
    Floats,
    excess_pressure,
    relative_humidity,
    saturation_pressure,
)

# A house of usual mass takes about three days to follow the outdoor temperature; the standards
# on summer comfort use running means of that order. [days]
WALLS_LAG = 3.0
# Timber, plaster, books and cane take up water over weeks. [days]
STORE_LAG = 20.0

# Bends of the curves, so that no reading sits on a corner.
WARMING_BEND = 3.0  # °C
COOLING_BEND = 1.0  # °C
LIMIT_BEND = 4.0  # % relative humidity

# The moisture excess changes linearly between these outdoor temperatures: 5 and 15 °C are those
# of Kalamees (2006) and Vinha et al. (2018); above 15 °C a cooled or aired room may differ, and in
# hard frost the warm air within draws more of the dry air in.
FROST, COLD, MILD, HOT = -20.0, 5.0, 15.0, 25.0  # °C
COOLING_STARTS, COOLING_WIDTH = 17.0, 2.0  # °C, outdoor

DRIEST, DAMPEST = 1.0, 100.0  # %


class Parameters(NamedTuple):
    """Parameters of a room; as arrays each is (sets, 1).

    The logarithm and the logits keep the lag positive and the shares between 0 and 1 while the
    fit moves freely.
    """

    set_point: Floats  # of the heating, as it is at 5 °C outdoors [°C]
    warming: Floats  # rise of the room per degree outdoors in warm weather
    balance: Floats  # outdoor temperature above which the room warms [°C]
    chill: Floats  # fall of the heated room per degree outdoors below that
    cap: Floats  # highest temperature that cooling, shade and night air allow [°C]
    excess_cold: Floats  # moisture added at 5 °C outdoors and below [g/m³]
    excess_mild: Floats  # at 15 °C [g/m³]
    excess_hot: Floats  # at 25 °C and above, beyond that at 15 °C [g/m³]
    frost: Floats  # change of the excess at -20 °C and below, as a part of that at 5 °C
    log_lag: Floats  # logarithm of the lag of the vapour [days]
    store_logit: Floats  # share of the vapour that comes and goes with the slow store
    floor: Floats  # humidity that is held up to [%]
    floor_logit: Floats  # share of the lack that is made good
    ceiling: Floats  # humidity that is held down to [%]
    ceiling_logit: Floats  # share of the surplus that is taken away


def respond(
    theta: Floats, temperature: Floats, vapour_pressure: Floats, *, always_dried: bool = False
) -> tuple[Floats, Floats]:
    """Return the room's daily temperature and relative humidity.

    Parameters
    ----------
    theta : (sets, parameters), columns in the order of :class:`Parameters`
    temperature, vapour_pressure : outdoors, (sets or 1, days). [°C], [Pa]
    always_dried : True where a dehumidifier works at all seasons, not only in hot weather

    Returns
    -------
    (sets, days) temperature [°C] and (sets, days) relative humidity [%]
    """
    p = Parameters(*theta.T[:, :, None])
    outdoors = trailing_mean(temperature, np.array([[WALLS_LAG]]))
    indoors = _temperature(p, outdoors)
    vapour = _free_vapour(p, vapour_pressure, outdoors, indoors)
    free = relative_humidity(vapour, indoors)
    lifted = share(p.floor_logit) * hinge(p.floor - free, LIMIT_BEND)
    gate = 1.0 if always_dried else share((outdoors - COOLING_STARTS) / COOLING_WIDTH)
    taken = gate * share(p.ceiling_logit) * hinge(free - p.ceiling, LIMIT_BEND)
    return indoors, np.clip(free + lifted - taken, DRIEST, DAMPEST)


def _temperature(p: Parameters, outdoors: Floats) -> Floats:
    free = p.set_point + p.warming * hinge(outdoors - p.balance, WARMING_BEND)
    below = hinge(p.balance - outdoors, WARMING_BEND) - hinge(p.balance - COLD, WARMING_BEND)
    free = free - p.chill * below
    return np.asarray(p.cap - hinge(p.cap - free, COOLING_BEND))


def _free_vapour(p: Parameters, outdoor: Floats, outdoors: Floats, indoors: Floats) -> Floats:
    """Vapour pressure without humidifier, dehumidifier or cooling. [Pa]"""
    quick = trailing_mean(outdoor, np.exp(p.log_lag))
    slow = trailing_mean(outdoor, np.array([[STORE_LAG]]))
    excess = moisture_excess(p, outdoors)
    store = share(p.store_logit)
    vapour = quick + store * (slow - quick) + excess_pressure(excess, indoors)
    return np.asarray(np.maximum(vapour, DRIEST / 100.0 * saturation_pressure(indoors)))


def moisture_excess(p: Parameters, outdoors: Floats) -> Floats:
    """Moisture added to the outdoor air [g/m³] at outdoor temperatures [°C], (sets, days)."""
    towards_frost = np.clip((COLD - outdoors) / (COLD - FROST), 0.0, 1.0)
    towards_mild = np.clip((outdoors - COLD) / (MILD - COLD), 0.0, 1.0)
    towards_hot = np.clip((outdoors - MILD) / (HOT - MILD), 0.0, 1.0)
    change = (p.excess_mild - p.excess_cold) * towards_mild + p.excess_hot * towards_hot
    return np.asarray(p.excess_cold * (1.0 + p.frost * towards_frost) + change)


def trailing_mean(values: Floats, lag: Floats) -> Floats:
    """Exponential trailing mean over days.

    Parameters
    ----------
    values : (sets or 1, days)
    lag : (sets or 1, 1) time constant. [days]

    Returns
    -------
    (sets, days); the days before the first are taken to have been like it.
    """
    keep = np.exp(-1.0 / lag)
    out = (1.0 - keep) * values
    out[:, 0] = values[:, 0]
    step, power = 1, keep
    # By doubling: after the turn with ``step``, each day holds the sum of 2 step days.
    while step < out.shape[1] and power.max() > 1e-7:
        added = power * out[:, :-step]
        out[:, step:] += added
        step, power = 2 * step, power * power
    return np.asarray(out)


def hinge(x: Floats, bend: float) -> Floats:
    """A smooth max(x, 0), off by a quarter of *bend* at 0."""
    return np.asarray((x + np.sqrt(x * x + bend * bend / 4.0)) / 2.0)


def share(logit: Floats) -> Floats:
    """A share between 0 and 1 from its logit, of the same shape."""
    return np.asarray(0.5 * (1.0 + np.tanh(0.5 * logit)))
