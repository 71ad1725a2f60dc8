"""What to sort, gouge and order by when: counted back, short, and true to the record."""

import math
import re
from datetime import date, timedelta

import pytest

from planner.history.tables import CaneMove, Order
from planner.plan.calendar import Calendar
from planner.plan.coming import YearMean
from planner.plan.preparation import NO_LEDGER, Output, Record, prepare

TODAY = date(2026, 11, 25)
MONDAY = date(2026, 11, 23)
CALENDAR = Calendar(TODAY, sort_to_finish_days=14, order_days=21)
OUTPUT = Output(20.0, {"Bench": 0.6, "Far": 0.4})
DRY = [8.5, 8.5, 8.5, 6.5, 6.5, 6.5, 6.5, 8.5, 8.5, 8.5]


def move(begins, ends, pieces, low=10.25, high=10.5, day=date(2026, 9, 1)):
    """A movement of cane."""
    return CaneMove(day, begins, ends, pieces, None, low, high)


@pytest.fixture
def two_places(advised, coming_of):
    """Advice for a bench that is as usual, and a far place that turns dry in the fourth week."""
    bench = coming_of([8.5] * len(DRY))
    year = YearMean(45.0, 8.5)
    return [
        advised([8.5] * len(DRY), year=year),
        advised(DRY, place="Far", bench=bench, year=year),
    ]


@pytest.fixture
def prepared(two_places):
    """What to prepare for the two places from a ledger and orders."""

    def made(moves=(), orders=(), output=OUTPUT, calendar=CALENDAR):
        return prepare(two_places, Record(list(moves), list(orders)), output, calendar)

    return made


def test_without_a_ledger_the_pieces_are_counted_and_nothing_is_ordered(prepared):
    """Sorting and gouging are told as if all cane were at hand, and a note says so."""
    found = prepared()
    assert {item.action for item in found.prepare} == {"sort", "gouge"}
    assert found.notes == (NO_LEDGER,)
    assert found.stock == ()
    assert found.warnings == ()


def test_sorting_is_counted_back_by_the_lead_time_and_gouging_by_half_of_it(prepared):
    """Own arithmetic: judged from 7 December, sorted by 23 November, gouged a week on."""
    first = [item for item in prepared().prepare if item.week_start == date(2026, 12, 7)]
    assert {(item.action, item.by) for item in first} == {
        ("sort", TODAY),
        ("gouge", date(2026, 11, 30)),
    }


def test_rounder_cane_is_sorted_before_the_dry_weeks_of_the_far_place(prepared):
    """The fourth week (14 December) is dry there: its cane is sorted by 30 November."""
    rounder = [item for item in prepared().prepare if item.diameter_high_mm < 10.4]
    assert rounder[0].by == date(2026, 11, 30)
    assert rounder[0].place == "Far"
    assert rounder[0].action == "sort"


def test_what_is_due_far_ahead_is_left_to_later_plans(prepared):
    """Nothing beyond six weeks, when forecasts will know more."""
    assert max(item.by for item in prepared().prepare) <= TODAY + timedelta(days=42)


def test_reeds_become_pieces_by_the_yields(prepared):
    """Own arithmetic: general experience, 20 reeds from 20 / (0.878 x 0.596) = 38.2 pieces."""
    two = prepared(output=Output(20.0, {"Bench": 1.0, "Far": 0.0})).same_cane
    assert [(group.reeds, group.pieces) for group in two] == [(20, 39)]
    assert two[0].words.startswith("20\u00a0reeds from 10.")


def test_places_that_want_the_same_cane_are_put_together(prepared):
    """In a usual week one class serves both."""
    (group,) = prepared().same_cane
    assert group.places == ("Bench", "Far")
    assert group.sort_by == MONDAY
    assert "Bench and Far" in group.words


