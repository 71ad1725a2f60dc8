"""Requests and bytes of a first fetch of past years and of the next day's, for 1 and 30 places.

The bytes are bodies as sent (gzip) by a server on the loopback, whose invented answers have the
form and length of the services' own. The default services are asked for one place at a time, as
they want it; Open-Meteo, where the maker opts in, for many in one question: that is the rival.
"""

import importlib
import sys
import tempfile
import time
from collections.abc import Sequence
from datetime import timedelta
from pathlib import Path
from types import ModuleType

from harness import Figure

from planner.store.weather import WeatherStore
from planner.weather.choice import chosen
from planner.weather.fetch import fetch
from planner.weather.http import Web, open_client
from planner.weather.places import Place
from planner.weather.rounds import Report
from planner.weather.wanted import Wanted

ROOT = Path(__file__).parents[2]
YEARS = 10
FEW = 3
DEFAULT = Wanted()
TOGETHER = Wanted("open-meteo", "open-meteo-archive", open_meteo_noncommercial=True)


def replies() -> ModuleType:
    """Return the server's module, whatever other package is called "tests" here."""
    if "tests.replies.loopback" not in sys.modules:
        package = ModuleType("tests")
        package.__path__ = [str(ROOT / "tests")]
        sys.modules["tests"] = package
    return importlib.import_module("tests.replies.loopback")


def fetched(count: int, wanted: Wanted, years: int) -> list[tuple[Report, float]]:
    """Fetch for *count* places, and again the next day: what came, and the seconds it took."""
    places = [Place(f"Town {n}", 40.0 + n / 10, 15.0, "Etc/GMT-1") for n in range(count)]
    out = []
    with replies().speaking() as speaker, tempfile.TemporaryDirectory() as folder:
        services = chosen(
            Wanted(wanted.ahead, wanted.past, wanted.open_meteo_noncommercial, urls=speaker.urls),
            {},
        )
        with WeatherStore.open(Path(folder) / "weather.db") as store, open_client("x") as client:
            web = Web(client, contact="x", sleep=lambda seconds: None)
            for _ in ("first fetch", "next day"):
                began = time.perf_counter()
                report = fetch(
                    places, store, web, today=speaker.now.date(), now=speaker.now,
                    ahead=services.ahead, past=services.past, years=years,
                )  # fmt: skip
                assert not report.warnings, report.warnings
                out.append((report, time.perf_counter() - began))
                speaker.now += timedelta(days=1)
    return out


def run(*, quick: bool) -> list[Figure]:
    """Fetch by default, and from a service that takes many places at once."""
    years = 1 if quick else YEARS
    figures: list[Figure] = []
    for count in (1, FEW if quick else 30):
        ours, theirs = fetched(count, DEFAULT, years), fetched(count, TOGETHER, years)
        for when, (mine, took), (other, _) in zip(("first", "next day"), ours, theirs, strict=True):
            what = f"{count} place{'s' if count > 1 else ''}, {years} years, {when}"
            figures += _figures(what, [mine, other])
            figures.append(Figure(f"{what}: time with no network between", [took], "s"))
    return figures


def _figures(what: str, reports: Sequence[Report]) -> list[Figure]:
    mine, other = reports
    rival = "Open-Meteo"
    return [
        Figure(f"{what}: requests", [mine.requests], "", rival, [other.requests]),
        Figure(f"{what}: bodies", [mine.bytes / 1000], "kB", rival, [other.bytes / 1000]),
    ]
