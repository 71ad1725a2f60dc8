"""The fence about the cane: no stage of a diameter class below zero at the end of any day."""

import sqlite3
from collections.abc import Iterator
from datetime import date

from planner.errors import StockShort
from planner.history.ledger import OUTSIDE, PIECES_PER_TUBE, Change, Shortage, first_shortage

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
    low, high = short.bounds
    of = "of no diameter noted" if low is None else f"of {low:g} to {high:g} mm"
    noun = "tube" if short.stage == "tube" else "piece"
    count = f"{short.missing} {noun}{'' if short.missing == 1 else 's'}"
    return (
        f"On {short.day} the stage {short.stage} would hold {count} {of} less than nothing. Note "
        "first what came in, or correct the pieces, the stage, the diameters or the day. Nothing "
        "was stored."
    )
