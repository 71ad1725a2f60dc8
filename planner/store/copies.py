"""Copies of a database beside it: consistent while it is in use, dated, and thinned with age."""

import os
import re
import sqlite3
import time
from collections.abc import Iterable
from contextlib import closing, suppress
from datetime import UTC, datetime
from pathlib import Path

from planner.errors import RecordDamaged, RecordError, RecordFull
from planner.store.sqlite import ERRORS, explain, look_at

FOLDER = "backups"
BY_HAND = "by-hand"  # such a copy is never thinned
_NAME = re.compile(r".+?-(\d{4}-\d{2}-\d{2}T\d{6})Z-([a-z0-9-]+)\.db")
_STAMP = "%Y-%m-%dT%H%M%S"

DRAFT = ".half"
AT_WORK = 600.0  # seconds after which a half copy is nobody's

KEEP_LAST = 10
KEEP_WEEKS = 8
KEEP_MONTHS = 24  # older than that, the last of each year


def copy_path(path: Path, now: datetime, reason: str, folder: Path | None = None) -> Path:
    """Return where a dated copy of a database goes: ``backups/workshop-...Z-REASON.db``.

    No copy is there yet: a second one within a second gets a number. Another *folder* takes the
    place of that of the copies.
    """
    stamp = now.astimezone(UTC).strftime(_STAMP)
    begins = (folder or path.parent / FOLDER) / f"{path.stem}-{stamp}Z-{reason}"
    numbers = ("", *(f"-{number}" for number in range(2, 1000)))
    names = (begins.with_name(f"{begins.name}{number}.db") for number in numbers)
    return next(name for name in names if not name.exists())


def copy_database(path: Path, target: Path) -> Path:
    """Copy a database, whole and checked, also while others write to it.

    The copy takes the target's place only when it is complete and on the disk.

    Raises
    ------
    RecordError
        If the database is unsound or the copy can't be written; there is no half copy then.
    """
    draft = target.with_name(f".{target.name}.{os.getpid()}{DRAFT}")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        _sweep(target.parent)
        _copied(path, draft, target)
        _on_disk(draft)
        draft.replace(target)
        _on_disk(target.parent)
    except OSError as error:
        reason = error.strerror or error
        raise RecordFull(
            f"{target} can't be written ({reason}). Make room or name another file with "
            '"planner backup FILE". The record is as it was.'
        ) from error
    finally:
        with suppress(OSError):
            draft.unlink(missing_ok=True)
    return target


def _copied(path: Path, draft: Path, target: Path) -> None:
    try:
        source = look_at(path)
    except ERRORS as error:
        raise explain(error, path) from error
    try:
        with closing(source), closing(sqlite3.connect(draft)) as copy:
            source.backup(copy)
            faults = copy.execute("PRAGMA quick_check(1)").fetchone()[0]
    except ERRORS as error:
        raise _blame(error, path, target) from error
    if faults != "ok":
        raise RecordDamaged(
            f"{path} isn't sound ({faults}); no copy was made of it. The file itself was left as "
            "it is; see what the backups hold."
        )


def _sweep(folder: Path) -> None:
    """Take away half copies that a killed program left, not those of one at work."""
    for left in folder.glob(f".*{DRAFT}*"):
        with suppress(OSError):
            if time.time() - left.stat().st_mtime > AT_WORK:
                left.unlink()


def _blame(error: Exception, path: Path, target: Path) -> RecordError:
    """An unsound source or a target without room."""
    found = explain(error, path)
    return found if isinstance(found, RecordDamaged) else explain(error, target)


def _on_disk(path: Path) -> None:
    if os.name == "nt" and path.is_dir():
        return
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def copies_of(path: Path) -> list[Path]:
    """Return the dated copies of a database, the newest first."""
    folder = path.parent / FOLDER
    found = folder.glob(f"{path.stem}-*.db") if folder.is_dir() else iter(())
    return sorted((copy for copy in found if _NAME.fullmatch(copy.name)), reverse=True)


def copied_at(copy: Path) -> datetime:
    """Return when a dated copy was made. [UTC]"""
    found = _NAME.fullmatch(copy.name)
    if found is None:
        raise ValueError(f"not a dated copy: {copy}")
    return datetime.strptime(found[1], _STAMP).replace(tzinfo=UTC)


def set_aside(path: Path, now: datetime, reason: str) -> Path:
    """Make a dated copy of a database and thin the older ones."""
    target = copy_database(path, copy_path(path, now, reason))
    for spare in spares(copies_of(path)):
        with suppress(OSError):
            spare.unlink()
    return target


def spares(copies: Iterable[Path]) -> list[Path]:
    """Return the dated copies that may go.

    Kept are those made by hand, the last :data:`KEEP_LAST`, and beyond them the last of each of
    :data:`KEEP_WEEKS` weeks, of :data:`KEEP_MONTHS` months and of every year.
    """
    automatic = [copy for copy in copies if f"-{BY_HAND}" not in copy.name]
    newest = sorted(automatic, key=lambda copy: (copied_at(copy), copy.name), reverse=True)
    kept = set(newest[:KEEP_LAST])
    for form, count in (("%G-%V", KEEP_WEEKS), ("%Y-%m", KEEP_MONTHS), ("%Y", None)):
        last: dict[str, Path] = {}
        for copy in newest:
            last.setdefault(copied_at(copy).strftime(form), copy)
        kept |= set(list(last.values())[:count])
    return [copy for copy in newest if copy not in kept]
