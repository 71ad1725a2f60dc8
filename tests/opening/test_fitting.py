"""From rows to posterior: sudden changes judged fairly, doubt kept, the first level."""

from dataclasses import replace

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.fitting import fit_rows
from planner.opening.model import fit_opening
from planner.opening.observations import Observations
from planner.opening.priors import PRIORS
from planner.opening.rows import make_rows

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)


def history(reeds, seed, shift, last=60):
    """120 reeds of ten lots, two a week; the level rises by *shift* before the last ones. [mm]"""
    chance = np.random.default_rng(seed)
    number = np.arange(120)
    opening = 0.80 + shift * (number >= 120 - last) + chance.normal(0.0, 0.03, 10)[number // 12]
    return reeds(
        120,
        day=np.datetime64("2024-01-01") + number * 7 // 2,
        opening=np.round(opening + chance.normal(0.0, 0.07, 120), 2),
        lot=number // 12,
        lots=tuple(f"lot {i}" for i in range(10)),
    )


def level_of(seen: Observations) -> tuple[float, float]:
    """Mean and spread of the level as of the last reed. [mm]"""
    mean, sd = fit_opening(seen, reference=REFERENCE, wanted=WANTED).posterior.moments()
    return float(mean[0]), float(sd[0])


def jumps_of(seen: Observations) -> np.ndarray:
    """Days since the first reed at which a sudden change is admitted."""
    setting = fit_rows(make_rows(seen, REFERENCE, PRIORS), WANTED, PRIORS).setting
    return setting.rows.block_day[setting.jumps > 0]


def test_a_sudden_change_is_found_though_lots_could_hide_it(reeds):
    """0.2 mm after half of the reeds, where lots differ by 0.03: one change, within a month.

    In one history of ten the lots happen to rise with it, and it stays in doubt.
    """
    found = [jumps_of(history(reeds, seed, 0.2)) for seed in range(10)]
    near = [len(days) == 1 and abs(days[0] - 60 * 3.5) < 30 for days in found]
    assert sum(near) >= 8


@pytest.mark.parametrize("seed", range(6))
def test_no_change_is_seen_where_there_is_none(reeds, seed):
    """Lots that differ aren't taken for sudden changes."""
    assert not len(jumps_of(history(reeds, seed, 0.0)))


def test_a_large_change_is_followed_within_a_few_reeds(reeds):
    """Eight reeds after a change of 0.25 mm most of it is followed, and the rest is in doubt."""
    seen = [history(reeds, seed, 0.25, last=8) for seed in range(4)]
    levels, spreads = zip(*(level_of(each) for each in seen), strict=True)
    assert np.mean(levels) > 0.80 + 0.6 * 0.25
    assert np.mean(spreads) > 0.02


@pytest.mark.parametrize("last", [4, 8])
def test_a_change_far_beyond_any_slip_is_followed_too(reeds, last):
    """0.4 mm at once: each reed after it is likelier a slip than a part of the old level."""
    seen = [history(reeds, seed, 0.4, last=last) for seed in range(5)]
    assert all(level_of(each)[0] > 0.80 + 0.6 * 0.4 for each in seen)


def test_a_change_beyond_all_doubt_is_reckoned_with_too(reeds):
    """Some hundred reeds either side, even to 0.01 mm: the level is that of the last."""
    opening = np.round(np.repeat([0.60, 1.10], 250) + 0.01 * np.sin(np.arange(500)), 2)
    seen = reeds(500, opening=opening)
    draws = fit_opening(seen, reference=REFERENCE, wanted=WANTED).draws()
    assert draws.level.mean() == pytest.approx(1.10, abs=0.02)


def test_some_wrong_readings_on_end_are_no_change(reeds):
    """Five reeds of one day noted 0.4 mm too high, long since followed by others as before."""
    seen = history(reeds, 1, 0.0)
    opening = seen.opening.copy()
    opening[60:65] += 0.4
    day = seen.day.copy()
    day[60:65] = day[60]
    wrong = level_of(replace(seen, opening=opening, day=day))
    assert wrong[0] == pytest.approx(level_of(seen)[0], abs=0.01)


def test_doubt_about_a_change_is_kept(reeds):
    """A dozen reeds after 0.12 mm both views are in the mixture, and the level is less sure."""
    calm = np.median([level_of(history(reeds, seed, 0.0))[1] for seed in range(8)])
    doubt = np.median([level_of(history(reeds, seed, 0.12, last=12))[1] for seed in range(8)])
    assert doubt > 1.5 * calm


@pytest.mark.parametrize("off", [-0.3, 0.3])
def test_a_level_far_from_what_is_wanted_is_no_unevenness(reeds, off):
    """Twenty even reeds 0.3 mm off the middle of the range: their spread stays 0.05 mm."""
    chance = np.random.default_rng(3)
    seen = reeds(20, opening=np.round(0.825 + off + chance.normal(0.0, 0.05, 20), 2))
    fit = fit_opening(seen, reference=REFERENCE, wanted=WANTED)
    assert fit.posterior.moments()[0][0] == pytest.approx(0.825 + off, abs=0.05)
    assert np.median(fit.draws().spread) < 0.09


def test_the_mixture_weighs_one(reeds):
    """Whatever views it was made from."""
    for shift in (0.0, 0.10):
        seen = history(reeds, 1, shift, last=20)
        parts = fit_rows(make_rows(seen, REFERENCE, PRIORS), WANTED, PRIORS).components
        assert sum(part.weight for part in parts) == pytest.approx(1.0)


def test_a_coming_reed_is_of_a_new_lot_though_none_was_noted(reeds):
    """Without a reed, the spread of a coming one holds that of the lots."""
    fit = fit_opening(reeds(0), reference=REFERENCE, wanted=WANTED)
    usual_noise = np.sqrt(PRIORS.noise.scale / PRIORS.noise.shape)
    expected = np.hypot(usual_noise, np.exp(PRIORS.lot.mean))
    assert np.median(fit.draws().spread) == pytest.approx(expected, rel=0.05)
