"""Load a folder of tables into a workshop: what ``start --from`` and ``demo`` do."""

import shutil
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import partial
from pathlib import Path
from zoneinfo import ZoneInfo

from planner.commands.foreign import foreign_for
from planner.commands.record import limits_of, zones_of
from planner.commands.weather import read_own
from planner.commands.workshop import Workshop, opened
from planner.errors import RecordFull, TableError, WorkshopError
from planner.history.read import read_table
from planner.history.tables import TABLES
from planner.report.words import counted, dated, day
from planner.settings import FILE_NAME, PlaceSettings, Settings, read_settings

ENDINGS = (".csv", ".xlsx", ".ods")
FILE_SOURCE = "own tables"


@dataclass(frozen=True)
class Loaded:
    """The settings of the workshop, and a line on each file taken in."""

    settings: Settings
    lines: tuple[str, ...]


def load_folder(source: Path, folder: Path, *, today: date | None = None) -> Loaded:
    """Make or fill the workshop in *folder* from the tables of *source*.

    The settings are copied where *folder* has none. Tables are named ``reeds``, ``readings``,
    ``checks``, ``cane`` and ``orders``; weather is ``weather-PLACE`` (observed) and
    ``forecast-PLACE-DATE`` (issued on DATE), or ``weather`` for the bench. Rows after *today*
    (default: the bench's local date) are refused, as in any import.

    Raises
    ------
    PlannerError
        If a file can't be used; files already taken in stay.
    """
    copied = folder / FILE_NAME
    if not copied.is_file():
        _copy_settings(source / FILE_NAME, copied)
    settings = read_settings(folder)
    with opened(settings) as workshop:
        zone = ZoneInfo(settings.bench.place.timezone)
        lines = tuple(_load(source, workshop, today or datetime.now(zone).date()))
    if not lines:
        raise WorkshopError(
            f"{source} holds no table the planner knows: {', '.join(TABLES)} or weather-PLACE, "
            f"each {', '.join(ENDINGS)}."
        )
    return Loaded(settings, lines)


def _copy_settings(source: Path, target: Path) -> None:
    if not source.is_file():
        raise WorkshopError(f"{source} is missing; a workshop needs its settings.")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    except OSError as error:
        raise RecordFull(
            f"{target.parent} can't be written ({error.strerror}); choose another folder."
        ) from error


def _load(source: Path, workshop: Workshop, today: date) -> Iterator[str]:
    settings = workshop.settings
    for table in TABLES:
        path = _file(source, table)
        if path is not None:
            found = read_table(
                path,
                table,
                limits_of(settings),
                zones_of(settings),
                today=today,
                foreign=foreign_for(settings, table, {}),
            )
            workshop.record.import_rows(table, found.rows, source=path.name)
            yield f"{counted(len(found.rows), 'row')} of {table} from {path.name}"
            yield from found.notes
    for entry in settings.places:
        yield from _load_weather(source, workshop, entry, today)


def _load_weather(
    source: Path, workshop: Workshop, entry: PlaceSettings, today: date
) -> Iterator[str]:
    place = entry.place
    names = [f"weather-{place.name}"]
    if entry is workshop.settings.bench:
        names.append("weather")
    read = partial(read_own, workshop.settings, zone=place.timezone, said={})
    fetched_at = datetime.combine(today, datetime.min.time(), tzinfo=UTC)
    for path in filter(None, (_file(source, name) for name in names)):
        found = read(path, last=today)
        workshop.weather.put(
            place.name, found.days, source=FILE_SOURCE, fetched_at=fetched_at, kind=found.kind
        )
        yield f"{counted(len(found.days), 'day')} of weather for {place.name} from {path.name}"
        yield from _noted(path, found.notes, workshop.settings.dates)
    for path in sorted(source.glob(f"forecast-{place.name}-*.csv")):
        found = read(path)
        issued = _issued(path)
        workshop.weather.put(
            place.name,
            found.days,
            source=FILE_SOURCE,
            fetched_at=fetched_at,
            kind="forecast",
            issued=issued,
        )
        day_of_issue = day(issued, workshop.settings.dates)
        yield f"a forecast of {day_of_issue} for {place.name} from {path.name}"
        yield from _noted(path, found.notes, workshop.settings.dates)


def _noted(path: Path, notes: Iterable[str], order: str) -> Iterator[str]:
    return (f"{path.name}: {dated(note, order)}." for note in notes)


def _file(source: Path, name: str) -> Path | None:
    return next(
        (source / f"{name}{end}" for end in ENDINGS if (source / f"{name}{end}").is_file()), None
    )


def _issued(path: Path) -> date:
    try:
        return date.fromisoformat(path.stem[-10:])
    except ValueError as error:
        raise TableError(
            f"{path.name}: the name must end in the day of issue, as forecast-PLACE-2026-11-23.csv."
        ) from error
