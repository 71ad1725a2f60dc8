"""Past weeks planned again: by what was known then, and by nothing later."""

from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from planner.commands.replan import last_years_advice, replan
from planner.commands.workshop import opened
from planner.demo import TODAY
from planner.settings import Settings
from tests.commands.bench_only import BENCH, Row, bench_only, from_day
from tests.workshops import own_copy

# The last of the weeks is planned as of 16 February, on which the future begins to differ.
MONDAYS = (date(2026, 2, 9), date(2026, 3, 2))
LEAD = timedelta(days=14)
KNOWN = MONDAYS[-1] - LEAD
ARRAYS = ("level", "diameter", "gouge", "moisture", "spread", "wander", "low", "high")


def otherwise(table: str, row: Row) -> Row | None:
    """Return a future that has nothing in common with the sample's."""
    if table == "weather":
        return {**row, "temperature_c": "35.0", "dew_point_c": "30.0"}
    if table == "reeds":
        return {**row, "opening_mm": "0.30", "verdict": "closed", "measured": "soaked"}
    if table == "readings":
        return {**row, "rh_pct": "90"}
    return None


@pytest.fixture(scope="module")
def settings(bench: Path, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """The sample's bench."""
    return own_copy(bench, tmp_path_factory.mktemp("as_it_came"))


def planned(settings: Settings, today: date = TODAY):
    """Return the weeks planned again."""
    with opened(settings) as workshop:
        return replan(workshop, MONDAYS, lambda _: (BENCH,), today=today)


def test_the_future_changes_nothing_in_a_plan_of_the_past(settings: Settings, tmp_path: Path):
    """Other weather, readings, openings and checks from the day after: the same to the last bit."""
    then = bench_only(tmp_path, from_day(KNOWN + timedelta(days=1), otherwise))
    as_it_came, as_it_did_not = planned(settings), planned(then)
    assert as_it_came.keys() == as_it_did_not.keys() == {(day, BENCH) for day in MONDAYS}
    for key, week in as_it_came.items():
        other = as_it_did_not[key]
        assert week.advice == other.advice
        assert week.planned_on == key[0] - LEAD <= KNOWN
        assert np.array_equal(week.moisture, other.moisture)
        assert np.array_equal(week.room_rh, other.room_rh)
        for name in ARRAYS:
            assert np.array_equal(getattr(week.draws, name), getattr(other.draws, name)), name


def test_what_was_known_does_change_it(settings: Settings, tmp_path: Path):
    """The same changes a month earlier are seen: the test above could fail."""
    then = bench_only(tmp_path, from_day(KNOWN - timedelta(days=28), otherwise))
    key = (MONDAYS[-1], BENCH)
    assert planned(settings)[key].advice != planned(then)[key].advice


def test_last_years_plan_is_made_from_what_was_known_a_year_before(
    settings: Settings, tmp_path: Path
):
    """A future changed from that day on leaves it as it is."""
    from_then = MONDAYS[0] - timedelta(days=364) - LEAD + timedelta(days=1)
    then = bench_only(tmp_path, from_day(from_then, otherwise))
    found = []
    for one in (settings, then):
        with opened(one) as workshop:
            found.append(last_years_advice(workshop, MONDAYS, lambda _: (BENCH,)))
    assert found[0] == found[1]
    assert found[0].keys() == {(day, BENCH) for day in MONDAYS}
    for diameter, gouge in found[0].values():
        assert 9.5 <= diameter <= 11.5
        assert 0.56 <= gouge <= 0.62


def test_weeks_whose_cane_is_not_sorted_yet_are_left_out(settings: Settings):
    """As of a day before the second week's sorting, only the first is planned."""
    assert planned(settings, KNOWN - timedelta(days=1)).keys() == {(MONDAYS[0], BENCH)}
    assert planned(settings, MONDAYS[0] - LEAD - timedelta(days=1)) == {}


def test_a_week_before_any_weather_is_left_out(settings: Settings):
    """Nothing was known of the air then, so nothing is made up."""
    with opened(settings) as workshop:
        early = (date(2020, 1, 6),)
        assert replan(workshop, early, lambda _: (BENCH,), today=TODAY) == {}


def test_last_years_plan_of_another_place_goes_by_its_own_air(sample: Path, tmp_path: Path):
    """The same week asks for another diameter there, within what the maker has."""
    week = (MONDAYS[0],)
    with opened(own_copy(sample, tmp_path / "w")) as workshop:
        found = last_years_advice(workshop, week, lambda _: (BENCH, "Saltreed"))
    assert found.keys() == {(MONDAYS[0], BENCH), (MONDAYS[0], "Saltreed")}
    here, there = (found[MONDAYS[0], place][0] for place in (BENCH, "Saltreed"))
    assert 9.5 <= here <= 11.5
    assert 9.5 <= there <= 11.5
    assert here != there


def test_a_week_of_another_place_is_planned_for_the_days_in_use_there(sample: Path, tmp_path: Path):
    """With where to leave its reeds at the bench; the bench's own week with none, as the plan's."""
    with opened(own_copy(sample, tmp_path / "w")) as workshop:
        found = replan(workshop, MONDAYS[:1], lambda _: (BENCH, "Saltreed"), today=TODAY)
    here, there = (found[MONDAYS[0], place].advice for place in (BENCH, "Saltreed"))
    assert here.bench_opening_mm is None
    assert there.bench_opening_mm is not None
