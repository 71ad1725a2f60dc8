"""The fence about the cane: no stage of a diameter class, and of a lot in it, below zero."""

import sqlite3

from planner.errors import StockShort
from planner.plan.yields import PIECES_PER_TUBE

# Whole days are compared, as the movements of a day may be noted in any order. Rows without a
# lot draw on the class as a whole. Tubes are counted as tubes, all that comes of them as pieces.
_LEVELS = """
WITH moves AS (
    SELECT date, lot, diameter_low_mm AS low, diameter_high_mm AS high, to_stage AS stage,
        CASE from_stage WHEN 'tube' THEN {each} * pieces ELSE pieces END AS pieces
        FROM cane WHERE voided IS NULL
    UNION ALL
    SELECT date, lot, diameter_low_mm, diameter_high_mm, from_stage, -pieces
        FROM cane WHERE voided IS NULL),
days AS (
    SELECT date, {lot} AS lot, low, high, stage, SUM(pieces) AS pieces FROM moves
    WHERE stage <> 'supplier' {only} GROUP BY date, {lot}, low, high, stage),
levels AS (
    SELECT *, SUM(pieces) OVER (PARTITION BY lot, low, high, stage ORDER BY date) AS level
    FROM days)
SELECT date, lot, low, high, stage, level, pieces FROM levels WHERE level < 0
ORDER BY date, stage LIMIT 1
"""


def check_stock(connection: sqlite3.Connection) -> None:
    """Refuse a ledger in which a stage would hold less than nothing on any day.

    Raises
    ------
    StockShort
        With the first day, the stage and the number of pieces that are missing.
    """
    for lot, only in (("NULL", ""), ("lot", "AND lot IS NOT NULL")):
        found = connection.execute(
            _LEVELS.format(lot=lot, only=only, each=PIECES_PER_TUBE)
        ).fetchone()
        if found is not None:
            raise StockShort(_sentence(*found))


def _sentence(
    day: str,
    lot: str | None,
    low: float | None,
    high: float | None,
    stage: str,
    level: int,
    moved: int,
) -> str:
    of = f" of {low:g} to {high:g} mm" if low is not None else " of no diameter noted"
    of += f", lot {lot}" if lot else ""
    return (
        f"On {day} the stage {stage}{of} would hold {-level} pieces less than nothing: "
        f"it had {max(level - moved, 0)}, and {-moved} went out. Note first what came in, or "
        "correct the pieces, the stage or the diameters. Nothing was stored."
    )
