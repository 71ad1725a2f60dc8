"""The review of a season, on an invented workshop whose truth is known."""

import re
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import properscoring
import pytest
from statsmodels.stats.proportion import proportion_confint

from planner.history.tables import CaneMove, Reed
from planner.opening.draws import EffectDraws, Reference
from planner.plan.documents import DiameterAdvice, GougeAdvice, WeekAdvice
from planner.plan.limits import Limits
from planner.plan.review import Known, review
from planner.plan.review_forecast import PlannedWeek
from planner.plan.review_groups import share_interval
from planner.plan.review_rivals import Hindsight, simple_choices, year_before
from planner.plan.review_scores import RoomWeek
from planner.plan.review_season import judged, season, weeks_of
from planner.spread import Spread

HALF = season(date(2025, 10, 1), date(2026, 3, 31), date(2026, 4, 10))
LEAD = 14
DRAWS = 120
REFERENCE = Reference(10.5, 0.59, 8.5)
EFFECT = {"diameter": -0.25, "gouge": 2.0, "moisture": 0.04}
LEVEL, SPREAD, WANTED = 0.80, 0.06, (0.72, 0.88)
BENCH, HALL = "Bench", "Hall"


def moisture_of(week: date) -> float:
    """Return the cane's moisture [%] of a week: driest at the turn of the year."""
    away = abs((week - date(2026, 1, 5)).days)
    return 6.5 + 2.5 * min(1.0, away / 90)


def best_of(week: date) -> float:
    """Return the diameter [mm] that brings a reed of a week to the middle of the range."""
    return 10.5 - EFFECT["moisture"] * (moisture_of(week) - 8.5) / EFFECT["diameter"]


def draws(rng: np.random.Generator, level: float = LEVEL) -> EffectDraws:
    """Return draws close about the truth."""
    near = {name: value * rng.normal(1, 0.1, DRAWS) for name, value in EFFECT.items()}
    return EffectDraws(
        REFERENCE,
        level=rng.normal(level, 0.01, DRAWS),
        spread=np.full(DRAWS, SPREAD),
        wander=np.zeros(DRAWS),
        wander_limit=0.0,
        low=np.full(DRAWS, WANTED[0]),
        high=np.full(DRAWS, WANTED[1]),
        **near,
    )


def planned_week(week: date, place: str = BENCH, level: float = LEVEL) -> PlannedWeek:
    """Return a week planned with the right moisture, give or take 0.3 %."""
    rng = np.random.default_rng(week.toordinal())
    best = best_of(week)
    moisture = rng.normal(moisture_of(week), 0.3, DRAWS)
    spread = Spread(0.7, 0.8, 0.9)
    advice = WeekAdvice(
        week_start=week,
        place=place,
        sort_by=week - timedelta(days=LEAD),
        weather="climate",
        room_rh_pct=spread,
        moisture_pct=spread,
        diameter_mm=DiameterAdvice(best - 0.1, best, best + 0.1),
        gouge_mm=GougeAdvice(0.58, 0.59, 0.60),
        in_band_share=0.8,
        in_band_share_usual=0.7,
        opening_mm=spread,
        bench_opening_mm=None,
        why="",
    )
    return PlannedWeek(
        week,
        place,
        week - timedelta(days=LEAD),
        advice,
        draws(rng, level),
        np.repeat(moisture[:, None], 7, axis=1),
        6.0 * moisture + rng.normal(0, 1, DRAWS),
        float(LEAD),
    )


def made(per_week=8, *, diameter=best_of, level=LEVEL, seed=1, **more) -> list[Reed]:
    """Return the reeds of the season and of the one before, of lots of six weeks each."""
    rng = np.random.default_rng(seed)
    reeds = []
    for year in (1, 0):
        for i, week in enumerate(weeks_of(HALF)):
            for k in range(per_week):
                day = week + timedelta(days=k % 5)
                if not HALF.first <= day <= HALF.last:
                    continue
                d = round(diameter(week) + rng.normal(0, 0.03), 2)
                opening = (
                    level
                    + EFFECT["diameter"] * (d - 10.5)
                    + EFFECT["moisture"] * (moisture_of(week) - 8.5)
                    + rng.normal(0, SPREAD)
                )
                row = {"lot": f"lot {i // 6}", "gouge_mm": 0.59, "opening_mm": round(opening, 3)}
                reeds.append(
                    Reed(day - timedelta(days=364 * year), BENCH, diameter_mm=d, **{**row, **more})
                )
    return reeds


