"""What is known of each reed afterwards: against a Gaussian process worked out directly."""

from dataclasses import replace

import numpy as np
import pytest

from planner.opening.draws import EffectDraws, Reference
from planner.opening.observations import UNJUDGED, Observations
from planner.plan.review_hindsight import LEVEL_SD, Found, hindsight

DRAWS, REEDS = 4_000, 24
REED_SD, LOT_SD, WANDER = 0.06, 0.04, 0.003
TRUE = {"diameter": -0.2, "gouge": 2.0, "moisture": 0.03}


def draws(doubt: float) -> EffectDraws:
    """Return draws of which the diameter's effect alone is in doubt."""
    rng = np.random.default_rng(1)
    diameter = rng.normal(TRUE["diameter"], doubt, DRAWS)
    # The mean is made exact, so that what is compared doesn't hang on the draws.
    diameter += TRUE["diameter"] - diameter.mean()

    def sure(value: float) -> np.ndarray:
        return np.full(DRAWS, value)

    return EffectDraws(
        Reference(10.5, 0.59, 8.5),
        level=sure(0.8),
        diameter=diameter,
        gouge=sure(TRUE["gouge"]),
        moisture=sure(TRUE["moisture"]),
        spread=sure(float(np.hypot(REED_SD, LOT_SD))),
        wander=sure(WANDER),
        wander_limit=0.08,
        low=sure(0.72),
        high=sure(0.88),
    )


def history() -> Observations:
    """Return measured reeds, two a day, of four lots."""
    rng = np.random.default_rng(2)
    number = np.arange(REEDS)
    diameter = 10.5 + rng.normal(0, 0.2, REEDS)
    return Observations(
        day=np.datetime64("2026-01-05") + number // 2,
        diameter_low=diameter,
        diameter_high=diameter,
        gouge=np.full(REEDS, 0.59),
        moisture=np.full(REEDS, 8.5),
        moisture_sd=np.zeros(REEDS),
        opening=0.8 - 0.2 * (diameter - 10.5),
        verdict=np.full(REEDS, UNJUDGED, np.int8),
        lot=number // 6,
        dry=np.zeros(REEDS, np.bool_),
        lots=tuple("abcd"),
    )


def found(level: float = 0.8) -> Found:
    """Return the means as a fit would have them."""
    return Found(np.full(REEDS, level), np.zeros(REEDS), REED_SD, LOT_SD)


def test_level_and_lots_are_known_as_a_gaussian_process_has_them():
    """The covariance of level and lot at the reeds, given all the reeds' openings.

    K - K (K + s²I)⁻¹ K: Rasmussen & Williams 2006, eq. 2.24, worked out reed by reed; 4,000 draws
    give a standard deviation to about 1 in 100, of which three standard errors are allowed.
    """
    seen = history()
    known = hindsight(seen, found(), draws(0.0), np.arange(REEDS))
    day = (seen.day - seen.day[0]).astype(float)
    prior = LEVEL_SD**2 + WANDER**2 * np.minimum.outer(day, day)
    prior = prior + LOT_SD**2 * np.equal.outer(seen.lot, seen.lot)
    after = prior - prior @ np.linalg.solve(prior + REED_SD**2 * np.eye(REEDS), prior)
    assert known.base.std(axis=0) == pytest.approx(np.sqrt(np.diag(after)), rel=0.04)
    together = np.corrcoef(known.base[:, 0], known.base[:, 5])[0, 1]
    stated = after[0, 5] / np.sqrt(after[0, 0] * after[5, 5])
    assert together == pytest.approx(stated, abs=0.05)


def test_the_means_are_those_of_the_fit():
    """Level and lot as found; a gap is closed from the neighbours."""
    means = replace(
        found(), level=np.where(np.arange(REEDS) == 7, np.nan, 0.77), lot=np.full(REEDS, 0.02)
    )
    known = hindsight(history(), means, draws(0.0), np.arange(REEDS))
    assert known.base.mean(axis=0) == pytest.approx(np.full(REEDS, 0.79), abs=0.003)
    assert known.level == pytest.approx(np.full(REEDS, 0.77))


def test_a_doubtful_effect_leaves_another_level():
    """Where diameter does more in a draw, level and lot make up for it at the reeds as made.

    The openings of the reeds as made are known far better than what other diameters would bring.
    """
    seen = history()
    known = hindsight(seen, found(), draws(0.1), np.arange(REEDS))
    gouge = np.full(REEDS, 0.59)
    as_made = known.opening(seen.diameter_low, gouge).mean(axis=1).std()
    otherwise = known.opening(seen.diameter_low - 0.5, gouge).mean(axis=1).std()
    assert otherwise == pytest.approx(0.5 * 0.1, rel=0.35)
    assert as_made < otherwise / 2


def test_level_and_lots_move_against_the_effect_that_explains_the_same_openings():
    """Given a draw of the effect, what is left to explain is less by it, and smoothed.

    -K (K + s²I)⁻¹ x for each mm that the effect is above its mean, x the diameters (Rasmussen &
    Williams 2006, eq. 2.23), each lot of a diameter of its own here. Three standard errors of
    4,000 draws of 0.1 are 0.02.
    """
    diameter = 10.5 + np.array([-0.3, -0.1, 0.1, 0.3])[history().lot]
    seen = replace(history(), diameter_low=diameter, diameter_high=diameter)
    doubtful = draws(0.1)
    known = hindsight(seen, found(), doubtful, np.arange(REEDS))
    day = (seen.day - seen.day[0]).astype(float)
    prior = LEVEL_SD**2 + WANDER**2 * np.minimum.outer(day, day)
    prior = prior + LOT_SD**2 * np.equal.outer(seen.lot, seen.lot)
    off = diameter - 10.5
    stated = -prior @ np.linalg.solve(prior + REED_SD**2 * np.eye(REEDS), off)
    slopes = np.polyfit(doubtful.diameter, known.base, 1)[0]
    assert np.abs(stated).max() > 0.05
    assert slopes == pytest.approx(stated, abs=0.02)


def test_the_spread_within_a_lot_is_the_reeds_own_in_the_mean():
    """The model's spread holds lots too; each draw keeps its proportion."""
    varied = replace(draws(0.0), spread=np.linspace(0.05, 0.09, DRAWS))
    known = hindsight(history(), found(), varied, np.arange(REEDS))
    assert known.spread.mean() == pytest.approx(REED_SD)
    assert known.spread[-1] / known.spread[0] == pytest.approx(9 / 5)


def test_many_days_are_taken_together():
    """A long season costs no more than some hundred cells, and says about the same."""
    seen = history()
    number = np.arange(1_200)
    long = Observations(
        **{
            name: np.resize(getattr(seen, name), 1_200)
            for name in Observations.__dataclass_fields__
            if name not in ("day", "lots")
        },
        day=np.datetime64("2024-01-01") + number // 2,
        lots=seen.lots,
    )
    means = Found(np.full(1_200, 0.8), np.zeros(1_200), REED_SD, LOT_SD)
    known = hindsight(long, means, draws(0.0), number)
    assert known.base.shape == (DRAWS, 1_200)
    assert 0.005 < known.base.std(axis=0).mean() < 0.05


def test_a_history_that_could_not_be_used_is_no_fault():
    """No level found anywhere: nought, with the doubt that there is."""
    nothing = Found(np.full(REEDS, np.nan), np.full(REEDS, np.nan), REED_SD, LOT_SD)
    known = hindsight(history(), nothing, draws(0.0), np.arange(3))
    assert np.isfinite(known.base).all()
