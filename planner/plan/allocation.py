"""Which cane for which week and place: the most good reeds from what there is.

A transportation problem (Dantzig, *Linear Programming and Extensions*, 1963, ch. 14), solved as a
linear programme by HiGHS. It is laid out in finished reeds, so that a batch supplies its pieces
times their yield, and brought to whole pieces after.

Arrays are (batches, needs): a need is the reeds that one place wants in one week.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import Floats

# Shares are weighed in steps of this: cane doesn't change hands for less, and tomorrow's forecast
# doesn't turn the plan over (measured in the benchmark of the plan's stability).
AS_GOOD = 0.03

# New cane costs money, and the maker's own lies idle: it is bought only where the cane at hand
# would give fewer good reeds by more than this share (a guess, no source).
WORTH_BUYING = 0.08

LEAST_YIELD = 1e-3  # finished reeds of a piece; cane that gives less isn't worth a place in a list

# Among plans that are about as good: a reed counts less by this for each week that it is wanted
# later, and half as much is at stake for going along both lists in step. So there is one answer,
# and the same tomorrow.
SOONER = 0.001


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

    The steps may cost AS_GOOD of the reeds wanted, and the order of the weeks SOONER a week; should
    they ever cost more than AS_GOOD against the greedy rule, that one is taken.
    """
    reeds = _solved(problem)
    plain = greedy(problem)
    if reeds is None:
        return plain
    pieces = _whole(problem, reeds)
    best = Allocation(pieces, _left_for_new(problem, pieces))
    tolerated = AS_GOOD * float(problem.wanted.sum())
    return best if worth(problem, best) >= worth(problem, plain) - tolerated else plain


def worth(problem: Problem, allocation: Allocation) -> float:
    """Return the good reeds expected of an allocation, those beyond what is wanted not counted.

    Reeds from new cane count less by what buying costs.
    """
    made = allocation.pieces * problem.yields[:, None]
    order = np.argsort(-problem.share, axis=0, kind="stable")
    made = np.take_along_axis(made, order, axis=0)
    share = np.take_along_axis(problem.share, order, axis=0)
    before = np.cumsum(made, axis=0) - made
    counted = np.clip(problem.wanted - before, 0.0, made)
    room = np.maximum(problem.wanted - made.sum(axis=0), 0.0)
    new = np.minimum(allocation.from_new, room) * np.maximum(problem.new_share - WORTH_BUYING, 0)
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
    """Return what a finished reed of each batch is worth for each need (b, d).

    Shares in steps of AS_GOOD; then sooner weeks, then in step: the furthest on and roundest cane
    to the first weeks and places.
    """
    batches = len(problem.supply)
    at_hand = np.where(problem.ready, problem.share, 0.0).max(axis=0, initial=0.0)
    best = np.maximum(at_hand, problem.new_share)
    lost = AS_GOOD * np.floor(np.maximum(best - problem.share, 0.0) / AS_GOOD + 1e-9)
    order = np.outer(_ranks(batches), _position(problem.week)) - problem.week
    return np.asarray(_in_steps(best) - lost + SOONER * order)


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


def _solved(problem: Problem) -> Floats | None:
    """Finished reeds given (b, d), in parts of reeds; None if the solver gives up."""
    from scipy.optimize import linprog
    from scipy.sparse import coo_array

    value = values(problem)
    new_value = np.where(
        problem.new_share > WORTH_BUYING,
        _in_steps(problem.new_share) - SOONER * problem.week - WORTH_BUYING,
        0.0,
    )
    # Cane that is worth less than new cane, of which there is enough, is never given.
    batch, need = np.nonzero(problem.usable & (value > new_value))
    buyable = np.flatnonzero(problem.new_share > WORTH_BUYING)
    reeds = np.zeros(problem.share.shape)
    count = len(batch) + len(buyable)
    if not len(batch):
        return reeds
    batches, needs = problem.share.shape
    column = np.concatenate([np.arange(len(batch)), np.arange(count)])
    row = np.concatenate([batch, batches + need, batches + buyable])
    limits = coo_array((np.ones(len(row)), (row, column)), shape=(batches + needs, count))
    found = linprog(
        -np.concatenate([value[batch, need], new_value[buyable]]),
        A_ub=limits.tocsr(),
        b_ub=np.concatenate([problem.supply * problem.yields, problem.wanted]),
        method="highs-ds",
    )
    if found.x is None:
        return None
    reeds[batch, need] = found.x[: len(batch)]
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


def _left_for_new(problem: Problem, pieces: NDArray[np.int64]) -> Floats:
    """What the whole pieces leave missing of each need, where new cane comes in time for it."""
    made = (pieces * problem.yields[:, None]).sum(axis=0)
    missing = np.maximum(problem.wanted - made, 0.0)
    return np.where(problem.new_share > WORTH_BUYING, missing, 0.0)