def hindsight_over(reeds: list[Reed], level: float = LEVEL):
    """Return a hindsight that knows the truth but for a little doubt."""

    def of(rows):
        rng = np.random.default_rng(9)
        cane = np.array([moisture_of(_monday(reeds[i].date)) for i in rows], dtype=float)
        sure = draws(rng, level)
        return Hindsight(
            base=np.repeat(sure.level[:, None], len(rows), axis=1),
            diameter=sure.diameter,
            gouge=sure.gouge,
            moisture=sure.moisture,
            spread=sure.spread,
            low=sure.low,
            high=sure.high,
            cane=cane,
            lot=np.zeros(len(rows)),
            level=np.full(len(rows), level),
            reference=(10.5, 0.59, 8.5),
        )

    return of


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def known(reeds: list[Reed], **more) -> Known:
    """Return what a review of the winter is made from."""
    weeks = weeks_of(HALF)
    base = Known(
        today=date(2026, 4, 10),
        half=HALF,
        workshop="Invented",
        places=(BENCH, HALL),
        southern=False,
        wanted=WANTED,
        limits=Limits(),
        usual_diameter=10.5,
        lead_days=LEAD,
        reeds=reeds,
        moves=(),
        planned={(week, BENCH): planned_week(week) for week in weeks},
        last_year={(week, BENCH): (best_of(week) - 0.05, 0.59) for week in weeks},
        come={(week, BENCH): 6.0 * moisture_of(week) for week in weeks},
        room_weeks=[RoomWeek(BENCH, 5, 42.0 + i % 3, 42.5) for i in range(20)],
        hindsight=hindsight_over(reeds),
    )
    return replace(base, **more)


def test_a_plan_that_was_followed_and_right_is_said_to_fit():
    """Promised and seen agree, the intervals hold, and following was worth something."""
    found = review(known(made()))
    assert (found.season, found.bench) == ("winter half 2025/26", BENCH)
    assert found.verdict.endswith(("it fitted.", "nothing speaks against it."))
    assert found.calibration.chance > 0.05
    assert (found.calibration.weeks, found.calibration.lots) == (27, 5)
    assert found.predicted_share == pytest.approx(found.seen_share, abs=0.06)
    assert found.calibration.inside_80 == pytest.approx(0.8, abs=0.08)
    assert sum(found.calibration.pit) == found.calibration.mm_reeds
    assert found.calibration.pit_chance > 0.05
    assert (found.following.other, found.following.other_share) == (0, None)
    assert found.following.followed == found.reeds
    assert found.following.followed_share == pytest.approx(found.seen_share)
    assert found.worth.name == "usual"
    assert found.worth.worth.p10 > 0
    assert len(found.next_season) == 3
    assert found.next_season[0].startswith("Follow the plan's diameters")


@pytest.mark.parametrize(("good", "count"), [(0, 7), (3, 7), (160, 200), (12, 12)])
def test_the_interval_of_a_share_is_jeffreys(good, count):
    """Statsmodels' interval for a binomial proportion; fewer independent reeds widen it."""
    expected = proportion_confint(good, count, alpha=0.2, method="jeffreys")
    alone = share_interval(good, count, float(count))
    assert alone == pytest.approx(expected, abs=1e-9)
    low, high = share_interval(good, count, count / 3)
    assert high - low > alone[1] - alone[0]


def test_the_reeds_of_the_season_are_counted_once_each_way():
    """Weeks, lots, classes and places each add up to the reeds judged; those before stay out."""
    reeds = made()
    found = review(known(reeds))
    own = [reed for reed in reeds if HALF.first <= reed.date <= HALF.last]
    assert found.reeds == len(own)
    for groups in (found.weeks, found.by_lot, found.by_place, found.by_diameter):
        assert sum(group.reeds for group in groups) == len(own)
    assert found.good + sum(week.closed + week.open for week in found.weeks) == len(own)


def test_the_plan_beats_what_knows_nothing_of_the_cane():
    """One diameter all along, driest in mid-winter: the plan's expectations are nearer."""
    found = review(known(made(diameter=lambda _: 10.5)))
    error = {row.name: row for row in found.errors}
    assert error["plan"].absolute_mm < error["last_reeds"].absolute_mm
    assert error["plan"].crps_mm < min(error["last_reeds"].crps_mm, error["last_year"].crps_mm)


