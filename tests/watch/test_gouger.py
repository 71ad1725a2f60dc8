"""The gouger as a maker sees it: steady, drifting, tilted, or too little checked to say."""

from datetime import date, timedelta
from types import SimpleNamespace

import numpy as np
import pytest

from planner.watch.chart import LIMIT
from planner.watch.frequency import catch_row
from planner.watch.gouger import Aim, gouger_state, gouger_states
from planner.watch.run_length import drift_run_length

START = date(2026, 1, 5)
AIM = Aim(0.59, 0.56, 0.62, 0.02)


def check(day, centre, *, event=None, note="", left=None, right=None, gouger="bench"):
    """Return a row of the table of checks."""
    return SimpleNamespace(
        date=START + timedelta(days=day),
        gouger=gouger,
        centre_mm=centre,
        left_mm=left,
        right_mm=right,
        event=event,
        note=note,
    )


def state(rows, *, today, **more):
    """Return the state of one gouger aimed at 0.59 mm within 0.02."""
    return gouger_state(
        rows,
        AIM,
        today=START + timedelta(days=today),
        **more,
    )


def drifting(per_week, *, spread=0.008, checks=16, every=3, seed=4, first=0.59):
    """Return checks of a gouger that drifts by so much a week."""
    rng = np.random.default_rng(seed)
    return [
        check(i * every, round(first + per_week * i * every / 7 + rng.normal(0, spread), 3))
        for i in range(checks)
    ]


def test_no_checks_say_so_and_ask_for_one():
    """Without a check there is nothing to tell but to check."""
    found = state([], today=3)
    assert (found.state, found.now_mm, found.points) == ("none", None, ())
    assert found.next_check == START + timedelta(days=3)


def test_few_checks_are_said_to_be_few():
    """Three checks near the target tell little, and the answer is wide."""
    found = state([check(0, 0.59), check(2, 0.60), check(4, 0.585)], today=4)
    assert found.state == "few"
    assert found.spread_from_checks < 0.2
    assert found.drift_mm_per_week.p10 < 0 < found.drift_mm_per_week.p90


def test_one_check_tells_no_drift_and_two_do():
    """A drift is a change from one check to another."""
    rows = [check(0, 0.59), check(7, 0.592)]
    assert state(rows[:1], today=7).drift_mm_per_week is None
    assert state(rows, today=7).drift_mm_per_week.p50 > 0


def test_a_steady_gouger_is_steady():
    """Checks about the target call nothing, and no day is given on which it would leave."""
    found = state(drifting(0.0), today=46)
    assert (found.state, found.leaves_on) == ("steady", None)
    assert found.now_mm.p10 < 0.59 < found.now_mm.p90
    assert not any(point.called for point in found.points)


def test_a_gouger_that_gets_thinner_is_called():
    """0.003 mm a week for seven weeks: called thin, the drift found, a day named to leave by."""
    found = state(drifting(-0.003), today=46)
    assert found.state == "thin"
    assert found.drift_mm_per_week.p10 < -0.003 < found.drift_mm_per_week.p90
    assert found.leaves == "thin"
    assert found.leaves_from <= found.leaves_on
    assert found.next_check == START + timedelta(days=46)


def test_near_the_thinnest_allowed_it_warns():
    """Where the centre may already be below the least that is stable, that comes first."""
    found = state(drifting(-0.004, first=0.585), today=46)
    assert found.state == "unstable"
    assert found.thinnest_from == START + timedelta(days=46)


def test_one_check_alone_calls_no_setting_unstable():
    """A first check below the thinnest allowed may be a slip; the second like it isn't."""
    rows = [check(0, 0.545), check(1, 0.545)]
    assert state(rows[:1], today=1).state != "unstable"
    assert state(rows, today=1).state == "unstable"


