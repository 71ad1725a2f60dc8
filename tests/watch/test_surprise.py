"""How far a reed came out beyond what was expected: the filter against exact moments."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from scipy.stats import truncnorm

from planner.opening.draws import EffectDraws, Reference
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED, Observations
from planner.watch.surprise import LEVEL_SD, Follower, surprises

LEVEL, REED_SD, LOT_SD = 0.80, 0.075, 0.04
WANTED = 0.70, 0.90


def follower() -> Follower:
    """A filter that has seen nothing yet."""
    return Follower(LEVEL, wander=0.002, lot_sd=LOT_SD)


@pytest.mark.parametrize(
    ("low", "high"), [(-np.inf, 0.70), (0.70, 0.90), (0.90, np.inf), (1.3, np.inf)]
)
def test_a_verdict_moves_level_and_doubt_as_a_truncated_normal_has_it(low, high):
    """Scipy's truncated normal for the opening; the level follows by its share of the variance.

    Johnson, Kotz & Balakrishnan, *Continuous Univariate Distributions* 1 (1994), ch. 13 (from
    memory): E[level | opening] is linear, so mean and variance follow from those of the opening.
    """
    found = follower()
    total = LEVEL_SD**2 + LOT_SD**2 + REED_SD**2
    _, scale, opening = found.judge(0, np.array([low, high, *WANTED]), REED_SD**2)
    cut = truncnorm((low - LEVEL) / total**0.5, (high - LEVEL) / total**0.5, LEVEL, total**0.5)
    assert scale == pytest.approx(total**0.5)
    assert opening == pytest.approx(cut.mean(), abs=1e-6)
    share = LEVEL_SD**2 / total
    assert found.mean[0] == pytest.approx(LEVEL + share * (cut.mean() - LEVEL), abs=1e-6)
    assert found.covariance[0, 0] == pytest.approx(
        LEVEL_SD**2 - share**2 * (total - cut.var()), abs=1e-6
    )


def test_a_measured_opening_is_bayes_rule():
    """Own arithmetic: the level and the lot share what a reed was off by their variances."""
    found = follower()
    total = LEVEL_SD**2 + LOT_SD**2 + REED_SD**2
    surprise, _, opening = found.judge(3, np.array([0.9, 0.9, *WANTED]), REED_SD**2)
    assert (surprise, opening) == pytest.approx((0.1 / total**0.5, 0.9))
    assert found.mean == pytest.approx([0.8 + 0.1 * LEVEL_SD**2 / total, 0.1 * LOT_SD**2 / total])
    (lot,) = found.lots_now()
    assert (lot.lot, lot.offset) == (3, found.mean[1])
    assert lot.deviation == pytest.approx((LOT_SD**2 - LOT_SD**4 / total) ** 0.5)


def test_the_surprises_of_verdicts_have_mean_nought_and_spread_one():
    """Over the three verdicts, each as likely as the expectation has it."""
    total = LEVEL_SD**2 + LOT_SD**2 + REED_SD**2
    edges = np.array([-np.inf, *WANTED, np.inf])
    chance = np.diff(truncnorm(-np.inf, np.inf, 0.78, total**0.5).cdf(edges))
    surprise = []
    for low, high in pairwise(edges):
        one = Follower(0.78, wander=0.002, lot_sd=LOT_SD)
        surprise.append(one.judge(0, np.array([low, high, *WANTED]), REED_SD**2)[0])
    assert chance @ surprise == pytest.approx(0.0, abs=1e-9)
    assert chance @ np.square(surprise) == pytest.approx(1.0, abs=1e-9)


def test_days_without_a_reed_let_the_level_wander():
    """Variances of a random walk add up: 25 days at 0.002 mm a day are 0.01 mm."""
    found = follower()
    found.wait(25)
    assert found.covariance[0, 0] == pytest.approx(LEVEL_SD**2 + 0.01**2)


def test_only_so_many_lots_are_followed_the_latest():
    """The seventh lot takes the place of the first, which begins anew when it is seen again."""
    found = follower()
    for lot in range(7):
        found.judge(lot, np.array([0.9, 0.9, *WANTED]), REED_SD**2)
    assert [lot.lot for lot in found.lots_now()] == [1, 2, 3, 4, 5, 6]
    assert found.covariance.shape == (7, 7)
    np.testing.assert_allclose(found.covariance, found.covariance.T, atol=1e-15)
    assert np.linalg.eigvalsh(found.covariance).min() > 0


def draws() -> EffectDraws:
    """Effects without doubt."""
    sure = {"diameter": -0.20, "gouge": 2.0, "moisture": 0.02, "level": LEVEL, "wander": 0.002}
    known = {name: np.full(3, value) for name, value in sure.items()}
    return EffectDraws(
        Reference(10.5, 0.59, 8.5),
        **known,
        spread=np.full(3, np.hypot(REED_SD, LOT_SD)),
        wander_limit=0.08,
        low=np.full(3, WANTED[0]),
        high=np.full(3, WANTED[1]),
    )


def reeds(opening, lot, **more) -> Observations:
    """Reeds of the reference's diameter, gouge and moisture, four a day."""
    n = len(opening)
    plain = Observations(
        day=np.datetime64("2026-01-05") + np.arange(n) // 4,
        diameter_low=np.full(n, 10.5),
        diameter_high=np.full(n, 10.5),
        gouge=np.full(n, 0.59),
        moisture=np.full(n, 8.5),
        moisture_sd=np.zeros(n),
        opening=np.asarray(opening, dtype=float),
        verdict=np.full(n, UNJUDGED, np.int8),
        lot=np.asarray(lot),
        dry=np.zeros(n, np.bool_),
        lots=tuple(f"lot {i}" for i in range(int(np.max(lot)) + 1)),
    )
    return replace(plain, **more)


