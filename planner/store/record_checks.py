"""The soundness of the record: what is in it, and every fault that can be found."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

from planner.errors import StockShort
from planner.history.soundness import Held, Soundness
from planner.history.tables import TABLES
from planner.store.copies import copies_of
from planner.store.record_rows import fields_of, names_of, rows_of, seal
from planner.store.record_schema import APPLICATION_ID, MIGRATIONS
from planner.store.record_stock import check_stock
from planner.store.sqlite import ERRORS, explain, look_at

SHOWN_AT_MOST = 20


def soundness(path: Path) -> Soundness:
    """Check a record without changing it, and look for the newest sound copy."""
    copies = copies_of(path)
    newest = next((copy for copy in copies if not _inspect(copy)[2]), None)
    entries, held, faults = _inspect(path)
    return Soundness(path, entries, held, faults, len(copies), newest)


def _inspect(path: Path) -> tuple[int, tuple[Held, ...], tuple[str, ...]]:
    if not path.is_file():
        return 0, (), (f"There is no file {path}.",)
    try:
        with closing(look_at(path)) as connection:
            faults = tuple(_faults(connection))
            if faults:
                return 0, (), faults
            entries = connection.execute("SELECT COUNT(*) FROM entries").fetchone()[0]
            return int(entries), tuple(_held(connection)), ()
    except ERRORS as error:
        return 0, (), (str(explain(error, path)),)


def _faults(connection: sqlite3.Connection) -> Iterator[str]:
    owner = connection.execute("PRAGMA application_id").fetchone()[0]
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if owner != APPLICATION_ID:
        yield "The file is no record of the planner."
        return
    damage = [row[0] for row in connection.execute(f"PRAGMA integrity_check({SHOWN_AT_MOST})")]
    if damage != ["ok"]:
        yield from damage
        return
    if version > len(MIGRATIONS):
        yield f"The record is of version {version}; this planner knows {len(MIGRATIONS)}."
        return
    if _schema(connection) != _schema_made_anew(version):
        yield "The tables or their fences aren't as the planner makes them: changed from outside."
        return
    if version < len(MIGRATIONS):
        return  # a copy from before a migration: its rows are read once it is brought up to date
    for table, row, other, _ in connection.execute("PRAGMA foreign_key_check"):
        yield f"Line {row} of {table} points to a line of {other} that isn't there."
    for table in TABLES:
        yield from _row_faults(connection, table)
    yield from _stock_faults(connection)


def _schema(connection: sqlite3.Connection) -> set[tuple[str, ...]]:
    return set(connection.execute("SELECT type, name, tbl_name, sql FROM sqlite_master"))


def _schema_made_anew(version: int) -> set[tuple[str, ...]]:
    with closing(sqlite3.connect(":memory:")) as anew:
        for step in MIGRATIONS[:version]:
            step(anew)
        return _schema(anew)


def _row_faults(connection: sqlite3.Connection, table: str) -> Iterator[str]:
    names = ", ".join(names_of(TABLES[table]))
    broken = [
        identity
        for identity, kept, *values in connection.execute(f"SELECT id, seal, {names} FROM {table}")
        if seal(identity, tuple(values)) != kept
    ]
    for identity in broken[:SHOWN_AT_MOST]:
        yield f"Row {identity} of {table} isn't what the planner wrote: changed from outside."
    if len(broken) > SHOWN_AT_MOST:
        yield f"And {len(broken) - SHOWN_AT_MOST} more rows of {table}."
    try:
        rows_of(table, connection.execute(f"SELECT {fields_of(table)} FROM {table}"))
    except (ValueError, TypeError) as error:
        yield f"The table {table} holds a value that can't be read: {error}."


def _stock_faults(connection: sqlite3.Connection) -> Iterator[str]:
    try:
        check_stock(connection)
    except StockShort as error:
        yield str(error).removesuffix(" Nothing was stored.")


def _held(connection: sqlite3.Connection) -> Iterator[Held]:
    for table in TABLES:
        now, all_of_them = connection.execute(
            f"SELECT COUNT(*) FILTER (WHERE voided IS NULL), COUNT(*) FROM {table}"
        ).fetchone()
        yield Held(table, int(now), int(all_of_them) - int(now))


def is_record(path: Path) -> bool:
    """Return whether a file is a record of the planner, sound or not."""
    try:
        with closing(look_at(path)) as connection:
            owner = connection.execute("PRAGMA application_id").fetchone()[0]
    except ERRORS:
        return False
    return bool(owner == APPLICATION_ID)
