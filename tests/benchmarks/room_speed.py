"""How long a room takes to be fitted to very many readings, beside importing pandas alone."""

import time

import numpy as np
from harness import Figure, rival_import, taken_in_turn
from room_truth import CLIMATES, weather

from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room
from planner.room.readings import Readings

READINGS = 100_000
STEPS = (10, 60)  # minutes between readings: two years, and eleven
MOST_SECONDS = 5.0


def run(*, quick: bool) -> list[Figure]:
    """Return the seconds of a fit to 100,000 readings."""
    times = 2 if quick else 5
    rival = taken_in_turn({"import": rival_import()}, times)["import"]
    out = []
    for step in STEPS:
        days = READINGS * step // (24 * 60) + 90
        outdoor = weather(CLIMATES["temperate"], days, np.random.default_rng(1))
        first = outdoor.day[60].astype("datetime64[s]")
        stamps = first + np.arange(READINGS) * np.timedelta64(60 * step, "s")
        generator = np.random.default_rng(2)
        season = np.cos(2 * np.pi * np.arange(READINGS) * step / (365.25 * 24 * 60))
        readings = Readings(
            stamps,
            20.5 + generator.standard_normal(READINGS),
            42.0 + 8.0 * season + 3.0 * generator.standard_normal(READINGS),
            "Europe/Oslo",
        )
        seconds = []
        for _ in range(times):
            begun = time.perf_counter()
            fit_room(readings, outdoor, RoomKnowledge())
            seconds.append(time.perf_counter() - begun)
        out.append(
            Figure(
                f"{READINGS:,} readings, one in {step} minutes",
                seconds,
                "s",
                "import pandas, sklearn",
                rival,
                f"a few seconds ({MOST_SECONDS:.0f})",
                bool(np.median(seconds) < MOST_SECONDS),
            )
        )
    return out