def test_the_list_is_in_the_order_of_its_days(prepared):
    """Sorting, gouging and ordering together, with stock for some weeks and none for others."""
    found = prepared([move("supplier", "tube", 30)]).prepare
    assert {item.action for item in found} == {"sort", "gouge", "order"}
    days = [item.by for item in found]
    assert days == sorted(days)


def test_split_pieces_are_counted_as_pieces(prepared):
    """No tube is spoken of where there is none, and no piece is lost in the count."""
    sort = [i for i in prepared([move("supplier", "split", 300)]).prepare if i.action == "sort"]
    assert sort
    for item in sort:
        assert item.words.startswith(f"Sort {item.pieces}\u00a0split pieces of ")


def test_cane_of_a_class_across_two_of_the_makers_is_picked_through(prepared):
    """Tubes of 10.4 to 10.9 mm: what the bench takes of them is named, not all of them.

    The rounder part is of the usual class, 10.25 to 10.5 mm.
    """
    found = prepared([move("supplier", "tube", 300, 10.4, 10.9)]).prepare
    classes = {(i.diameter_low_mm, i.diameter_high_mm) for i in found if i.action == "sort"}
    assert (10.4, 10.5) in classes
    assert all(low >= 10.4 and high - low <= 0.25 + 1e-9 for low, high in classes)


def test_without_a_ledger_as_many_tubes_are_sorted_as_the_pieces_of_a_reed_ask(prepared):
    """Own arithmetic: twice the pieces for a reed, so twice the tubes for the same reeds."""
    tubes = [
        prepared(output=Output(20.0, {"Bench": 1.0}, pieces)).prepare[0].pieces
        for pieces in (2.0, 4.0)
    ]
    assert tubes[1] == pytest.approx(2 * tubes[0], abs=3)


def test_cane_at_hand_is_used_and_the_rest_ordered_in_time(prepared):
    """30 tubes of the usual class: first the near weeks; what they don't cover is bought."""
    found = prepared([move("supplier", "tube", 30)])
    sort = [item for item in found.prepare if item.action == "sort"]
    orders = [item for item in found.prepare if item.action == "order"]
    assert sort[0].words.startswith("Sort ")
    assert "tubes of 10.25\u201310.50\u00a0mm" in sort[0].words
    assert sum(item.pieces for item in sort) <= 90
    assert orders
    assert all(item.by >= TODAY for item in orders)
    lead = timedelta(days=14 + 21)
    assert all(item.week_start - lead in (item.by, MONDAY) for item in orders)


def test_an_order_names_tubes_enough_for_the_reeds(prepared):
    """Three pieces to a tube, less what the steps lose."""
    order = next(
        item for item in prepared([move("supplier", "tube", 30)]).prepare if item.action == "order"
    )
    assert order.pieces % 3 == 0
    assert f"Order {order.pieces // 3}\u00a0tubes" in order.words


def test_an_order_names_the_class_that_is_sold(prepared):
    """Bought in halves of a millimetre: the half to order, and what of it is wanted.

    Own arithmetic: 64 reeds want the flatter half of it, so twice their tubes are bought, and the
    rounder half that comes with them covers the other 16.
    """
    fine = prepared([move("supplier", "tube", 1)]).prepare
    coarse = prepared([move("supplier", "tube", 1, 10.0, 10.5)]).prepare
    first = next(item for item in coarse if item.action == "order")
    flatter = next(item for item in fine if (item.action, item.diameter_low_mm) == ("order", 10.25))
    assert (first.diameter_low_mm, first.diameter_high_mm) == (10.0, 10.5)
    assert "tubes of 10.00\u201310.50\u00a0mm and sort out 10.00\u201310.25" in first.words
    assert "10.25\u201310.50\u00a0mm (about 50 in\u00a0100), for 80\u00a0reeds" in first.words
    assert first.pieces == pytest.approx(2 * flatter.pieces, abs=3)