@pytest.mark.parametrize("per_week", [0.0, -0.003])
def test_thick_and_thin_mirror_each_other(per_week):
    """The same checks turned about the target: the other side, on the same days."""
    rows = drifting(per_week, spread=0.003)
    turned = [SimpleNamespace(**{**vars(r), "centre_mm": 1.18 - r.centre_mm}) for r in rows]
    found, other = state(rows, today=46), state(turned, today=46)
    sides = {"thin": "thick", "steady": "steady", None: None}
    assert (other.state, other.leaves) == (sides[found.state], sides[found.leaves])
    assert (other.leaves_on, other.leaves_from) == (found.leaves_on, found.leaves_from)
    assert other.average_mm == pytest.approx(1.18 - found.average_mm)


def test_the_early_day_is_the_first_on_which_one_in_ten_has_left():
    """A steady gouger, closely checked, is within the tolerance for some weeks to come.

    As of that day, without another check, its spread reaches the tolerance; the day before not.
    """
    rows = drifting(0.0, spread=0.003)
    early = state(rows, today=46).leaves_from
    assert early > START + timedelta(days=46 + 14)
    for day, left in ((early - timedelta(days=1), False), (early, True)):
        now = state(rows, today=(day - START).days).now_mm
        assert (now.p10 < 0.57 or now.p90 > 0.61) == left


def test_the_average_told_is_that_of_the_newest_check():
    """What the chart's last point shows."""
    found = state(drifting(-0.003), today=46)
    assert found.average_mm == found.points[-1].average_mm


@pytest.mark.parametrize("event", ["sharpened", "set"])
def test_a_restart_begins_the_chart_anew(event):
    """After setting or sharpening, the drift before no longer counts."""
    rows = [*drifting(-0.004), check(46, 0.591, event=event), check(47, 0.589), check(48, 0.59)]
    found = state(rows, today=48)
    assert (found.state, found.checks_since_restart) == ("few", 3)
    assert (found.restart, found.restart_event) == (START + timedelta(days=46), event)
    assert found.points[-1].average_mm == pytest.approx(0.59, abs=0.002)


def test_an_event_without_a_gauging_restarts_too():
    """The maker may note that the blade was sharpened without measuring."""
    found = state([*drifting(-0.004), check(46, None, event="sharpened")], today=47)
    assert (found.state, found.checks_since_restart, found.checks) == ("none", 0, 16)
    assert found.next_check == START + timedelta(days=47)


def test_nothing_later_than_today_is_used():
    """As of a day, what was checked after it changes nothing."""
    rows = drifting(-0.003)
    later = [*rows, check(60, 0.40), check(61, None, event="set")]
    assert state(rows, today=46) == state(later, today=46)


def test_wet_and_dry_checks_are_told_apart():
    """Checks in turn wet and 0.015 mm thinner dry: one steady gouger, not a restless one."""
    rng = np.random.default_rng(8)
    rows = [
        check(
            i * 2,
            0.59 - 0.015 * (i % 2) + rng.normal(0, 0.004),
            note="dry cane" if i % 2 else "gouged damp",
        )
        for i in range(24)
    ]
    found = state(rows, today=48)
    assert found.wet_offset_mm.p50 == pytest.approx(0.015, abs=0.003)
    assert found.state == "steady"
    silent = state([SimpleNamespace(**{**vars(row), "note": ""}) for row in rows], today=48)
    assert found.spread_mm < silent.spread_mm
    assert [point.wet for point in found.points[:2]] == [True, False]


@pytest.mark.parametrize(
    ("days", "event", "offset", "deviation"),
    [(31, None, 0.016, 0.008944), (32, None, 0.015, 0.010), (3, "set", 0.015, 0.010)],
)
def test_a_wet_check_beside_a_dry_one_by_hand(days, event, offset, deviation):
    """0.015 +- 0.010 mm before; a pair 0.020 mm apart is worth 2500 beside 10000 per mm².

    Own arithmetic: 1 / (2 x 0.010²) halved; the mean of both is 0.016, 12500^-0.5 is 0.008944.
    Over more than a month or a new setting two checks say nothing of it.
    """
    rows = [check(0, 0.610, note="wet"), check(days, 0.590, note="dry", event=event)]
    found = state(rows, today=40).wet_offset_mm
    assert found.p50 == pytest.approx(offset, abs=1e-6)
    assert found.p90 - found.p50 == pytest.approx(1.28155 * deviation, abs=1e-5)


