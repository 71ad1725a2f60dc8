"""The invented sample: said to be invented, made anew the same, sound, its truth found again."""

import csv
import statistics
from collections import defaultdict
from dataclasses import replace
from datetime import date
from pathlib import Path

import known_truth
import numpy as np
import pytest

from planner.air.days import Air
from planner.air.humidity import dew_point, vapour_pressure
from planner.demo import SEED, TODAY, Invented, invent, write_sample
from planner.invented.reeds import expected_opening
from planner.invented.rooms import readings
from planner.invented.truth import SAMPLE, drawn
from planner.plan.documents import PlanDocument
from planner.weather.search import search_places

COMMITTED = Path(__file__).parents[1] / "sample_history"
LARGEST = 2_000_000  # bytes


@pytest.fixture(scope="module")
def sample() -> Invented:
    """The sample as the generator makes it today."""
    return invent(SEED)


@pytest.fixture(scope="module")
def plan(sample: Invented) -> PlanDocument:
    """The plan of the sample as of its day."""
    return known_truth.planned(sample)


def table(name: str) -> list[dict[str, str]]:
    """The rows of a committed table."""
    with (COMMITTED / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_committed_sample_is_what_the_generator_makes_today(sample, tmp_path):
    """File for file, byte for byte."""
    write_sample(sample, tmp_path)
    made = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    kept = {path.name: path.read_bytes() for path in COMMITTED.iterdir()}
    assert sorted(made) == sorted(kept)
    assert [name for name in made if made[name] != kept[name]] == []
    assert sum(map(len, kept.values())) < LARGEST


def test_the_sample_says_that_it_is_invented():
    """In the note beside the tables, and at the top of the settings."""
    assert "made up" in (COMMITTED / "README.md").read_text(encoding="utf-8")
    assert "invented" in (COMMITTED / "workshop.toml").read_text(encoding="utf-8").splitlines()[0]


@pytest.mark.parametrize("entry", SAMPLE.places, ids=lambda entry: entry.place.name)
def test_the_sample_names_no_real_town(entry):
    """None of the names is in the list of places."""
    found = [str(candidate) for candidate in search_places(entry.place.name, limit=5)]
    assert not [name for name in found if name.startswith(entry.place.name)]


def test_another_seed_makes_another_workshop(sample, tmp_path):
    """The seed decides, and nothing else."""
    write_sample(invent(SEED + 1), tmp_path)
    for name in ("reeds.csv", "weather-Quillhaven.csv", "cane.csv", "readings.csv", "checks.csv"):
        assert (tmp_path / name).read_bytes() != (COMMITTED / name).read_bytes()


def test_the_reeds_are_a_makers_record():
    """Three seasons: mostly measured and judged, some judged only, classes, gouges left out."""
    rows = table("reeds.csv")
    assert 400 <= len(rows) <= 700
    assert rows[0]["date"].startswith("2023-")
    assert "2026-11-01" < rows[-1]["date"] <= TODAY.isoformat()
    both = [row for row in rows if row["opening_mm"] and row["verdict"]]
    assert len(both) > len(rows) / 2
    for some in (
        [row for row in rows if row["verdict"] and not row["opening_mm"]],
        [row for row in rows if not row["diameter_mm"]],
        [row for row in rows if not row["gouge_mm"]],
        [row for row in rows if row["measured"] == "dry"],
        [row for row in rows if row["place"] != "Quillhaven"],
    ):
        assert 0.02 < len(some) / len(rows) < 0.4


def test_no_stage_of_the_ledger_ever_holds_less_than_nothing():
    """A tube gives three pieces; what is gouged was split before."""
    left: dict[tuple[str, ...], int] = defaultdict(int)
    for row in table("cane.csv"):
        cane = (row["lot"], row["diameter_low_mm"], row["diameter_high_mm"])
        pieces = int(row["pieces"])
        if row["from_stage"] != "supplier":
            left[*cane, row["from_stage"]] -= pieces
            assert left[*cane, row["from_stage"]] >= 0, row
        left[*cane, row["to_stage"]] += pieces * (3 if row["from_stage"] == "tube" else 1)


def test_the_gouger_creeps_and_is_set_right_by_sharpening(sample):
    """The planted drift is in the checks: thicker before the last sharpening than after it."""
    rows = [row for row in sample.checks if row.centre_mm]
    last = SAMPLE.gouger.sharpened[-1].isoformat()
    before = [float(row.centre_mm) for row in rows if "2026-04-20" <= row.date < last]
    after = [float(row.centre_mm) for row in rows if last <= row.date < "2026-08-20"]
    assert statistics.mean(before) - statistics.mean(after) > 0.01
    assert [row.date for row in sample.checks if row.event == "sharpened"][-1] == last


@pytest.mark.parametrize("entry", SAMPLE.places, ids=lambda entry: entry.place.name)
def test_the_weather_is_a_possible_one(sample, entry):
    """Ten years without a gap, never damper than air can be, warm summers, days that hang together.

    The anomaly of a day keeps about three quarters of the last one's; the lake's freezing adds to
    it.
    """
    name = entry.place.name
    air = sample.outdoor[name]
    known = air.days < np.datetime64(TODAY)
    assert known.sum() > 10 * 365
    assert [row["time"] for row in table(f"weather-{name}.csv")] == [
        str(d) for d in air.days[known]
    ]
    temperature, dew = air.temperature[0], dew_point(air.vapour_pressure[0])
    assert (dew < temperature).all()
    month = air.days.astype("datetime64[M]").astype(int) % 12
    assert temperature[month == 6].mean() > temperature[month == 0].mean() + 5
    normal = np.array([temperature[month == m].mean() for m in range(12)])[month]
    anomaly = temperature - normal
    assert 0.5 < np.corrcoef(anomaly[1:], anomaly[:-1])[0, 1] < 0.95


def test_the_openings_are_what_the_truth_says_and_noise(sample):
    """The means by place and season lie where the truth puts them, lots and outliers aside.

    About 600 reeds of 0.062 mm, lots of 0.03 mm in 18: the mean is known to 0.0075 mm.
    """
    off = [
        reed.opening - expected_opening(SAMPLE, reed.day, reed.diameter, reed.gouge, reed.moisture)
        for reed in sample.reeds
    ]
    assert abs(statistics.mean(off)) < 0.025
    assert statistics.median(map(abs, off)) == pytest.approx(
        0.6745 * np.hypot(SAMPLE.spread, SAMPLE.lot_spread), rel=0.15
    )


def test_a_dry_spell_comes_to_the_cold_place_in_the_plan(sample, plan):
    """The lake freezes about three weeks after the sample's day: rounder cane, in time."""
    rows = {week.week_start: week for week in plan.weeks if week.place == "Frostmere"}
    first, later = rows[date(2026, 11, 23)], rows[date(2026, 12, 14)]
    assert first.diameter_mm.best - later.diameter_mm.best > 0.15
    assert later.diameter_mm.high < first.diameter_mm.best
    assert later.room_rh_pct.p90 < first.room_rh_pct.p50
    spells = [spell for spell in plan.spells if spell.place == "Frostmere"]
    assert [spell.kind for spell in spells] == ["dry"]
    assert date(2026, 11, 23) <= spells[0].first_week <= date(2026, 12, 14)
    assert spells[0].probability > 0.8
    ordered = [task for task in plan.prepare if task.action == "order"]
    assert ordered, "the cane for the spell is not at hand and must be ordered"


def test_the_coast_asks_for_flatter_cane_than_the_cold_place(plan):
    """Humid rooms open reeds, dry ones close them."""
    best = {place: [] for place in plan.workshop.places}
    for week in plan.weeks:
        best[week.place].append(week.diameter_mm.best)
    means = {place: statistics.mean(values) for place, values in best.items()}
    assert means["Saltreed"] > means["Quillhaven"] > means["Frostmere"]


def test_the_samples_truth_lies_in_what_is_stated(sample, plan):
    """One workshop: every effect within twice its interval of 80 in 100."""
    for effect in plan.basis.effects:
        true = getattr(SAMPLE, effect.name)
        assert abs(effect.estimate - true) < effect.high - effect.low, effect


@pytest.fixture(scope="module")
def many() -> list[known_truth.Kept]:
    """Workshops of other seeds, each made from another truth."""
    return [known_truth.examine(seed) for seed in range(12)]


def test_intervals_hold_the_truth_as_often_as_they_say(many):
    """Effects of 12 workshops, 36 intervals of 80 in 100: from 22 on is within three errors."""
    held = sum(sum(kept.effects) for kept in many)
    assert held >= 22


def test_stated_openings_come_as_often_as_they_say(many):
    """The chance of a true reed to lie within the stated 80 in 100, over 12 workshops and 12 weeks.

    A workshop's weeks miss together; the means of workshops stray by about 0.06, three errors of
    their mean are 0.05, and the weather of one winter adds a little.
    """
    assert statistics.mean(kept.opening for kept in many) == pytest.approx(0.80, abs=0.06)


def test_coming_rooms_lie_within_their_range_as_often_as_they_say(many):
    """Weeks of one winter and room hang together: 12 workshops are worth about as many weeks."""
    assert statistics.mean(kept.room for kept in many) == pytest.approx(0.80, abs=0.2)


def test_the_promised_share_comes(many):
    """Said less true, on average over 12 workshops, within 4 in 100."""
    assert abs(statistics.mean(kept.said - kept.came for kept in many)) < 0.04


def test_no_hygrometer_shows_what_none_can():
    """A room drier than any, and one wetter: readings stay within 0 to 100 %."""
    days = np.arange("2025-01-01", "2025-04-01", dtype="datetime64[D]")
    listed = [day.item() for day in days]
    for humidity in (0.5, 99.5):
        at = np.full((1, len(days)), 20.0)
        air = Air(days, at, vapour_pressure(np.full((1, len(days)), humidity), at))
        rows = readings(air, "Bench", "Europe/Prague", listed, np.random.default_rng(1))
        shown = {float(row.rh_pct) for row in rows}
        assert len(shown) > 1
        assert 0.0 <= min(shown) <= max(shown) <= 100.0


def test_drawn_truths_differ_and_stay_possible():
    """Rooms that no house has, or reeds without spread, are not drawn."""
    truths = [drawn(np.random.default_rng(seed)) for seed in range(50)]
    assert len({truth.diameter for truth in truths}) == 50
    assert all(truth.spread > 0 and truth.lot_spread >= 0 for truth in truths)
    assert all(entry.room.excess_cold >= 0 for truth in truths for entry in truth.places)


def test_real_weather_can_stand_in_for_invented_one(sample):
    """The same outdoor air in, the same rooms as before out; one place will do."""
    truth = replace(SAMPLE, places=SAMPLE.places[:1])
    name = truth.places[0].place.name
    again = invent(SEED, truth, outdoor={name: sample.outdoor[name]})
    assert again.outdoor[name] is sample.outdoor[name]
    np.testing.assert_array_equal(again.rooms[name].temperature, sample.rooms[name].temperature)
