"""The normal core against plain dense algebra with every unknown written out."""

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.gaussian import solve
from planner.opening.priors import PRIORS
from planner.opening.rows import make_rows

LOT_SD = 0.04


@pytest.fixture(scope="module")
def case(reeds):
    """Twelve reeds of four days and three lots, one without a lot, and a site for each."""
    chance = np.random.default_rng(2)
    lot = np.array([0, 0, 1, 1, 1, 2, 2, 0, -1, 2, 1, 0])
    seen = reeds(
        12,
        day=np.datetime64("2025-01-01") + np.repeat([0, 9, 10, 40], 3),
        diameter_low=10.5 + chance.normal(0, 0.3, 12),
        gouge=0.59 + chance.normal(0, 0.01, 12),
        moisture=8.5 + chance.normal(0, 1.0, 12),
        opening=0.8 + chance.normal(0, 0.1, 12),
        lot=lot,
        lots=("a", "b", "c"),
        dry=np.arange(12) % 5 == 0,
    )
    rows = make_rows(seen, Reference(10.5, 0.59, 8.5), PRIORS)
    scale = np.array([0.15, 3.0, 0.025, 0.15, 0.10, 0.03, 0.02, 0.05])
    return rows, scale, chance.uniform(20, 200, 12), chance.normal(0, 10, 12)


def dense(rows, scale, lot_sd, precision, shift):
    """All unknowns at once: effects, levels by day, lots; mean, covariance and log volume."""
    blocks, count = len(rows.block_day), len(rows)
    design = np.zeros((count, 4 + blocks + rows.lots))
    design[:, :4] = rows.x
    design[np.arange(count), 4 + rows.block] = 1.0
    for i in np.flatnonzero(rows.lot >= 0):
        design[i, 4 + blocks + rows.lot[i]] = 1.0
    walk = np.tril(np.ones((blocks, blocks)))  # steps to levels
    prior = np.zeros((design.shape[1],) * 2)
    prior[:4, :4] = np.diag(scale[:4] ** 2)
    prior[4 : 4 + blocks, 4 : 4 + blocks] = walk @ np.diag(scale[4:] ** 2) @ walk.T
    prior[4 + blocks :, 4 + blocks :] = lot_sd**2 * np.eye(rows.lots)
    # By the covariance of the rows, so that nothing is inverted twice.
    spread = design @ prior @ design.T
    inner = spread + np.diag(1 / precision)
    target = shift / precision
    gain = prior @ design.T @ np.linalg.inv(inner)
    covariance = prior - gain @ design @ prior
    # Integral of N(f; 0, spread) exp(shift f - precision f²/2), (2π)^n/2 and all.
    _, log_det = np.linalg.slogdet(np.eye(count) + spread * precision)
    log_volume = 0.5 * (shift @ target - target @ np.linalg.solve(inner, target)) - 0.5 * log_det
    return design, gain @ target, covariance, log_volume


def test_effects_and_levels_are_those_of_the_dense_system(case):
    """Mean and covariance of effects and of the level of each stretch of days."""
    rows, scale, precision, shift = case
    found = solve(rows, scale, LOT_SD, precision, shift)
    _, mean, covariance, _ = dense(rows, scale, LOT_SD, precision, shift)
    assert found.mean == pytest.approx(mean[:8], abs=1e-10)
    assert found.covariance == pytest.approx(covariance[:8, :8], abs=1e-10)
    assert found.unit_mean[:4] == pytest.approx(mean[:4] / scale[:4])
    assert found.unit_mean[4:] * scale[4:] == pytest.approx(np.diff(mean[4:8], prepend=0.0))


def test_lots_and_rows_are_those_of_the_dense_system(case):
    """Offsets of lots, and the expected opening of every row with its own lot."""
    rows, scale, precision, shift = case
    found = solve(rows, scale, LOT_SD, precision, shift)
    design, mean, covariance, _ = dense(rows, scale, LOT_SD, precision, shift)
    assert found.lot_mean * LOT_SD == pytest.approx(mean[8:], abs=1e-10)
    assert found.lot_variance * LOT_SD**2 == pytest.approx(np.diag(covariance)[8:], abs=1e-10)
    assert found.row_mean == pytest.approx(design @ mean, abs=1e-10)
    assert found.row_variance == pytest.approx(np.diag(design @ covariance @ design.T), abs=1e-10)


@pytest.mark.parametrize("lot_sd", [0.0, LOT_SD])
def test_the_volume_is_the_closed_form(case, lot_sd):
    """Logarithm of the integral of prior times sites."""
    rows, scale, precision, shift = case
    found = solve(rows, scale, lot_sd, precision, shift)
    assert found.log_volume == pytest.approx(dense(rows, scale, lot_sd, precision, shift)[3])


def test_without_rows_the_prior_comes_back(case, reeds):
    """No reeds: means of nought, the prior's spreads, a volume of one."""
    rows = make_rows(reeds(0), Reference(10.5, 0.59, 8.5), PRIORS)
    nothing = np.empty(0)
    found = solve(rows, case[1][:5], 0.0, nothing, nothing)
    assert np.array_equal(found.mean, np.zeros(5))
    assert np.sqrt(np.diag(found.covariance)) == pytest.approx(case[1][:5])
    assert found.log_volume == 0.0


def test_a_system_that_is_no_covariance_is_said(case):
    """Sites whose precisions are less than nothing."""
    rows, scale, precision, shift = case
    with pytest.raises(FloatingPointError, match="isn't positive"):
        solve(rows, scale, 0.0, -precision, shift)
