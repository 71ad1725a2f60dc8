"""What to prepare, and the answer for one more place, as commands on the sample."""

from datetime import date
from pathlib import Path

import pytest

from planner.commands.for_place import answer_for, taken_now
from planner.commands.plan import plan
from planner.commands.prepare import KEYS, prepare
from planner.commands.wishes import Wishes
from planner.demo import TODAY
from planner.errors import WeatherUnavailable
from planner.room.knowledge import RoomKnowledge
from planner.settings import PlaceSettings, Settings, read_settings
from planner.weather.places import Place
from tests.workshops import SAMPLE, own_copy

TOWN = Place("Invented Harbour", 53.0, 6.0, "Europe/Amsterdam")
WEATHER = SAMPLE / "weather-Saltreed.csv"


@pytest.fixture
def settings(planned_sample: Path, tmp_path: Path) -> Settings:
    """The sample's workshop, its plan made and kept."""
    return own_copy(planned_sample, tmp_path / "w")


@pytest.fixture(scope="module")
def harbour(planned_sample: Path) -> dict:
    """The answer for a town that the workshop doesn't have."""
    asked = PlaceSettings(TOWN, room=RoomKnowledge(winter_c=20.0))
    return answer_for(
        read_settings(planned_sample), asked, today=TODAY, weather_file=WEATHER
    ).answer


def contents(folder: Path) -> dict[str, bytes]:
    """Every file of a workshop."""
    return {
        str(path.relative_to(folder)): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_what_to_prepare_is_that_part_of_the_plan(settings: Settings):
    """The same answer as the plan's, key by key."""
    found = prepare(settings, today=TODAY)
    kept = plan(settings, today=TODAY).answer
    assert tuple(found) == KEYS
    assert found == {key: kept[key] for key in KEYS}


def test_the_samples_dry_spell_is_seen_before_it_comes(settings: Settings):
    """The invented lake freezes in December; its players want rounder cane by then."""
    spells = prepare(settings, today=TODAY)["spells"]
    dry = [spell for spell in spells if spell["place"] == "Frostmere"]
    assert dry
    assert dry[0]["kind"] == "dry"
    assert dry[0]["shift_mm"] < -0.125
    assert 0.5 <= dry[0]["probability"] <= 1.0


def test_no_more_is_sorted_than_lies_there(settings: Settings):
    """Pieces to sort of the sample are at most its tubes and split pieces."""
    answer = prepare(settings, today=TODAY)
    sort = sum(item["pieces"] for item in answer["prepare"] if item["action"] == "sort")
    assert 0 < sort <= sum(3 * line["tubes"] + line["split"] for line in answer["stock"])


def test_the_yields_are_the_samples_own(settings: Settings):
    """Thousands of pieces in the ledger outweigh general experience."""
    yields = {line["from_stage"]: line for line in prepare(settings, today=TODAY)["yields"]}
    assert yields["split"]["pieces_seen"] > 1000
    assert yields["split"]["high_share"] - yields["split"]["low_share"] < 0.05


def test_another_lead_time_is_a_what_if(settings: Settings):
    """Were finishing to take four weeks, cane sorted now is judged on 21 December."""
    slow = prepare(settings, today=TODAY, wishes=Wishes(sort_to_finish_days=28))
    assert {group["week_start"] for group in slow["same_cane"]} == {"2026-12-21"}


def test_one_more_place_gets_diameter_gouge_and_bench_opening(harbour: dict):
    """All that the maker asks for a customer elsewhere."""
    row = harbour["take"]
    assert harbour["place"]["name"] == "Invented Harbour"
    assert row["place"] == "Invented Harbour"
    assert row["week_start"] == "2026-12-07"
    assert 9.5 <= row["diameter_mm"]["best"] <= 11.5
    assert row["bench_opening_mm"]["p10"] < row["bench_opening_mm"]["p90"]
    assert all(week["place"] == "Invented Harbour" for week in harbour["weeks"])


def test_a_damp_harbour_wants_flatter_cane_than_the_dry_bench(harbour: dict, planned_sample: Path):
    """And it leaves the bench more closed than the middle of the range."""
    (bench,) = [
        row
        for row in plan(read_settings(planned_sample), today=TODAY).answer["weeks"]
        if (row["place"], row["week_start"]) == ("Quillhaven", harbour["take"]["week_start"])
    ]
    assert harbour["take"]["diameter_mm"]["best"] > bench["diameter_mm"]["best"]
    assert harbour["take"]["bench_opening_mm"]["p50"] < 0.80


def test_asking_for_a_place_writes_nothing(settings: Settings):
    """Record, weather, kept plan and settings stay byte for byte."""
    before = contents(settings.folder)
    answer_for(settings, PlaceSettings(TOWN), today=TODAY, weeks=3, weather_file=WEATHER)
    assert contents(settings.folder) == before


def test_a_place_of_the_workshop_is_answered_as_in_the_plan(settings: Settings):
    """Its own weather and room count, whatever was asked of the room."""
    own = settings.places[1]
    found = answer_for(settings, PlaceSettings(own.place), today=TODAY).answer
    rows = [
        row for row in plan(settings, today=TODAY).answer["weeks"] if row["place"] == "Frostmere"
    ]
    assert [row["week_start"] for row in found["weeks"]] == [row["week_start"] for row in rows]
    for asked, planned in zip(found["weeks"], rows, strict=True):
        assert asked["diameter_mm"]["best"] == pytest.approx(
            planned["diameter_mm"]["best"], abs=0.02
        )


def test_the_bench_itself_can_be_asked_for(settings: Settings):
    """It has no opening to leave a reed at."""
    found = answer_for(settings, PlaceSettings(settings.bench.place), today=TODAY).answer
    assert found["take"]["place"] == "Quillhaven"
    assert found["take"]["bench_opening_mm"] is None


def test_a_place_without_weather_says_what_to_do(settings: Settings):
    """No network, no file: one sentence."""
    with pytest.raises(
        WeatherUnavailable, match=r"no weather for Invented Harbour.*--weather FILE"
    ):
        answer_for(settings, PlaceSettings(TOWN), today=TODAY)


def test_the_week_taken_now_is_the_one_sorted_within_this_week():
    """Monday to Sunday; none where the plan doesn't reach it."""
    rows = [{"sort_by": "2026-11-16"}, {"sort_by": "2026-11-23"}, {"sort_by": "2026-11-30"}]
    assert taken_now(rows, date(2026, 11, 29)) == rows[1]
    assert taken_now(rows[:1], date(2026, 11, 29)) is None
