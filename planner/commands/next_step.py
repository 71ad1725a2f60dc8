"""What to do next, given the state of the folder; nothing is made or changed by asking."""

from pathlib import Path

from planner.commands.workshop import RECORD_FILE, REPORTS_FOLDER, WEATHER_FILE
from planner.errors import WorkshopError
from planner.settings import Settings, find_workshop, read_settings
from planner.store.record import Record
from planner.store.weather import WeatherStore

NO_WORKSHOP = """\
There is no workshop here yet.
  planner demo     look at an invented workshop, without a network
  planner start    make your own in a few questions
  planner --help   all commands"""

NO_WEATHER = """\
{name} has no weather for {bench} yet, and nothing can be planned without it.
  planner weather fetch         past years and the days ahead, from the network
  planner weather import FILE   or a table of your own"""

NO_REEDS = """\
{name} has weather, and no judged reed yet.
  planner add reed             enter reeds, one line each
  planner import reeds FILE    take in a table you have kept
  planner week                 what to take this week, from general experience until then"""

NO_CANE = """\
{name} is ready; its record has no cane yet, so nothing can be said of stock and orders.
  planner week           what to take this week
  planner add cane       note what lies there, what you buy and use
  planner plan --open    the page for the coming weeks"""

AT_WORK = """\
{name} is ready.
  planner week           what to take this week
  planner plan --open    the page for the coming weeks
  planner prepare        what to sort, gouge and order ahead
  planner add reed       note the reeds you have judged
  planner --help         all commands"""


def next_step(folder: Path | None) -> str:
    """Return a few lines on what to do next.

    Raises
    ------
    PlannerError
        If the settings or the record can't be read: that is what to mend first.
    """
    try:
        found = find_workshop(folder)
    except WorkshopError:
        return NO_WORKSHOP
    settings = read_settings(found)
    text = _state(settings).format(
        name=settings.name or "The workshop", bench=settings.bench.place.name
    )
    return text + _newest_page(found / REPORTS_FOLDER)


def _state(settings: Settings) -> str:
    if not _has_weather(settings):
        return NO_WEATHER
    path = settings.folder / RECORD_FILE
    if not path.is_file():
        return NO_REEDS
    with Record.open(path) as record:
        if not record.reeds():
            return NO_REEDS
        return AT_WORK if record.cane() else NO_CANE


def _has_weather(settings: Settings) -> bool:
    path = settings.folder / WEATHER_FILE
    if not path.is_file():
        return False
    with WeatherStore.open(path) as weather:
        return bool(weather.stored(settings.bench.place.name))


def _newest_page(reports: Path) -> str:
    """Return where the newest plan's page lies; their names hold their days."""
    pages = sorted(reports.glob("plan-*.html"))
    return f"\nThe newest page: {pages[-1]}" if pages else ""
