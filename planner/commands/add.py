"""Add rows to the record, one by its cells or many by lines, and take the last one back."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from planner.commands.record import open_record, reader_of
from planner.errors import RecordError, WrongUse
from planner.history.changes import Undone
from planner.history.ledger import Stock, overlap, stock
from planner.history.quick import STAYING, BadLine, cells_of_line
from planner.history.rows import Fault, row_of
from planner.history.tables import TABLES, CaneMove, Row
from planner.settings import Settings
from planner.store.copies import copied_at, copies_of, set_aside
from planner.store.record import Record

DAYS_BETWEEN_COPIES = 7

Clock = Callable[[], datetime]


@dataclass(frozen=True)
class Added:
    """A row that is on the disk; of cane, what then lies at both its stages in its diameters."""

    table: str
    row: Row
    stock: tuple[Stock, ...] = ()


@dataclass(frozen=True)
class Entered:
    """What a line did: a row added, a row taken back, or only words that stay until changed."""

    added: Added | None = None
    undone: Undone | None = None
    staying: Mapping[str, str] = field(default_factory=dict)


def add_row(
    record: Record, settings: Settings, table: str, cells: Mapping[str, str], now: datetime
) -> Added:
    """Keep one row; a day or time left out is now, a place left out the bench.

    Raises
    ------
    WrongUse
        With every cell that can't be used.
    RecordError
        If the row can't be kept.
    """
    local = now.astimezone(ZoneInfo(settings.bench.place.timezone))
    row = row_of(TABLES[table], _dated(table, cells, local), reader_of(settings, local.date()))
    if isinstance(row, list):
        raise WrongUse(_sentence(row))
    identity = record.add(row)
    kept = type(row)(**{**vars(row), "id": identity})
    return Added(table, kept, _stock(record, kept) if isinstance(kept, CaneMove) else ())


def _dated(table: str, cells: Mapping[str, str], local: datetime) -> dict[str, str]:
    """The cells with the day or time filled in; a clock alone is today's."""
    column = TABLES[table].columns[0]
    said = cells.get(column.name, "")
    if column.kind == "date" and not said:
        said = local.date().isoformat()
    elif column.kind == "time" and not said:
        said = local.isoformat(timespec="seconds")
    elif column.kind == "time" and len(said) <= len("00:00"):
        said = f"{local.date().isoformat()} {said}"
    return {**cells, column.name: said}


def _sentence(faults: list[Fault]) -> str:
    parts = [
        f'{fault.column}: "{fault.found}" {fault.allowed}'
        if fault.found
        else f"{fault.column} {fault.allowed}"
        for fault in faults
    ]
    text = "; ".join(parts)
    return text if text.endswith("?") else f"{text}."


def _stock(record: Record, move: CaneMove) -> tuple[Stock, ...]:
    """What lies at the two stages of a movement, by the last day noted."""
    bounds = (move.diameter_low_mm, move.diameter_high_mm)
    return tuple(
        held
        for held in stock(record.cane(), date.max)
        if held.stage in (move.from_stage, move.to_stage)
        and overlap((held.diameter_low_mm, held.diameter_high_mm), bounds)
    )


class Session:
    """Many entries in a row: each is kept at once, and some words stay until changed."""

    def __init__(
        self,
        record: Record,
        settings: Settings,
        table: str,
        now: Clock,
        staying: Mapping[str, str] | None = None,
    ) -> None:
        self._record = record
        self._settings = settings
        self._table = table
        self._now = now
        self._staying = dict(staying or {})
        self._entered: list[int] = []

    @property
    def staying(self) -> dict[str, str]:
        """The words that hold until changed, by column."""
        return {column: word for column, word in self._staying.items() if word}

    def enter(self, line: str) -> Entered:
        """Take one line.

        Raises
        ------
        WrongUse
            If it can't be understood; nothing was kept then.
        RecordError
            If the record can't be written.
        """
        if line.strip().casefold() == "undo":
            return Entered(undone=self._undo())
        try:
            cells = cells_of_line(TABLES[self._table], line, self._settings.place_names)
        except BadLine as error:
            raise WrongUse(str(error)) from error
        staying = {column: word for column, word in cells.items() if column in self._kept}
        if staying and len(staying) == len(cells):
            self._check(staying)
            self._staying |= staying
            return Entered(staying=self.staying)
        added = self._add({**self._staying, **cells})
        # Only a row that could be kept changes what stays.
        self._staying |= staying
        return Entered(added=added, staying=self.staying)

    @property
    def _kept(self) -> tuple[str, ...]:
        return STAYING[self._table]

    def _add(self, cells: Mapping[str, str]) -> Added:
        added = add_row(self._record, self._settings, self._table, cells, self._now())
        assert added.row.id is not None
        self._entered.append(added.row.id)
        return added

    def _check(self, cells: Mapping[str, str]) -> None:
        today = self._now().astimezone(ZoneInfo(self._settings.bench.place.timezone)).date()
        made = row_of(TABLES[self._table], cells, reader_of(self._settings, today))
        faults = (
            [fault for fault in made if fault.column in cells] if isinstance(made, list) else []
        )
        if any(fault.found for fault in faults):
            raise WrongUse(_sentence([fault for fault in faults if fault.found]))

    def _undo(self) -> Undone:
        if not self._entered:
            raise WrongUse('Nothing was entered here yet; "planner undo" takes older entries back.')
        undone = self._record.undo((self._table, self._entered[-1]))
        if undone is None:
            raise WrongUse("That entry was taken back already, from elsewhere.")
        self._entered.pop()
        return undone


def undo(settings: Settings) -> Undone | None:
    """Take the last entry of the record back; None where there is none.

    Raises
    ------
    RecordError
        If the record can't be written.
    """
    with open_record(settings) as record:
        return record.undo()


def copy_now_and_then(path: Path, now: datetime) -> str | None:
    """Make a dated copy where the newest is a week old; a failure is a note, no error."""
    copies = copies_of(path)
    if copies and (now.astimezone(UTC) - copied_at(copies[0])).days < DAYS_BETWEEN_COPIES:
        return None
    try:
        set_aside(path, now, "weekly")
    except RecordError as error:
        return f"The entry is kept, but the weekly copy could not be made: {error}"
    return None
