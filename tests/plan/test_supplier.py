"""What cane is sold as: learned from the purchases, coarser than the maker sorts."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.history.tables import CaneMove
from planner.plan.limits import Limits
from planner.plan.supplier import Supplier, part_of, supplier_of

TODAY = date(2026, 11, 25)


def purchase(pieces, low, high, day=date(2026, 9, 1)):
    """Tubes bought."""
    return CaneMove(day, "supplier", "tube", pieces, None, low, high)


def learned(*moves):
    """What is learned of the dealer from these purchases."""
    return supplier_of(moves, Limits(), TODAY)


@pytest.mark.parametrize("moves", [(), (purchase(40, 10.25, 10.5),)])
def test_without_wider_classes_cane_is_bought_as_it_is_sorted(moves):
    """No purchases, or cane bought in the maker's own classes."""
    assert learned(*moves).sold_as((10.0, 10.25)) == (10.0, 10.25)


def test_a_maker_who_mostly_buys_sorted_cane_goes_on_to():
    """Half of the pieces in classes of the maker's own: a wider one bought beside them is no rule.

    One piece more of wide classes and cane is bought in these.
    """
    fine = purchase(40, 10.25, 10.5)
    assert learned(fine, purchase(40, 10.0, 11.0)).sold_as((10.0, 10.25)) == (10.0, 10.25)
    assert learned(fine, purchase(41, 10.0, 11.0)).sold_as((10.0, 10.25)) == (10.0, 11.0)


def test_a_class_of_the_makers_own_is_no_class_of_the_dealers():
    """Sorted to 0.1 mm, with 40 pieces bought sorted of 100: only the wider classes carry on.

    10.3 - 10.2 is a hair more than 0.1 as a computer holds it.
    """
    bought = (purchase(40, 10.2, 10.3), purchase(35, 10.0, 10.5), purchase(25, 10.5, 11.0))
    dealer = supplier_of(bought, Limits(sorted_to=0.1), TODAY)
    assert dealer.classes == ((10.0, 10.5), (10.5, 11.0))
    assert dealer.sold_as((9.8, 9.9)) == (9.5, 10.0)


@pytest.mark.parametrize("tenth", range(5))
def test_every_fifth_of_a_class_is_sought_out_of_it(tenth):
    """Sorted to 0.1 mm out of half a millimetre: a fifth serves, whichever of the five it is."""
    dealer = supplier_of([purchase(40, 10.0, 10.5)], Limits(sorted_to=0.1), TODAY)
    wanted = (round(10.0 + tenth / 10, 1), round(10.1 + tenth / 10, 1))
    assert dealer.sold_as(wanted) == (10.0, 10.5)


def test_a_class_is_bought_in_the_wider_one_that_holds_it():
    """Bought in halves of a millimetre: the half that the class lies in."""
    dealer = learned(purchase(40, 10.0, 10.5), purchase(60, 10.5, 11.0))
    assert dealer.sold_as((10.0, 10.25)) == (10.0, 10.5)
    assert dealer.sold_as((10.25, 10.5)) == (10.0, 10.5)
    assert dealer.sold_as((10.75, 11.0)) == (10.5, 11.0)


def test_a_class_never_bought_carries_the_dealers_steps_on():
    """From 10.0-10.5 mm down: 9.5-10.0 mm."""
    dealer = learned(purchase(40, 10.0, 10.5))
    assert dealer.sold_as((9.75, 10.0)) == (9.5, 10.0)
    assert dealer.sold_as((11.0, 11.25)) == (11.0, 11.5)


def test_the_narrowest_class_that_holds_it_is_bought():
    """A dealer with two ways of sorting."""
    dealer = learned(purchase(40, 10.0, 11.0), purchase(10, 10.0, 10.5))
    assert dealer.sold_as((10.25, 10.5)) == (10.0, 10.5)


def test_what_was_bought_years_ago_counts_only_without_anything_newer():
    """The dealer of 2020 sorted otherwise."""
    old = purchase(500, 10.0, 11.0, day=date(2020, 1, 1))
    assert learned(old, purchase(10, 10.0, 10.5)).sold_as((10.0, 10.25)) == (10.0, 10.5)
    assert learned(old).sold_as((10.0, 10.25)) == (10.0, 11.0)


def test_a_narrow_class_is_not_sought_out_of_unsorted_cane():
    """Of hundreds of unsorted tubes one in eight would serve: it is to be bought sorted."""
    assert learned(purchase(40, None, None)).sold_as((10.0, 10.25)) == (10.0, 10.25)


def test_wide_classes_may_be_bought_unsorted():
    """Where no diameter was noted, cane is of all that the maker takes: here a quarter serves."""
    assert learned(purchase(40, None, None)).sold_as((10.0, 10.5)) == (9.5, 11.5)


def test_the_part_that_is_wanted_is_the_overlap():
    """Own arithmetic: a quarter of a millimetre of a half, and of one that it juts out of."""
    assert part_of((10.0, 10.25), (10.0, 10.5)) == pytest.approx(0.5)
    assert part_of((10.0, 10.25), (10.1, 10.6)) == pytest.approx(0.3)
    assert part_of((10.0, 10.25), (10.5, 11.0)) == 0.0


@given(st.integers(0, 7), st.floats(9.0, 11.0), st.floats(0.3, 1.5))
def test_what_is_bought_always_holds_some_of_what_is_wanted(number, low, width):
    """However the dealer sorts, the middle of the class wanted lies in the one to buy."""
    dealer = Supplier(((round(low, 2), round(low + width, 2)),))
    wanted = (9.5 + 0.25 * number, 9.75 + 0.25 * number)
    bought = dealer.sold_as(wanted)
    assert bought[0] - 1e-3 <= sum(wanted) / 2 <= bought[1] + 1e-3
    assert part_of(wanted, bought) > 0
