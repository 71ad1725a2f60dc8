"""Requests and bytes of a first fetch and of the next day's, for 1 place and for 30.

Run: python tests/benchmarks/weather_requests.py
The bytes are bodies as sent (gzip) by a server on the loopback, whose invented answers have the
form and length of the services' own.
"""

import importlib
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path
from types import ModuleType

from planner.store.weather import WeatherStore
from planner.weather.choice import chosen
from planner.weather.fetch import fetch
from planner.weather.http import Web, open_client
from planner.weather.places import Place
from planner.weather.wanted import Wanted

ROOT = Path(__file__).parents[2]
YEARS = 10


def replies() -> ModuleType:
    """Return the server's module, whatever other package is called "tests" here."""
    package = ModuleType("tests")
    package.__path__ = [str(ROOT / "tests")]
    sys.modules["tests"] = package
    return importlib.import_module("tests.replies.loopback")


def measure(count: int) -> None:
    """Fetch for *count* places, and again the next day."""
    places = [Place(f"Town {n}", 40.0 + n / 10, 15.0, "Etc/GMT-1") for n in range(count)]
    with replies().speaking() as speaker, tempfile.TemporaryDirectory() as folder:
        services = chosen(Wanted(urls=speaker.urls), {})
        with WeatherStore.open(Path(folder) / "weather.db") as store, open_client("x") as client:
            web = Web(client, contact="x", sleep=lambda seconds: None)
            for day in ("first fetch", "next day"):
                began = time.perf_counter()
                report = fetch(
                    places, store, web, today=speaker.now.date(), now=speaker.now,
                    ahead=services.ahead, past=services.past, years=YEARS,
                )  # fmt: skip
                took = time.perf_counter() - began
                print(
                    f"{count:3} places, {day}: {report.requests} requests, "
                    f"{report.bytes / 1000:.0f} kB, {took:.1f} s, {len(report.warnings)} warnings"
                )
                speaker.now += timedelta(days=1)


if __name__ == "__main__":
    for places in (1, 30):
        measure(places)