def test_the_errors_of_what_knows_nothing_by_hand():
    """One reed after the other; properscoring for the CRPS of a normal forecast.

    The last 20 reeds judged by the day of planning, two weeks before the reed's own week; or all
    reeds of the same weeks a year before. A coming reed spreads as they do and by their mean.
    """
    reeds = made(per_week=5)
    off, score = {"last_reeds": [], "last_year": []}, {"last_reeds": [], "last_year": []}
    year_ago = np.array([r.opening_mm for r in reeds if r.date < HALF.first])
    for reed in (r for r in reeds if r.date >= HALF.first):
        begun = _monday(reed.date) - timedelta(days=LEAD)
        last = np.array([r.opening_mm for r in reeds if r.date <= begun])[-20:]
        for name, before in (("last_reeds", last), ("last_year", year_ago)):
            mean, spread = before.mean(), before.std() * np.sqrt(1 + 1 / len(before))
            off[name].append(reed.opening_mm - mean)
            score[name].append(properscoring.crps_gaussian(reed.opening_mm, mean, spread))
    found = {row.name: row for row in review(known(reeds)).errors}
    for name, each in off.items():
        assert found[name].reeds == len(each)
        assert found[name].mean_mm == pytest.approx(np.mean(each))
        assert found[name].absolute_mm == pytest.approx(np.mean(np.abs(each)))
        assert found[name].crps_mm == pytest.approx(np.mean(score[name]))


def test_without_a_year_before_that_years_mean_is_no_rival():
    """Nor are the last reeds in the first weeks, with fewer than five of them."""
    reeds = [reed for reed in made() if reed.date >= HALF.first]
    found = {row.name: row for row in review(known(reeds)).errors}
    assert set(found) == {"plan", "last_reeds"}
    assert found["last_reeds"].reeds < found["plan"].reeds == len(reeds)


def test_the_order_in_which_reeds_were_noted_changes_nothing():
    """A table whose newest day comes first."""
    reeds = made()
    newest_first = sorted(reeds, key=lambda reed: reed.date, reverse=True)
    found, turned = review(known(reeds)), review(known(newest_first))
    assert turned.weeks == found.weeks
    assert turned.errors == found.errors
    assert turned.calibration == found.calibration


def test_a_reed_of_a_class_counts_with_its_middle():
    """Sorted to 10.30-10.40 mm: as if it were 10.35 mm."""
    classes = [
        replace(
            reed,
            diameter_mm=None,
            diameter_low_mm=reed.diameter_mm - 0.05,
            diameter_high_mm=reed.diameter_mm + 0.05,
        )
        for reed in made()
    ]
    found, by_mm = review(known(classes)), review(known(made()))
    assert found.predicted_share == pytest.approx(by_mm.predicted_share)
    for row, exact in zip(found.weeks, by_mm.weeks, strict=True):
        assert row.made_diameter_mm == pytest.approx(exact.made_diameter_mm)


@pytest.mark.parametrize(
    ("today", "first", "last", "north", "south"),
    [
        ("2026-03-31", "2025-04-01", "2025-09-30", "summer half 2025", "winter half 2025"),
        ("2026-04-01", "2025-10-01", "2026-03-31", "winter half 2025/26", "summer half 2025/26"),
        ("2026-10-01", "2026-04-01", "2026-09-30", "summer half 2026", "winter half 2026"),
        ("2027-01-15", "2026-04-01", "2026-09-30", "summer half 2026", "winter half 2026"),
    ],
)
def test_the_season_reviewed_is_the_half_year_that_ended_last(today, first, last, north, south):
    """April to September and October to March; named by the weather of the place."""
    for southern, name in ((False, north), (True, south)):
        found = season(None, None, date.fromisoformat(today), southern=southern)
        assert (found.first.isoformat(), found.last.isoformat()) == (first, last)
        assert found.name == name


def test_what_was_not_followed_is_held_against_what_was_taken():
    """A maker who stayed with one diameter is told what the plan's would have been worth."""
    found = review(known(made(diameter=lambda _: 10.7)))
    assert found.worth.name == "made"
    assert found.worth.worth.p10 > 0
    assert found.worth.probability > 0.95
    assert found.following.other > found.following.followed
    assert found.following.steps_off > 0.5
    worst = found.misses[0]
    assert (worst.name, worst.share > 0.2) in {("diameter", True), ("reed", True)}
    assert any("diameter" in sentence for sentence in found.next_season)