def judged(seen: Observations):
    """Return the surprises at one place."""
    return surprises(seen, draws(), np.zeros(len(seen.day), np.int64), ("Bench",))


def test_what_is_not_known_of_a_reed_widens_its_scale():
    """Own arithmetic: a class of 0.5 mm has the variance 0.5² / 12; moisture known to 4 %."""
    plain = judged(reeds([0.8], [0])).scale[0]
    vague = reeds(
        [0.8],
        [0],
        diameter_low=np.array([10.25]),
        diameter_high=np.array([10.75]),
        moisture_sd=np.array([4.0]),
    )
    doubt = 0.2**2 * 0.5**2 / 12 + 0.02**2 * 4.0**2
    assert judged(vague).scale[0] ** 2 - plain**2 == pytest.approx(doubt, rel=1e-6)


def test_what_is_known_of_a_reed_is_taken_off():
    """0.5 mm flatter, 0.01 mm thicker, 1 % damper: 0.8 - 0.1 + 0.02 + 0.02 mm is as expected."""
    seen = reeds(
        [0.74],
        [0],
        diameter_low=np.array([11.0]),
        diameter_high=np.array([11.0]),
        gouge=np.array([0.60]),
        moisture=np.array([9.5]),
    )
    assert judged(seen).residual[0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("verdict", "sign"), [(CLOSED, -1), (GOOD, 0), (OPEN, 1)])
def test_a_verdict_surprises_to_its_side(verdict, sign):
    """A reed expected in the middle of the range: good is none, closed and open mirror."""
    seen = reeds([np.nan], [0], verdict=np.array([verdict], np.int8))
    residual = judged(seen).residual[0]
    assert np.sign(round(residual, 9)) == sign


def test_where_lots_are_alike_the_spread_is_the_reeds_own():
    """Twelve histories of 400 reeds in lots of 25 that differ by nothing.

    By the neighbours of one lot, 256 worth of 0.075² beside 20 of the usual parting of 0.085².
    """
    parted = [
        judged(
            reeds(0.8 + np.random.default_rng(seed).normal(0, REED_SD, 400), np.arange(400) // 25)
        ).reed_sd
        for seed in range(12)
    ]
    assert np.mean(parted) == pytest.approx(0.0746, abs=0.002)


def test_a_slip_of_the_pen_hardly_widens_the_reeds_own_spread():
    """One opening of 2 mm among 400 counts as no more than three spreads off its neighbours."""
    opening = 0.8 + np.random.default_rng(1).normal(0, REED_SD, 400)
    lot = np.arange(400) // 25
    before = judged(reeds(opening, lot)).reed_sd
    opening[210] = 2.0
    assert judged(reeds(opening, lot)).reed_sd < 1.05 * before
