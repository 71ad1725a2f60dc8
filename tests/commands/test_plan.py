"""The plan as a command: made once, kept while nothing changes, made anew when something does."""

import json
import re
import shutil
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from planner.commands.plan import plan, rows_now
from planner.commands.wishes import Wishes
from planner.commands.workshop import opened
from planner.demo import TODAY
from planner.errors import RecordDamaged, WeatherUnavailable
from planner.history.tables import Reed
from planner.settings import Settings, read_settings
from tests.workshops import SAMPLE, own_copy, planner


@pytest.fixture
def settings(planned_sample: Path, tmp_path: Path) -> Settings:
    """The sample's workshop with its plan made and kept, to do with as one likes."""
    return own_copy(planned_sample, tmp_path / "w")


@pytest.fixture
def making(monkeypatch: pytest.MonkeyPatch) -> list[date]:
    """The days for which a plan was really made."""
    made: list[date] = []

    def _made(workshop, today, wishes, page):
        made.append(today)
        return {"workshop": {}, "weeks": [], "warnings": []}

    monkeypatch.setattr("planner.commands.plan._made", _made)
    return made


def test_an_unchanged_plan_is_not_made_again(settings: Settings, making: list[date]):
    """The bench gets the kept answer."""
    assert plan(settings, today=TODAY).answer["weeks"]
    assert making == []


def test_a_new_reed_makes_the_plan_anew(settings: Settings, making: list[date]):
    """The record's revision is part of the mark."""
    with opened(settings) as workshop:
        workshop.record.add(
            Reed(TODAY, settings.bench.place.name, diameter_mm=10.3, opening_mm=0.8)
        )
    plan(settings, today=TODAY)
    assert making == [TODAY]


@pytest.mark.parametrize(
    ("today", "wishes"),
    [(date(2026, 11, 22), Wishes()), (TODAY, Wishes(weeks=20)), (TODAY, Wishes(usual_only=True))],
)
def test_another_day_or_wish_makes_the_plan_anew(
    settings: Settings, making: list[date], today: date, wishes: Wishes
):
    """A kept plan answers only what it was made for."""
    plan(settings, today=today, wishes=wishes)
    assert making == [today]


@pytest.mark.parametrize(
    "wishes", [Wishes(weeks=20), Wishes(usual_only=True), Wishes(sort_to_finish_days=7)]
)
def test_a_what_if_leaves_the_kept_plan_alone(
    settings: Settings, making: list[date], wishes: Wishes
):
    """The bench's next look finds the plan as it was, and has not to wait for it."""
    before = plan(settings, today=TODAY).answer
    plan(settings, today=TODAY, wishes=wishes)
    assert making == [TODAY]
    assert plan(settings, today=TODAY).answer == before
    assert making == [TODAY]


def test_what_is_asked_as_usual_is_no_what_if(settings: Settings, making: list[date]):
    """Twelve weeks and the maker's own lead time, said aloud."""
    plan(settings, today=TODAY, wishes=Wishes(weeks=12, sort_to_finish_days=14))
    assert making == []


def test_a_what_if_writes_no_page_and_more_weeks_have_their_own(settings: Settings):
    """The page on the wall stays the plan's."""
    usual = plan(settings, today=TODAY, with_page=True).page
    before = usual.read_bytes()
    what_if = plan(settings, today=TODAY, wishes=Wishes(usual_only=True), with_page=True)
    longer = plan(settings, today=TODAY, wishes=Wishes(weeks=3), with_page=True)
    assert what_if.page is None
    assert longer.page.name == "plan-2026-11-23-3-weeks.html"
    assert {page.name for page in usual.parent.glob("plan-*")} == {usual.name, longer.page.name}
    assert usual.read_bytes() == before


def test_changed_settings_make_the_plan_anew(settings: Settings, making: list[date]):
    """So does an edited workshop.toml."""
    path = settings.folder / "workshop.toml"
    path.write_text(path.read_text().replace("usual_mm = 0.59", "usual_mm = 0.60"))
    plan(read_settings(settings.folder), today=TODAY)
    assert making == [TODAY]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"answer": 3, "page": false}'])
def test_a_damaged_kept_plan_is_made_anew_silently(
    settings: Settings, making: list[date], text: str
):
    """What can be made again is no reason to stop."""
    from planner.commands.plan import KEPT, fingerprint

    with opened(settings) as workshop:
        mark = fingerprint(workshop, TODAY, Wishes().settled(settings))
        workshop.weather.keep(KEPT, mark, text)
    plan(settings, today=TODAY)
    assert making == [TODAY]


def test_the_same_inputs_give_the_same_plan(settings: Settings):
    """No chance, no clock: two makings agree to the letter."""
    first = plan(settings, today=TODAY).answer
    with opened(settings) as workshop:
        workshop.weather.keep("plan", "other", "{}")
    assert plan(settings, today=TODAY).answer == json.loads(json.dumps(first))