@pytest.mark.parametrize(("usual", "odd"), [("dry", "wet"), ("wet", "dry")])
def test_the_centre_is_told_as_most_pieces_were_gauged(usual, odd):
    """Twenty pieces in one state and four in the other, which gauge 0.015 mm otherwise."""
    off = 0.015 if odd == "wet" else -0.015
    rows = [
        check(i, 0.59 + off * (i % 6 == 3), note=odd if i % 6 == 3 else usual) for i in range(24)
    ]
    found = state(rows, today=24)
    assert found.now_mm.p50 == pytest.approx(0.59, abs=0.001)
    assert found.state == "steady"


@pytest.mark.parametrize("note", ["wet", "dry", ""])
def test_of_one_state_alone_no_difference_is_told(note):
    """All wet, all dry, or nothing noted."""
    rows = [check(i, 0.59, note=note) for i in range(5)]
    assert state(rows, today=5).wet_offset_mm is None


def test_the_order_of_the_rows_is_that_of_their_days():
    """However the table was typed in."""
    rows = [*drifting(-0.004, checks=8), check(30, 0.592, event="set"), check(33, 0.588)]
    assert state(rows[::-1], today=40) == state(rows, today=40)


def test_the_first_check_after_an_event_alone_bears_it():
    """A knife sharpened without a gauging: the chart starts anew, and says so, with the next."""
    rows = [
        check(0, 0.59),
        check(2, None, event="set"),
        check(3, None, event="sharpened"),
        check(4, 0.592),
        check(6, 0.588),
    ]
    points = state(rows, today=6).points
    assert [point.event for point in points] == [None, "sharpened", None]


def test_a_point_bears_the_event_that_it_came_with():
    """Only what restarts the chart is an event; the others have none."""
    rows = [check(0, 0.59), check(3, 0.592, event="sharpened"), check(6, 0.588)]
    assert [point.event for point in state(rows, today=6).points] == [None, "sharpened", None]


def test_several_pieces_a_check_narrow_it_by_the_root_of_their_number():
    """The mean of four pieces is as good as one piece of half the spread: as soon called."""
    four, one = catch_row(2, 4, 0.010, 60.0), catch_row(2, 1, 0.005, 60.0)
    assert (four.pieces, four.slow_pieces) == (one.pieces, one.slow_pieces)


def test_a_note_of_both_says_nothing():
    """A note with both words isn't guessed at."""
    found = state([check(0, 0.59, note="wet, then dry")], today=0)
    assert found.points[0].wet is None


def test_a_tilted_blade_is_named():
    """Left 0.02 mm thicker than right, check after check."""
    rng = np.random.default_rng(5)
    rows = [
        check(i * 3, 0.59, left=0.46 + rng.normal(0, 0.006), right=0.44 + rng.normal(0, 0.006))
        for i in range(10)
    ]
    found = state(rows, today=30)
    assert found.sides.finding == "tilted"
    assert found.sides.tilt_mm.p10 > 0.01


def test_a_blade_worn_in_the_middle_is_named():
    """The centre comes out thicker against the sides as the weeks go on."""
    rows = [check(i * 3, 0.59 + 0.002 * i, left=0.45, right=0.45) for i in range(14)]
    found = state(rows, today=42)
    assert found.sides.finding == "worn"
    assert found.sides.fall_change_mm.p10 > 0.01


def test_even_sides_are_even_and_few_are_unknown():
    """Two checks of the sides say nothing; ten alike say even."""
    rows = [check(i * 3, 0.59, left=0.45, right=0.451) for i in range(10)]
    assert state(rows, today=30).sides.finding == "even"
    assert state(rows[:2], today=30).sides.finding == "unknown"


def test_checks_of_one_day_have_no_change_over_time():
    """Several pieces on one day have sides, but no time in which to wear."""
    found = state([check(0, 0.59, left=0.45, right=0.45) for _ in range(6)], today=0)
    assert (found.sides.finding, found.sides.fall_change_mm.p50) == ("even", 0.0)


