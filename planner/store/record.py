"""The record of a workshop: every row ever written, and which of them hold now.

Only the standard library is loaded here, so that an entry at the bench starts at once.
"""

import secrets
import sqlite3
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any, Self

from planner.errors import RecordDamaged
from planner.history.changes import Difference, Undone, difference
from planner.history.tables import TABLES, CaneMove, Check, Order, Reading, Reed, Row, table_of
from planner.store.copies import copies_of, set_aside
from planner.store.database import Database, reading
from planner.store.record_rows import fields_of, names_of, rows_of, seal, stamp, stored
from planner.store.record_schema import APPLICATION_ID, MIGRATIONS
from planner.store.record_stock import check_stock
from planner.store.sqlite import WAIT_MS, Migration, connect

MARKS = 2**20  # a revision is an entry's number and this much chance

Clock = Callable[[], datetime]


def utc_now() -> datetime:
    """Return the computer's time. [UTC]"""
    return datetime.now(UTC)


class Record(Database):
    """``workshop.db`` of a workshop; use as a context manager or close it."""

    def __init__(self, connection: sqlite3.Connection, path: Path, now: Clock) -> None:
        super().__init__(connection, path)
        self._now = now

    @classmethod
    def open(
        cls,
        path: Path,
        *,
        now: Clock = utc_now,
        migrations: Sequence[Migration] = MIGRATIONS,
        wait_ms: int = WAIT_MS,
    ) -> Self:
        """Open the record at *path*, made where there is none.

        A record of an older version is brought up to date after a copy was set aside.

        Raises
        ------
        RecordError
            If the file can't be used; see :mod:`planner.errors`.
        """
        _refuse_emptied(path)
        connection = connect(
            path,
            application_id=APPLICATION_ID,
            migrations=migrations,
            set_aside=lambda old, version: set_aside(old, now(), f"version-{version}"),
            wait_ms=wait_ms,
        )
        return cls(connection, path, now)

    def reeds(self, until: date | None = None) -> list[Reed]:
        """Return the reeds judged by *until*, by day."""
        return self.rows("reeds", until)

    def readings(self, until: date | None = None) -> list[Reading]:
        """Return the readings taken by the end of *until* (UTC), by time."""
        return self.rows("readings", until)

    def checks(self, until: date | None = None) -> list[Check]:
        """Return the gouger's checks by *until*, by day."""
        return self.rows("checks", until)

    def cane(self, until: date | None = None) -> list[CaneMove]:
        """Return the movements of cane by *until*, by day."""
        return self.rows("cane", until)

    def orders(self, until: date | None = None) -> list[Order]:
        """Return the orders of weeks that begin by *until*, by week."""
        return self.rows("orders", until)

    @reading
    def rows(self, table: str, until: date | None = None) -> list[Any]:
        """Return the rows of a table that hold now, by day and then as they were entered."""
        first = TABLES[table].columns[0].name
        last = "9999" if until is None else f"{until.isoformat()}T99"
        found = self._ask(
            f"SELECT {fields_of(table)} FROM {table} "
            f"WHERE voided IS NULL AND {first} < ? ORDER BY {first}, id",
            last,
        )
        return rows_of(table, found)

    @reading
    def revision(self) -> int:
        """Return a number that is another, and a greater one, after every write."""
        found = self._ask("SELECT id, mark FROM entries ORDER BY id DESC LIMIT 1")
        return int(found[0][0]) * MARKS + int(found[0][1]) if found else 0

    def add(self, row: Row) -> int:
        """Keep one row; when this returns, it is on the disk. Returns its id.

        Raises
        ------
        RecordError
            If it can't be kept; :class:`planner.errors.StockShort` where the cane isn't there.
        """
        table = table_of(row).name
        with self._writing() as connection:
            entry = self._entry("add", table)
            identity = self._put(table, row, entry, self._next_id(table))
            if table == "cane":
                check_stock(connection)
        return identity

    def compare(self, table: str, rows: Sequence[Row], *, replacing: bool = False) -> Difference:
        """Return what :meth:`import_rows` would change."""
        return difference(table, self.rows(table), rows, replacing=replacing)

    def import_rows(
        self, table: str, rows: Sequence[Row], *, replacing: bool = False, source: str = ""
    ) -> Difference:
        """Take rows in, all or none; see :func:`planner.history.changes.difference`.

        A dated copy of a record that holds something is made before.

        Raises
        ------
        RecordError
            If they can't be kept, or the copy can't be made.
        """
        with self._writing() as connection:
            found = self.compare(table, rows, replacing=replacing)
            if not found:
                return found
            if self.revision():
                set_aside(self.path, self._now(), "import")
            entry = self._entry("import", table, source)
            self._void(table, [old.id for old, _ in found.changed], entry)
            self._void(table, [row.id for row in found.removed], entry)
            for _, new in found.changed:
                self._put(table, new, entry, new.id)
            added = self._put_all(table, found.added, entry)
            if table == "cane":
                check_stock(connection)
        return replace(found, added=added)

    def undo(self, row: tuple[str, int] | None = None) -> Undone | None:
        """Take the last entry back, or the entry that brought a *row* (table, id); None: no entry.

        That is an entry too: the rows taken back keep their trace.

        Raises
        ------
        RecordError
            If a later entry stands on it.
        """
        from planner.store.record_undo import entry_of, last_entry, take_back

        with self._writing() as connection:
            target = last_entry(connection) if row is None else entry_of(connection, *row)
            if target is None:
                return None
            mark = secrets.randbelow(MARKS)
            undone = take_back(connection, target, stamp(self._now()), mark)
            if target.table == "cane":
                check_stock(connection)
        return undone

    def _entry(self, kind: str, table: str, source: str = "") -> int:
        cursor = self._connection.execute(
            "INSERT INTO entries (at, kind, tablename, source, mark) VALUES (?, ?, ?, ?, ?)",
            (stamp(self._now()), kind, table, _as_text(source), secrets.randbelow(MARKS)),
        )
        assert cursor.lastrowid is not None
        return cursor.lastrowid

    def _next_id(self, table: str) -> int:
        found = self._connection.execute(f"SELECT MAX(id) FROM {table}").fetchone()[0]
        return 1 if found is None else int(found) + 1

    def _put_all(self, table: str, rows: Sequence[Row], entry: int) -> tuple[Row, ...]:
        """Rows with an id first: a number given here must not be one of theirs."""
        kept: dict[int, Row] = {}
        for place, row in enumerate(rows):
            if row.id is not None:
                self._put(table, row, entry, row.id)
                kept[place] = row
        number = self._next_id(table)
        for place, row in enumerate(rows):
            if row.id is None:
                self._put(table, row, entry, number)
                kept[place] = replace(row, id=number)
                number += 1
        return tuple(kept[place] for place in range(len(rows)))

    def _put(self, table: str, row: Row, entry: int, identity: int | None) -> int:
        assert identity is not None
        values = stored(row)
        names = names_of(TABLES[table])
        marks = ", ".join("?" * (len(names) + 4))
        self._connection.execute(
            f"INSERT INTO {table} (id, entry, origin, seal, {', '.join(names)}) VALUES ({marks})",
            (identity, entry, entry, seal(identity, values), *values),
        )
        return identity

    def _void(self, table: str, identities: Sequence[int | None], entry: int) -> None:
        self._connection.executemany(
            f"UPDATE {table} SET voided = ? WHERE id = ? AND voided IS NULL",
            [(entry, identity) for identity in identities],
        )


def _as_text(name: str) -> str:
    """A file's name whose bytes may be no text, as an old stick or archive leaves them."""
    return name.encode("utf-8", "replace").decode("utf-8")


def _refuse_emptied(path: Path) -> None:
    """An empty or missing file beside copies is no new record: something took it away."""
    try:
        if path.stat().st_size:
            return
        state = "is empty"
    except FileNotFoundError:
        state = "is missing"
    except OSError:
        return
    copies = copies_of(path)
    if copies:
        raise RecordDamaged(
            f"{path} {state}, though there was a record. Put a copy in its place, the newest is "
            f"{copies[0]}; or move the copies elsewhere to begin anew."
        )
