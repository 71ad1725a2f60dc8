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
OLDEST_SQLITE = (3, 37, 0)  # the first with STRICT tables

Migration = Callable[[sqlite3.Connection], None]
# Called with the database's file and version before an older one is brought up to date.
SetAside = Callable[[Path, int], object]

_BUSY = ("locked", "busy")
_FULL = ("full", "disk i/o")
_NO_RIGHT = ("readonly", "read-only", "unable to open")
_DAMAGED = ("malformed", "not a database", "corrupt", "file is encrypted")


def explain(error: sqlite3.Error, path: Path) -> RecordError:
    """Return what a maker can do about a database error."""
    text = str(error).lower()
    if any(word in text for word in _BUSY):
        return RecordBusy(
            f"{path} is in use by another program; close it or wait, then run the command again."
        )
    if any(word in text for word in (*_FULL, *_NO_RIGHT)):
        return RecordFull(_no_writing(error, path))
    if any(word in text for word in _DAMAGED):
        return RecordDamaged(
            f"{path} isn't a sound database ({error}). Put a copy from the backups in its place; "
            "the file itself was left as it is."
        )
    return RecordError(f"{path}: {error}; nothing was changed.")


def _no_writing(error: sqlite3.Error, path: Path) -> str:
    if not path.parent.is_dir():
        return f"The folder {path.parent} isn't there; was it moved? Nothing was changed."
    if "moved" in getattr(error, "sqlite_errorname", "").lower():
        return f"{path} was moved while in use; nothing was changed. Run the command again there."
    full = any(word in str(error).lower() for word in _FULL)
    way = "Make room on the disk" if full else "Check that you may write to the folder and the file"
    return f"{path} can't be written ({error}); nothing was changed. {way}, then run it again."


def connect(
    path: Path,
    *,
    application_id: int,
    migrations: Sequence[Migration],
    set_aside: SetAside | None = None,
    wait_ms: int = WAIT_MS,
) -> sqlite3.Connection:
    """Open the database at *path*, made and brought up to date where needed.

    Migration *n* (counted from 1) brings a database to version *n*; each runs in one transaction
    together with its number. *set_aside* is called before an older database is changed.

    Raises
    ------
    RecordError
        One of its kinds, see :mod:`planner.errors`.
    """
    if sqlite3.sqlite_version_info < OLDEST_SQLITE:
        raise RecordError(
            f"This Python comes with SQLite {sqlite3.sqlite_version}; the planner needs 3.37 or "
            "later. Install a newer Python."
        )
    connection: sqlite3.Connection | None = None
    try:
        connection = sqlite3.connect(path, isolation_level=None, timeout=wait_ms / 1000)
        connection.execute("PRAGMA foreign_keys = ON")
        # An acknowledged reed survives a power cut: FULL syncs the file, EXTRA the folder too
        # after the journal is gone.
        connection.execute("PRAGMA synchronous = EXTRA")
        # A schema that was tampered with may not run functions of its own.
        connection.execute("PRAGMA trusted_schema = OFF")
        migrate(
            connection,
            path,
            application_id=application_id,
            migrations=migrations,
            set_aside=set_aside,
        )
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
    set_aside: SetAside | None = None,
) -> None:
    """Run the migrations that the database hasn't had yet."""
    version = _version(connection)
    owner = connection.execute("PRAGMA application_id").fetchone()[0]
    if owner != application_id and (version or owner or _holds_something(connection)):
        raise RecordDamaged(f"{path} is a database of another program; it was left as it is.")
    if version > len(migrations):
        raise RecordTooNew(
            f"{path} was written by a newer version of the planner (its version {version}, this "
            f"program knows {len(migrations)}); install the newer planner."
        )
    if version == len(migrations):
        return
    if version and set_aside is not None:
        set_aside(path, version)
    with transaction(connection):
        version = _version(connection)
        for number, step in enumerate(migrations[version:], start=version + 1):
            step(connection)
            connection.execute(f"PRAGMA user_version = {number}")
        connection.execute(f"PRAGMA application_id = {application_id}")


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _holds_something(connection: sqlite3.Connection) -> bool:
    return connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone() is not None


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """All or nothing: commit at the end, roll back on any error, that of the commit too."""
    connection.execute("BEGIN IMMEDIATE")
    try:
        yield connection
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
