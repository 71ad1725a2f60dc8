"""The choice for a week: best diameter and gouge, and what is about as good."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats
from planner.opening.shares import opening_moments, share_in_range, share_samples
from planner.plan.grid import Grid

# Shares that differ by less are taken for equally good: a season of some hundred reeds can't tell
# them apart (the standard error of a share of 80 in 100 among 400 reeds is 2 in 100).
TOLERANCE = 0.02
TOLERANCE_OF_BEST = 0.1  # of the best share, where that is so small that 2 in 100 would be all

# Shares beyond these tell cane no further apart: none comes into range, or all of it does.
NOTHING, SURE = 0.005, 0.995

# A gouger is set anew only for more than this: setting takes a trial piece or two out of some
# twenty a week, and a setting that moves adds its own spread (common practice, no source).
GOUGE_WORTH = 0.03
GOUGE_AS_GOOD = 0.01  # the smallest move that comes so near the best one is taken

SOME_MEMBERS = 100  # gouges are compared on the same members, so that their noise cancels
COARSER = 4  # and on every so many diameters


@dataclass(frozen=True)
class Choices:
    """What is chosen for each week; arrays are (weeks,) unless said, lengths in mm.

    ``curve`` (weeks, d) is the share in range over the diameters of the grid, at the gouge chosen.
    """

    low: Floats
    best: Floats
    high: Floats
    gouge_low: Floats
    gouge: Floats
    gouge_high: Floats
    share: Floats
    usual_share: Floats
    curve: Floats


def choose(
    draws: EffectDraws,
    grid: Grid,
    moisture: Floats,
    days_ahead: Floats,
    *,
    usual_only: bool = False,
) -> Choices:
    """Choose for each week by the expected share in the wanted range.

    Parameters
    ----------
    draws : one for each member
    grid : what is tried
    moisture : (members, weeks) of the cane where and when it counts. [%]
    days_ahead : (weeks,) days since the last judged reed
    usual_only : keep the usual diameter and gouge, and say what comes of them

    Returns
    -------
    Choices
        The usual gouge unless another wins by more than GOUGE_WORTH.
    """
    limits = grid.limits
    usual = np.array([limits.usual_gouge])
    at_usual = share_in_range(draws, grid.diameters, usual, moisture, days_ahead)[:, :, 0]
    by_gouge = _thinned(draws, grid, moisture, days_ahead)
    target = _gouge(by_gouge, grid)
    if usual_only:
        target[:] = grid.usual_gouge
    curve = at_usual.copy()
    for index in np.unique(target[target != grid.usual_gouge]):
        moved = np.flatnonzero(target == index)
        curve[moved] = share_in_range(
            draws,
            grid.diameters,
            grid.gouges[[index]],
            moisture[:, moved],
            days_ahead[moved],
        )[:, :, 0]
    nearest = _nearest(draws, grid, moisture, days_ahead, grid.gouges[target])
    best, share = _best(curve, grid, nearest)
    low, high = _as_good(curve, grid, best)
    first, last = _gouges_as_good(draws, grid, moisture, days_ahead, best, target)
    usual_share = at_usual @ grid.weights_at(np.array([limits.usual_diameter]))[0]
    choices = Choices(
        low,
        best,
        high,
        grid.gouges[first],
        grid.gouges[target],
        grid.gouges[last],
        share,
        usual_share,
        curve,
    )
    return _kept_to_usual(choices, grid) if usual_only else choices


def _kept_to_usual(choices: Choices, grid: Grid) -> Choices:
    """Return what comes of the usual diameter and gouge in every week."""
    limits, weeks = grid.limits, len(choices.best)
    home = grid.class_of(limits.usual_diameter)
    gouge = np.full(weeks, limits.usual_gouge)
    return replace(
        choices,
        low=np.full(weeks, grid.edges[home]),
        best=np.full(weeks, limits.usual_diameter),
        high=np.full(weeks, grid.edges[home + 1]),
        gouge_low=gouge,
        gouge=gouge,
        gouge_high=gouge,
        share=choices.usual_share,
    )


def _best(curve: Floats, grid: Grid, nearest: Floats) -> tuple[Floats, Floats]:
    """Best diameter and its share (weeks,): the peak, where the share tells cane apart.

    Where every cane is out of reach that which comes *nearest* (weeks,), where some is as good as
    sure the usual diameter or the sure one next to it.
    """
    best, share = peak(curve, grid.diameters)
    usual = grid.limits.usual_diameter
    away = np.abs(grid.diameters - usual)
    next_to_usual = grid.diameters[np.where(curve >= SURE, away, np.inf).argmin(axis=1)]
    usual_sure = curve @ grid.weights_at(np.array([usual]))[0] >= SURE
    plain = np.where(usual_sure, usual, next_to_usual)
    level = curve.max(axis=1)
    best = np.select([level < NOTHING, level >= SURE], [nearest, plain], best)
    there = np.einsum("wd,wd->w", curve, grid.weights_at(best))
    return best, np.where((level < NOTHING) | (level >= SURE), there, share)


def _nearest(
    draws: EffectDraws, grid: Grid, moisture: Floats, days_ahead: Floats, gouge: Floats
) -> Floats:
    """Diameters (weeks,) whose expected opening comes nearest the middle of the wanted range."""
    middle = (draws.low + draws.high) / 2.0
    first, last = (
        (opening_moments(draws, end, gouge, moisture, days_ahead)[0] - middle[:, None]).mean(axis=0)
        for end in grid.diameters[[0, -1]]
    )
    along = np.linspace(0.0, 1.0, len(grid.diameters))
    away = first[:, None] + (last - first)[:, None] * along
    return np.asarray(grid.diameters[np.abs(away).argmin(axis=1)])


def peak(curve: Floats, diameters: Floats) -> tuple[Floats, Floats]:
    """Return where curves (weeks, d) over even steps are highest, and how high: (weeks,) each.

    Between the steps by the parabola through the highest point and its neighbours, so that the
    best diameter moves smoothly when the weather does.
    """
    top = np.clip(curve.argmax(axis=1), 1, len(diameters) - 2)
    rows = np.arange(len(curve))
    left, middle, right = curve[rows, top - 1], curve[rows, top], curve[rows, top + 1]
    bend = left - 2.0 * middle + right
    bent = bend < 0
    shift = np.where(bent, 0.5 * (left - right) / np.where(bent, bend, -1.0), 0.0)
    inside = bent & (np.abs(shift) <= 1.0)
    step = diameters[1] - diameters[0]
    where = np.where(inside, diameters[top] + shift * step, diameters[curve.argmax(axis=1)])
    height = np.where(inside, middle - 0.25 * (left - right) * shift, curve.max(axis=1))
    return where, height


def _as_good(curve: Floats, grid: Grid, best: Floats) -> tuple[Floats, Floats]:
    """Limits of the run of classes about as good as the best class, the best diameter's in it."""
    classes = curve @ grid.averaging
    most = classes.max(axis=1, keepdims=True)
    good = classes >= most - np.minimum(TOLERANCE, TOLERANCE_OF_BEST * most)
    good[curve.max(axis=1) < NOTHING] = False
    home = np.array([grid.class_of(diameter) for diameter in best])
    good[np.arange(len(good)), home] = True
    first, last = _run_about(good, home)
    return grid.edges[first], grid.edges[last + 1]


