"""How well the room model foretells real rooms, beside simple rivals.

    python tests/benchmarks/room_houses.py FOLDER [--fit 0.3]

Every table (CSV) of the folder is the hourly log of one room, with the columns time, outdoor
temperature [°C], outdoor humidity [%], indoor temperature [°C], indoor humidity [%]. The model is
fitted on the first part of each log and asked for the rest, under the outdoor weather as it was.
Reported: mean absolute error, bias, correlation of weekly, daily and hourly relative humidity
indoors, and the share of weeks and days inside the 80 % interval.
"""

import argparse
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
from numpy.typing import NDArray
from sklearn.linear_model import LinearRegression

from planner.air.days import Air, Days
from planner.air.humidity import relative_humidity, vapour_pressure
from planner.air.hours import days_of_hours
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room, indoor
from planner.room.readings import Readings

Values = NDArray[np.float64]
COLUMNS = ("time", "outdoor temp", "outdoor hum", "indoor temp", "indoor hum")
WEEK_DAYS = 5  # a week counts from so many days on
ROOM = 21.0  # °C, for the rival without a model


@dataclass(frozen=True)
class Log:
    """One room's log: hours as read, and days of those with 18 hours or more."""

    name: str
    hours: pd.DataFrame
    outdoor: Days
    humidity: pd.Series  # indoors, by day


def read_log(path: Path) -> Log:
    """Read a table, forgiving about how the columns are spelt."""
    table = pd.read_csv(path)
    table = table.rename(columns={column: _plain(column) for column in table.columns})
    chosen = {name: _column(table, name) for name in COLUMNS}
    hours = pd.DataFrame({name: table[column] for name, column in chosen.items()})
    hours["time"] = pd.to_datetime(hours["time"], utc=True)
    hours = hours.dropna(subset=["time"]).sort_values("time").reset_index(drop=True)
    vapour = vapour_pressure(hours["outdoor hum"], hours["outdoor temp"])
    stamps = hours["time"].dt.tz_localize(None).to_numpy().astype("datetime64[s]")
    outdoor = days_of_hours(
        stamps, hours["outdoor temp"].to_numpy(float), np.asarray(vapour), "UTC"
    )
    by_day = hours.groupby(hours["time"].dt.tz_localize(None).dt.normalize())["indoor hum"]
    humidity = by_day.mean()[by_day.count() >= 18]
    return Log(path.stem, hours, outdoor.where(outdoor.hours >= 12), humidity)


def _plain(column: str) -> str:
    words = re.sub(r"[^a-z]+", " ", column.lower()).strip()
    return re.sub(r"\b(rh|relative humidity)\b", "humidity", words)


def _column(table: pd.DataFrame, name: str) -> str:
    words = name.split()
    found = [
        c for c in table.columns if all(any(p.startswith(w) for p in c.split()) for w in words)
    ]
    if not found:
        raise SystemExit(f"no column for {name}, only {', '.join(table.columns)}")
    return str(found[0])


def readings_of(log: Log, until: pd.Timestamp) -> Readings:
    """Return the log's first part as a maker's hygrometer would give it."""
    part = log.hours[log.hours["time"].dt.tz_localize(None) < until]
    return Readings(
        part["time"].dt.tz_localize(None).to_numpy().astype("datetime64[s]"),
        part["indoor temp"].to_numpy(float),
        part["indoor hum"].to_numpy(float),
    )


def outdoor_air(log: Log) -> Air:
    """Return the outdoor air of the whole log, gaps bridged."""
    table = log.outdoor
    days = np.arange(table.day[0], table.day[-1] + 1)
    number, have = days.astype(int), table.day.astype(int)
    return Air(
        days,
        np.interp(number, have, table.temperature)[None],
        np.interp(number, have, table.vapour_pressure)[None],
    )


def planner_model(log: Log, until: pd.Timestamp | None) -> tuple[pd.DatetimeIndex, Values]:
    """Return the days of the log and the members' daily humidity (members, days)."""
    readings = readings_of(log, until) if until is not None else Readings.none()
    room = fit_room(readings, log.outdoor, RoomKnowledge())
    air = indoor(outdoor_air(log), room)
    return pd.DatetimeIndex(air.days), air.relative_humidity


