"""Runs of openings, in invented histories with planted shifts, lots and nothing at all."""

from dataclasses import replace

import numpy as np
import pytest

from planner.opening.draws import EffectDraws, Reference
from planner.opening.observations import CLOSED, GOOD, OPEN, UNJUDGED, Observations
from planner.watch.causes import Effects
from planner.watch.judged import LotNow
from planner.watch.openings import Bench, Run, calls, lot_off, runs_of_openings
from planner.watch.surprise import surprises

REED_SD, LOT_SD = 0.075, 0.04
EFFECTS = Effects(diameter=-0.20, diameter_sd=0.05, gouge=2.0, moisture=0.02)
BENCH = Bench(10.5, 9.5, 11.5, 0.25)
LOT = 25  # reeds of each lot


def draws(level=0.80, wander=0.002):
    """Return draws without doubt, as the opening model would hand them on."""

    def sure(value):
        return np.full(3, value)

    return EffectDraws(
        Reference(10.5, 0.59, 8.5),
        level=sure(level),
        diameter=sure(-0.20),
        gouge=sure(2.0),
        moisture=sure(0.02),
        spread=sure(np.hypot(REED_SD, LOT_SD)),
        wander=sure(wander),
        wander_limit=0.08,
        low=sure(0.70),
        high=sure(0.90),
    )


def history(seed, n=200, *, shift=0.0, at=150, odd_lot=None, odd=0.0, lot_sd=LOT_SD, verdicts=0.0):
    """Return judged reeds, four a day, and their openings."""
    rng = np.random.default_rng(seed)
    lot = np.arange(n) // LOT
    offset = rng.normal(0, lot_sd, lot.max() + 1)
    if odd_lot is not None:
        offset[odd_lot] = odd
    diameter, gouge = 10.5 + rng.normal(0, 0.2, n).round(2), np.full(n, 0.59)
    opening = (
        0.80
        - 0.20 * (diameter - 10.5)
        + shift * (np.arange(n) >= at)
        + offset[lot]
        + rng.normal(0, REED_SD, n)
    )
    felt = np.where(opening < 0.70, CLOSED, np.where(opening > 0.90, OPEN, GOOD))
    told = rng.random(n) < verdicts
    return Observations(
        day=np.datetime64("2026-01-05") + np.arange(n) // 4,
        diameter_low=diameter,
        diameter_high=diameter,
        gouge=gouge,
        moisture=np.full(n, 8.5),
        moisture_sd=np.full(n, 0.5),
        opening=np.where(told, np.nan, opening),
        verdict=np.where(told, felt, UNJUDGED).astype(np.int8),
        lot=lot,
        dry=np.zeros(n, np.bool_),
        lots=tuple(f"lot {i}" for i in range(lot.max() + 1)),
    )


def first(seen, n):
    """Return the first *n* reeds."""
    columns = {name: getattr(seen, name)[:n] for name in Observations.__dataclass_fields__}
    return Observations(**{**columns, "lots": seen.lots})


def note(seen, *, level=0.80, place=None, places=("Bench",), gouger_off=None):
    """Return the note on a history, with the level that the model believes now."""
    where = np.zeros(len(seen), np.int64) if place is None else place
    judged = surprises(seen, draws(level), where, places)
    return runs_of_openings(judged, EFFECTS, BENCH, gouger_off=gouger_off)


def called_after(seen, at, *, kind, last):
    """Return how many reeds after *at* a run of that kind is called, in steps of three."""
    for n in range(at + 3, at + last, 3):
        found = note(first(seen, n))
        if found is not None and found.kind == kind:
            return n - at
    return last


def test_nothing_is_called_of_an_empty_history():
    """No reeds, no runs."""
    assert calls(np.empty(0)) == []
    assert note(first(history(1), 0)) is None


