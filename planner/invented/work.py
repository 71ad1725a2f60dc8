"""The invented workshop's work: cane bought, split, gouged, tied and finished, batch by batch."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

import numpy as np

from planner.history.ledger import PIECES_PER_TUBE

SMALLEST, STEP = 9.5, 0.25  # mm, the classes that the workshop sorts into
HABIT = (10.45, 0.17, 215.0)  # mm in the mean, mm rounder in winter, day of the flattest cane
BATCH_EVERY = 21  # days
TUBES = 66  # a batch
MAIN_SHARE = 0.6  # of a batch in the class that suits best, the rest in the next one
BATCHES_A_LOT = 3
SPARE = 1.08  # tubes bought for one needed
# Days from splitting to each step, and the share of pieces that come through it.
STEPS = (
    ("split", "gouged", 1, 0.56),
    ("gouged", "tied", 7, 0.89),
    ("tied", "finished", 14, 0.62),
)

Class = tuple[float, float]


class MoveRow(NamedTuple):
    """A row of the table of cane."""

    date: str
    lot: str
    diameter_low_mm: str
    diameter_high_mm: str
    from_stage: str
    to_stage: str
    pieces: int
    note: str


@dataclass(frozen=True)
class Batch:
    """Cane of one lot and class that was started on a day, and how many reeds came of it."""

    start: date
    lot: str
    diameters: Class
    finished: int

    @property
    def gouged(self) -> date:
        """The day of gouging."""
        return self.start + timedelta(days=STEPS[0][2])

    @property
    def ready(self) -> date:
        """The day from which its reeds can be judged."""
        return self.start + timedelta(days=STEPS[-1][2])


@dataclass(frozen=True)
class Work:
    """All movements of cane, in the order of their days, and all batches."""

    moves: list[MoveRow]
    batches: list[Batch]


def work(first: date, last: date, generator: np.random.Generator) -> Work:
    """Return the workshop's work from *first* to *last*."""
    starts = [
        first + timedelta(days=BATCH_EVERY * i)
        for i in range((last - first).days // BATCH_EVERY + 1)
    ]
    stock: dict[Class, list[tuple[str, int]]] = defaultdict(list)
    moves: list[MoveRow] = []
    batches: list[Batch] = []
    for number, start in enumerate(starts):
        if number % BATCHES_A_LOT == 0:
            coming = starts[number : number + BATCHES_A_LOT]
            moves += _delivery(start - timedelta(days=4), coming, stock, generator)
        for diameters, tubes in needed(start):
            for lot, taken in _taken(stock[diameters], tubes):
                made, rows = _batch(start, lot, diameters, taken, generator)
                batches.append(made)
                moves += rows
    moves = [move for move in moves if move.date <= last.isoformat()]
    return Work(sorted(moves, key=lambda move: move.date), batches)


def needed(start: date) -> tuple[tuple[Class, int], tuple[Class, int]]:
    """Return the classes that the maker takes by habit for a batch, and the tubes of each."""
    mean, swing, flattest = HABIT
    ready = start + timedelta(days=STEPS[-1][2] + 7)
    season = 2.0 * np.pi * (ready.timetuple().tm_yday - flattest) / 365.25
    position = (mean + swing * float(np.cos(season)) - SMALLEST) / STEP
    main = int(position)
    beside = main + 1 if position - main > 0.5 else main - 1
    tubes = round(TUBES * MAIN_SHARE)
    return (_class(main), tubes), (_class(beside), TUBES - tubes)


def _class(number: int) -> Class:
    return SMALLEST + STEP * number, SMALLEST + STEP * (number + 1)


def _delivery(
    day: date,
    coming: list[date],
    stock: dict[Class, list[tuple[str, int]]],
    generator: np.random.Generator,
) -> Iterator[MoveRow]:
    """Buy what the coming batches need beyond what is at hand, as one lot of several classes."""
    lot = f"{day.year % 100}-{day.timetuple().tm_yday // 61 + 1}"
    wanted: dict[Class, int] = defaultdict(int)
    for start in coming:
        for diameters, tubes in needed(start):
            wanted[diameters] += tubes
    for diameters in sorted(wanted):
        at_hand = sum(tubes for _, tubes in stock[diameters])
        bought = round(wanted[diameters] * SPARE * generator.uniform(1.0, 1.06)) - at_hand
        if bought > 0:
            stock[diameters].append((lot, bought))
            yield _move(day, lot, diameters, "supplier", "tube", bought)


def _taken(shelf: list[tuple[str, int]], tubes: int) -> Iterator[tuple[str, int]]:
    """Take tubes from a shelf, the oldest lot first, as many as there are."""
    while tubes and shelf:
        lot, at_hand = shelf.pop(0)
        taken = min(tubes, at_hand)
        if at_hand > taken:
            shelf.insert(0, (lot, at_hand - taken))
        tubes -= taken
        yield lot, taken


def _batch(
    start: date, lot: str, diameters: Class, tubes: int, generator: np.random.Generator
) -> tuple[Batch, list[MoveRow]]:
    rows = [_move(start, lot, diameters, "tube", "split", tubes)]
    pieces = tubes * PIECES_PER_TUBE
    for stage, following, after, share in STEPS:
        day = start + timedelta(days=after)
        through = int(generator.binomial(pieces, share))
        for target, count in (("discarded", pieces - through), (following, through)):
            if count:
                rows.append(_move(day, lot, diameters, stage, target, count))
        pieces = through
    return Batch(start, lot, diameters, pieces), rows


def _move(day: date, lot: str, diameters: Class, source: str, target: str, pieces: int) -> MoveRow:
    low, high = diameters
    return MoveRow(day.isoformat(), lot, f"{low:g}", f"{high:g}", source, target, pieces, "")
