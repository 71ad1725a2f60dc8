"""Taking an entry back: what it brought is voided, what it had voided comes back as it was."""

import sqlite3
from dataclasses import dataclass
from typing import Any

from planner.errors import RecordError
from planner.history.changes import Difference, Undone
from planner.history.tables import TABLES
from planner.store.record_rows import fields_of, moment_of, names_of, rows_of

_LIVE = (
    "SELECT id, kind, tablename, source, at FROM entries WHERE kind <> 'undo' "
    "AND id NOT IN (SELECT undoes FROM entries WHERE undoes IS NOT NULL) "
)


@dataclass(frozen=True)
class Entry:
    """An entry that holds: its number, kind, table, the file it came from, and when."""

    id: int
    kind: str
    table: str
    source: str
    at: str


def last_entry(connection: sqlite3.Connection) -> Entry | None:
    """Return the last entry that hasn't been taken back."""
    found = connection.execute(f"{_LIVE} ORDER BY id DESC LIMIT 1").fetchone()
    return Entry(*found) if found else None


def entry_of(connection: sqlite3.Connection, table: str, identity: int) -> Entry | None:
    """Return the entry that last wrote a row, None where it doesn't hold any more."""
    found = connection.execute(
        f"{_LIVE} AND id = (SELECT origin FROM {table} WHERE id = ? AND voided IS NULL)",
        (identity,),
    ).fetchone()
    return Entry(*found) if found else None


def take_back(connection: sqlite3.Connection, entry: Entry, at: str, mark: int) -> Undone:
    """Write the entry that takes *entry* back.

    Raises
    ------
    RecordError
        If a later entry changed one of its rows.
    """
    brought = _rows(connection, entry.table, "entry = ?", entry.id)
    before = _rows(connection, entry.table, "voided = ?", entry.id)
    _refuse_overtaken(connection, entry, brought, before)
    cursor = connection.execute(
        "INSERT INTO entries (at, kind, tablename, source, undoes, mark) "
        "VALUES (?, 'undo', ?, ?, ?, ?)",
        (at, entry.table, entry.source, entry.id, mark),
    )
    connection.executemany(
        f"UPDATE {entry.table} SET voided = ? WHERE id = ? AND voided IS NULL",
        [(cursor.lastrowid, identity) for identity in brought],
    )
    kept = ", ".join(["id", "origin", "seal", *names_of(TABLES[entry.table])])
    connection.execute(
        f"INSERT INTO {entry.table} (entry, {kept}) "
        f"SELECT ?, {kept} FROM {entry.table} WHERE voided = ?",
        (cursor.lastrowid, entry.id),
    )
    back = Difference(
        entry.table,
        added=tuple(row for identity, row in before.items() if identity not in brought),
        changed=tuple((brought[i], row) for i, row in before.items() if i in brought),
        removed=tuple(row for identity, row in brought.items() if identity not in before),
        same=0,
    )
    return Undone(entry.kind, entry.source, moment_of(entry.at), back)


def _rows(connection: sqlite3.Connection, table: str, where: str, entry: int) -> dict[int, Any]:
    found = connection.execute(
        f"SELECT {fields_of(table)} FROM {table} WHERE {where} ORDER BY version", (entry,)
    )
    return {row.id: row for row in rows_of(table, found)}


def _refuse_overtaken(
    connection: sqlite3.Connection, entry: Entry, brought: dict[int, Any], before: dict[int, Any]
) -> None:
    found = connection.execute(f"SELECT id, origin FROM {entry.table} WHERE voided IS NULL")
    origin = dict(found.fetchall())
    overtaken = [i for i in brought if origin.get(i) != entry.id]
    overtaken += [i for i in before if i not in brought and i in origin]
    if overtaken:
        raise RecordError(
            f"Row {overtaken[0]} of {entry.table} was changed by a later entry; take that back "
            "first. Nothing was changed."
        )
