"""A workshop on disk: its settings, its record, its weather."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from planner.settings import Settings
from planner.store.record import Record
from planner.store.weather import WeatherStore

RECORD_FILE = "workshop.db"
WEATHER_FILE = "weather.db"
REPORTS_FOLDER = "reports"


@dataclass(frozen=True)
class Workshop:
    """An opened workshop."""

    settings: Settings
    record: Record
    weather: WeatherStore

    @property
    def reports(self) -> Path:
        """The folder of the pages."""
        return self.settings.folder / REPORTS_FOLDER


@contextmanager
def opened(settings: Settings) -> Iterator[Workshop]:
    """Open the databases of a workshop, made where needed, and close them after.

    Raises
    ------
    RecordError
        If one of them can't be read or written.
    """
    record = Record.open(settings.folder / RECORD_FILE)
    try:
        weather = WeatherStore.open(settings.folder / WEATHER_FILE)
        try:
            yield Workshop(settings, record, weather)
        finally:
            weather.close()
    finally:
        record.close()
