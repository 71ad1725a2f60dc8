"""One way to open a database of the workshop, write to it and bring it up to date.

Rollback journal, not WAL: a workshop's folder is often kept by a folder sync, which moves the
three files of WAL apart.
"""

import sqlite3
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from planner.errors import RecordBusy, RecordDamaged, RecordError, RecordFull, RecordTooNew

WAIT_MS = 10_000

Migration = Callable[[sqlite3.Connection], None]

_BUSY = ("locked", "busy")
_FULL = ("full", "readonly", "read-only", "unable to open", "disk i/o")
_DAMAGED = ("malformed", "not a database", "corrupt", "file is encrypted")


def explain(error: sqlite3.Error, path: Path) -> RecordError:
    """Return what a maker can do about a database error."""
    text = str(error).lower()
    if any(word in text for word in _BUSY):
        return RecordBusy(
            f"{path} is in use by another program; close it or wait, then run the command again."
        )
    if any(word in text for word in _FULL):
        return RecordFull(
            f"{path} can't be written ({error}); nothing was changed. Make room on the disk, or "
            "check that you may write to the folder, then run the command again."
        )
    if any(word in text for word in _DAMAGED):
        return RecordDamaged(
            f"{path} isn't a sound database ({error}). Put a copy from the backups in its place; "
            "the file itself was left as it is."
        )
    return RecordError(f"{path}: {error}; nothing was changed.")


def connect(
    path: Path, *, application_id: int, migrations: Sequence[Migration]
) -> sqlite3.Connection:
    """Open the database at *path*, made and brought up to date where needed.

    Migration *n* (counted from 1) brings a database to version *n*; each runs in one transaction
    together with its number.

    Raises
    ------
    RecordError
        One of its kinds, see :mod:`planner.errors`.
    """
    connection: sqlite3.Connection | None = None
    try:
        connection = sqlite3.connect(path, isolation_level=None, timeout=WAIT_MS / 1000)
        connection.execute("PRAGMA foreign_keys = ON")
        # An acknowledged reed survives a power cut.
        connection.execute("PRAGMA synchronous = FULL")
        migrate(connection, path, application_id=application_id, migrations=migrations)
    except sqlite3.Error as error:
        if connection is not None:
            connection.close()
        raise explain(error, path) from error
    except RecordError:
        if connection is not None:
            connection.close()
        raise
    return connection


def migrate(
    connection: sqlite3.Connection,
    path: Path,
    *,
    application_id: int,
    migrations: Sequence[Migration],
) -> None:
    """Run the migrations that the database hasn't had yet."""
    version = connection.execute("PRAGMA user_version").fetchone()[0]
    if version > len(migrations):
        raise RecordTooNew(
            f"{path} was written by a newer version of the planner (its version {version}, this "
            f"program knows {len(migrations)}); install the newer planner."
        )
    if version and connection.execute("PRAGMA application_id").fetchone()[0] != application_id:
        raise RecordDamaged(f"{path} is a database of another program; it was left as it is.")
    if version == len(migrations):
        return
    with transaction(connection):
        version = connection.execute("PRAGMA user_version").fetchone()[0]
        for number, step in enumerate(migrations[version:], start=version + 1):
            step(connection)
            connection.execute(f"PRAGMA user_version = {number}")
        connection.execute(f"PRAGMA application_id = {application_id}")


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """All or nothing: commit at the end, roll back on any error."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield connection
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")
