"""Reeds wanted by place and week: orders first, then the weekly output by shares."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.history.tables import Order
from planner.plan.wanted import dealt, settled_shares, wanted

MONDAY = date(2026, 11, 23)
WEEKS = [MONDAY + timedelta(days=7 * week) for week in range(6)]
PLACES = ("Bench", "Far", "Near")
SHARES = {"Bench": 0.5, "Far": 0.3, "Near": 0.2}


def test_the_output_is_dealt_out_by_the_shares():
    """Every week comes to the output, and over the weeks each place gets its share."""
    reeds = wanted(PLACES, WEEKS, reeds_per_week=20, shares=SHARES).reeds
    assert (reeds.sum(axis=0) == 20).all()
    assert reeds.sum(axis=1).tolist() == pytest.approx([60, 36, 24], abs=2)


def test_the_same_week_is_dealt_out_alike_whenever_it_is_planned():
    """A week later, the weeks that are still ahead are as they were."""
    shares = {"Bench": 0.41, "Far": 0.33, "Near": 0.26}
    now = wanted(PLACES, WEEKS, reeds_per_week=7, shares=shares).reeds
    later = wanted(PLACES, WEEKS[1:], reeds_per_week=7, shares=shares).reeds
    assert (now[:, 1:] == later).all()


def test_an_order_is_what_its_place_wants_and_the_rest_goes_to_the_others():
    """Own arithmetic: 12 ordered of 20, the 8 left go 5 to 2 between the others."""
    reeds = wanted(
        PLACES, WEEKS, reeds_per_week=20, shares=SHARES, orders=[Order(WEEKS[1], "far ", 12)]
    ).reeds
    assert reeds[1, 1] == 12
    assert reeds[:, 1].sum() == 20
    assert reeds[0, 1] > reeds[2, 1]


def test_orders_beyond_the_output_are_wanted_all_the_same():
    """Who orders 30 wants 30; nothing is left for the others."""
    reeds = wanted(
        PLACES, WEEKS, reeds_per_week=20, shares=SHARES, orders=[Order(WEEKS[0], "Far", 30)]
    ).reeds
    assert reeds[:, 0].tolist() == [0, 30, 0]


def test_two_orders_of_a_week_add_up_and_any_day_stands_for_its_week():
    """A date within the week means that week."""
    orders = [Order(WEEKS[2], "Far", 4), Order(WEEKS[2] + timedelta(days=3), "Far", 5)]
    reeds = wanted(PLACES, WEEKS, reeds_per_week=9, shares=SHARES, orders=orders).reeds
    assert reeds[1, 2] == 9


def test_an_order_for_an_unknown_place_is_left_out_and_told():
    """The sentence says how many, for whom, and what to do."""
    found = wanted(
        PLACES, WEEKS, reeds_per_week=20, shares=SHARES, orders=[Order(WEEKS[0], "Elsewhere", 6)]
    )
    assert found.notes == (
        '6 reeds are ordered for "Elsewhere", which the workshop doesn\'t have; they are left '
        "out. Add it to workshop.toml as another [[place]].",
    )
    assert found.reeds[:, 0].sum() == 20


def test_a_place_that_is_not_planned_is_told_as_it_is():
    """It has no weather: its part goes to the others, its orders are left out, neither by guess."""
    found = wanted(
        PLACES[:2],
        WEEKS,
        reeds_per_week=20,
        shares={"Bench": 0.5, "Far": 0.3, "Near": 0.2},
        orders=[Order(WEEKS[0], "near", 6)],
    )
    assert found.notes == (
        "There is no weather of Near, so its part of the reeds goes to the other places.",
        '6 reeds are ordered for "near", a place without weather; they are left out.',
    )
    assert (found.reeds.sum(axis=0) == 20).all()
    assert found.reeds.sum(axis=1).tolist() == pytest.approx([75, 45], abs=2)


def test_shares_are_added_up_as_the_maker_wrote_them():
    """A place that isn't planned counts in the sum, with and without a share of its own."""
    found, notes = settled_shares(PLACES[:2], {"Bench": 2, "Far": None, "Near": 1})
    assert found == [1.0, 0.0]
    assert notes[0].startswith("The shares of the places add to 3, not to 1;")
    found, notes = settled_shares(PLACES[:2], {"Bench": 0.5, "Far": 0.5, "Near": 0})
    assert (found, notes) == ([0.5, 0.5], ())
    found, _ = settled_shares(PLACES[:2], {"Bench": 0, "Far": 0, "Near": 1})
    assert found == [0.5, 0.5]


def test_orders_of_past_weeks_do_not_count():
    """What was wanted last week is over, known place or not."""
    old = [Order(MONDAY - timedelta(days=7), "Far", 30), Order(MONDAY - timedelta(days=7), "X", 1)]
    found = wanted(PLACES, WEEKS, reeds_per_week=20, shares=SHARES, orders=old)
    assert found.notes == ()
    assert (found.reeds.sum(axis=0) == 20).all()


def test_what_was_made_this_week_is_not_wanted_again():
    """6 of this week's 20 are finished; the other weeks are as they were."""
    reeds = wanted(PLACES, WEEKS, reeds_per_week=20, shares=SHARES, made_this_week=6).reeds
    assert reeds.sum(axis=0).tolist() == [14, 20, 20, 20, 20, 20]


@pytest.mark.parametrize(
    ("shares", "fractions", "noted"),
    [
        ({}, [1 / 3] * 3, False),
        ({"Far": 0.4}, [0.3, 0.4, 0.3], False),
        ({"Bench": 50, "Far": 30, "Near": 20}, [0.5, 0.3, 0.2], False),
        ({"Bench": 1, "Far": 1, "Near": 1}, [1 / 3] * 3, True),
        ({"Bench": 0.5, "Far": 0.5, "Near": 0.5}, [1 / 3] * 3, True),
        ({"Bench": 0.6, "Far": 0.6}, [0.5, 0.5, 0.0], True),
        ({"Bench": 0.0, "Far": 0.0, "Near": 0.0}, [1 / 3] * 3, True),
    ],
)
def test_shares_that_do_not_add_to_one_are_settled_and_told(shares, fractions, noted):
    """Any unit will do; one without a share gets an even part of the rest."""
    found, notes = settled_shares(PLACES, shares)
    assert found == pytest.approx(fractions)
    assert bool(notes) == noted


@given(
    reeds=st.floats(0, 300),
    shares=st.lists(st.floats(0, 1), min_size=1, max_size=50),
    week=st.integers(700_000 // 7, 760_000 // 7),
)
def test_dealing_makes_and_loses_no_reed(reeds, shares, week):
    """Whole reeds; the sum within one of what there is, each within one of its part."""
    counts = dealt(reeds, shares, week)
    total = sum(shares)
    if total <= 0:
        assert counts == [0] * len(shares)
        return
    assert abs(sum(counts) - reeds) <= 1 + 1e-6
    for count, share in zip(counts, shares, strict=True):
        assert abs(count - reeds * share / total) <= 1 + 1e-6
        assert count >= 0
