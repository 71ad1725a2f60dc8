"""Judged reeds as rows: what is used, how the unknown is filled in, how days are put together."""

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.observations import GOOD, Observations
from planner.opening.priors import PRIORS
from planner.opening.rows import COARSE_BLOCKS, FINE_DAYS, latest, make_rows, reading_step, usable

REFERENCE = Reference(10.5, 0.59, 8.5)


def test_a_reed_that_says_nothing_is_left_out(reeds):
    """Neither opening nor verdict, no diameter, or an opening below nothing."""
    seen = reeds(
        5,
        opening=np.array([0.8, np.nan, 0.8, -0.1, np.nan]),
        verdict=np.array([2, 2, 2, GOOD, GOOD], np.int8),
        diameter_low=np.array([10.5, 10.5, np.nan, 10.5, 10.5]),
    )
    assert usable(seen).tolist() == [0, 4]
    rows = make_rows(seen, REFERENCE, PRIORS)
    assert rows.kept.tolist() == [0, 4]
    assert rows.measured.tolist() == [True, False]


def test_no_reeds_make_no_rows():
    """An empty history is a history."""
    assert len(make_rows(Observations.none(), REFERENCE, PRIORS)) == 0


def test_effects_are_centred_on_the_makers_usual(reeds):
    """Differences from diameter, gouge and moisture of the reference; a class by its middle."""
    seen = reeds(
        1,
        diameter_low=np.array([10.0]),
        diameter_high=np.array([10.5]),
        gouge=np.array([0.60]),
        moisture=np.array([7.0]),
        moisture_sd=np.array([0.4]),
        opening=np.array([0.8]),
    )
    rows = make_rows(seen, REFERENCE, PRIORS)
    assert rows.x[0] == pytest.approx([-0.25, 0.01, -1.5, 0.0])
    # A diameter anywhere in a class of half a mm has the variance of a uniform distribution.
    assert rows.x_variance[0] == pytest.approx([0.5**2 / 12, 0.0, 0.4**2])


def test_a_gouge_not_noted_is_the_usual_one_with_its_spread(reeds):
    """The gouge set counts like four noted ones: (4 x 0.59 + 2 x 0.60) / 6."""
    seen = reeds(3, gouge=np.array([0.60, np.nan, 0.60]), opening=np.full(3, 0.8))
    rows = make_rows(seen, REFERENCE, PRIORS)
    usual = (4 * 0.59 + 2 * 0.60) / 6
    assert rows.gouge_usual == pytest.approx(usual)
    assert rows.x[:, 1] == pytest.approx([0.01, usual - 0.59, 0.01])
    variance = (4 * PRIORS.gouge_sd**2 + 2 * (0.60 - usual) ** 2) / 6
    assert rows.x_variance[:, 1] == pytest.approx([0.0, variance, 0.0])


def test_a_moisture_not_known_is_the_usual_one_within_a_rooms_year(reeds):
    """No weather and no hygrometer: the reference, give or take 2 %."""
    seen = reeds(
        1,
        moisture=np.array([np.nan]),
        moisture_sd=np.array([np.nan]),
        opening=np.array([0.8]),
    )
    rows = make_rows(seen, REFERENCE, PRIORS)
    assert (rows.x[0, 2], rows.x_variance[0, 2]) == (0.0, 4.0)


@pytest.mark.parametrize(
    ("openings", "step"),
    [
        ([0.8, 0.9, 1.0], 0.1),
        ([0.85, 0.90, 1.05], 0.05),
        ([0.82, 0.88, 0.96], 0.02),
        ([0.81, 0.88, 0.97], 0.01),
        ([0.813, 0.88, 0.97], 0.0),
        ([np.nan], 0.0),
        ([0.1] * 96 + [0.13] * 4, 0.1),
    ],
)
def test_the_step_of_reading_shows_in_the_figures(openings, step):
    """All but one in twenty on the step."""
    assert reading_step(np.array(openings)) == step


def test_dry_reeds_are_marked_among_soaked_ones_alone(reeds):
    """Where every opening is of a dry reed, there is nothing to tell apart."""
    opening = np.array([0.8, 0.8, np.nan])
    some = make_rows(reeds(2, opening=opening[:2], dry=np.array([True, False])), REFERENCE, PRIORS)
    assert (some.x[:, 3].tolist(), some.all_dry) == ([1.0, 0.0], False)
    every = make_rows(
        reeds(
            3,
            opening=opening,
            verdict=np.array([2, 2, GOOD], np.int8),
            dry=np.array([True, True, False]),
        ),
        REFERENCE,
        PRIORS,
    )
    assert (every.x[:, 3].tolist(), every.all_dry) == ([0.0, 0.0, 0.0], True)


def test_verdicts_alone_say_nothing_of_dry_reeds(reeds):
    """Two soaked reeds without an opening; of all openings none is dry, but none is there."""
    rows = make_rows(reeds(2, verdict=np.full(2, GOOD, np.int8)), REFERENCE, PRIORS)
    assert not rows.all_dry


def test_no_history_is_no_reed_in_every_column():
    """None of its arrays holds a value."""
    nothing = Observations.none()
    arrays = [v for v in vars(nothing).values() if isinstance(v, np.ndarray)]
    assert [len(values) for values in arrays] == [0] * 10


def test_late_days_stand_alone_and_early_ones_in_groups(reeds):
    """Three hundred days: the last thirty one by one, the others in forty even groups."""
    rows = make_rows(reeds(300, opening=np.full(300, 0.8)), REFERENCE, PRIORS)
    assert len(rows.block_day) == FINE_DAYS + COARSE_BLOCKS
    assert rows.block_reeds[-FINE_DAYS:].tolist() == [1.0] * FINE_DAYS
    assert set(rows.block_reeds[:-FINE_DAYS]) <= {6.0, 7.0}
    assert rows.block_day[-1] == 299.0
    assert np.all(np.diff(rows.block_day) > 0)


def test_reeds_of_one_day_share_its_level(reeds):
    """Two days, three reeds."""
    day = np.datetime64("2025-01-01") + np.array([0, 0, 5])
    rows = make_rows(reeds(3, day=day, opening=np.full(3, 0.8)), REFERENCE, PRIORS)
    assert rows.block.tolist() == [0, 0, 1]
    assert rows.block_day.tolist() == [0.0, 5.0]


def test_the_latest_reeds_stand_by_themselves(reeds):
    """The last four rows, their stretches numbered anew."""
    day = np.datetime64("2025-01-01") + np.array([0, 1, 2, 2, 3, 9])
    opening = 0.8 + 0.01 * np.arange(6)
    rows = make_rows(reeds(6, day=day, opening=opening), REFERENCE, PRIORS)
    last = latest(rows, 4)
    assert last.opening == pytest.approx(opening[2:])
    assert last.block.tolist() == [0, 0, 1, 2]
    assert last.block_day.tolist() == [2.0, 3.0, 9.0]
    assert last.block_reeds.tolist() == [2.0, 1.0, 1.0]


def test_a_stated_resolution_counts_where_the_readings_look_finer(reeds):
    """Rounding to steps of 0.1 mm adds a twelfth of their square; a finer word than seen doesn't.

    The variance of a uniform distribution, from any textbook.
    """
    seen = reeds(3, opening=np.array([0.81, 0.77, 0.84]))
    stated = make_rows(seen, REFERENCE, PRIORS, 0.1)
    assert stated.reading_variance == pytest.approx(0.1**2 / 12)
    assert make_rows(seen, REFERENCE, PRIORS, 0.001).reading_variance == pytest.approx(0.01**2 / 12)
