"""What the record says in the terminal: rows, changes, stock and soundness in plain words."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from planner.history.changes import Difference, Undone, changed_columns
from planner.history.ledger import Stock
from planner.history.soundness import Soundness
from planner.history.tables import TABLES, CaneMove, Check, Order, Reading, Reed, Row
from planner.report.words import bare_span, counted, listed, moment, number, temperature

SHOWN_AT_MOST = 20
CLASSES_AT_MOST = 6
EXACT = 4  # decimals at most; zeros at the end are left out


def row_words(row: Row) -> str:
    """Return a row as a maker would say it: ``2026-11-25, Riga, 10.3 mm, gouge 0.58 mm ...``."""
    return ", ".join(part for part in _parts(row) if part)


def _parts(row: Row) -> Iterator[str]:
    if isinstance(row, Reed):
        yield from _reed_parts(row)
    elif isinstance(row, Reading):
        utc = "" if row.time.utcoffset() else " UTC"
        yield from (f"{row.time:%Y-%m-%d %H:%M}{utc}", row.place)
        yield "" if row.temperature_c is None else temperature(row.temperature_c, decimals=1)
        yield f"{_exact(row.rh_pct)} %"
    elif isinstance(row, Check):
        yield from (row.date.isoformat(), row.gouger or "", _mm("centre", row.centre_mm))
        yield from (_mm("left", row.left_mm), _mm("right", row.right_mm), row.event or "")
        yield row.note or ""
    elif isinstance(row, CaneMove):
        noun = "tube" if row.from_stage == "tube" or row.to_stage == "tube" else "piece"
        way = f"from {row.from_stage} to {row.to_stage}"
        yield from (row.date.isoformat(), f"{counted(row.pieces, noun)} {way}")
        yield _class(row.diameter_low_mm, row.diameter_high_mm) or "no diameter noted"
        yield from (f"lot {row.lot}" if row.lot else "", row.note or "")
    elif isinstance(row, Order):
        yield from (f"week of {row.week_start}", row.place, counted(row.reeds, "reed"))


def _reed_parts(reed: Reed) -> Iterator[str]:
    yield from (reed.date.isoformat(), reed.place, f"lot {reed.lot}" if reed.lot else "")
    if reed.diameter_mm is not None:
        yield f"{_exact(reed.diameter_mm)} mm"
    yield _class(reed.diameter_low_mm, reed.diameter_high_mm)
    yield _mm("gouge", reed.gouge_mm)
    yield _mm("opening", reed.opening_mm)
    yield reed.verdict or ""
    yield "judged dry" if reed.measured == "dry" else ""
    yield "" if reed.room_rh_pct is None else f"room {_exact(reed.room_rh_pct)} %"
    yield reed.note or ""


def _class(low: float | None, high: float | None) -> str:
    return "" if low is None or high is None else f"{bare_span(low, high)} mm"


def _mm(name: str, value: float | None) -> str:
    return "" if value is None else f"{name} {_exact(value)} mm"


def _exact(value: float) -> str:
    return number(value, EXACT).rstrip("0").rstrip(".")


def kept_line(table: str, row: Row, zones: Mapping[str, str]) -> str:
    """Return what was understood and kept: ``Kept as reed 17: ...``, a time as its place has it."""
    return f"Kept as {TABLES[table].one} {row.id}: {row_words(local(row, zones))}."


def local(row: Row, zones: Mapping[str, str]) -> Row:
    """Return a row with its time as the clock of its place shows it; other rows as they are."""
    if isinstance(row, Reading) and row.place in zones:
        return replace(row, time=row.time.astimezone(ZoneInfo(zones[row.place])))
    return row


def stock_line(stock: Sequence[Stock]) -> str:
    """Return what lies at the stages of a movement now, class by class."""
    parts = tuple(_held(held) for held in stock[:CLASSES_AT_MOST])
    more = len(stock) - len(parts)
    parts += (f"{counted(more, 'other class', 'other classes')}",) if more else ()
    return f"Now there: {listed(parts)}." if parts else ""


def _held(held: Stock) -> str:
    of = _class(held.diameter_low_mm, held.diameter_high_mm) or "no diameter noted"
    if held.stage == "tube":
        return f"{counted(held.pieces, 'tube')} of {of}"
    return f"{counted(held.pieces, 'piece')} {held.stage} of {of}"


def staying_line(staying: Mapping[str, str]) -> str:
    """Return the words that hold until changed."""
    said = ", ".join(f"{name} {word}" for name, word in staying.items())
    return f"From now on: {said}." if said else "From now on: nothing stays."


def undone_lines(undone: Undone, zones: Mapping[str, str], order: str) -> Iterator[str]:
    """Yield what was taken back; *zones* by place, the bench first, *order* that of dates."""
    found = undone.difference
    at = undone.at.astimezone(ZoneInfo(next(iter(zones.values()))))
    what = (
        f"the import of {undone.source} into {found.table}"
        if undone.source
        else f"the last entry in {found.table}"
    )
    yield f"Taken back: {what}, made on {moment(at, order)}."
    yield from _rows("Out of the record again", found.removed, zones)
    yield from _rows("Back in the record", found.added, zones)
    yield from _listed("As before", [_change(new, old, zones) for new, old in found.changed])


def difference_lines(
    found: Difference, file: str, zones: Mapping[str, str], *, dry_run: bool
) -> Iterator[str]:
    """Yield what an import changed, or would change, in words; *zones* by place."""
    if not found:
        yield f"{file} brings nothing new to {found.table}: {_alike(found.same)}."
        return
    parts = [
        f"{counted(len(rows), 'row')} {word}"
        for rows, word in (
            (found.added, "new"),
            (found.changed, "changed"),
            (found.removed, "taken out"),
        )
        if rows
    ]
    parts += [f"{counted(found.same, 'row')} alike"] if found.same else []
    opening = "Would change" if dry_run else "Took"
    yield f"{opening} {found.table} {'by' if dry_run else 'in'} {file}: {listed(tuple(parts))}."
    if dry_run:
        yield from _rows("New", found.added, zones)
    yield from _listed("Changed", [_change(old, new, zones) for old, new in found.changed])
    yield from _rows("Taken out", found.removed, zones)
    if dry_run:
        yield "Nothing was changed; leave out --dry-run to do it."


def _alike(count: int) -> str:
    if not count:
        return "it has no row under its heading"
    return "the one row is alike" if count == 1 else f"all {counted(count, 'row')} are alike"


def _change(old: Row, new: Row, zones: Mapping[str, str]) -> str:
    parts = [
        f"{name} {_shown(before)} to {_shown(after)}"
        for name, before, after in changed_columns(local(old, zones), local(new, zones))
    ]
    return f"row {new.id}: {', '.join(parts)}"


def _shown(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, float):
        return _exact(value)
    return value.isoformat() if isinstance(value, date | datetime) else str(value)


def _rows(title: str, rows: Sequence[Row], zones: Mapping[str, str]) -> Iterator[str]:
    return _listed(title, [row_words(local(row, zones)) for row in rows])


def _listed(title: str, lines: Sequence[str]) -> Iterator[str]:
    if lines:
        yield f"{title}:"
        yield from (f"  {line}" for line in lines[:SHOWN_AT_MOST])
        if len(lines) > SHOWN_AT_MOST:
            yield f"  and {len(lines) - SHOWN_AT_MOST} more."


def soundness_lines(found: Soundness) -> Iterator[str]:
    """Yield what a check of the record found."""
    if found.sound:
        yield f"{found.path} is sound."
        for held in found.held:
            spare = f", {held.voided} replaced or taken back" if held.voided else ""
            yield f"  {held.table}: {counted(held.now, 'row')}{spare}"
        yield f"  {counted(found.entries, 'entry', 'entries')} in all."
    else:
        yield f"{found.path} is not sound:"
        yield from (f"  {fault}" for fault in found.faults)
    yield _copies(found)


def _copies(found: Soundness) -> str:
    if found.newest_copy is not None:
        said = f"{counted(found.copies, 'copy', 'copies')}; the newest sound one is "
        return f"{said}{found.newest_copy}."
    if found.copies:
        return f"None of the {counted(found.copies, 'copy', 'copies')} is sound."
    return 'There is no copy yet; make one with "planner backup".'


def difference_dict(found: Difference) -> dict[str, Any]:
    """Return a difference as plain values for another program."""
    return {
        "table": found.table,
        "added": [row_dict(row) for row in found.added],
        "changed": [
            {"id": new.id, "before": row_dict(old), "after": row_dict(new)}
            for old, new in found.changed
        ],
        "removed": [row_dict(row) for row in found.removed],
        "same": found.same,
    }


def row_dict(row: Row) -> dict[str, Any]:
    """Return a row as plain values by column, ``id`` first."""
    names = ["id", *(name for name in vars(row) if name != "id")]
    values = ((name, getattr(row, name)) for name in names)
    return {
        name: value.isoformat() if isinstance(value, date | datetime) else value
        for name, value in values
    }
