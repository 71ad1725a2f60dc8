"""Tables of judged reeds, with the columns of the record, as the model's observations."""

from dataclasses import replace

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

from planner.cane.moisture import NOTED_SD, noted_moisture
from planner.history.tables import MEASURED
from planner.opening.observations import UNJUDGED, VERDICTS, Floats, Observations

PLAIN_COLUMNS = ("diameter_mm", "gouge_mm", "moisture_pct")  # of an array without names


def named(values: Floats) -> pd.DataFrame:
    """Return an array without names as a table."""
    columns = values.shape[1]
    if columns > len(PLAIN_COLUMNS):
        raise ValueError(f"{columns} columns: at most {', '.join(PLAIN_COLUMNS)} are expected")
    return pd.DataFrame(values, columns=list(PLAIN_COLUMNS[:columns]))


def observations_of(table: pd.DataFrame, opening: ArrayLike | None = None) -> Observations:
    """Return the reeds of a table in its order, with their openings (n,) where there are any. [mm]

    Raises
    ------
    ValueError
        If there is no column of diameters, or a date, verdict or state isn't one.
    """
    low, high = _diameters(table)
    humid = moisture = _floats(table, "moisture_pct")
    if "room_rh_pct" in table:
        humid = noted_moisture(_floats(table, "room_rh_pct"))
    own = np.isfinite(moisture)
    spread = np.nan_to_num(_floats(table, "moisture_sd_pct"))
    verdict = _words(table, "verdict", "").map({"": UNJUDGED, **VERDICTS})
    dry = _words(table, "measured", MEASURED[0]).map({word: word == "dry" for word in MEASURED})
    if verdict.isna().any() or dry.isna().any():
        raise ValueError(
            f"a verdict is one of {', '.join(VERDICTS)}; measured is one of {', '.join(MEASURED)}"
        )
    lot, names = pd.factorize(_words(table, "lot", ""), sort=True)
    noted = np.asarray(names, dtype=str) != ""
    number = np.where(noted, np.cumsum(noted) - 1, -1)
    return Observations(
        day=_days(table),
        diameter_low=low,
        diameter_high=high,
        gouge=_floats(table, "gouge_mm"),
        moisture=np.where(own, moisture, humid),
        moisture_sd=np.where(own, spread, NOTED_SD),
        opening=(
            np.full(len(table), np.nan) if opening is None else np.asarray(opening, dtype=float)
        ),
        verdict=np.asarray(verdict, dtype=np.int8),
        lot=number[lot].astype(np.int64) if len(number) else np.full(len(table), -1),
        dry=dry.to_numpy(np.bool_),
        lots=tuple(np.asarray(names, dtype=str)[noted].tolist()),
    )


def in_order_of_time(reeds: Observations) -> Observations:
    """Return reeds ascending by day; where none has a date they count as of one day.

    Raises
    ------
    ValueError
        If some have a date and others none.
    """
    undated = np.isnat(reeds.day)
    if undated.all():
        return replace(reeds, day=np.zeros(len(reeds), "datetime64[D]"))
    if undated.any():
        raise ValueError("some reeds have a date and others none")
    order = np.argsort(reeds.day, kind="stable")
    return reeds.at(order)


def _floats(table: pd.DataFrame, name: str) -> Floats:
    if name not in table:
        return np.full(len(table), np.nan)
    values = pd.to_numeric(table[name]).to_numpy(float)
    if np.isinf(values).any():
        raise ValueError(f"{name} holds an infinite figure")
    return values


def _diameters(table: pd.DataFrame) -> tuple[Floats, Floats]:
    """Limits within which each diameter is known: the one measured, else those of its class."""
    exact, low, high = (_floats(table, f"diameter_{part}mm") for part in ("", "low_", "high_"))
    low, high = (np.where(np.isfinite(exact), exact, limit) for limit in (low, high))
    if not (np.isfinite(low) & np.isfinite(high)).all():
        raise ValueError("a reed has neither diameter_mm nor diameter_low_mm and diameter_high_mm")
    return low, high


def _days(table: pd.DataFrame) -> NDArray[np.datetime64]:
    if "date" not in table:
        return np.full(len(table), np.datetime64("NaT", "D"))
    return pd.to_datetime(table["date"]).to_numpy("datetime64[D]")


def _words(table: pd.DataFrame, name: str, missing: str) -> "pd.Series[str]":
    if name not in table:
        return pd.Series([missing] * len(table), index=table.index, dtype=object)
    words = table[name]
    return words.astype(object).where(words.notna(), missing)
