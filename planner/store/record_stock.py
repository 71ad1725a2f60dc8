"""The fence about the cane: no stage of a diameter class below zero at the end of any day."""

import sqlite3
from collections.abc import Iterator
from datetime import date

from planner.errors import StockShort
from planner.history.ledger import (
    OUTSIDE,
    PIECES_PER_TUBE,
    Bounds,
    Change,
    Shortage,
    first_shortage,
)

SHOWN_AT_MOST = 6

_CHANGES = f"""
SELECT date, stage, low, high, SUM(pieces) FROM (
    SELECT date, to_stage AS stage, diameter_low_mm AS low, diameter_high_mm AS high,
        pieces * CASE from_stage WHEN 'tube' THEN {PIECES_PER_TUBE} ELSE 1 END AS pieces
    FROM cane WHERE voided IS NULL
    UNION ALL
    SELECT date, from_stage, diameter_low_mm, diameter_high_mm, -pieces
    FROM cane WHERE voided IS NULL)
WHERE stage <> '{OUTSIDE}' GROUP BY date, stage, low, high ORDER BY date
"""


def check_stock(connection: sqlite3.Connection) -> None:
    """Refuse a ledger in which a stage would hold less than nothing on any day.

    Raises
    ------
    StockShort
        With the first day, the stage and the number of pieces that are missing.
    """
    short = first_shortage(_changes(connection))
    if short is not None:
        raise StockShort(_sentence(short))


def _changes(connection: sqlite3.Connection) -> Iterator[Change]:
    for day, stage, low, high, pieces in connection.execute(_CHANGES):
        yield Change(date.fromisoformat(day), stage, (low, high), pieces)


def _sentence(short: Shortage) -> str:
    what = _counted(short.missing, short.stage, short.bounds)
    held = [
        _counted(entry.pieces, entry.stage, (entry.diameter_low_mm, entry.diameter_high_mm))
        for entry in short.left[:SHOWN_AT_MOST]
    ]
    more = len(short.left) - len(held)
    there = f" What else lies there is {', '.join(held)}{f' and {more} more' if more else ''}."
    return (
        f"On {short.day}, {what} more would leave the stage {short.stage} than are there."
        f"{there if held else ''} Note first what came in, or correct the pieces, the stage, the "
        "diameters or the day. Nothing was stored."
    )


def _counted(count: int, stage: str, bounds: Bounds) -> str:
    low, high = bounds
    of = "of no diameter noted" if low is None else f"of {low:g} to {high:g} mm"
    noun = "tube" if stage == "tube" else "piece"
    return f"{count} {noun}{'' if count == 1 else 's'} {of}"
