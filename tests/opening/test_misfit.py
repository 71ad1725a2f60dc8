"""What speaks against the model is said: each kind of misfit provoked, none where all is well."""

from functools import partial

import numpy as np
import pytest
from prior_workshops import KINDS, REFERENCE, WANTED, workshop

from planner.opening import evidence, fitting, propagation
from planner.opening.model import fit_opening
from planner.opening.observations import CLOSED, GOOD, OPEN

CHANCE = np.random.default_rng(12)
NOISE = 0.07 * CHANCE.normal(size=60)


def notes_of(seen, wanted=WANTED):
    """Return the notes of a fit, as one text."""
    return "\n".join(fit_opening(seen, reference=REFERENCE, wanted=wanted).notes)


@pytest.mark.parametrize("kind", KINDS)
def test_a_history_that_the_model_would_make_is_not_complained_of(kind):
    """Five workshops drawn from the priors: no poor fit, no bend, no odd verdicts."""
    for seed in range(5):
        seen = workshop(np.random.default_rng([seed, 3]), 80, kind, "random").history
        said = notes_of(seen)
        assert not any(word in said for word in ("poorly", "straight line", "did not settle"))


def test_openings_of_two_kinds_of_reed_fit_poorly(reeds):
    """Half a quarter of a mm up, half as much down, none between: the outer fifth is empty."""
    opening = np.round(0.82 + 0.25 * (-1.0) ** np.arange(60) + 0.2 * NOISE, 3)
    said = notes_of(reeds(60, opening=opening))
    assert "0 in 100 openings lie outside the range that should leave 20 outside" in said
    assert "fits this history poorly" in said


def test_a_slip_of_the_pen_is_named_by_its_day(reeds):
    """0.13 mm written for 0.83: the day is that of the tenth reed."""
    opening = np.round(0.82 + NOISE, 2)
    opening[9] = 0.13
    said = notes_of(reeds(60, opening=opening))
    assert "1 opening lies so far out that the model takes it for a slip" in said
    assert "(2025-03-12); look it up" in said


def test_many_slips_are_counted_and_the_first_days_named(reeds):
    """Five of them: three days and two more."""
    opening = np.round(0.82 + NOISE, 2)
    opening[[3, 13, 23, 33, 43]] = 2.2
    said = notes_of(reeds(60, opening=opening))
    assert "5 openings lie so far out that the model takes them for slips" in said
    assert "(2025-03-06, 2025-03-16, 2025-03-26 and 2 days more)" in said


@pytest.mark.parametrize(("name", "column"), [("diameter", 0), ("moisture", 1)])
def test_openings_that_bend_are_said(reeds, name, column):
    """A mm per square mm of diameter, or a fiftieth per square per cent: far from a line."""
    diameter = 10.5 + 0.25 * CHANCE.integers(-2, 3, 60)
    moisture = 8.5 + 1.5 * CHANCE.normal(size=60)
    bend = (1.2 * (diameter - 10.5) ** 2, 0.05 * (moisture - 8.5) ** 2)[column]
    opening = np.round(0.75 + bend + NOISE, 2)
    said = notes_of(reeds(60, diameter_low=diameter, moisture=moisture, opening=opening))
    assert f"straight line with the {name}" in said


def test_verdicts_that_cannot_be_one_heap_are_said(reeds):
    """Half closed, half open, none good, of the same cane."""
    verdict = np.where(np.arange(60) % 2 == 0, CLOSED, OPEN).astype(np.int8)
    said = notes_of(reeds(60, verdict=verdict))
    assert "0 of 60 reeds not measured were called good" in said
    assert "it fits your verdicts poorly" in said


def test_a_verdict_against_its_own_opening_is_named(reeds):
    """1.20 mm called closed beside fifty-nine sound rows."""
    opening = np.round(0.82 + NOISE, 2)
    opening[20] = 1.20
    verdict = (np.digitize(opening, WANTED) - 1).astype(np.int8)
    verdict[20] = CLOSED
    said = notes_of(reeds(60, opening=opening, verdict=verdict))
    assert "1 reed has a verdict that the opening beside it contradicts (2025-03-23)" in said


def test_a_search_that_gives_up_is_said(reeds, monkeypatch):
    """No step allowed: what is found is where it began, and that is said."""
    seen = reeds(60, opening=np.round(0.82 + 4 * NOISE, 2))
    assert "did not settle" not in notes_of(seen)
    monkeypatch.setattr(fitting, "climb", partial(evidence.climb, steps=0))
    assert "The fit did not settle fully" in notes_of(seen)


def test_sites_that_give_up_are_said(reeds, monkeypatch):
    """Rounds that never come close enough."""
    verdict = (np.digitize(0.82 + 2 * NOISE, WANTED) - 1).astype(np.int8)
    seen = reeds(60, verdict=verdict)
    assert "did not settle" not in notes_of(seen)
    monkeypatch.setattr(propagation, "CLOSE_ENOUGH", 0.0)
    monkeypatch.setattr(propagation, "ROUNDS", 5)
    assert "The fit did not settle fully" in notes_of(seen)


def test_what_cannot_be_is_left_out_and_counted(reeds):
    """An opening below nothing, and a reed of no diameter."""
    opening = np.full(20, 0.8)
    opening[3] = -0.2
    diameter = np.full(20, 10.5)
    diameter[5] = np.nan
    said = notes_of(reeds(20, opening=opening, diameter_low=diameter))
    assert "2 reeds say nothing of their opening or diameter and are not used." in said


def test_openings_all_alike_are_a_history_too(reeds):
    """No spread at all, neither of cane nor of openings: figures stay sound."""
    fit = fit_opening(
        reeds(60, opening=np.full(60, 0.8), verdict=np.full(60, GOOD, np.int8)),
        reference=REFERENCE,
        wanted=WANTED,
    )
    draws = fit.draws()
    assert all(np.isfinite(getattr(draws, name)).all() for name in ("level", "diameter", "spread"))
    assert draws.level.mean() == pytest.approx(0.8, abs=0.01)