def test_calls_in_close_succession_are_one_run():
    """Own arithmetic: 2 less 1/2 a reed passes 5 with every fourth reed: calls at 3, 7 and 11.

    Ten reeds of nothing between two calls leave it one run, eleven part it; the other side is a
    run of its own at once.
    """
    assert calls(np.full(12, 2.0)) == [Run(0, 1, 11)]
    for quiet, runs in ((9, [Run(0, 1, 16)]), (10, [Run(0, 1, 3), Run(14, 1, 17)])):
        assert calls(np.concatenate([np.full(4, 2.0), np.zeros(quiet), np.full(4, 2.0)])) == runs
    both = np.concatenate([np.full(4, 2.0), np.full(4, -2.0)])
    assert calls(both) == [Run(0, 1, 3), Run(4, -1, 7)]


@pytest.mark.parametrize("verdicts", [0.0, 0.8])
def test_surprises_are_even_where_nothing_changed(verdicts):
    """Mean 0, spread 1, no tie from one to the next: 30 histories, three standard errors.

    Three standard errors of 6,000 values: 0.04, with a hundredth for what parting the spread of
    lots from that of reeds costs; of a spread from verdicts 0.07, their slips being cut.
    """
    z = [
        surprises(history(s, verdicts=verdicts), draws(), np.zeros(200, np.int64), ("B",)).residual
        for s in range(30)
    ]
    values = np.concatenate(z)
    assert values.mean() == pytest.approx(0.0, abs=0.05)
    assert values.std() == pytest.approx(1.0, abs=0.07)
    assert np.corrcoef(values[1:], values[:-1])[0, 1] == pytest.approx(0.0, abs=0.05)


def test_false_alarms_come_as_rarely_as_stated():
    """Standard normal surprises: a call in 465 reeds on average.

    Montgomery, Introduction to Statistical Quality Control, table 9.3 (from memory), two-sided
    CUSUM, k 0.5, h 5: 465. 600 charts; three standard errors of a run length are 12 %.
    """
    rng = np.random.default_rng(7)
    lengths = [_run_length(rng, 0.0) for _ in range(600)]
    assert np.mean(lengths) == pytest.approx(465, rel=0.12)


def test_a_shift_of_one_spread_is_called_as_soon_as_stated():
    """Montgomery (ibid., from memory): after 10.4 reeds; of two spreads after 4.01."""
    rng = np.random.default_rng(8)
    assert np.mean([_run_length(rng, 1.0) for _ in range(600)]) == pytest.approx(10.4, abs=0.8)
    assert np.mean([_run_length(rng, 2.0) for _ in range(600)]) == pytest.approx(4.01, abs=0.3)


def _run_length(rng, shift):
    """Reeds until the tested rule calls, in steps of one, over growing histories."""
    values = rng.normal(shift, 1.0, 6_000)
    upper = lower = 0.0
    for i, value in enumerate(values):
        upper, lower = max(0.0, upper + value - 0.5), max(0.0, lower - value - 0.5)
        if max(upper, lower) > 5.0:
            assert len(calls(values[: i + 1])) == 1
            assert calls(values[:i]) == []
            return i + 1
    return len(values)


def test_a_level_that_fell_is_found_and_named():
    """0.12 mm too closed from one reed on: called within 30 reeds in 9 of 10 histories."""
    after = [
        called_after(history(s, 240, shift=-0.12, at=160), 160, kind="closed", last=100)
        for s in range(12)
    ]
    assert np.mean([n <= 30 for n in after]) >= 0.8
    found = [note(history(s, 185, shift=-0.12, at=160)) for s in range(12)]
    named = [f.causes[0].name for f in found if f is not None]
    assert named.count("level") > len(named) / 2


def test_the_correction_is_rounder_cane_where_reeds_close():
    """0.12 mm too closed asks for a smaller diameter, by at most what makes up for it."""
    found = note(history(3, 200, shift=-0.12, at=160))
    assert found.kind == "closed"
    assert -0.12 / 0.20 - 0.1 < found.correction_mm < -0.2
    assert found.class_low_mm <= found.diameter_mm <= found.class_high_mm
    assert found.off_mm.p10 < -0.12 < found.off_mm.p90 + 0.03


def test_too_open_asks_for_flatter_cane():
    """The other way round."""
    found = note(history(3, 200, shift=0.12, at=160))
    assert (found.kind, found.correction_mm > 0.2) == ("open", True)


def test_it_goes_quiet_when_the_model_has_caught_up():
    """The same reeds, once the model believes the new level: nothing left to say."""
    seen = history(3, 200, shift=-0.12, at=160)
    assert note(seen) is not None
    assert note(seen, level=0.68) is None


