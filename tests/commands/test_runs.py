"""The week's note: a planted change of all reeds is told, and goes quiet once it is known."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.commands.plan import plan
from planner.demo import TODAY
from planner.settings import Settings
from tests.commands.bench_only import Row, bench_only, from_day, moved_by

CHANGED = date(2025, 11, 3)
SOON, LONG_AFTER = date(2025, 11, 24), date(2026, 9, 28)


@pytest.fixture(scope="module")
def changed(tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """A bench whose reeds all came out 0.16 mm more closed from a day on."""
    folder = tmp_path_factory.mktemp("changed")
    return bench_only(folder, from_day(CHANGED, moved_by(-0.16)))


def watch(settings: Settings, today: date) -> list[dict]:
    """Return the notes of the plan as of a day."""
    return plan(settings, today=today).answer["watch"]


def test_a_change_of_all_reeds_is_told_with_its_correction(changed: Settings):
    """Three weeks on: too closed, since about then, and either followed or what to take."""
    answer = plan(changed, today=SOON).answer
    (note,) = [note for note in answer["watch"] if note["about"] == "openings"]
    run = note["run"]
    assert run["kind"] == "closed"
    assert CHANGED - timedelta(days=21) <= date.fromisoformat(run["since"]) <= SOON
    assert run["off_mm"]["p10"] <= run["off_mm"]["p50"] <= run["off_mm"]["p90"] < 0
    assert run["causes"][0]["name"] in {"level", "lot"}
    assert [cause["share"] for cause in run["causes"]] == sorted(
        (cause["share"] for cause in run["causes"]), reverse=True
    )
    assert "too closed" in note["words"]
    if run["followed"]:
        assert (run["correction_mm"], run["diameter_mm"], run["class_low_mm"]) == (None, None, None)
        assert "has already followed" in note["words"]
    else:
        assert run["correction_mm"] < 0
        assert run["class_low_mm"] <= run["diameter_mm"] <= run["class_high_mm"]
        assert run["class_high_mm"] - run["class_low_mm"] == pytest.approx(0.25)
        assert "rounder" in note["words"]


def test_the_plan_itself_went_to_rounder_cane(changed: Settings):
    """By the model's new level: what the note says that it makes up for."""
    before, after = (
        plan(changed, today=day).answer["weeks"][0]["diameter_mm"]["best"]
        for day in (CHANGED, SOON)
    )
    assert after < before - 0.15


def test_it_is_quiet_once_the_model_has_caught_up(changed: Settings):
    """Ten months on the plan itself goes by the new level."""
    assert [note for note in watch(changed, LONG_AFTER) if note["about"] == "openings"] == []


def test_nothing_is_told_as_of_a_day_before(changed: Settings):
    """The note knows nothing later than its day."""
    assert [n for n in watch(changed, CHANGED) if n["about"] == "openings"] == []


def test_the_kept_plan_keeps_its_notes(changed: Settings):
    """The second time it is read, not made, and says the same."""
    assert watch(changed, SOON) == watch(changed, SOON)


def test_a_gouger_that_drifted_is_told_beside_it(tmp_path: Path):
    """Every check 0.03 mm thin since the summer."""

    def thinner(table: str, row: Row) -> Row:
        if table == "checks" and row["centre_mm"]:
            return {**row, "centre_mm": f"{float(row['centre_mm']) - 0.03:.3f}"}
        return row

    settings = bench_only(tmp_path, from_day(date(2026, 8, 1), thinner))
    (note,) = [note for note in watch(settings, TODAY) if note["about"] == "gouger"]
    assert note["run"] is None
    assert "thin" in note["words"]
    assert "planner gouge" in note["words"]


def test_without_a_reed_and_a_check_there_is_nothing_to_tell(tmp_path: Path):
    """A new workshop with weather alone."""

    def nothing(table: str, row: Row) -> Row | None:
        return row if table == "weather" else None

    assert watch(bench_only(tmp_path, nothing), TODAY) == []
