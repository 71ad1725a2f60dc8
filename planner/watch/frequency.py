"""How often to check the gouger, so that a change is called before many pieces are gouged."""

from math import sqrt

from planner.watch.chart import LIMIT
from planner.watch.documents import CatchRow, Frequency
from planner.watch.run_length import drift_run_length, run_length

CHANGE = 0.01  # mm, what is to be caught
ROWS = ((1, 1), (2, 1), (3, 1), (5, 1), (1, 4), (2, 4), (3, 4), (5, 4))
CHECKS_AT_MOST = 7
PIECES_AT_MOST = 4


def frequency(spread: float, pieces_per_week: float, within_pieces: int) -> Frequency:
    """Return how often to check for a change of 0.01 mm to be called *within_pieces*.

    *spread* is that of one piece's check [mm]; measuring several pieces and taking their mean
    divides it by the square root of their number. The fewest checks are taken, then the fewest
    pieces; where none is enough, the most there are.
    """
    choices = [
        (checks, each)
        for checks in range(1, CHECKS_AT_MOST + 1)
        for each in range(1, PIECES_AT_MOST + 1)
    ]
    enough = (
        choice
        for choice in choices
        if catch_row(*choice, spread, pieces_per_week).pieces <= within_pieces
    )
    chosen = next(enough, None)
    checks, each = chosen or choices[-1]
    return Frequency(
        checks_per_week=checks,
        pieces_a_check=each,
        within_pieces=within_pieces,
        pieces_per_week=pieces_per_week,
        reached=chosen is not None,
        rows=tuple(catch_row(*row, spread, pieces_per_week) for row in ROWS),
    )


def catch_row(checks: int, each: int, spread: float, pieces_per_week: float) -> CatchRow:
    """Return after how many pieces a change is called, on average, by so many checks a week.

    A sudden change falls midway between two checks on average.
    """
    change = CHANGE * sqrt(each) / spread
    sudden = run_length(change, limit=LIMIT) - 0.5
    slow = drift_run_length(change / checks, limit=LIMIT)
    return CatchRow(
        checks,
        each,
        pieces=round(sudden / checks * pieces_per_week),
        slow_pieces=round(slow / checks * pieces_per_week),
    )
