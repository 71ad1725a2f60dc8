"""Rows of the record to what SQLite keeps and back, each with a seal over its values."""

import zlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import fields
from datetime import UTC, date, datetime
from typing import Any

from planner.history.tables import TABLES, Row, Table, table_of

Stored = tuple[Any, ...]
_STAMP = "%Y-%m-%dT%H:%M:%SZ"


def names_of(table: Table) -> list[str]:
    """Return the names of a table's columns, in order."""
    return [column.name for column in table.columns]


def stored(row: Row) -> Stored:
    """Return a row's values in the order of its table's columns, as SQLite keeps them.

    Raises
    ------
    ValueError
        If a time has no offset.
    """
    return tuple(
        _stored(column.kind, getattr(row, column.name)) for column in table_of(row).columns
    )


def _stored(kind: str, value: Any) -> Any:
    if value is None:
        return None
    if kind == "time":
        if value.tzinfo is None:
            raise ValueError(f"a time without an offset: {value}")
        return stamp(value)
    if kind in ("date", "monday"):
        return value.isoformat()
    if kind == "number":
        return float(value)
    return int(value) if kind == "whole" else (str(value) or None)


def seal(identity: int, values: Stored) -> int:
    """Return a checksum over a row, so that a change from outside is noticed."""
    return zlib.crc32("\x1f".join([str(identity), *map(repr, values)]).encode())


def fields_of(table: str) -> str:
    """Return the columns of a table in the order of its row's fields, ``id`` last."""
    return ", ".join(field.name for field in fields(TABLES[table].row))


def rows_of(table: str, found: Iterable[Sequence[Any]]) -> list[Any]:
    """Return what SQLite gave for :func:`fields_of` as rows of the record.

    Raises
    ------
    ValueError
        If a value isn't what the record writes: the file was changed from outside.
    """
    spec = TABLES[table]
    # The day or time stands first in every row; all else is kept as it is shown.
    timed = spec.columns[0].kind == "time"
    read: Callable[[str], date] = moment_of if timed else date.fromisoformat
    make: Any = spec.row
    return [make(read(first), *rest) for first, *rest in found]


def stamp(moment: datetime) -> str:
    """Return a point in time, which has an offset, as the record keeps it: UTC to the second."""
    return moment.astimezone(UTC).strftime(_STAMP)


def moment_of(text: str) -> datetime:
    """Return the point in time of a :func:`stamp`; ValueError where it is none."""
    return datetime.strptime(text, _STAMP).replace(tzinfo=UTC)