def test_cane_is_taken_now_for_the_week_whose_sorting_falls_due(settings: Settings):
    """With fourteen days to finish, this week's cane is judged the week after next."""
    now = rows_now(plan(settings, today=TODAY).answer)
    assert [row["week_start"] for row in now["take"]] == ["2026-12-07"] * 3
    assert now["take"][0]["place"] == settings.bench.place.name
    assert now["finishing"]["week_start"] == "2026-11-23"


def test_a_bench_without_weather_says_how_to_get_some(settings: Settings):
    """One sentence, and the record stays as it is."""
    (settings.folder / "weather.db").unlink()
    before = (settings.folder / "workshop.db").read_bytes()
    with pytest.raises(WeatherUnavailable, match="planner weather fetch"):
        plan(settings, today=TODAY)
    assert (settings.folder / "workshop.db").read_bytes() == before


def test_a_far_place_without_weather_is_left_out_and_said(settings: Settings):
    """The bench is planned all the same."""
    path = settings.folder / "workshop.toml"
    path.write_text(
        path.read_text()
        + '\n[[place]]\nname = "Farther"\nlatitude = 1\nlongitude = 2\ntimezone = "UTC"\n'
    )
    answer = plan(read_settings(settings.folder), today=TODAY).answer
    assert "Farther" not in {row["place"] for row in answer["weeks"]}
    assert any("No weather is stored for Farther" in words for words in answer["warnings"])


def test_a_workshop_without_a_reed_is_planned_from_experience_and_says_so(settings: Settings):
    """First use: weather, no history."""
    (settings.folder / "workshop.db").unlink()
    shutil.rmtree(settings.folder / "backups")
    answer = plan(settings, today=TODAY).answer
    assert answer["basis"]["reeds"] == 0
    assert all(effect["from_history"] == 0 for effect in answer["basis"]["effects"])
    assert len(answer["weeks"]) == 36


def test_noise_in_place_of_the_record_is_told_and_left(settings: Settings):
    """The maker's file is never written over."""
    path = settings.folder / "workshop.db"
    path.write_bytes(bytes(range(256)) * 64)
    with pytest.raises(RecordDamaged):
        plan(settings, today=TODAY)
    assert path.read_bytes() == bytes(range(256)) * 64


def test_without_a_forecast_no_week_is_said_to_rest_on_one(settings: Settings):
    """On a Friday: four days of the week are known, and none is foreseen."""
    (settings.folder / "weather.db").unlink()
    planner(settings.folder, "weather", "import", str(SAMPLE / "weather-Quillhaven.csv"))
    weeks = plan(settings, today=TODAY.replace(day=20)).answer["weeks"]
    assert {row["weather"] for row in weeks} == {"climate"}


def test_a_wanted_range_out_of_reach_is_warned_of_wherever_the_plan_is_told(
    sample: Path, tmp_path: Path
):
    """Reeds of the sample stand about 0.8 mm open; a range of 0.08 mm is a slip of the point."""
    shop = own_copy(sample, tmp_path / "w").folder
    toml = shop / "workshop.toml"
    text = toml.read_text(encoding="utf-8")
    slipped = re.sub(r"(?m)^(low|high)_mm = 0\.", r"\1_mm = 0.0", text)
    assert slipped != text
    toml.write_text(slipped, encoding="utf-8")
    for words in (("week",), ("plan",), ("prepare",), ("for", "Quillhaven")):
        told = planner(shop, *words, "--offline", "--today", TODAY.isoformat())
        assert told.exit_code == 0
        (line,) = [line for line in told.stderr.splitlines() if "whatever cane you take" in line]
        assert line.startswith("Next to no reeds are expected in your wanted range of 0.0")
    answer = json.loads(planner(shop, "week", "--json", "--today", TODAY.isoformat()).stdout)
    assert {row["diameter_mm"]["best"] for row in answer["take"]} == {11.5}
    (page,) = (shop / "reports").glob("plan-*.html")
    assert "whatever cane you take" in page.read_text(encoding="utf-8")


def test_a_week_is_told_alike_however_far_the_plan_reaches(settings: Settings):
    """To the last digit, at the bench and elsewhere; a longer plan only adds weeks."""
    short, long = (
        {(row["week_start"], row["place"]): row for row in plan_of(settings, weeks)["weeks"]}
        for weeks in (3, 52)
    )
    assert len(long) == 52 / 3 * len(short)
    assert short == {key: long[key] for key in short}


def plan_of(settings: Settings, weeks: int) -> dict[str, Any]:
    """The answer of a plan of so many weeks."""
    return plan(settings, today=TODAY, wishes=Wishes(weeks=weeks)).answer
