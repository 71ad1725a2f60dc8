"""How near the room model and its rivals come on the part of a log they have not seen."""

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from room_logs import Log, UnreadableLog
from sklearn.linear_model import LinearRegression

from planner.air.days import Air
from planner.air.humidity import relative_humidity
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room, indoor
from planner.room.readings import SWING_HUMIDITY, Readings

Values = NDArray[np.float64]
Scores = dict[str, float]
WEEK_DAYS = 5  # a week counts from so many days on
ROOM = 21.0  # °C, for the rival without a model
SPOT_READINGS = 12
FITTED, SPOTS, BLIND = "room, fitted", "room, twelve spot readings", "room, nothing known"


def until_of(log: Log, fit: float) -> pd.Timestamp:
    """Return the day with which the part to be foretold begins."""
    first, last = log.humidity.index[[0, -1]]
    return (first + (last - first) * fit).normalize()


def readings_of(log: Log, until: pd.Timestamp, spots: int | None = None) -> Readings:
    """Return the log's first part as a hygrometer would give it; *spots*: so many noons of it.

    Where there is no reading at noon, the day's nearest is taken.
    """
    part = log.hours[log.hours.index < until].dropna(subset=["indoor_pct"])
    if spots is not None:
        noons = part.iloc[np.argsort(np.abs(part.index.hour - 12), kind="stable")]
        noons = noons[~noons.index.normalize().duplicated()].sort_index()
        part = noons.iloc[np.unique(np.linspace(0, len(noons) - 1, spots).round().astype(int))]
    return Readings(
        part.index.to_numpy().astype("datetime64[s]"),
        part["indoor_c"].to_numpy(float),
        part["indoor_pct"].to_numpy(float),
    )


def outdoor_air(log: Log) -> Air:
    """Return the outdoor air of the whole log, gaps bridged; days in gaps are not judged."""
    table = log.outdoor
    days = np.arange(table.day[0], table.day[-1] + 1)
    number, have = days.astype(int), table.day.astype(int)
    return Air(
        days,
        np.interp(number, have, table.temperature)[None],
        np.interp(number, have, table.vapour_pressure)[None],
    )


def planner_model(log: Log, readings: Readings) -> tuple[pd.DatetimeIndex, Values]:
    """Return the days of the log and the members' daily humidity (members, days)."""
    room = fit_room(readings, log.outdoor, RoomKnowledge())
    air = indoor(outdoor_air(log), room)
    return pd.DatetimeIndex(air.days), air.relative_humidity


def rivals(log: Log, until: pd.Timestamp) -> dict[str, pd.Series]:
    """Return simple predictions of the daily humidity."""
    air = outdoor_air(log)
    days = pd.DatetimeIndex(air.days)
    warmth, vapour = pd.Series(air.temperature[0], days), pd.Series(air.vapour_pressure[0], days)
    features = pd.DataFrame(
        {"t": warmth, "e": vapour, "t3": warmth.ewm(span=3).mean(), "e3": vapour.ewm(span=3).mean()}
    )
    known = log.humidity[log.humidity.index < until]
    regression = LinearRegression().fit(features.loc[known.index], known)
    return {
        "outdoor humidity as is": pd.Series(relative_humidity(vapour, warmth), days),
        "outdoor vapour at 21 °C": pd.Series(relative_humidity(vapour, ROOM), days),
        "the first part's mean": pd.Series(known.mean(), days),
        "linear regression": pd.Series(regression.predict(features), days),
    }


def scores(log: Log, said: pd.Series, begin: pd.Timestamp) -> Scores:
    """Return errors by week, day and hour from *begin* on. [% RH]"""
    both = pd.DataFrame({"seen": log.humidity, "said": said}).dropna().loc[begin:]
    weekly = weeks(both)
    hourly = log.hours["indoor_pct"].loc[begin:].dropna()
    hourly = hourly[hourly.index.normalize().isin(both.index)]
    held = both["said"].reindex(hourly.index.normalize()).to_numpy()
    off = weekly["said"] - weekly["seen"]
    flat = weekly["said"].std() < 1e-9 or weekly["seen"].std() < 1e-9
    return {
        "week": float(off.abs().mean()),
        "day": float((both["said"] - both["seen"]).abs().mean()),
        "hour": float(np.abs(held - hourly.to_numpy(float)).mean()),
        "bias": float(off.mean()),
        "r": float("nan") if flat else float(weekly["said"].corr(weekly["seen"])),
        "r day": float("nan") if flat else float(both["said"].corr(both["seen"])),
        "r hour": float("nan") if flat else float(np.corrcoef(held, hourly)[0, 1]),
    }


def weeks(days: pd.DataFrame) -> pd.DataFrame:
    """Return means of Monday weeks with enough days."""
    grouped = days.groupby(days.index.to_period("W-SUN"))
    return grouped.mean()[grouped.size() >= WEEK_DAYS]


def coverage(log: Log, days: pd.DatetimeIndex, members: Values, begin: pd.Timestamp) -> Scores:
    """Return the share of weeks, days and hours inside the members' 80 % interval.

    The hours' interval is the day's, widened by the usual swing within a day.
    """
    frame = pd.DataFrame(members.T, index=days)
    frame["seen"] = log.humidity
    daily = frame.dropna().loc[begin:]
    hourly = log.hours["indoor_pct"].loc[begin:].dropna()
    hourly = hourly[hourly.index.normalize().isin(daily.index)]
    of_day = daily.drop(columns="seen").reindex(hourly.index.normalize()).to_numpy()
    swing = np.random.default_rng(0).normal(0.0, SWING_HUMIDITY, of_day.shape)
    hours = pd.DataFrame(of_day + swing, index=hourly.index)
    hours["seen"] = hourly
    return {
        "weeks in": _inside(weeks(daily)),
        "days in": _inside(daily),
        "hours in": _inside(hours),
    }


def _inside(frame: pd.DataFrame) -> float:
    low, high = np.percentile(frame.drop(columns="seen"), [10, 90], axis=1)
    return float(((frame["seen"] >= low) & (frame["seen"] <= high)).mean())


def examine(log: Log, fit: float) -> dict[str, Scores]:
    """Return the scores of the model and its rivals on the last part of one log.

    Raises
    ------
    UnreadableLog
        If no whole week is left to be foretold, or nothing to learn from.
    """
    until = until_of(log, fit)
    rest = pd.DataFrame({"seen": log.humidity.loc[until:]})
    if not len(weeks(rest)) or (log.humidity.index < until).sum() < 2:
        raise UnreadableLog("no whole week left to be foretold, or nothing to learn from")
    known = {
        FITTED: readings_of(log, until),
        SPOTS: readings_of(log, until, SPOT_READINGS),
        BLIND: Readings.none(),
    }
    out: dict[str, Scores] = {}
    for name, readings in known.items():
        days, members = planner_model(log, readings)
        said = pd.Series(np.median(members, axis=0), days)
        out[name] = scores(log, said, until) | coverage(log, days, members, until)
    for name, said in rivals(log, until).items():
        out[name] = scores(log, said, until)
    return out
