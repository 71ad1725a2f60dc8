"""What to take in a week: best cane, what is as good, how sure, and why."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.plan.choice import peak
from planner.plan.coming import Coming, YearMean
from planner.plan.limits import Limits
from planner.plan.recommend import advise, days_ahead

YEAR = YearMean(room_rh=45.0, moisture=8.5)


def without_doubt(draws):
    """The same effects, known exactly: 0.8 mm at 10.5 mm, 0.59 mm and 8.5 %, and no wandering."""
    known = {"level": 0.8, "diameter": -0.2, "gouge": 2.0, "moisture": 0.03, "wander": 0.0}
    return replace(draws, **{name: np.full(len(draws), value) for name, value in known.items()})


def test_a_dry_room_asks_for_rounder_cane_and_a_damp_one_for_flatter(advised):
    """The main promise of the tool, where damp cane opens and a large tube closes."""
    dry, usual, damp = (row.diameter_mm.best for row in advised([6.5, 8.5, 10.5]).weeks)
    assert dry < usual - 0.2
    assert damp > usual + 0.2


def test_the_best_diameter_makes_good_what_the_air_does(advised):
    """Own arithmetic: 2 % drier closes by 0.06 mm; at -0.2 mm per mm that is 0.3 mm rounder."""
    usual, dry = (row.diameter_mm.best for row in advised([8.5, 6.5]).weeks)
    assert dry - usual == pytest.approx(-0.3, abs=0.02)


def test_a_share_is_that_of_a_normal_distribution(advised, draws_of):
    """Own arithmetic: 0.7 to 0.9 mm about a mean of 0.8 with sd 0.08 holds 78.87 in 100."""
    exact = without_doubt(draws_of())
    row = advised([8.5], draws=exact, sd=0.0).weeks[0]
    assert row.in_band_share == pytest.approx(0.7887, abs=2e-4)
    assert row.diameter_mm.best == pytest.approx(10.5, abs=1e-6)
    assert row.opening_mm.p50 == pytest.approx(0.8, abs=0.002)
    assert row.opening_mm.p90 - row.opening_mm.p10 == pytest.approx(2 * 1.2816 * 0.08, rel=0.01)


def test_the_range_is_made_of_the_makers_classes(advised):
    """Low and high are limits of classes, and the best diameter lies between them."""
    edges = 9.5 + 0.25 * np.arange(9)
    for row in advised([5.5, 6.5, 7.5, 8.5, 9.5, 10.5, 11.5]).weeks:
        take = row.diameter_mm
        assert np.isclose(edges, take.low).any()
        assert np.isclose(edges, take.high).any()
        assert take.low <= take.best <= take.high


def test_every_class_taken_is_about_as_good_as_the_best(advised):
    """Only the class of the best diameter itself may give 2 in 100 less than the best class."""
    given_advice = advised([6.5, 8.5, 10.0])
    grid = given_advice.grid
    classes = given_advice.choices.curve @ grid.averaging
    for week, row in enumerate(given_advice.weeks):
        first, last = grid.class_of(row.diameter_mm.low), grid.class_of(row.diameter_mm.high - 1e-6)
        for number in range(first, last + 1):
            near = classes[week, number] >= classes[week].max() - 0.02 - 1e-12
            assert near or number == grid.class_of(row.diameter_mm.best)


@given(st.floats(9.6, 11.4), st.floats(0.1, 0.9))
def test_between_the_diameters_tried_the_peak_is_that_of_a_parabola(best, height):
    """A parabola whose peak lies anywhere between diameters 0.05 mm apart is found exactly."""
    tried = np.linspace(9.5, 11.5, 41)
    curve = height - 0.3 * (tried - best) ** 2
    where, share = peak(np.array([curve]), tried)
    assert (where[0], share[0]) == pytest.approx((best, height), abs=1e-9)


@pytest.mark.parametrize("best", [9.0, 12.0])
def test_the_peak_never_lies_outside_what_is_tried(best):
    """A share that rises to the end is best there."""
    tried = np.linspace(9.5, 11.5, 41)
    curve = 0.9 - 0.3 * (tried - best) ** 2
    where, share = peak(np.array([curve]), tried)
    assert (where[0], share[0]) == (np.clip(best, 9.5, 11.5), curve.max())


@pytest.mark.parametrize(
    ("level", "best", "range_of_it"), [(1.9, 11.5, (11.25, 11.5)), (0.01, 9.5, (9.5, 9.75))]
)
def test_where_no_cane_comes_into_range_that_which_comes_nearest_is_taken(
    advised, draws_of, level, best, range_of_it
):
    """Far too open asks for the flattest cane, which opens least; far too closed for the roundest.

    With a share of nought everywhere the share itself tells none of them apart.
    """
    row = advised([8.5], draws=draws_of(level=level)).weeks[0]
    assert row.in_band_share == pytest.approx(0.0, abs=1e-3)
    assert row.diameter_mm.best == best
    assert (row.diameter_mm.low, row.diameter_mm.high) == range_of_it


def test_where_little_comes_into_range_cane_that_brings_nothing_is_not_as_good(advised, draws_of):
    """Own arithmetic: 1.06 mm of the flattest cane, 2 sd above 0.9 mm; of the usual cane 4.5 sd."""
    fixed = Limits(gouge_min=0.59, gouge_max=0.59)
    row = advised([8.5], draws=draws_of(level=1.26), limits=fixed).weeks[0]
    assert 0.005 < row.in_band_share < 0.04
    assert row.diameter_mm.low >= 11.0


@pytest.mark.parametrize(("usual", "best"), [(10.4, 10.4), (10.3, 10.3)])
def test_where_every_cane_is_sure_the_usual_is_taken(advised, draws_of, usual, best):
    """A wanted range of 0 to 10 mm holds every reed of any cane."""
    wide = replace(draws_of(), low=np.zeros(200), high=np.full(200, 10.0))
    row = advised([8.5], draws=wide, limits=Limits(usual_diameter=usual)).weeks[0]
    assert row.in_band_share == pytest.approx(1.0, abs=1e-4)
    assert row.diameter_mm.best == best
    assert (row.diameter_mm.low, row.diameter_mm.high) == (9.5, 11.5)


def test_where_the_usual_cane_is_not_sure_the_nearest_sure_cane_is_taken(advised, draws_of):
    """Own arithmetic, sd 0.08: 995 in 1000 stand above 0.85 mm at a mean of 0.85 + 2.576 x 0.08.

    The usual cane has 0.92 mm; the 0.136 mm that are lacking are 0.68 mm of diameter.
    """
    exact = replace(without_doubt(draws_of()), level=np.full(200, 0.92))
    high = replace(exact, low=np.full(200, 0.85), high=np.full(200, 10.0))
    row = advised([8.5], draws=high, sd=0.0).weeks[0]
    assert row.diameter_mm.best == pytest.approx(9.82, abs=0.05)
    assert row.in_band_share == pytest.approx(0.995, abs=0.003)
    assert row.in_band_share_usual < 0.9


def test_the_gouge_stays_where_moving_it_gains_little(advised):
    """Within reach of the diameters the gouge is left alone."""
    assert {row.gouge_mm.target for row in advised([7.0, 8.5, 10.0]).weeks} == {0.59}


def test_the_gouge_moves_for_three_reeds_in_100_and_no_further_than_it_helps(advised, draws_of):
    """Own arithmetic, sd 0.08: cane that is too round by so much costs 0, 2.5, 8 and 68 in 100.

    The 2.5 leave the gouge alone; 0.02 mm thinner makes up for 0.04 of the 0.05 mm, to within
    1 in 100 of the best; for 0.2 mm the thinnest allowed is too thick still.
    """
    moisture = [8.5 + (0.2 * 0.25 + too_open) / 0.03 for too_open in (0.0, 0.0265, 0.05, 0.2)]
    narrow = Limits(diameter_min=10.25, diameter_max=10.75)
    rows = advised(moisture, draws=without_doubt(draws_of()), limits=narrow, sd=0.0).weeks
    assert [row.gouge_mm.target for row in rows] == pytest.approx([0.59, 0.59, 0.57, 0.56])


def test_the_gouges_given_are_as_good_at_the_cane_advised(advised, draws_of):
    """Own arithmetic, sd 0.08: 0.01 mm either way costs 1.4 in 100, 0.02 mm would cost 5.5.

    In damp as in usual air, as the diameter makes good what the air does.
    """
    for row in advised([8.5, 10.5], draws=without_doubt(draws_of()), sd=0.0).weeks:
        assert (row.gouge_mm.low, row.gouge_mm.high) == pytest.approx((0.58, 0.60))


def test_the_gouge_helps_where_the_cane_ends_and_never_below_the_minimum(advised):
    """Very damp cane and no flatter tube to be had: a thinner gouge closes it, to the limit."""
    narrow = Limits(diameter_min=10.25, diameter_max=10.75)
    rows = advised([8.5, 12.0, 16.0], limits=narrow).weeks
    assert rows[0].gouge_mm.target == pytest.approx(0.59)
    assert 0.56 - 1e-9 <= rows[1].gouge_mm.target < 0.585
    assert rows[2].gouge_mm.target == pytest.approx(0.56)
    assert "gouge thinner" in rows[2].why
    assert "as flat as you sort" in rows[2].why


def test_the_usual_choice_is_never_better_than_the_best(advised):
    """The share of the usual choice is at most that of the best, and equal where it is the best."""
    for row in advised([5.0, 7.0, 8.5, 10.0, 12.0]).weeks:
        assert row.in_band_share_usual <= row.in_band_share + 1e-9


def test_a_maker_without_history_is_kept_near_the_usual(advised, draws_of):
    """Uncertain effects move the best diameter less than well known ones."""
    sure = advised([6.5]).weeks[0].diameter_mm.best
    unsure = advised([6.5], draws=draws_of(sure=False)).weeks[0].diameter_mm.best
    assert sure < unsure < 10.55


def test_cane_is_sorted_the_lead_time_before(advised):
    """Reeds judged in a week are sorted so many days before its Monday."""
    assert advised([8.5, 8.5], lead=10).weeks[1].sort_by == date(2026, 11, 20)


def test_for_a_damper_place_the_reed_is_left_more_closed_at_the_bench(advised, coming_of):
    """Own arithmetic: 2 % damper there opens it by 0.06 mm, so it leaves the bench at 0.74 mm."""
    bench = coming_of([8.5, 8.5])
    far = coming_of([10.5, 10.5], place="Far", bench=bench)
    rows = advised([10.5, 10.5], place="Far", bench=bench).weeks
    assert far.is_bench is False
    assert rows[0].bench_opening_mm is not None
    assert rows[0].bench_opening_mm.p50 == pytest.approx(0.74, abs=0.005)
    assert (
        rows[0].bench_opening_mm.p10 < rows[0].bench_opening_mm.p50 < rows[0].bench_opening_mm.p90
    )


def test_the_bench_itself_has_no_opening_to_leave_it_at(advised):
    """Reeds played where they are judged need no such figure."""
    assert advised([8.5]).weeks[0].bench_opening_mm is None


def test_usual_only_says_what_comes_of_the_usual_choice(advised):
    """Diameter and gouge are the usual ones, and both shares are the same."""
    row = advised([6.0], usual_only=True).weeks[0]
    assert row.diameter_mm.best == 10.5
    assert row.gouge_mm.target == 0.59
    assert row.in_band_share == row.in_band_share_usual
    assert "too closed" in row.why


@pytest.mark.parametrize(
    ("moisture", "said"),
    [
        (
            6.2,
            "Room about 31\u00a0%, drier than its mean of 45\u00a0% over the year; rounder cane",
        ),
        (8.5, "Room about 45\u00a0%, as usual over the year; your usual cane fits."),
        (
            11.0,
            ", damper than its mean of 45\u00a0% over the year; "
            "flatter cane closes the reeds again.",
        ),
    ],
)
def test_the_reason_is_said_in_a_makers_words(advised, moisture, said):
    """The sentence names the room, the season and what the cane does."""
    assert said in advised([moisture], year=YEAR, sd=0.02).weeks[0].why


def test_a_standing_offset_is_not_blamed_on_the_air(advised, draws_of):
    """Where the usual cane comes out too closed in any week, the sentence says that."""
    row = advised([8.5], draws=draws_of(level=0.73), year=YEAR).weeks[0]
    assert (
        "your usual cane comes out about 0.07\u00a0mm too closed, rounder cane opens it up"
        in row.why
    )


def test_a_row_tells_its_weeks_room_and_cane(advised):
    """The percentiles of 200 futures, normal about 45 % and 8.5 %: 1.28 spreads to either side."""
    row = advised([6.5, 8.5], sd=0.5).weeks[1]
    assert row.week_start == date(2026, 11, 30)
    assert (row.moisture_pct.p10, row.moisture_pct.p50, row.moisture_pct.p90) == pytest.approx(
        (8.5 - 1.28 * 0.5, 8.5, 8.5 + 1.28 * 0.5), abs=0.15
    )
    assert (row.room_rh_pct.p10, row.room_rh_pct.p90) == pytest.approx(
        (45.0 - 1.28 * 3.1, 45.0 + 1.28 * 3.1), abs=0.9
    )


def test_days_ahead_count_from_the_last_judged_reed(draws_of):
    """To Thursday, the middle of a week; without a reed from today; never below none."""
    mondays = np.array(["2026-11-16", "2026-11-23", "2026-11-30"], "datetime64[D]")
    draws = draws_of()
    assert draws.last_day == "2026-11-20"
    assert days_ahead(draws, mondays, date(2026, 11, 25)).tolist() == [0.0, 6.0, 13.0]
    unjudged = replace(draws, last_day=None)
    assert days_ahead(unjudged, mondays, date(2026, 11, 25)).tolist() == [0.0, 1.0, 8.0]


def test_weeks_that_do_not_fit_together_are_refused():
    """Arrays of other shapes are told with their shapes."""
    with pytest.raises(ValueError, match=r"moisture \(3, 2\), room \(3, 1\)"):
        Coming(
            "B", np.arange(2).astype("datetime64[D]"), ["x", "x"], np.ones((3, 1)), np.ones((3, 2))
        )
    with pytest.raises(ValueError, match="2 weeks of moisture, 1 Mondays"):
        Coming("B", np.arange(1).astype("datetime64[D]"), ["x"], np.ones((3, 2)), np.ones((3, 2)))


def test_fewer_draws_than_members_are_used_in_turn(advised, draws_of):
    """A model that hands on fewer draws serves all the members."""
    row = advised([8.5], draws=draws_of(count=60)).weeks[0]
    assert row.in_band_share == pytest.approx(advised([8.5]).weeks[0].in_band_share, abs=0.01)


@given(moisture=st.lists(st.floats(3.0, 18.0), min_size=1, max_size=4))
def test_whatever_the_air_the_advice_stays_within_the_makers_limits(moisture):
    """Diameters, gouges and shares keep to what is possible."""
    rng = np.random.default_rng(3)
    from planner.opening.draws import EffectDraws, Reference

    n = 20
    draws = EffectDraws(
        Reference(10.5, 0.59, 8.5),
        rng.normal(0.8, 0.05, n),
        rng.normal(-0.2, 0.1, n),
        rng.normal(2, 2, n),
        rng.normal(0.02, 0.02, n),
        np.full(n, 0.08),
        np.full(n, 0.001),
        0.05,
        np.full(n, 0.7),
        np.full(n, 0.9),
    )
    limits = Limits(usual_diameter=10.3, sorted_to=0.3)
    wet = np.array(moisture) + rng.normal(0, 0.5, (n, len(moisture)))
    coming = Coming(
        "Bench",
        np.datetime64("2026-11-23", "D") + 7 * np.arange(len(moisture)),
        ["climate"] * len(moisture),
        np.full_like(wet, 40.0),
        wet,
    )
    today = date(2026, 11, 25)
    rows = advise(draws, coming, limits, today=today, sort_to_finish_days=14).weeks
    for row in rows:
        assert 9.5 <= row.diameter_mm.low <= row.diameter_mm.best <= row.diameter_mm.high <= 11.5
        assert 0.56 - 1e-9 <= row.gouge_mm.low <= row.gouge_mm.target <= row.gouge_mm.high
        assert row.gouge_mm.high <= 0.62 + 1e-9
        assert 0.0 <= row.in_band_share_usual <= row.in_band_share + 1e-6 <= 1.0 + 1e-6