def test_all_rivals_are_compared_over_the_same_reeds():
    """Made, usual, calendar and last year; shares lie between nought and one."""
    found = review(known(made()))
    assert [rival.name for rival in found.rivals] == ["made", "usual", "calendar", "last_year"]
    assert len({rival.reeds for rival in found.rivals}) == 1
    for rival in found.rivals:
        assert 0 < rival.share < 1
        assert rival.worth.p10 <= rival.worth.p50 <= rival.worth.p90
        assert rival.reeds_more.p50 == pytest.approx(rival.reeds * rival.worth.p50)


def test_last_years_plan_is_held_against_this_years_by_diameter_and_gouge():
    """The same cane again gains nothing; half a millimetre flatter, or 0.05 mm thinner, loses."""

    def rival(off_mm=0.0, gouge=0.59):
        plan = {(week, BENCH): (best_of(week) + off_mm, gouge) for week in weeks_of(HALF)}
        return {r.name: r for r in review(known(made(), last_year=plan)).rivals}["last_year"]

    assert rival().worth.p50 == pytest.approx(0.0, abs=0.005)
    assert rival(off_mm=0.5).worth.p10 > 0.3
    assert rival(gouge=0.54).worth.p10 > 0.3


def test_a_year_without_a_plan_before_is_said():
    """Only where this year's could be planned again."""
    missing = "Nothing is known of the year before, so last year's plan can't be compared."
    assert missing in review(known(made(), last_year={})).notes
    assert missing not in review(known(made())).notes
    assert missing not in review(known(made(), planned={}, last_year={}, come={})).notes


def test_the_calendar_turns_round_in_the_south():
    """Rounder in the dry months of the half year that is winter there."""
    north = {r.name: r for r in review(known(made())).rivals}["calendar"]
    south = {r.name: r for r in review(known(made(), southern=True)).rivals}["calendar"]
    assert (north.diameter_low_mm, north.diameter_high_mm) == (10.25, 10.5)
    assert (south.diameter_low_mm, south.diameter_high_mm) == (10.5, 10.75)


def test_the_same_week_a_year_before_begins_on_a_monday_too():
    """52 weeks: from 5 January 2026 to 6 January 2025."""
    assert year_before(date(2026, 1, 5)) == date(2025, 1, 6)


@pytest.mark.parametrize("southern", [False, True])
def test_the_calendar_rule_by_months(southern):
    """Common practice, no source: a class rounder in winter, a class flatter in summer."""
    reeds = [
        Reed(date(2026, month, 15), BENCH, diameter_mm=10.4, opening_mm=0.8)
        for month in range(1, 13)
    ]
    rows = judged(reeds, WANTED, 0.59)
    choices = simple_choices(rows, Limits(), usual_diameter=10.5, southern=southern)
    by_name = {choice.name: choice.diameter.tolist() for choice in choices}
    winter, summer = (10.75, 10.25) if southern else (10.25, 10.75)
    assert by_name["made"] == [10.4] * 12
    assert by_name["usual"] == [10.5] * 12
    assert by_name["calendar"][:2] == [winter] * 2
    assert by_name["calendar"][-1] == winter
    assert by_name["calendar"][5:8] == [summer] * 3
    assert by_name["calendar"][3] == by_name["calendar"][9] == 10.5


def test_a_level_that_moved_explains_the_misses():
    """All reeds 0.1 mm more closed than the plan believed: too hopeful, and the level it was."""
    reeds = made(level=LEVEL - 0.10)
    found = review(known(reeds, hindsight=hindsight_over(reeds, LEVEL - 0.10)))
    assert found.verdict.endswith("it was too hopeful.")
    assert found.calibration.chance < 0.05
    assert found.calibration.pit_chance < 0.01
    assert found.calibration.pit[0] > found.calibration.mm_reeds / 2
    assert found.misses[0].name == "level"
    assert sum(cause.share for cause in found.misses) == pytest.approx(1.0)
    assert sum(cause.mm for cause in found.misses) > 0.08
    assert any("new knife" in sentence for sentence in found.next_season)


