"""The record of a workshop and what its settings say of the rows."""

from datetime import date

from planner.commands.workshop import RECORD_FILE
from planner.history.cells import Reader
from planner.history.tables import TableLimits
from planner.settings import Settings
from planner.store.record import Record


def open_record(settings: Settings) -> Record:
    """Open the record of a workshop, made where there is none.

    Raises
    ------
    RecordError
        If it can't be used.
    """
    return Record.open(settings.folder / RECORD_FILE)


def limits_of(settings: Settings) -> TableLimits:
    """Return what a plausible row of this workshop may hold."""
    return TableLimits.about(
        (settings.cane.diameter_min_mm, settings.cane.diameter_max_mm),
        (settings.gouge.min_mm, settings.gouge.max_mm),
        settings.opening.high_mm,
    )


def zones_of(settings: Settings) -> dict[str, str]:
    """Return the name of each place with its time zone, the bench first."""
    return {entry.place.name: entry.place.timezone for entry in settings.places}


def reader_of(settings: Settings, today: date) -> Reader:
    """Return what a cell typed at the bench is read against."""
    return Reader(
        limits_of(settings),
        zones_of(settings),
        today,
        settings.typed_dates,
        settle_dates='set dates = "dmy" or "mdy" under [workshop] in workshop.toml',
    )