def test_what_an_order_brings_of_other_classes_serves_later_orders(prepared):
    """Two halves of one class as sold are wanted: they aren't both bought twice over."""
    fine = prepared([move("supplier", "tube", 1)]).prepare
    coarse = prepared([move("supplier", "tube", 1, 10.0, 10.5)]).prepare

    def ordered(items):
        return sum(item.pieces for item in items if item.action == "order")

    assert ordered(coarse) < 2 * ordered(fine)
    assert all(item.pieces > 0 for item in (*fine, *coarse))


def test_gouged_and_tied_pieces_serve_the_weeks_too_near_to_sort_for(prepared):
    """With enough on the way there is nothing that can't be covered."""
    ready = [move("supplier", "tied", 60), move("supplier", "gouged", 80)]
    plenty = [*ready, move("supplier", "tube", 300)]
    assert not any("gouged or tied" in note for note in prepared(plenty).notes)
    short = prepared([move("supplier", "tube", 300)]).notes
    assert any(
        note.startswith("The record has nothing gouged or tied for 40\u00a0reeds, weeks of")
        for note in short
    )


def test_cane_of_one_class_only_is_used_for_what_it_serves(prepared):
    """Flat cane alone: the far place's dry weeks get new cane, the rest is a plan all the same."""
    found = prepared([move("supplier", "tube", 400, 10.5, 10.75)])
    assert any(item.action == "sort" and item.diameter_low_mm >= 10.5 for item in found.prepare)
    assert any(
        item.action == "order" and item.diameter_high_mm <= 10.5 and "Far" in item.place
        for item in found.prepare
    )


def test_cane_outside_the_makers_limits_is_told_and_left(prepared):
    """12 mm tubes are no use; the stock says so."""
    found = prepared([move("supplier", "tube", 10, 12.0, 12.5)])
    line = next(line for line in found.stock if line.diameter_low_mm == 12.0)
    assert line.surplus_pieces == 30
    assert line.words.endswith("30\u00a0pieces over, outside your limits.")


def test_of_cane_across_a_limit_only_the_part_within_is_taken(prepared):
    """A class of 9 to 10 mm, cane from 9.5 mm on: half of it is no use."""
    found = prepared([move("supplier", "tube", 40, 9.0, 10.0)])
    at_hand = {line.diameter_low_mm: line.tubes for line in found.stock if line.tubes}
    assert at_hand == {9.0: 20, 9.5: 10, 9.75: 10}
    outside = next(line for line in found.stock if line.diameter_low_mm == 9.0)
    assert (outside.diameter_high_mm, outside.surplus_pieces) == (9.5, 60)
    sorted_ = [item for item in found.prepare if item.action == "sort"]
    assert sum(item.pieces for item in sorted_) == 60


def test_the_stock_adds_up(prepared):
    """At hand is used or over; needed is used or short."""
    moves = [
        move("supplier", "tube", 50, 10.0, 10.5),
        move("supplier", "gouged", 40, 10.25, 10.5),
        move("supplier", "split", 30, 11.0, 11.25),
        CaneMove(date(2026, 9, 1), "supplier", "tube", 8),
    ]
    for line in prepared(moves).stock:
        assert line.at_hand_pieces - line.surplus_pieces == line.needed_pieces - line.short_pieces
        assert line.at_hand_pieces >= line.split + line.gouged + line.tied
        assert line.surplus_pieces >= 0


def test_a_line_of_the_stock_says_what_lies_there_and_what_is_short(prepared):
    """By the stages of the work, those with none left out; cane without a class by itself."""
    moves = [
        move("supplier", "tube", 10),
        move("supplier", "split", 5),
        move("supplier", "gouged", 4),
        CaneMove(date(2026, 9, 1), "supplier", "gouged", 6),
    ]
    unsorted, rounder, usual = prepared(moves).stock
    assert unsorted.words == "unsorted: 6 gouged; as needed."
    assert (unsorted.diameter_low_mm, unsorted.diameter_high_mm) == (None, None)
    assert rounder.words.startswith("10.00\u201310.25\u00a0mm: none at hand; ")
    assert usual.words == (
        "10.25\u201310.50\u00a0mm: 10\u00a0tubes, 5 split, 4 gouged; "
        f"{usual.short_pieces}\u00a0pieces short."
    )
    assert (usual.tubes, usual.split, usual.gouged, usual.tied) == (10, 5, 4, 0)
    assert usual.at_hand_pieces == 10 * 3 + 5 + 4


