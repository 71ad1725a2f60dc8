"""What an import would change, worked out before anything is written; what an undo did."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, fields, replace
from datetime import datetime

from planner.history.tables import Row


@dataclass(frozen=True)
class Difference:
    """New rows, changed rows (as they were and as they will be), rows taken out, and equal ones."""

    table: str
    added: tuple[Row, ...]
    changed: tuple[tuple[Row, Row], ...]
    removed: tuple[Row, ...]
    same: int

    def __bool__(self) -> bool:
        return bool(self.added or self.changed or self.removed)


@dataclass(frozen=True)
class Undone:
    """An entry taken back: add or import, its file, when it was made, and the rows it changes."""

    kind: str
    source: str
    at: datetime
    difference: Difference


def difference(
    table: str, current: Sequence[Row], wanted: Sequence[Row], *, replacing: bool
) -> Difference:
    """Compare the rows of a file with those of the record.

    A row with an ``id`` of the record is that row; one with another ``id`` is new under it. A
    row without is equal to a row of the record with the same content, each counted once, so that
    the same file twice adds nothing while two equal reeds in one file stay two. Rows of the
    record that the file doesn't have are taken out only when *replacing*.
    """
    known = {row.id: row for row in current}
    named = {row.id for row in wanted if row.id in known}
    left = {identity: row for identity, row in known.items() if identity not in named}
    alike: dict[Row, list[int | None]] = defaultdict(list)
    for identity, row in reversed(left.items()):
        alike[replace(row, id=None)].append(identity)
    added: list[Row] = []
    changed: list[tuple[Row, Row]] = []
    for row in wanted:
        if row.id in named:
            if known[row.id] != row:
                changed.append((known[row.id], row))
        elif row.id is None and alike[row]:
            del left[alike[row].pop()]
        else:
            added.append(row)
    removed = tuple(left.values()) if replacing else ()
    same = len(wanted) - len(added) - len(changed)
    return Difference(table, tuple(added), tuple(changed), removed, same)


def changed_columns(old: Row, new: Row) -> list[tuple[str, object, object]]:
    """Return the columns in which two versions of a row differ, with both values."""
    pairs = (
        (field.name, getattr(old, field.name), getattr(new, field.name)) for field in fields(old)
    )
    return [(name, before, after) for name, before, after in pairs if before != after]
