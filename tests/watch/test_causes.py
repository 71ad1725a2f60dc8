"""What a run comes from: Bayes factors by quadrature, and planted causes."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from planner.watch.causes import Effects, Guess, likely_causes
from planner.watch.judged import Judged

EFFECTS = Effects(diameter=-0.20, diameter_sd=0.05, gouge=2.0, moisture=0.02)
REED_SD = 0.075
N, START = 80, 50  # reeds, and the first of the run


def judged(off, *, lot=None, noted=None, place=None, moisture_sd=0.5) -> Judged:
    """Return judged reeds that came out by *off* (n,) [mm] beyond the level, give or take."""
    n = len(off)
    noise = np.random.default_rng(5).normal(0, 0.5 * REED_SD, n)
    lot = np.full(n, -1) if lot is None else lot
    return Judged(
        day=np.datetime64("2026-01-05") + np.arange(n) // 4,
        residual=(off + noise) / REED_SD,
        scale=np.full(n, REED_SD),
        opening=0.8 + off + noise,
        level_before=np.full(n, 0.8),
        lot=lot,
        place=np.zeros(n, np.int64) if place is None else place,
        gouge_noted=np.ones(n, np.bool_) if noted is None else noted,
        moisture_sd=np.full(n, moisture_sd) if np.isscalar(moisture_sd) else moisture_sd,
        reed_sd=REED_SD,
        lot_sd=0.04,
        level=0.8,
        lots=tuple(f"lot {i}" for i in range(int(lot.max()) + 1)),
        places=("Bench", "Hall"),
    )


def since(start: int, n: int = N) -> np.ndarray:
    """Return 1 for the reeds from *start* on."""
    return (np.arange(n) >= start).astype(float)


def factor(residual, moved, by, by_sd) -> float:
    """Return the log Bayes factor of an offset of the *moved* residuals against none."""
    own = residual[moved]

    def integrand(offset):
        return np.exp((norm.logpdf(own - offset) - norm.logpdf(own)).sum()) * norm.pdf(
            offset, by, by_sd
        )

    return float(np.log(quad(integrand, by - 9 * by_sd, by + 9 * by_sd, limit=200)[0]))


@pytest.mark.parametrize(("by", "by_sd"), [(0.0, 0.8), (-0.6, 0.3)])
def test_the_worth_of_a_cause_is_its_bayes_factor(by, by_sd):
    """Numerical integration over the offset; of a lasting cause the mean over its first reed."""
    residual = np.random.default_rng(2).normal(-0.4, 1.0, 12)
    moved = np.arange(12) % 3 > 0
    once = Guess("lot", "", moved, by, by_sd, lasting=False)
    assert once.worth(residual) == pytest.approx(factor(residual, moved, by, by_sd), abs=1e-6)
    lasting = Guess("level", "", moved, by, by_sd)
    each = [factor(residual, moved & (np.arange(12) >= i), by, by_sd) for i in range(12)]
    assert lasting.worth(residual) == pytest.approx(np.log(np.mean(np.exp(each))), abs=1e-6)


def test_the_shares_are_of_all_that_is_weighed():
    """Likeliest first, none of them worth less than five in a hundred, at most the whole."""
    found = likely_causes(judged(-0.12 * since(START)), START, EFFECTS, gouger_off=None)
    shares = [cause.share for cause in found]
    assert shares == sorted(shares, reverse=True)
    assert min(shares) >= 0.05
    assert 0.9 < sum(shares) <= 1 + 1e-9


def test_a_level_that_fell_within_a_lot_is_no_odd_lot():
    """Half of the lot's reeds were as ever: whatever it was began with a reed, not with the lot."""
    lot = np.arange(N) // 40
    (cause, *_) = likely_causes(judged(-0.12 * since(60), lot=lot), 60, EFFECTS, gouger_off=None)
    assert cause.name == "level"
    assert cause.share > 0.9


@pytest.mark.parametrize("odd", [0, 1])
def test_an_odd_lot_between_good_ones_is_named_whichever_it_is(odd):
    """Reeds of two lots in turn, those of one too closed: also of the first lot there ever was."""
    lot = np.arange(N) % 2
    off = -0.12 * (lot == odd) * since(START)
    lot = np.where(np.arange(N) < START, -1, lot)
    (cause, *_) = likely_causes(judged(off, lot=lot), START, EFFECTS, gouger_off=None)
    assert (cause.name, cause.what) == ("lot", f"lot {odd}")


def test_a_gouge_nobody_noted_is_named_where_only_such_reeds_are_off():
    """Every second reed without a gouge, and those 0.06 mm too closed: 0.03 mm of gouge."""
    noted = np.arange(N) % 2 == 0
    off = -0.06 * since(START) * ~noted
    (cause, *_) = likely_causes(judged(off, noted=noted), START, EFFECTS, gouger_off=None)
    assert cause.name == "gouge"


@pytest.mark.parametrize("damp_opens", [0.02, -0.02])
def test_a_room_little_known_is_named_where_only_its_reeds_are_off(damp_opens):
    """Reeds of two places in turn; in the hall the cane's moisture is known to 4 % only."""
    place = np.arange(N) % 2
    off = -0.10 * since(START) * (place == 1)
    seen = judged(off, place=place, moisture_sd=np.where(place == 1, 4.0, 0.3))
    effects = replace(EFFECTS, moisture=damp_opens)
    (cause, *_) = likely_causes(seen, START, effects, gouger_off=None)
    assert (cause.name, cause.what) == ("room", "Hall")


def test_what_lies_far_back_tells_nothing_of_a_run():
    """More than forty reeds before it the openings may have been anything."""
    off = -0.12 * since(120, 160)
    far = np.where(np.arange(160) < 80, -0.3, 0.0)
    near, changed = judged(off), judged(off + far)
    found = [likely_causes(seen, 120, EFFECTS, gouger_off=None) for seen in (near, changed)]
    assert found[0] == found[1]
