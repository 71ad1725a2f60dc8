"""Which cane for which week and place: the most good reeds from what there is.

A transportation problem in finished reeds: a batch supplies its pieces times their yield. It is
solved as a linear programme and brought to whole pieces after.

Arrays are (batches, needs): a need is the reeds that one place wants in one week.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import Floats
from planner.plan.transport import Routes, carried

# Shares are weighed in steps of this: cane doesn't change hands for less, and tomorrow's forecast
# doesn't turn the plan over (measured in the benchmark of the plan's stability).
AS_GOOD = 0.03

# New cane costs money, and the maker's own lies idle: it is bought only where the cane at hand
# would give fewer good reeds by more than this share (a guess, no source).
WORTH_BUYING = 0.08

LEAST_YIELD = 1e-3  # finished reeds of a piece; cane that gives less isn't worth a place in a list

NEGLIGIBLE = 1e-9


@dataclass(frozen=True)
class Problem:
    """What there is and what is wanted.

    Attributes
    ----------
    supply : (b,) whole pieces of each batch
    yields : (b,) finished reeds expected of a piece
    share : (b, d) of them in the wanted range, were they made for that need
    ready : (b, d) True where the batch can be finished in time
    wanted : (d,) finished reeds
    new_share : (d,) in range from new cane of the best class, 0 where it would come too late
    week : (d,) number of the week
    """

    supply: NDArray[np.int64]
    yields: Floats
    share: Floats
    ready: NDArray[np.bool_]
    wanted: Floats
    new_share: Floats
    week: NDArray[np.int64]

    def __post_init__(self) -> None:
        shape = (len(self.supply), len(self.wanted))
        if self.share.shape != shape or self.ready.shape != shape:
            raise ValueError(f"shares {self.share.shape}, {shape} batches and needs")

    @property
    def usable(self) -> NDArray[np.bool_]:
        """Where a batch can give anything at all (b, d)."""
        gives = (self.supply > 0) & (self.yields >= LEAST_YIELD)
        return np.asarray(self.ready & (self.share > 0) & gives[:, None])


@dataclass(frozen=True)
class Allocation:
    """Whole pieces given (b, d), and finished reeds to be had from new cane (d,)."""

    pieces: NDArray[np.int64]
    from_new: Floats


def allocate(problem: Problem) -> Allocation:
    """Return the allocation with the most good reeds, shares weighed in steps of AS_GOOD.

    Among those as good, the sooner weeks are served first, and both lists are gone along in step.
    Weighed alike it is never worse than the greedy rule: where whole pieces would cost that much,
    the needs are filled up with what is left, and if that doesn't help the rule is followed.
    """
    plain = greedy(problem)
    reeds = _solved(problem)
    if reeds is None:
        return plain
    least = worth(problem, plain, in_steps=True) - NEGLIGIBLE
    pieces = _whole(problem, reeds)
    for given in (pieces, _filled_up(problem, pieces)):
        found = Allocation(given, _left_for_new(problem, given))
        if worth(problem, found, in_steps=True) >= least:
            return found
    return plain


def worth(problem: Problem, allocation: Allocation, *, in_steps: bool = False) -> float:
    """Return the good reeds expected of an allocation, those beyond what is wanted not counted.

    Reeds from new cane count less by what buying costs. ``in_steps`` weighs shares as the plan
    does, else they count as they are.
    """
    share = values(problem) if in_steps else problem.share
    buying = new_values(problem) if in_steps else problem.new_share - WORTH_BUYING
    made = allocation.pieces * problem.yields[:, None]
    order = np.argsort(-share, axis=0, kind="stable")
    made = np.take_along_axis(made, order, axis=0)
    share = np.take_along_axis(share, order, axis=0)
    before = np.cumsum(made, axis=0) - made
    counted = np.clip(problem.wanted - before, 0.0, made)
    room = np.maximum(problem.wanted - made.sum(axis=0), 0.0)
    new = np.minimum(allocation.from_new, room) * np.maximum(buying, 0.0)
    return float((counted * share).sum() + new.sum())


def greedy(problem: Problem) -> Allocation:
    """Return what a maker would do by hand: week by week, the best suited cane first."""
    left, usable = problem.supply.copy(), problem.usable
    pieces = np.zeros(problem.share.shape, dtype=np.int64)
    from_new = np.zeros(len(problem.wanted))
    for need in np.argsort(problem.week, kind="stable"):
        missing = float(problem.wanted[need])
        buy = problem.new_share[need] - WORTH_BUYING
        for batch in np.argsort(-problem.share[:, need], kind="stable"):
            share, reeds = problem.share[batch, need], problem.yields[batch]
            if missing <= 1e-9 or share <= max(buy, 0.0):
                break
            if not usable[batch, need]:
                continue
            taken = min(int(left[batch]), int(np.ceil(missing / reeds - 1e-9)))
            pieces[batch, need] = taken
            left[batch] -= taken
            missing -= taken * reeds
        from_new[need] = max(missing, 0.0) if buy > 0 else 0.0
    return Allocation(pieces, from_new)


def values(problem: Problem) -> Floats:
    """Return the share in range of each batch for each need (b, d), in steps of AS_GOOD.

    The steps are counted down from the best there is for the need, so that a small difference from
    it is none; 0 where the batch can't be used.
    """
    at_hand = np.where(problem.ready, problem.share, 0.0).max(axis=0, initial=0.0)
    best = np.maximum(at_hand, problem.new_share)
    steps = np.floor(np.maximum(best - problem.share, 0.0) / AS_GOOD + NEGLIGIBLE)
    stepped = np.maximum(_in_steps(best) - AS_GOOD * steps, 0.0)
    return np.asarray(np.where(problem.usable, stepped, 0.0))


def new_values(problem: Problem) -> Floats:
    """Return what a reed from new cane counts for each need (d,), 0 where none is bought."""
    stepped = _in_steps(problem.new_share) - WORTH_BUYING
    return np.asarray(np.where(problem.new_share > WORTH_BUYING, np.maximum(stepped, 0.0), 0.0))


def _in_steps(share: Floats) -> Floats:
    return np.asarray(AS_GOOD * np.round(share / AS_GOOD))


def _position(week: NDArray[np.int64]) -> Floats:
    """The week, and within it the place in the list as a fraction of one (d,)."""
    _, first, which, count = np.unique(
        week, return_index=True, return_inverse=True, return_counts=True
    )
    return np.asarray(week + (np.arange(len(week)) - first[which]) / count[which])


def _ranks(count: int) -> Floats:
    """Ranks from -1/2 to 1/2: centred, so that they pair, and favour nobody."""
    return np.arange(count) / max(count - 1, 1) - 0.5


def routes_of(problem: Problem) -> Routes:
    """Return where cane may go: from the batches, and from the dealer as source -1."""
    value, new = values(problem), new_values(problem)
    # Cane that counts less than new cane, of which there is enough, is never given.
    batch, need = np.nonzero(problem.usable & (value > new))
    buyable = np.flatnonzero(new > 0)
    sooner = -problem.week.astype(float)
    in_step = np.outer(_ranks(len(problem.supply)), _position(problem.week)) + sooner
    return Routes(
        source=np.concatenate([batch, np.full(len(buyable), -1)]),
        sink=np.concatenate([need, buyable]),
        first=np.concatenate([value[batch, need], new[buyable]]),
        then=np.concatenate([in_step[batch, need], sooner[buyable]]),
        supply=problem.supply * problem.yields,
        demand=problem.wanted,
    )


def _solved(problem: Problem) -> Floats | None:
    """Finished reeds given (b, d), in parts of reeds; None if the solver gives up."""
    routes = routes_of(problem)
    own, reeds = routes.source >= 0, np.zeros(problem.share.shape)
    if not own.any():
        return reeds
    units = carried(routes)
    if units is None:
        return None
    reeds[routes.source[own], routes.sink[own]] = units[own]
    return reeds


def _whole(problem: Problem, reeds: Floats) -> NDArray[np.int64]:
    """Whole pieces of each batch: the parts with the largest remainders are rounded up."""
    exact = reeds / np.maximum(problem.yields, LEAST_YIELD)[:, None]
    pieces = np.floor(exact + 1e-6).astype(np.int64)
    remainder = exact - pieces
    given = np.minimum(np.ceil(exact.sum(axis=1) - 1e-6).astype(np.int64), problem.supply)
    for batch in np.flatnonzero(given > pieces.sum(axis=1)):
        spare = int(given[batch] - pieces[batch].sum())
        part = np.flatnonzero(remainder[batch] > 1e-6)
        largest = part[np.argsort(-remainder[batch, part], kind="stable")][:spare]
        pieces[batch, largest] += 1
    return pieces


def _filled_up(problem: Problem, pieces: NDArray[np.int64]) -> NDArray[np.int64]:
    """The whole pieces, and more of what is left where a need still lacks part of a piece."""
    value, pieces = values(problem), pieces.copy()
    left = problem.supply - pieces.sum(axis=1)
    missing = problem.wanted - (pieces * problem.yields[:, None]).sum(axis=0)
    gains = np.where(value > new_values(problem), value, 0.0)
    for batch, need in np.argwhere(gains > 0)[np.argsort(-gains[gains > 0], kind="stable")]:
        if missing[need] > NEGLIGIBLE and left[batch] > 0:
            lacking = int(np.ceil(missing[need] / problem.yields[batch] - NEGLIGIBLE))
            more = min(int(left[batch]), lacking)
            pieces[batch, need] += more
            left[batch] -= more
            missing[need] -= more * problem.yields[batch]
    return pieces


def _left_for_new(problem: Problem, pieces: NDArray[np.int64]) -> Floats:
    """What the whole pieces leave missing of each need, where new cane comes in time for it."""
    made = (pieces * problem.yields[:, None]).sum(axis=0)
    missing = np.maximum(problem.wanted - made, 0.0)
    return np.where(problem.new_share > WORTH_BUYING, missing, 0.0)