def test_a_change_that_the_model_followed_at_once_is_news_for_some_reeds():
    """Told for a dozen reeds from the call, without a correction; then quiet."""
    seen = history(3, 200, shift=-0.12, at=160, lot_sd=0.0)
    told = {n: note(first(seen, n), level=0.68) for n in range(161, 200)}
    told = {n: news for n, news in told.items() if news is not None and news.followed}
    news = told[min(told)]
    assert (news.kind, news.correction_mm, news.diameter_mm) == ("closed", None, None)
    assert (news.class_low_mm, news.class_high_mm) == (None, None)
    assert 10 <= len(told) <= 14
    assert note(first(seen, min(told))).correction_mm < 0
    assert note(seen, level=0.68) is None


def test_a_call_of_long_ago_is_no_news():
    """Sixty reeds on, what is still off must be called anew."""
    seen = history(3, 400, shift=-0.12, at=160, lot_sd=0.0)
    runs = calls(surprises(seen, draws(), np.zeros(400, np.int64), ("B",)).residual)
    last = max(run.called for run in runs)
    assert last < 330
    assert note(seen) is None


def test_an_odd_lot_is_found_and_named():
    """A lot 0.12 mm too closed: called within its own 25 reeds in 9 of 10, and named first."""
    histories = [history(s, 200, odd_lot=6, odd=-0.12) for s in range(12)]
    assert np.mean([called_after(h, 150, kind="closed", last=25) < 25 for h in histories]) >= 0.8
    found = [note(first(h, 174)) for h in histories]
    named = [f.causes[0] for f in found if f is not None]
    assert sum((c.name, c.what) == ("lot", "lot 6") for c in named) >= 0.6 * len(named)


def test_a_lot_is_dropped_once_it_is_used_up():
    """Twenty-five good reeds of the next lot, and the odd one isn't spoken of."""
    found = note(history(2, 200, odd_lot=6, odd=-0.14, lot_sd=0.0))
    assert found is None


def test_a_gouger_known_to_be_thin_is_named_where_gouges_are_not_noted():
    """0.03 mm thin by its checks, at 2 mm per mm: half the shift and the first to look at."""
    seen = history(5, 200, shift=-0.07, at=162, lot_sd=0.0)
    seen = replace(seen, gouge=np.where(np.arange(200) >= 150, np.nan, seen.gouge))
    found = note(seen, gouger_off=-0.03)
    assert found.causes[0].name == "gouge"
    assert "gouge" not in {c.name for c in note(history(5, 200, shift=-0.12, at=162)).causes}


def test_a_single_place_points_to_its_room():
    """Only the reeds judged at one of two places moved, its moisture little known."""
    n = 240
    place = np.arange(n) % 2
    seen = history(6, n, lot_sd=0.0)
    moved = (place == 1) & (np.arange(n) >= 160)
    seen = replace(
        seen,
        opening=seen.opening - 0.20 * moved,
        moisture_sd=np.where(place == 1, 4.0, 0.5),
    )
    found = note(seen, place=place, places=("Bench", "Hall"))
    assert found is not None
    assert found.causes[0].name == "room"
    assert found.causes[0].what == "Hall"


def test_a_slip_of_the_pen_is_no_run():
    """One reed noted at 0.1 mm calls nothing."""
    seen = history(11, 150, lot_sd=0.0)
    before = note(seen)
    opening = seen.opening.copy()
    opening[140] = 0.10
    assert before is None
    assert note(replace(seen, opening=opening)) is None


def even_run(n=60, start=40, off=-0.12):
    """Judged reeds that are as expected, and from *start* on all *off* by the same. [mm]"""
    judged = surprises(history(1, n), draws(), np.zeros(n, np.int64), ("B",))
    beyond = off * (np.arange(n) >= start)
    return replace(
        judged,
        residual=beyond / 0.08,
        opening=0.80 + beyond,
        level_before=np.full(n, 0.80),
        lot=np.full(n, -1),
        lots_now=(),
        reed_sd=REED_SD,
    )


