"""One way to open a database of the workshop, write to it and bring it up to date.

Rollback journal, not WAL: a workshop's folder is often kept by a folder sync, which moves the
three files of WAL apart.
"""

import random
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from planner.errors import RecordBusy, RecordDamaged, RecordError, RecordFull, RecordTooNew

WAIT_MS = 10_000
LOOK_AGAIN = (0.0005, 0.004)  # seconds
OLDEST_SQLITE = (3, 37, 0)  # the first with STRICT tables

# Of a damaged file even the message of the error may be no text; nor need a path be.
ERRORS = (sqlite3.Error, UnicodeError)
HEADER = b"SQLite format 3\0"
SMALLEST = 512  # bytes of the smallest page

Migration = Callable[[sqlite3.Connection], None]
# Called with the database's file and version before an older one is brought up to date.
SetAside = Callable[[Path, int], object]

_BUSY = ("locked", "busy")
_FULL = ("full", "disk i/o")
_NO_RIGHT = ("readonly", "read-only", "unable to open")
_DAMAGED = ("malformed", "not a database", "corrupt", "file is encrypted", "decode")


def explain(error: Exception, path: Path) -> RecordError:
    """Return what a maker can do about a database error, one of :data:`ERRORS`."""
    text = str(error).lower()
    if isinstance(error, UnicodeEncodeError):
        return RecordError(
            f"{path} has bytes in its name that are no text; SQLite can't open it. Rename it."
        )
    if any(word in text for word in _BUSY):
        return RecordBusy(
            f"{path} is in use by another program; close it or wait, then run the command again."
        )
    if any(word in text for word in (*_FULL, *_NO_RIGHT)):
        return RecordFull(_no_writing(error, path))
    if any(word in text for word in _DAMAGED):
        return _damaged(path, str(error) if isinstance(error, sqlite3.Error) else "noise in it")
    return RecordError(f"{path}: {error}; nothing was changed.")


def _damaged(path: Path, reason: str) -> RecordDamaged:
    return RecordDamaged(
        f"{path} isn't a sound database ({reason}). Put a copy from the backups in its place; "
        "the file itself was left as it is."
    )


def _no_writing(error: Exception, path: Path) -> str:
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
    _refuse_scraps(path)
    connection: sqlite3.Connection | None = None
    try:
        connection = sqlite3.connect(path, isolation_level=None, timeout=wait_ms / 1000)
        connection.execute("PRAGMA foreign_keys = ON")
        # An acknowledged reed survives a power cut: FULL syncs the file, EXTRA the folder too
        # after the journal is gone.
        connection.execute("PRAGMA synchronous = EXTRA")
        # A schema that was tampered with may not run functions of its own.
        connection.execute("PRAGMA trusted_schema = OFF")
        _refuse_cut(connection, path)
        migrate(
            connection,
            path,
            application_id=application_id,
            migrations=migrations,
            set_aside=set_aside,
        )
    except ERRORS as error:
        if connection is not None:
            connection.close()
        raise explain(error, path) from error
    except RecordError:
        if connection is not None:
            connection.close()
        raise
    return connection


def look_at(path: Path) -> sqlite3.Connection:
    """Open a database that is there, to read only, one state of it whoever writes meanwhile.

    Not in SQLite's own read-only mode: that leaves CHECK constraints out of its checks, and can't
    roll back what a killed program left half done.

    Raises
    ------
    sqlite3.Error, UnicodeDecodeError
        If it can't be read.
    """
    address = f"{path.absolute().as_uri()}?mode=rw"
    connection = sqlite3.connect(address, uri=True, isolation_level=None, timeout=WAIT_MS / 1000)
    try:
        connection.execute("PRAGMA query_only = ON")
        connection.execute("BEGIN")
        if _is_cut(connection, path):
            raise sqlite3.DatabaseError("malformed: its end is cut off")
    except ERRORS:
        connection.close()
        raise
    return connection


def _refuse_scraps(path: Path) -> None:
    """Refuse what SQLite would take for an empty database and write over."""
    try:
        with path.open("rb") as file:
            begins = file.read(SMALLEST)
    except OSError:
        return  # no file yet, or SQLite says itself why it can't be opened
    if begins and (len(begins) < SMALLEST or not begins.startswith(HEADER)):
        raise _damaged(path, "its beginning is not that of a database")


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


def _refuse_cut(connection: sqlite3.Connection, path: Path) -> None:
    """Refuse a file whose last page is cut: SQLite would fill it up with noughts."""
    connection.execute("BEGIN")
    try:
        if _is_cut(connection, path):
            raise _damaged(path, "its end is cut off")
    finally:
        connection.execute("COMMIT")


def _is_cut(connection: sqlite3.Connection, path: Path) -> bool:
    # Reading takes the lock under which nobody writes.
    _holds_something(connection)
    page = connection.execute("PRAGMA page_size").fetchone()[0]
    return bool(path.stat().st_size % page)


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _holds_something(connection: sqlite3.Connection) -> bool:
    return connection.execute("SELECT 1 FROM sqlite_master LIMIT 1").fetchone() is not None


def _begin(connection: sqlite3.Connection) -> None:
    """Take the writer's lock, waited for as long as the connection waits for any lock.

    SQLite itself looks again only every tenth of a second, and may so find a busy other writer at
    work each time until the wait is over; looking often and at random gives each its turn.
    """
    wait_ms = connection.execute("PRAGMA busy_timeout").fetchone()[0]
    until = time.monotonic() + wait_ms / 1000
    connection.execute("PRAGMA busy_timeout = 0")
    try:
        while True:
            try:
                connection.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError as error:
                # The low byte is the kind of the error.
                busy = error.sqlite_errorcode & 0xFF == sqlite3.SQLITE_BUSY
                if not busy or time.monotonic() > until:
                    raise
                time.sleep(random.uniform(*LOOK_AGAIN))
            else:
                return
    finally:
        connection.execute(f"PRAGMA busy_timeout = {wait_ms}")


@contextmanager
def transaction(connection: sqlite3.Connection) -> Iterator[sqlite3.Connection]:
    """All or nothing: commit at the end, roll back on any error, that of the commit too."""
    _begin(connection)
    try:
        yield connection
        connection.execute("COMMIT")
    except BaseException:
        if connection.in_transaction:
            connection.execute("ROLLBACK")
        raise