def _run_about(good: NDArray[np.bool_], home: NDArray[np.int64]) -> tuple[NDArray[np.int64], ...]:
    """First and last position of the unbroken run of true about *home* in each row."""
    position = np.arange(good.shape[1])
    before = (position < home[:, None]) & ~good
    after = (position > home[:, None]) & ~good
    first = np.where(before, position + 1, 0).max(axis=1)
    last = np.where(after, position - 1, good.shape[1] - 1).min(axis=1)
    return first, last


def _thinned(draws: EffectDraws, grid: Grid, moisture: Floats, days_ahead: Floats) -> Floats:
    """Shares (weeks, d, g) on every fourth diameter, from some of the members."""
    some = some_members(len(moisture))
    diameters = grid.diameters[::COARSER]
    return share_in_range(picked(draws, some), diameters, grid.gouges, moisture[some], days_ahead)


def _gouge(by_gouge: Floats, grid: Grid) -> NDArray[np.int64]:
    """The usual gouge, or where another is clearly better the nearest that is about as good."""
    diameters = grid.diameters[::COARSER]
    gain = np.stack(
        [peak(by_gouge[:, :, g], diameters)[1] for g in range(len(grid.gouges))], axis=1
    )
    gain = gain - gain[:, [grid.usual_gouge]]
    away = np.abs(np.arange(len(grid.gouges)) - grid.usual_gouge)
    as_good = gain >= gain.max(axis=1, keepdims=True) - GOUGE_AS_GOOD
    nearest = np.where(as_good, away, len(away)).argmin(axis=1)
    return np.where(gain.max(axis=1) > GOUGE_WORTH, nearest, grid.usual_gouge)


def _gouges_as_good(
    draws: EffectDraws,
    grid: Grid,
    moisture: Floats,
    days_ahead: Floats,
    best: Floats,
    target: NDArray[np.int64],
) -> tuple[NDArray[np.int64], ...]:
    """Gouges about as good as the target for cane of the best diameter."""
    some = some_members(len(moisture))
    few, damp = picked(draws, some), moisture[some]
    along = np.stack(
        [
            share_samples(few, best, grid.gouges[[g]], damp, days_ahead).mean(axis=0)
            for g in range(len(grid.gouges))
        ],
        axis=1,
    )
    rows = np.arange(len(best))
    return _run_about(along >= along[rows, target][:, None] - TOLERANCE, target)


def some_members(members: int) -> NDArray[np.int64]:
    """Return an even selection of the members."""
    return np.arange(0, members, max(1, members // SOME_MEMBERS))


def picked(draws: EffectDraws, which: NDArray[np.int64]) -> EffectDraws:
    """Return a selection of the draws."""
    return replace(
        draws,
        **{
            name: getattr(draws, name)[which]
            for name in (
                "level",
                "diameter",
                "gouge",
                "moisture",
                "spread",
                "wander",
                "low",
                "high",
            )
        },
    )