def rivals(log: Log, until: pd.Timestamp) -> dict[str, pd.Series]:
    """Return simple predictions of the daily humidity."""
    air = outdoor_air(log)
    days = pd.DatetimeIndex(air.days)
    temperature, vapour = (
        pd.Series(air.temperature[0], days),
        pd.Series(air.vapour_pressure[0], days),
    )
    features = pd.DataFrame(
        {
            "t": temperature,
            "e": vapour,
            "t3": temperature.ewm(span=3).mean(),
            "e3": vapour.ewm(span=3).mean(),
        }
    )
    known = log.humidity[log.humidity.index < until]
    known = known[known.index.isin(days)]
    regression = LinearRegression().fit(features.loc[known.index], known)
    return {
        "outdoor humidity as is": relative_humidity(vapour, temperature) + 0 * temperature,
        "outdoor vapour at 21 °C": pd.Series(relative_humidity(vapour, ROOM), days),
        "the first part's mean": pd.Series(known.mean(), days),
        "linear regression": pd.Series(regression.predict(features), days),
    }


def scores(log: Log, predicted: pd.Series, begin: pd.Timestamp) -> dict[str, float]:
    """Return errors by week, day and hour from *begin* on. [% RH]"""
    both = pd.DataFrame({"seen": log.humidity, "said": predicted}).dropna().loc[begin:]
    weekly = weeks(both)
    hourly = log.hours.set_index(log.hours["time"].dt.tz_localize(None))["indoor hum"].loc[begin:]
    held = predicted.reindex(hourly.index.normalize()).to_numpy()
    return {
        "week": float((weekly["said"] - weekly["seen"]).abs().mean()),
        "day": float((both["said"] - both["seen"]).abs().mean()),
        "hour": float(np.nanmean(np.abs(held - hourly.to_numpy(float)))),
        "bias": float((weekly["said"] - weekly["seen"]).mean()),
        "r week": float(weekly["said"].corr(weekly["seen"])),
    }


def weeks(days: pd.DataFrame) -> pd.DataFrame:
    """Return means of Monday weeks with enough days."""
    grouped = days.groupby(days.index.to_period("W-SUN"))
    return grouped.mean()[grouped.size() >= WEEK_DAYS]


def coverage(log: Log, days: pd.DatetimeIndex, members: Values, begin: pd.Timestamp) -> float:
    """Return the share of weeks inside the members' 80 % interval."""
    frame = pd.DataFrame(members.T, index=days)
    frame["seen"] = log.humidity
    weekly = weeks(frame.dropna().loc[begin:])
    low, high = np.percentile(weekly.drop(columns="seen"), [10, 90], axis=1)
    return float(((weekly["seen"] >= low) & (weekly["seen"] <= high)).mean())


def examine(log: Log, fit: float) -> dict[str, dict[str, float]]:
    """Return the scores of the model and its rivals on the last part of one log."""
    seen = log.humidity.index
    until = seen[0] + (seen[-1] - seen[0]) * fit
    until = until.normalize()
    out: dict[str, dict[str, float]] = {}
    choices: dict[str, pd.Timestamp | None] = {"room, fitted": until, "room, nothing known": None}
    for name, known in choices.items():
        days, members = planner_model(log, known)
        out[name] = scores(log, pd.Series(np.median(members, axis=0), days), until)
        out[name]["in 80 %"] = coverage(log, days, members, until)
    for name, said in rivals(log, until).items():
        out[name] = scores(log, said, until)
    return out


def report(results: dict[str, dict[str, dict[str, float]]], write: Callable[[str], None]) -> None:
    """Write a line a log, and the means over the logs."""
    for name, result in results.items():
        one = "  ".join(f"{k} {v['week']:.1f}" for k, v in result.items())
        fitted, blind = result["room, fitted"], result["room, nothing known"]
        write(f"{name:14} {one}  inside {fitted['in 80 %']:.2f} {blind['in 80 %']:.2f}")
    kinds = list(next(iter(results.values())))
    write(f"\nmean of {len(results)} logs, % RH")
    for kind in kinds:
        table = pd.DataFrame([result[kind] for result in results.values()])
        line = "  ".join(f"{k} {v:.2f}" for k, v in table.mean().items())
        write(f"{kind:26} {line}  |bias| {table['bias'].abs().mean():.2f}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--fit", type=float, default=0.3, help="part of the log to fit on")
    options = parser.parse_args()
    paths = sorted(options.folder.glob("*.csv"))
    if not paths:
        raise SystemExit(f"no CSV table in {options.folder}")
    report({path.stem: examine(read_log(path), options.fit) for path in paths}, print)