def test_what_is_left_of_a_run_by_hand():
    """Twenty reeds 0.12 mm off, each newer one counting 1 / 0.9 of the last, held back by one.

    Own arithmetic: they count as (1 - 0.9^20) / 0.1 = 8.7842, so 0.12 x 8.7842 / 9.7842 are left;
    its spread is 0.075 x (1 + (1 - 0.81^20) / 0.19)^0.5 / 9.7842 = 0.019063. Off by 0.12, sure to
    0.075 / 20^0.5.
    """
    found = runs_of_openings(even_run(), EFFECTS, BENCH)
    assert (found.reeds, found.kind) == (20, "closed")
    assert found.left_mm.p50 == pytest.approx(-0.107735, abs=2e-6)
    assert found.left_mm.p90 - found.left_mm.p50 == pytest.approx(1.28155 * 0.019063, abs=2e-6)
    assert found.off_mm.p50 == pytest.approx(-0.12)
    assert found.off_mm.p90 + 0.12 == pytest.approx(1.28155 * 0.075 / 20**0.5, abs=1e-6)


def test_a_run_that_the_model_has_nearly_caught_up_with_is_news_only():
    """0.015 mm left of 0.12, and that surely: less than is worth a correction."""
    judged = replace(even_run(), reed_sd=0.03)
    assert runs_of_openings(judged, EFFECTS, BENCH).correction_mm is not None
    found = runs_of_openings(replace(judged, level=0.80 - 0.105), EFFECTS, BENCH)
    assert found.followed
    assert found.left_mm.p90 < 0
    assert found.correction_mm is None


@pytest.mark.parametrize(("unsure", "given"), [(0.150, True), (0.162, False), (0.3, False)])
def test_a_correction_is_given_once_it_is_nine_to_one_that_flatter_cane_closes(unsure, given):
    """0.20 mm a millimetre: the limit is 0.20 / 1.2816 = 0.156. Else the run is told."""
    found = runs_of_openings(even_run(), replace(EFFECTS, diameter_sd=unsure), BENCH)
    answer = (found.correction_mm, found.diameter_mm, found.class_low_mm, found.class_high_mm)
    assert [part is not None for part in answer] == [given] * 4


@pytest.mark.parametrize(
    ("usual", "off", "expected"),
    [(9.6, -0.12, (9.5, 9.5, 9.75)), (11.4, 0.12, (11.5, 11.25, 11.5))],
)
def test_the_correction_stays_within_what_the_maker_takes(usual, off, expected):
    """Never beyond the smallest or largest diameter, nor out of its class."""
    found = runs_of_openings(even_run(off=off), EFFECTS, Bench(usual, 9.5, 11.5, 0.25))
    assert (found.diameter_mm, found.class_low_mm, found.class_high_mm) == expected
    assert found.correction_mm == pytest.approx(expected[0] - usual)


@pytest.mark.parametrize(
    ("offset", "deviation", "called"),
    [(-0.06, 0.02, True), (-0.06, 0.0222, False), (0.06, 0.02, True), (-0.02, 0.001, False)],
)
def test_a_lot_is_called_once_it_is_surely_off_by_what_matters(offset, deviation, called):
    """Nineteen to one beyond 0.025 mm: 0.06 less 1.645 x 0.02 is 0.027; x 0.0222, 0.023."""
    lot = np.where(np.arange(60) < 50, -1, 0)
    judged = replace(even_run(off=0.0), lot=lot, lots_now=(LotNow(0, offset, deviation),))
    found = lot_off(judged)
    assert (found is not None) == called
    if found is not None:
        assert (found.start, found.called, found.lot) == (50, 59, 0)
        assert found.side == np.sign(offset)


def test_dry_openings_and_unnamed_lots_are_taken_as_they_come():
    """A dry opening without a verdict is passed over; a reed of no lot still counts."""
    seen = history(4, 120)
    seen = replace(
        seen, dry=np.arange(120) % 5 == 0, lot=np.where(np.arange(120) % 3 == 0, -1, seen.lot)
    )
    judged = surprises(seen, draws(), np.zeros(120, np.int64), ("B",))
    assert len(judged) == 96
    assert np.isfinite(judged.residual).all()
