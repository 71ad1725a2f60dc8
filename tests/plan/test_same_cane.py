"""Places that want the same cane: few classes, and those that lie there."""

from dataclasses import replace
from datetime import date

import pytest

from planner.plan.calendar import Calendar
from planner.plan.documents import DiameterAdvice
from planner.plan.grid import Grid
from planner.plan.limits import Limits
from planner.plan.needs import Need
from planner.plan.same_cane import same_cane
from planner.plan.tasks import Use
from planner.plan.yields import PRIORS, Yields

GRID = Grid(Limits())
CALENDAR = Calendar(date(2026, 11, 25), sort_to_finish_days=14, order_days=21)
YIELDS = Yields(PRIORS, {})


@pytest.fixture
def need_of(advised):
    """A need of reeds that are sorted for in this week, with the range advised."""
    row = advised([8.5] * 4).weeks[2]

    def made(place, low, high, reeds=10, best=None, gouge=None):
        middle = (low + high) / 2 if best is None else best
        advice = replace(row, place=place, diameter_mm=DiameterAdvice(low, middle, high))
        if gouge is not None:
            advice = replace(advice, gouge_mm=replace(row.gouge_mm, target=gouge))
        curve = 0.8 - (GRID.diameters - middle) ** 2
        home = GRID.class_of(middle)
        return Need(advice, 2, reeds, curve, tuple(GRID.edges[home : home + 2].tolist()), 0.8)

    return made


def classes(found):
    """The classes to take, each with its places."""
    return [((g.diameter_low_mm, g.diameter_high_mm), g.places) for g in found]


def test_the_class_that_suits_most_reeds_comes_first(need_of):
    """Own arithmetic: 10.25-10.50 mm serves all three, so nothing else is taken."""
    needs = [
        need_of("Bench", 10.25, 10.75),
        need_of("Far", 10.0, 10.5),
        need_of("Near", 10.25, 10.5),
    ]
    found = same_cane(needs, GRID, YIELDS, CALENDAR)
    assert classes(found) == [((10.25, 10.5), ("Bench", "Far", "Near"))]
    assert found[0].reeds == 30


def test_places_apart_get_cane_of_their_own(need_of):
    """Ranges that share no class."""
    needs = [need_of("Bench", 10.5, 10.75, reeds=12), need_of("Far", 9.75, 10.0, reeds=5)]
    assert classes(same_cane(needs, GRID, YIELDS, CALENDAR)) == [
        ((10.5, 10.75), ("Bench",)),
        ((9.75, 10.0), ("Far",)),
    ]


def test_of_two_classes_that_suit_both_that_of_most_reeds_is_taken(need_of):
    """Ten reeds come out best from the rounder one by a little, four from the flatter by much."""
    most = need_of("Bench", 10.25, 10.75, reeds=10, best=10.45)
    few = need_of("Far", 10.25, 10.75, reeds=4, best=10.6)
    steep = replace(few, curve=0.8 - 8.0 * (GRID.diameters - 10.7) ** 2)
    found = same_cane([most, steep], GRID, YIELDS, CALENDAR)
    assert classes(found) == [((10.25, 10.5), ("Bench", "Far"))]


def test_gouges_come_in_order_whatever_the_order_of_the_places(need_of):
    """The thinner first."""
    gouges = (0.61, 0.57, 0.59, 0.62, 0.58)
    needs = [need_of(f"Place {g}", 10.25, 10.5, gouge=g) for g in gouges]
    assert [g.gouge_mm for g in same_cane(needs, GRID, YIELDS, CALENDAR)] == sorted(gouges)


def test_another_gouge_is_another_group(need_of):
    """Pieces gouged to different thickness are not the same cane."""
    needs = [need_of("Bench", 10.25, 10.5), need_of("Far", 10.25, 10.5, gouge=0.61)]
    assert [g.gouge_mm for g in same_cane(needs, GRID, YIELDS, CALENDAR)] == [
        pytest.approx(needs[0].advice.gouge_mm.target),
        0.61,
    ]


def use(place, low, high, reeds, gouge=0.59):
    """Cane taken up for the reeds that are sorted for in this week."""
    return Use(date(2026, 12, 7), place, (low, high), gouge, reeds, split=2 * reeds)


def test_with_a_stock_the_week_takes_what_the_plan_takes_of_it(need_of):
    """The same classes as in the list of what to sort, however well others would suit."""
    needs = [need_of("Bench", 10.25, 10.75), need_of("Far", 10.25, 10.5)]
    uses = [
        use("Far", 10.3, 10.5, 6.0),
        use("Bench", 10.5, 10.75, 9.4),
        use("Bench", 10.25, 10.5, 1.2),
    ]
    found = same_cane(needs, GRID, YIELDS, CALENDAR, uses)
    assert classes(found) == [((10.5, 10.75), ("Bench",)), ((10.25, 10.5), ("Far", "Bench"))]
    assert [group.reeds for group in found] == [9, 7]
    assert "at hand in place of" not in found[0].words


def test_cane_that_has_to_do_says_what_would_suit_better(need_of):
    """Nothing rounder lies there: it is taken all the same, and said."""
    needs = [need_of("Bench", 10.0, 10.25), need_of("Far", 9.75, 10.0)]
    uses = [use("Bench", 10.0, 10.25, 9.0), use("Far", 10.0, 10.25, 6.0)]
    (group,) = same_cane(needs, GRID, YIELDS, CALENDAR, uses)
    assert group.places == ("Bench", "Far")
    assert group.words.endswith(
        "Bench and Far; at hand in place of 9.75\u201310.00\u00a0mm for Far."
    )


def test_a_stock_with_nothing_to_take_up_names_nothing(need_of):
    """What is short is a warning's; what is gouged already is no cane to take."""
    assert same_cane([need_of("Bench", 10.25, 10.5)], GRID, YIELDS, CALENDAR, []) == ()


def test_a_range_within_one_class_is_taken_as_it_is(need_of):
    """Advice finer than the maker's classes."""
    found = same_cane([need_of("Bench", 10.30, 10.40)], GRID, YIELDS, CALENDAR)
    assert classes(found) == [((10.30, 10.40), ("Bench",))]


def test_only_this_weeks_cane_is_grouped(need_of):
    """A need whose sorting falls due next week waits."""
    later = Calendar(date(2026, 11, 18), 14, 21)
    assert same_cane([need_of("Bench", 10.25, 10.5)], GRID, YIELDS, later) == ()