def test_a_bad_lot_is_named():
    """One lot 0.12 mm too closed is named where its reeds missed."""
    reeds = made()
    bad = {i for i, reed in enumerate(reeds) if reed.lot == "lot 2" and reed.date >= HALF.first}
    reeds = [
        replace(reed, opening_mm=reed.opening_mm - 0.12) if i in bad else reed
        for i, reed in enumerate(reeds)
    ]
    plain = hindsight_over(reeds)

    def of(rows):
        lot = np.array([-0.12 if i in bad else 0.0 for i in rows])
        found = plain(rows)
        return replace(found, lot=lot, base=found.base + lot)

    found = review(known(reeds, hindsight=of))
    cause = next(cause for cause in found.misses if cause.name == "lot")
    assert cause.what == "lot 2"
    assert cause.share > 0.25
    assert any("lot 2" in sentence for sentence in found.next_season)


def test_weeks_with_nothing_made_are_said_to_be_empty():
    """Two weeks without reeds stay in the table, with a note and without a share."""
    gap = weeks_of(HALF)[5:7]
    reeds = [reed for reed in made() if _monday(reed.date) not in gap]
    rows = {row.week_start: row for row in review(known(reeds)).weeks}
    for week in gap:
        assert (rows[week].reeds, rows[week].seen_share) == (0, None)
        assert rows[week].note == "no reeds judged"
        assert rows[week].diameter_mm is not None


def test_a_season_without_weather_still_shows_what_was_made():
    """Nothing can be planned again: seen shares stand, promises don't."""
    found = review(known(made(), planned={}, last_year={}, come={}))
    assert found.seen_share is not None
    assert (found.predicted_share, found.worth, found.rivals) == (None, None, ())
    assert "no plan to judge" in found.verdict
    assert any("no weather of that time" in note for note in found.notes)
    assert all(row.note.startswith("no weather") for row in found.weeks)
    assert len(found.next_season) == 3


def test_a_season_without_reeds_says_so():
    """Nothing judged, nothing claimed."""
    found = review(known([]))
    assert found.verdict == "No reed was judged in this season."
    assert (found.reeds, found.by_lot, found.misses, found.errors) == (0, (), (), ())
    assert len(found.outlook) == 1


def test_verdicts_alone_are_enough():
    """Without a millimetre there is no error in mm, but shares and promises stand."""
    reeds = made()
    judged = [
        replace(
            reed,
            opening_mm=None,
            verdict="closed"
            if reed.opening_mm < WANTED[0]
            else "open"
            if reed.opening_mm > WANTED[1]
            else "good",
        )
        for reed in reeds
    ]
    found, by_mm = review(known(judged)), review(known(reeds))
    assert (found.good, found.reeds) == (by_mm.good, by_mm.reeds)
    assert (found.errors, found.calibration.inside_80, found.calibration.pit_chance) == (
        (),
        None,
        None,
    )
    assert sum(cause.share for cause in found.misses) == pytest.approx(1.0)
    assert any("Measure the opening" in sentence for sentence in found.next_season)


def test_dry_openings_without_a_verdict_are_left_out_and_said():
    """A dry opening isn't held against the range of soaked reeds."""
    reeds = made()
    mixed = [replace(r, measured="dry") if i % 10 == 0 else r for i, r in enumerate(reeds)]
    found = review(known(mixed))
    assert found.reeds < review(known(reeds)).reeds
    assert any("only a dry opening" in note for note in found.notes)


def test_a_maker_who_measures_dry_reeds_alone_has_a_wanted_range_of_those():
    """As the plan takes it; beside one soaked opening the dry ones are of another scale."""
    dry = [replace(reed, measured="dry", verdict=None) for reed in made()]
    plain, found = (
        review(known([replace(reed, verdict=None) for reed in made()])),
        review(known(dry)),
    )
    assert (found.reeds, found.good) == (plain.reeds, plain.good)
    assert not any("dry opening" in note for note in found.notes)
    long_ago = replace(dry[0], date=dry[0].date - timedelta(days=700), measured="soaked")
    beside = review(known([long_ago, *dry]))
    assert (beside.reeds, beside.seen_share) == (0, None)
    assert beside.verdict == "No reed of this season can be called good or not."
    assert f"{plain.reeds} reeds with only a dry opening" in " ".join(beside.notes)


def test_reeds_judged_long_after_they_were_made_are_not_held_against_the_plan():
    """By the ledger's gouging of their lot; they count as seen only."""
    moves = [CaneMove(date(2025, 8, 1), "split", "gouged", 100, lot="lot 3")]
    found, plain = review(known(made(), moves=moves)), review(known(made()))
    late = next(group for group in found.by_lot if group.name == "lot 3")
    assert found.reeds == plain.reeds
    assert (late.predicted_share, late.error_mm, late.mm_reeds) == (None, None, 0)
    assert found.calibration.reeds == plain.calibration.reeds - late.reeds
    assert any("long after" in note for note in found.notes)


