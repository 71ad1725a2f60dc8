"""Copies of the record, and its soundness."""

from datetime import datetime
from pathlib import Path

from planner.commands.workshop import RECORD_FILE
from planner.errors import RecordError, RecordFull, WrongUse
from planner.history.soundness import Soundness
from planner.settings import Settings
from planner.store.copies import BY_HAND, copies_of, copy_database, copy_path
from planner.store.record_checks import is_record, soundness


def backup(settings: Settings, target: Path | None, now: datetime) -> Path:
    """Copy the record, consistent while in use, to a file or among the dated copies.

    Raises
    ------
    WrongUse
        If the target is something else than an older copy of a record.
    RecordError
        If there is no record, it is unsound, or the copy can't be written.
    """
    path = settings.folder / RECORD_FILE
    if not path.is_file():
        raise RecordError(f"There is no record in {settings.folder} yet; nothing was copied.")
    if target is None:
        return copy_database(path, copy_path(path, now, BY_HAND))
    try:
        if target.is_dir():
            target = copy_path(path, now, BY_HAND, target)
        taken = target.exists() and (target.samefile(path) or not is_record(target))
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise RecordFull(
            f"{target} can't be written: {reason}. The record is as it was."
        ) from error
    if taken:
        raise WrongUse(f"{target} is there already and is no copy of a record; name another file.")
    return copy_database(path, target)


def verify(settings: Settings) -> Soundness | None:
    """Check the record; None where there is none yet, nor a copy of one."""
    path = settings.folder / RECORD_FILE
    if not path.exists() and not copies_of(path):
        return None
    return soundness(path)
