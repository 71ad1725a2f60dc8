"""The normal core: effects, a level that moves from block to block, and lots, solved exactly.

Everything is reckoned in units of its own prior spread (effects, steps of the level, lots), so
that a spread going to nothing stays harmless. Lots are eliminated one by one, which leaves a dense
system of four effects and the blocks only.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import lapack

from planner.opening.observations import Floats
from planner.opening.rows import EFFECTS, Rows

P = len(EFFECTS)


@dataclass(frozen=True)
class Solution:
    """The posterior under given normal sites, about the prior mean.

    Attributes
    ----------
    unit_mean, unit_covariance : (p,), (p, p) effects and steps of the level in prior spreads
    scale : (p,) those spreads
    mean, covariance : effects, then the level of each block. [mm, mm per unit]
    lot_mean, lot_variance : (lots,) offsets in prior spreads
    row_mean, row_variance : (n,) expected opening of each row
    log_volume : log of the integral of prior times sites
    """

    unit_mean: Floats
    unit_covariance: Floats
    scale: Floats
    mean: Floats
    covariance: Floats
    lot_mean: Floats
    lot_variance: Floats
    row_mean: Floats
    row_variance: Floats
    log_volume: float


def solve(rows: Rows, scale: Floats, lot_sd: float, precision: Floats, shift: Floats) -> Solution:
    """Combine the prior with a normal site of each row.

    Parameters
    ----------
    rows : the rows
    scale : (4 + blocks,) prior spread of the effects and of the steps of the level
    lot_sd : prior spread of the lots, 0 for none. [mm]
    precision, shift : (n,) natural parameters of the sites
    """
    system, right = _normal_equations(rows, precision, shift)
    lots = _Lots(rows, lot_sd, precision, shift) if lot_sd > 0.0 else None
    log_volume = 0.0
    if lots is not None:
        system -= lots.cross.T @ (lots.gain[:, None] * lots.cross)
        right -= lots.cross.T @ (lots.gain * lots.shift)
        log_volume += 0.5 * float(lots.gain @ lots.shift**2)
        log_volume -= 0.5 * float(np.sum(np.log1p(lot_sd**2 * lots.precision)))
    right = scale * _from_the_end(right[None, :])[0]
    system = scale[:, None] * _from_the_end(_from_the_end(system).T) * scale
    system[np.diag_indices_from(system)] += 1.0
    factor, failed = lapack.dpotrf(system, lower=1)
    if failed:
        raise FloatingPointError(f"the opening model's system isn't positive at {failed}")
    inverse = _symmetric(lapack.dpotri(factor, lower=1)[0])
    unit_mean = inverse @ right
    log_volume += 0.5 * float(unit_mean @ right) - float(np.sum(np.log(np.diag(factor))))
    mean = _from_the_start((scale * unit_mean)[None, :])[0]
    covariance = _from_the_start(_from_the_start(scale[:, None] * inverse * scale).T)
    row_mean = rows.x @ mean[:P] + mean[P + rows.block]
    row_variance = _row_variance(rows, covariance)
    lot_mean = lot_variance = np.empty(0)
    if lots is not None:
        lot_mean, lot_variance, row_mean, row_variance = lots.add_to(
            rows, mean, covariance, row_mean, row_variance
        )
    return Solution(
        unit_mean, inverse, scale, mean, covariance, lot_mean, lot_variance,
        row_mean, row_variance, log_volume,
    )  # fmt: skip


def _normal_equations(rows: Rows, precision: Floats, shift: Floats) -> tuple[Floats, Floats]:
    blocks = len(rows.block_day)
    weighted = rows.x * precision[:, None]
    system = np.zeros((P + blocks, P + blocks))
    system[:P, :P] = rows.x.T @ weighted
    for j in range(P):
        system[j, P:] = np.bincount(rows.block, weighted[:, j], blocks)
    system[P:, :P] = system[:P, P:].T
    diagonal = np.arange(P, P + blocks)
    system[diagonal, diagonal] = np.bincount(rows.block, precision, blocks)
    right = np.concatenate([rows.x.T @ shift, np.bincount(rows.block, shift, blocks)])
    return system, right


class _Lots:
    """What the rows say of the lots: their precision, and their ties to effects and blocks."""

    def __init__(self, rows: Rows, sd: float, precision: Floats, shift: Floats) -> None:
        self.sd, self.inside = sd, rows.lot >= 0
        lot, block = rows.lot[self.inside], rows.block[self.inside]
        weight = precision[self.inside]
        blocks = len(rows.block_day)
        self.precision = np.bincount(lot, weight, rows.lots)
        self.shift = np.bincount(lot, shift[self.inside], rows.lots)
        self.cross = np.empty((rows.lots, P + blocks))
        for j in range(P):
            self.cross[:, j] = np.bincount(lot, weight * rows.x[self.inside, j], rows.lots)
        pairs = np.bincount(lot * blocks + block, weight, rows.lots * blocks)
        self.cross[:, P:] = pairs.reshape(rows.lots, blocks)
        self.gain = sd**2 / (1.0 + sd**2 * self.precision)

    def add_to(
        self, rows: Rows, mean: Floats, covariance: Floats, row_mean: Floats, row_variance: Floats
    ) -> tuple[Floats, Floats, Floats, Floats]:
        """Return the lots (in prior spreads) and the rows with their lots."""
        lot_mean = self.gain * (self.shift - self.cross @ mean)
        tied = self.gain[:, None] * (self.cross @ covariance)
        variance = self.gain + self.gain * np.einsum("lp,lp->l", tied, self.cross)
        inside, lot = self.inside, rows.lot[self.inside]
        row_mean, row_variance = row_mean.copy(), row_variance.copy()
        row_mean[inside] += lot_mean[lot]
        together = np.einsum("np,np->n", rows.x[inside], tied[lot, :P])
        together += tied[lot, P + rows.block[inside]]
        row_variance[inside] += variance[lot] - 2.0 * together
        return lot_mean / self.sd, variance / self.sd**2, row_mean, row_variance


def _row_variance(rows: Rows, covariance: Floats) -> Floats:
    x, at = rows.x, P + rows.block
    own = np.einsum("np,np->n", x @ covariance[:P, :P], x)
    return np.asarray(
        own + 2.0 * np.einsum("np,np->n", x, covariance[at, :P]) + covariance[at, at], dtype=float
    )


def _from_the_end(matrix: Floats) -> Floats:
    """Sum the block columns from each to the last: what all rows from a step on say of it."""
    summed = np.cumsum(matrix[:, : P - 1 : -1], axis=1)[:, ::-1]
    return np.concatenate([matrix[:, :P], summed], axis=1)


def _from_the_start(matrix: Floats) -> Floats:
    """Sum the block columns up to each: steps to levels."""
    return np.concatenate([matrix[:, :P], np.cumsum(matrix[:, P:], axis=1)], axis=1)


def _symmetric(lower: Floats) -> Floats:
    half = np.tril(lower)
    return np.asarray(half + np.tril(half, -1).T, dtype=float)