def test_cane_that_is_over_is_best_for_the_place_that_it_suits_most(prepared):
    """Rounder cane than the bench takes: for the far place's dry weeks."""
    found = prepared([move("supplier", "tied", 500, 9.75, 10.0)])
    (line,) = [line for line in found.stock if line.surplus_pieces]
    assert line.words.endswith("pieces over, best for Far.")


def test_orders_of_reeds_take_the_place_of_the_weekly_output(prepared):
    """30 reeds for one place and week need more cane there than the usual 8."""
    week = date(2026, 12, 7)
    usual = prepared().same_cane
    ordered = prepared(orders=[Order(week, "Far", 30)]).same_cane
    assert sum(group.reeds for group in usual) == 20
    assert sum(group.reeds for group in ordered) == 30


def test_an_order_for_an_unknown_place_is_a_warning(prepared):
    """The rest is planned as if it weren't there."""
    found = prepared(orders=[Order(date(2026, 12, 7), "Elsewhere", 3)])
    assert 'ordered for "Elsewhere"' in found.warnings[0]
    assert found.prepare


def test_no_output_and_no_orders_need_nothing(prepared):
    """A workshop that makes nothing in the coming weeks gets an empty list."""
    found = prepared([move("supplier", "tube", 5)], output=Output(0.0, {}))
    assert found.prepare == ()
    assert found.same_cane == ()
    assert found.stock[0].surplus_pieces == 15


def test_a_longer_lead_time_moves_the_day_to_sort(prepared):
    """What if finishing took four weeks: what is sorted now is judged in four weeks."""
    slow = prepared(calendar=Calendar(TODAY, 28, 21))
    assert slow.same_cane[0].sort_by == MONDAY
    assert slow.same_cane[0].week_start == date(2026, 12, 21)
    assert min(item.week_start for item in slow.prepare) == date(2026, 12, 21)


def test_what_is_due_this_week_stays_due_all_week(prepared):
    """The list made on Monday and on Friday names the same week, and a day that isn't past."""
    monday = prepared(calendar=Calendar(MONDAY, 14, 21)).prepare[0]
    friday = prepared(calendar=Calendar(date(2026, 11, 27), 14, 21)).prepare[0]
    assert (monday.week_start, monday.words) == (friday.week_start, friday.words)
    assert (monday.by, friday.by) == (MONDAY, date(2026, 11, 27))


def test_reeds_finished_this_week_are_not_made_again(prepared):
    """20 finished on Tuesday: this week wants no more, so fewer of the tied pieces are used."""
    tied = move("supplier", "tied", 900)
    done = move("tied", "finished", 20, day=date(2026, 11, 24))

    def used(moves):
        return sum(line.at_hand_pieces - line.surplus_pieces for line in prepared(moves).stock)

    assert used([tied]) - used([tied, done]) == pytest.approx(33, abs=4)


def test_one_task_holds_at_most_a_months_weeks(prepared):
    """Ten usual weeks at the bench are cut into runs of four."""
    found = prepared(output=Output(20.0, {"Bench": 1.0, "Far": 0.0}))
    starts = [item.week_start for item in found.prepare if item.action == "sort"]
    assert starts == [date(2026, 12, 7), date(2027, 1, 4)]