def test_more_checks_catch_a_change_within_fewer_pieces():
    """The table of how often to check is ordered, and the advice keeps what it says."""
    found = state(drifting(0.0), today=46, pieces_per_week=60, within_pieces=60).frequency
    one_piece = [row.pieces for row in found.rows if row.pieces_a_check == 1]
    assert one_piece == sorted(one_piece, reverse=True)
    assert found.reached
    assert found.checks_per_week <= 7


def test_what_can_not_be_caught_is_said():
    """Within a single piece no habit catches it; the most there is, is named."""
    found = state(drifting(0.0), today=46, pieces_per_week=60, within_pieces=1).frequency
    assert (found.reached, found.checks_per_week, found.pieces_a_check) == (False, 7, 4)


def test_a_name_written_otherwise_is_the_same_gouger():
    """A capital or a space too many begins no new chart; the last spelling is shown."""
    names = ["beech", "beech", "Beech", " Beech ", "Old  one", "old one"]
    rows = [check(day, 0.59, gouger=name) for day, name in enumerate(names)]
    rows.append(check(9, 0.59, gouger=None))
    found = gouger_states(reversed(rows), AIM, today=START + timedelta(days=9))
    assert [(one.gouger, one.checks) for one in found] == [("", 1), ("old one", 2), (" Beech ", 4)]


def test_gougers_are_kept_apart_the_latest_first():
    """Each gouger has its own chart; the one without a name too."""
    rows = [
        *(check(i, 0.59, gouger="old") for i in range(3)),
        *(check(i + 5, 0.60, gouger="new") for i in range(3)),
        check(1, 0.58, gouger=None),
    ]
    found = gouger_states(rows, AIM, today=START + timedelta(days=9))
    assert [(one.gouger, one.checks) for one in found] == [("new", 3), ("old", 3), ("", 1)]


def test_the_early_day_comes_no_later_where_checks_are_old():
    """The longer ago the last check, the less is known of today."""
    rows = drifting(0.0)
    fresh, stale = state(rows, today=46), state(rows, today=120)
    width = [found.now_mm.p90 - found.now_mm.p10 for found in (fresh, stale)]
    assert width[1] > width[0]
    assert stale.next_check == START + timedelta(days=120)


def test_a_slip_of_the_pen_does_not_widen_the_chart_much():
    """One check read 0.03 mm wrong leaves the spread near what it was."""
    rows = drifting(0.0, checks=20)
    wrong = [*rows[:10], check(30, 0.65), *rows[10:]]
    assert state(wrong, today=60).spread_mm < 1.8 * state(rows, today=60).spread_mm


def called_within(checks, per_check, gougers=20):
    """Return the share of simulated gougers whose chart called within so many checks."""
    rng = np.random.default_rng(20261125)
    called = 0
    for _ in range(gougers):
        centre = 0.59 + per_check * np.arange(1, checks + 1) + rng.normal(0, 0.008, checks)
        rows = [check(3 * i, round(float(mm), 3)) for i, mm in enumerate(centre)]
        found = state(rows, today=3 * checks)
        called += any(point.called for point in found.points)
    return called / gougers


def test_a_planted_drift_is_found_as_soon_as_stated():
    """0.001 mm a check: by the run length stated, 9.6 checks in the mean, nearly all within 25.

    The spread is learned from the same checks, as in use.
    """
    stated = drift_run_length(0.001 / 0.008, limit=LIMIT)
    assert stated == pytest.approx(9.6, abs=0.3)
    assert called_within(25, -0.001) >= 0.9
    assert called_within(25, 0.001) >= 0.9


def test_a_steady_gouger_is_called_as_rarely_as_stated():
    """A false alarm in 100 checks: at most a chance of 1 - exp(-1/4) within 25 of them.

    Three standard errors of 20 gougers are 0.28.
    """
    assert called_within(25, 0.0) <= 1 - np.exp(-25 / 100) + 0.28
