"""Air by the hour, as services and files give it: mended in stated ways, then made into days.

Times are UTC, temperatures in °C, vapour pressures in Pa. What can't be mended becomes NaN and so
a missing hour; every mending is counted and told.
"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from planner.air.days import Dates, Days
from planner.air.humidity import Floats, saturation_pressure, vapour_pressure

TEMPERATURE_LIMITS = (-90.0, 60.0)  # °C; the coldest and hottest air measured, rounded outwards
DAMPEST = 1.10  # of saturation; more than that is no rounding
DRIEST_PA = 0.05  # below it the hygrometer was broken: that is a dew point of -85 °C
HOUR = np.timedelta64(1, "h")


@dataclass(frozen=True)
class Hours:
    """Air of one place by the time (n,), in any order, NaN where something is missing.

    ``notes`` tell what was mended or left out, one sentence each.
    """

    time: Dates  # datetime64[s], UTC
    temperature: Floats
    vapour_pressure: Floats
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if not len(self.time) == len(self.temperature) == len(self.vapour_pressure):
            raise ValueError(f"columns of different length: {len(self.time)} times")


def vapour_of(dew_point: Floats, humidity: Floats, temperature: Floats) -> Floats:
    """Vapour pressure [Pa] (n,) by the dew point [°C]; where there is none, by humidity [%].

    The humidity is that over liquid water at *temperature* [°C]. NaN where neither is known.
    """
    vapour = saturation_pressure(dew_point)
    return np.where(np.isnan(vapour), vapour_pressure(humidity, temperature), vapour)


def mended(hours: Hours) -> Hours:
    """Return the hours with impossible values taken out and slight excesses cut, all counted.

    Air up to 10 % damper than saturation (a dew point up to about 1.5 °C above the temperature)
    is a rounding of the source and becomes saturated; beyond that the hour is left out.
    """
    temperature, vapour = hours.temperature.copy(), hours.vapour_pressure.copy()
    low, high = TEMPERATURE_LIMITS
    with np.errstate(invalid="ignore"):
        off = (temperature < low) | (temperature > high) | np.isinf(temperature)
        temperature[off] = np.nan
        saturated = saturation_pressure(temperature)
        wrong = (vapour < DRIEST_PA) | (vapour > DAMPEST * saturated) | np.isinf(vapour)
        damp = ~wrong & (vapour > saturated)
    vapour[wrong] = np.nan
    vapour[damp] = saturated[damp]
    counts = (int(off.sum()), int(wrong.sum()), int(damp.sum()))
    return Hours(hours.time, temperature, vapour, (*hours.notes, *_mendings(*counts)))


def _mendings(off: int, wrong: int, damp: int) -> Iterator[str]:
    low, high = TEMPERATURE_LIMITS
    if off:
        yield f"{counted(off, 'temperature')} outside {low:g} to {high:g} °C left out"
    if wrong:
        yield f"{counted(wrong, 'humidity', 'humidities')} that air can't have left out"
    if damp:
        yield f"{counted(damp, 'humidity', 'humidities')} slightly over 100 % taken as 100 %"


def counted(count: int, noun: str, plural: str = "") -> str:
    """Return a count with its noun: ``1 day``, ``40 days``."""
    return f"{count:,} {noun if count == 1 else plural or f'{noun}s'}"


def filled_between(hours: Hours, longest_step: int) -> Hours:
    """Return the hours with full hours put on the straight line between neighbouring values.

    Only where the neighbours are at most *longest_step* hours apart: a forecast of six-hourly
    values covers its days as an hourly one does.
    """
    sound = np.isfinite(hours.temperature) & np.isfinite(hours.vapour_pressure)
    time, first = np.unique(hours.time[sound].astype("datetime64[s]"), return_index=True)
    if len(time) < 2:
        return hours
    step = np.diff(time) / HOUR
    full = np.arange(time[0].astype("datetime64[h]") + HOUR, time[-1].astype("datetime64[h]") + 1)
    here = np.searchsorted(time, full.astype("datetime64[s]"), side="right") - 1
    wanted = full[(here < len(step)) & (step[np.minimum(here, len(step) - 1)] <= longest_step)]
    wanted = np.setdiff1d(wanted.astype("datetime64[s]"), time.astype("datetime64[h]"))
    seconds = time.astype(int)
    between = [
        np.interp(wanted.astype(int), seconds, values[sound][first])
        for values in (hours.temperature, hours.vapour_pressure)
    ]
    return Hours(
        np.concatenate([hours.time, wanted]),
        np.concatenate([hours.temperature, between[0]]),
        np.concatenate([hours.vapour_pressure, between[1]]),
        hours.notes,
    )


def days_of(hours: Hours, zone: str) -> Days:
    """Return the means of the days of a time zone; see :func:`planner.air.hours.days_of_hours`."""
    # pandas is loaded here, when there are hours to take the mean of, and not before.
    from planner.air.hours import days_of_hours

    if not len(hours.time):
        return Days.none()
    return days_of_hours(hours.time, hours.temperature, hours.vapour_pressure, zone)