@pytest.mark.parametrize("own_figure", [None, 1000.0])
def test_where_hardly_a_piece_becomes_a_reed_nothing_is_ordered_by_that(prepared, own_figure):
    """All of 9,000 pieces discarded, or a thousand pieces for a reed: a sentence, no list."""
    lost = [
        move("supplier", "tube", 3000, day=date(2026, 8, 1)),
        move("tube", "split", 3000, day=date(2026, 8, 2)),
        move("split", "discarded", 9000, day=date(2026, 8, 3)),
    ]
    moves = lost if own_figure is None else [move("supplier", "tube", 20)]
    found = prepared(moves, output=Output(20.0, {"Bench": 0.6, "Far": 0.4}, own_figure))
    assert not [item for item in found.prepare if item.action == "order"]
    (said,) = [warning for warning in found.warnings if "becomes a reed" in warning]
    # 1,000 gouged pieces for a reed are some 1,900 in tubes: 0.95 of these are split, 0.55 gouged.
    among = int(re.match(r"By the record only 1 in ([\d,]+) pieces", said)[1].replace(",", ""))
    assert among == pytest.approx(1_919, abs=5) if own_figure else among > 1_000
    assert "planner export cane" in said


@pytest.mark.parametrize(
    ("shares", "said"),
    [
        ({"Bench": 0.0, "Far": 0.0}, "All shares of the places are 0"),
        ({"Bench": 2.0, "Far": 1.0}, "add to 3, not to 1"),
        ({}, None),
        ({"Bench": 1.0}, None),
    ],
)
def test_odd_shares_are_a_plan_and_a_sentence(prepared, shares, said):
    """Whatever was said of the places, all the reeds are planned."""
    found = prepared(output=Output(20.0, shares))
    assert sum(group.reeds for group in found.same_cane) == 20
    assert [said in warning for warning in found.warnings] == ([True] if said else [])


def test_more_reeds_than_could_ever_be_made_are_a_plan_all_the_same(prepared):
    """A slip of six noughts: what can't be done is said, what can is listed."""
    found = prepared([move("supplier", "tube", 20)], output=Output(1e6, {"Bench": 1.0}))
    assert found.prepare[0].action == "sort"
    assert any(warning.startswith("Short 2,999,9") for warning in found.warnings)


@pytest.mark.parametrize("stock", [[], [move("supplier", "tube", 60, 10.0, 10.75)]])
def test_the_week_and_the_list_name_the_same_cane(prepared, stock):
    """What is taken together this week is what the list sorts by today, kept stock or none."""
    found = prepared(stock)
    sorted_now = {
        (item.diameter_low_mm, item.diameter_high_mm)
        for item in found.prepare
        if (item.action, item.by) == ("sort", TODAY)
    }
    taken = {(group.diameter_low_mm, group.diameter_high_mm) for group in found.same_cane}
    assert taken
    assert taken <= sorted_now


def test_the_reeds_of_the_list_are_what_its_cane_gives(prepared):
    """Many little heaps: each rounded up, 15 reeds wanted were sorted for as 18."""
    moves = [
        move("supplier", "tube", 30, 10.0, 11.0),
        move("tube", "split", 10, None, None),
        move("split", "gouged", 12),
        move("gouged", "tied", 8),
        move("tied", "finished", 5),
        move("tied", "discarded", 1),
    ]
    found = prepared(moves, [Order(date(2026, 12, 7), "Bench", 15)])
    of_a_tube = 3 * math.prod(step.share for step in found.yields)
    of_a_piece = of_a_tube / found.yields[0].share / 3
    items = [item.words.replace("\u00a0", " ") for item in found.prepare if item.action == "sort"]
    told = [
        re.search(
            r"Sort (?:(\d+) tubes?)?(?: and )?(?:(\d+) split.*?)? of .* for (\d+) reeds?,", item
        )
        for item in items
    ]
    heaps = [tuple(int(number or 0) for number in words.groups()) for words in told]
    assert len(heaps) > 5
    for tubes, split, reeds in heaps:
        assert abs(reeds - tubes * of_a_tube - split * of_a_piece) <= 0.5 + 1e-6
