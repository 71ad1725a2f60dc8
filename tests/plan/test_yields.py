"""Pieces that come through each step: general experience, then the maker's own ledger."""

from datetime import date

import pytest
from scipy.stats import beta

from planner.history.tables import CaneMove
from planner.plan.yields import PRIORS, Rate, learn_yields, tubes_of, whole

DAY = date(2026, 11, 2)


def move(begins: str, ends: str, pieces: int) -> CaneMove:
    """A movement of one class."""
    return CaneMove(DAY, begins, ends, pieces, None, 10.0, 10.25)


@pytest.mark.parametrize(
    ("step", "low", "high"), [("split", 0.40, 0.70), ("gouged", 0.80, 0.95), ("tied", 0.40, 0.80)]
)
def test_general_experience_spans_the_trades_usual_ranges(step, low, high):
    """Common practice, no source; the quantiles by scipy.stats as the reference."""
    rate = PRIORS[step]
    assert beta.ppf((0.1, 0.9), rate.a, rate.b) == pytest.approx((low, high), abs=0.02)
    assert rate.middle_80() == pytest.approx(tuple(beta.ppf((0.1, 0.9), rate.a, rate.b)))


def test_mean_and_spread_are_those_of_the_beta_distribution():
    """scipy.stats.beta as the reference."""
    rate = Rate(9.5, 7.8)
    assert rate.mean == pytest.approx(beta.mean(9.5, 7.8))
    assert rate.sd == pytest.approx(beta.std(9.5, 7.8))


def test_the_ledger_narrows_what_is_known():
    """Own arithmetic: Beta(5.3, 3.6) after 60 tied pieces, 45 finished: mean 50.3 / 68.9."""
    yields = learn_yields([move("tied", "finished", 45), move("tied", "discarded", 15)])
    assert yields.rates["tied"].mean == pytest.approx(50.3 / 68.9)
    assert yields.rates["tied"].sd < PRIORS["tied"].sd / 2
    assert yields.counted["tied"] == 60
    assert yields.rates["gouged"] == PRIORS["gouged"]


def test_much_history_outweighs_general_experience():
    """With a thousand pieces the maker's own share is what counts."""
    yields = learn_yields([move("gouged", "tied", 970), move("gouged", "discarded", 30)])
    assert yields.rates["gouged"].mean == pytest.approx(0.97, abs=0.005)


def test_tubes_count_as_their_three_pieces():
    """20 tubes split are 60 pieces come through."""
    yields = learn_yields([move("tube", "split", 20), move("split", "discarded", 6)])
    assert yields.counted["tube"] == 60
    assert yields.counted["split"] == 6


def test_a_step_left_out_in_the_ledger_was_gone_through():
    """From split straight to tied: both steps saw the pieces."""
    yields = learn_yields([move("split", "tied", 10), move("split", "discarded", 10)])
    assert yields.counted["split"] == 20
    assert yields.counted["gouged"] == 10


def test_a_ledger_without_discards_teaches_nothing_and_says_so():
    """Nobody loses no piece: a maker who notes no discards isn't credited with perfect yields."""
    yields = learn_yields([move("tied", "finished", 200), move("gouged", "tied", 200)])
    assert yields.rates == PRIORS
    assert yields.counted["tied"] == 0
    assert "no discarded piece" in yields.notes[0]


def test_reeds_become_pieces_and_tubes():
    """Own arithmetic with rates 1/2, 4/5, 9/10, 3/4: 20 reeds, 34 gouged, 67 split, 25 tubes."""
    yields = learn_yields([])
    rates = dict(zip(yields.rates, (Rate(9, 1), Rate(1, 1), Rate(8, 2), Rate(3, 1)), strict=True))
    yields = type(yields)(rates, yields.counted)
    assert yields.from_stage("gouged") == pytest.approx(0.6)
    assert yields.pieces("gouged", 20) == 34
    assert yields.pieces("split", 20) == 67
    assert yields.tubes(20) == 25


@pytest.mark.parametrize("own", [1.0, 1.4, 2.5, 40.0])
def test_the_makers_own_figure_settles_pieces_gouged_for_a_good_reed(own):
    """The steps from gouged on come to one reed from so many pieces."""
    yields = learn_yields([], pieces_per_good_reed=own)
    assert 1 / yields.from_stage("gouged") == pytest.approx(own, rel=1e-3)
    assert yields.rates["split"] == PRIORS["split"]


@pytest.mark.parametrize(
    ("pieces", "rounded"), [(2.0, 2), (2.0000000001, 2), (2.1, 3), (0.0, 0), (1e-9, 0)]
)
def test_pieces_are_rounded_up(pieces, rounded):
    """A hair above a whole number counts as that number."""
    assert whole(pieces) == rounded


def test_a_part_of_a_tube_is_a_tube():
    """4 pieces come from 2 tubes."""
    assert [tubes_of(n) for n in (0, 1, 3, 4)] == [0, 1, 1, 2]
