"""Over many invented workshops the posterior is as unsure as it should be.

Truths and data come from the model's own priors; see tests/benchmarks/prior_workshops.py. The long
study, by size and habit, is ``python tests/benchmarks/run.py opening_calibration``.
"""

import numpy as np
import pytest
from prior_workshops import (
    CHOOSES,
    KINDS,
    QUANTITIES,
    REFERENCE,
    WANTED,
    places,
    uniformity,
    workshop,
)

from planner.opening.model import fit_opening

WORKSHOPS = 108  # twelve of each kind and habit


@pytest.fixture(scope="module")
def placed():
    """The place of each truth in its posterior, a row a workshop of 25 reeds."""
    found = []
    for seed in range(WORKSHOPS):
        kind, chooses = KINDS[seed % 3], CHOOSES[seed // 3 % 3]
        truth = workshop(np.random.default_rng([25, seed]), 25, kind, chooses)
        fit = fit_opening(truth.history, reference=REFERENCE, wanted=WANTED)
        found.append(list(places(truth, fit.draws(400, seed)).values()))
    return np.array(found)


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_the_truth_lies_anywhere_among_the_draws(placed, quantity):
    """Simulation-based calibration: places are uniform, judged over the whole curve at once.

    One chance in a thousand of a false alarm for each quantity.
    """
    assert uniformity(placed[:, QUANTITIES.index(quantity)]) > 0.001


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_intervals_hold_what_they_promise(placed, quantity):
    """80 % intervals hold 80 % of the truths, within three binomial errors: 11.5 points."""
    place = placed[:, QUANTITIES.index(quantity)]
    held = np.mean((place >= 0.1) & (place <= 0.9))
    assert held == pytest.approx(0.8, abs=3 * np.sqrt(0.16 / WORKSHOPS))


def test_uneven_places_are_noticed():
    """Too sure, too unsure or off to one side: each is found, and even ones are not."""
    even = (np.arange(200) + 0.5) / 200
    assert uniformity(even) > 0.5
    assert uniformity(np.random.default_rng(3).random(200)) > 0.01
    assert uniformity(0.5 + 0.5 * (even - 0.5)) < 0.001
    assert uniformity(np.where(even < 0.5, 0.5 * even, 1 - 0.5 * (1 - even))) < 0.001
    assert uniformity(np.minimum(1.0, even + 0.15)) < 0.001
