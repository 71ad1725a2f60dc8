"""The errors shown to the maker, and only those.

::

    PlannerError                   one clear sentence: what is wrong, where, what to do
    ├── WrongUse                   the command was called wrongly (exit code 2)
    ├── WorkshopError              no workshop here, or workshop.toml can't be used
    ├── UnknownPlace               a place that the workshop doesn't have
    ├── TableError                 a file of rows that can't be used; lists every bad cell
    ├── RecordError                the record (or the weather store) can't be read or written
    │   ├── RecordBusy             another program holds it; try again
    │   ├── RecordFull             no space left, or no right to write
    │   ├── RecordDamaged          the file isn't a sound database
    │   ├── RecordTooNew           written by a newer version of the planner
    │   └── StockShort             a stage of the cane would hold less than nothing
    └── WeatherError               no weather to work with
        ├── WeatherUnavailable     the service doesn't answer now; try again later
        └── WeatherRefused         the service won't answer this; trying again doesn't help

Misuse by our own code is a plain ``ValueError``.
"""

from dataclasses import dataclass

SHOWN_AT_MOST = 20


class PlannerError(Exception):
    """Something the maker can act on; its text is a sentence for the maker."""

    exit_code = 1


class WrongUse(PlannerError):
    """The command was called wrongly."""

    exit_code = 2


class WorkshopError(PlannerError):
    """There is no workshop in the folder, or its settings can't be used."""


class UnknownPlace(PlannerError):
    """A place that the workshop doesn't have."""


@dataclass(frozen=True)
class BadCell:
    """One fault in a table.

    ``row`` is the row as a spreadsheet numbers it (the heading is row 1), ``found`` what stands
    there, ``allowed`` what may stand there, in words.
    """

    file: str
    row: int
    column: str
    found: str
    allowed: str

    def __str__(self) -> str:
        found = f'"{self.found}"' if self.found else "nothing"
        return f'{self.file}, row {self.row}, column "{self.column}": {found}; {self.allowed}'


class TableError(PlannerError):
    """A file whose rows can't be used; nothing of it was stored."""

    def __init__(self, sentence: str, cells: tuple[BadCell, ...] = ()) -> None:
        self.cells = cells
        lines = [sentence, *(f"  {cell}" for cell in cells[:SHOWN_AT_MOST])]
        if len(cells) > SHOWN_AT_MOST:
            lines.append(f"  and {len(cells) - SHOWN_AT_MOST} more.")
        super().__init__("\n".join(lines))


class RecordError(PlannerError):
    """A database of the workshop can't be read or written."""


class RecordBusy(RecordError):
    """Another program holds the database."""


class RecordFull(RecordError):
    """The database can't be written: no space, or no right to."""


class RecordDamaged(RecordError):
    """The file isn't a sound database."""


class RecordTooNew(RecordError):
    """The database was written by a newer version of the planner."""


class StockShort(RecordError):
    """A stage of the cane would hold less than nothing."""


class WeatherError(PlannerError):
    """There is no weather to work with."""


class WeatherUnavailable(WeatherError):
    """The service doesn't answer now; trying again later may help."""


class WeatherRefused(WeatherError):
    """The service won't answer this request; trying again doesn't help."""