def test_a_lot_gouged_in_time_is_no_late_one():
    """A gouging after the reed was judged says nothing, one shortly before is in time."""
    moves = [
        CaneMove(date(2026, 1, 2), "split", "gouged", 100, lot="lot 2"),
        CaneMove(date(2026, 3, 30), "split", "gouged", 100, lot="lot 0"),
    ]
    found = review(known(made(), moves=moves))
    assert not any("long after" in note for note in found.notes)


def test_a_change_of_target_in_mid_season_is_noticed():
    """From January the maker called good what lies 0.12 mm higher."""
    shifted = []
    for reed in made():
        up = 0.12 if reed.date >= date(2026, 1, 1) else 0.0
        mm = reed.opening_mm
        verdict = "closed" if mm < WANTED[0] + up else "open" if mm > WANTED[1] + up else "good"
        shifted.append(replace(reed, verdict=verdict))
    note = [n for n in review(known(shifted)).notes if "target seems to have been changed" in n]
    assert len(note) == 1
    assert note[0].startswith("Verdicts and the wanted range of 0.72 to 0.88 mm agree for ")
    said = re.search(r"for (\d+) in 100 reeds before (\S+) and (\d+) in 100 from", note[0])
    assert said[2].startswith(("2025-12", "2026-01"))
    before, after = int(said[1]), int(said[3])
    rest = [r for r in shifted if r.date >= date.fromisoformat(said[2])]
    assert before >= 95
    assert after == round(100 * np.mean([agrees(reed) for reed in rest]))


def agrees(reed: Reed) -> bool:
    """Return whether verdict and range agree; within 0.02 mm of a limit either is right."""
    low, high = WANTED
    return {
        "closed": reed.opening_mm <= low + 0.02,
        "good": low - 0.02 <= reed.opening_mm <= high + 0.02,
        "open": reed.opening_mm >= high - 0.02,
    }[reed.verdict]


def test_no_change_of_target_is_imagined():
    """Verdicts that go by the range all along, with a few slips, raise no note."""
    rng = np.random.default_rng(4)
    reeds = []
    for reed in made():
        mm = reed.opening_mm + rng.normal(0, 0.01)
        verdict = "closed" if mm < WANTED[0] else "open" if mm > WANTED[1] else "good"
        reeds.append(replace(reed, verdict=verdict))
    assert not any("target" in note for note in review(known(reeds)).notes)


def test_a_season_that_is_not_over_is_said_to_be_open():
    """As of a day within it."""
    found = review(known(made(), today=date(2026, 2, 1)))
    assert "The season isn't over: this is what is known so far." in found.notes


def test_the_room_and_the_outlook_are_scored():
    """The outlook was right by construction; the hygrometer read half a percent less or more."""
    found = review(known(made()))
    outlook = found.outlook[0]
    assert outlook.weeks == len(weeks_of(HALF))
    assert abs(outlook.mean_error_pct) < 1.0
    assert outlook.absolute_error_pct < 1.0 < outlook.usual_absolute_error_pct
    assert found.room[0].readings == 100
    assert found.room[0].absolute_error_pct == pytest.approx(0.65, abs=0.2)


def test_a_reed_is_held_against_the_day_it_was_judged_on():
    """A damp Wednesday in a dry week: only the reeds of that day were expected more open."""
    week = weeks_of(HALF)[10]
    planned = planned_week(week)
    damp = planned.moisture.copy()
    damp[:, 2] += 4.0
    weeks = {**known([]).planned, (week, BENCH): replace(planned, moisture=damp)}
    reeds = made()
    on, off = (review(known(reeds, planned=p)).weeks[10] for p in (weeks, known([]).planned))
    of_that_day = sum(reed.date == week + timedelta(days=2) for reed in reeds)
    own = sum(_monday(reed.date) == week for reed in reeds)
    rise = 4.0 * EFFECT["moisture"] * of_that_day / own
    assert on.opening_mm.p50 - off.opening_mm.p50 == pytest.approx(rise, rel=0.15)


def test_a_season_of_one_reed_is_told_in_the_singular():
    """It speaks against nothing, and "1 weeks" is never said."""
    one = next(reed for reed in made() if reed.date >= HALF.first)
    assert "With 1 reed of 1 week a right plan is" in review(known([one])).verdict
