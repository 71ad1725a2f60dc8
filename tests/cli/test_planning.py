"""week, plan, start and demo in a terminal."""

import json
from pathlib import Path

import pytest
from click.testing import Result

from tests.workshops import SAMPLE, run

TODAY = "2026-11-23"

# The keys that other programs read; the design of the JSON answer.
PLAN_KEYS = {"schema_version", "today", "workshop", "basis", "weeks", "spells", "prepare"}
PLAN_KEYS |= {"warnings", "sources"}
WEEK_KEYS = {"week_start", "place", "sort_by", "weather", "room_rh_pct", "moisture_pct"}
WEEK_KEYS |= {"diameter_mm", "gouge_mm", "in_band_share", "in_band_share_usual", "opening_mm"}
WEEK_KEYS |= {"why"}


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Result]:
    """The demo, made once."""
    folder = tmp_path_factory.mktemp("demo") / "demo-workshop"
    return folder, run("demo", str(folder))


@pytest.fixture
def workshop(demo: tuple[Path, Result]) -> str:
    """The demo's folder."""
    return str(demo[0])


def test_the_demo_makes_a_workshop_plans_it_and_says_where_the_page_lies(demo):
    """The main job on one command, without a network."""
    folder, result = demo
    assert result.exit_code == 0
    page = folder / "reports" / f"plan-{TODAY}.html"
    assert f"Page: {page}" in result.stdout
    assert page.is_file()
    assert "invented" in result.stderr


def test_the_demo_never_writes_over_a_workshop(workshop: str):
    """Twice in one folder is refused."""
    result = run("demo", workshop)
    assert result.exit_code == 1
    assert "already" in result.stderr


def test_the_week_is_a_few_lines_of_eighty_columns(workshop: str):
    """What to take, for when, how sure, and what it rests on."""
    result = run("--workshop", workshop, "week", "--today", TODAY)
    lines = result.stdout.splitlines()
    assert result.exit_code == 0
    assert max(map(len, lines)) <= 80
    assert len(lines) <= 30
    for words in ("Take", "mm", "gouge", "in\u00a0100", "7\u00a0Dec\u00a02026", "Rests on"):
        assert words in result.stdout


def test_the_week_groups_the_places_that_want_the_same_cane(workshop: str):
    """So many reeds from one class, for these places; the same in JSON."""
    said = run("--workshop", workshop, "week", "--today", TODAY).stdout
    answer = json.loads(run("--workshop", workshop, "week", "--today", TODAY, "--json").stdout)
    groups = [group["words"] for group in answer["same_cane"]]
    text = " ".join(said.split())
    assert groups
    for words in groups:
        assert " ".join(words.split()) in text
    assert any("Quillhaven and Frostmere" in words for words in groups)


def test_a_what_if_says_that_it_writes_nothing(workshop: str):
    """And has no page to open."""
    asked = ("--workshop", workshop, "plan", "--today", TODAY, "--usual-only")
    result = run(*asked)
    assert "A what-if: your plan and its page stay as they are." in result.stdout
    assert "Page:" not in result.stdout
    refused = run(*asked, "--open")
    assert refused.exit_code == 2
    assert "leave --open out" in refused.stderr


def test_the_plan_in_a_terminal_keeps_to_eighty_columns(workshop: str):
    """Tables are cut to fit."""
    result = run("--workshop", workshop, "plan", "--today", TODAY)
    assert result.exit_code == 0
    table = result.stdout.split("\nPage:")[0]
    assert max(map(len, table.splitlines())) <= 80
    assert "following the season is worth about" in " ".join(result.stdout.split())


def test_the_plan_as_json_has_the_promised_keys(workshop: str):
    """Key for key, and nothing but JSON on stdout."""
    result = run("--workshop", workshop, "plan", "--today", TODAY, "--json")
    answer = json.loads(result.stdout)
    assert set(answer) >= PLAN_KEYS
    assert answer["schema_version"] == 1
    assert answer["today"] == TODAY
    assert len(answer["weeks"]) == 36
    for row in answer["weeks"]:
        assert set(row) >= WEEK_KEYS
        assert set(row["room_rh_pct"]) == set(row["moisture_pct"]) == {"p10", "p50", "p90"}
        assert set(row["diameter_mm"]) == {"low", "best", "high"}
        assert set(row["gouge_mm"]) == {"low", "target", "high"}
        assert row["weather"] in {"forecast", "mixed", "climate"}
        assert row["diameter_mm"]["low"] <= row["diameter_mm"]["best"] <= row["diameter_mm"]["high"]
        assert 0 <= row["in_band_share_usual"] <= 1
        assert row["in_band_share"] >= row["in_band_share_usual"] - 0.005
    assert {source["attribution"] for source in answer["sources"]}


def test_the_week_as_json_tells_what_to_take_and_what_is_being_finished(workshop: str):
    """The same rows as the plan's."""
    answer = json.loads(run("--workshop", workshop, "week", "--today", TODAY, "--json").stdout)
    assert answer["take"][0]["week_start"] == "2026-12-07"
    assert answer["finishing"]["week_start"] == TODAY


def test_more_weeks_can_be_asked_for(workshop: str):
    """Up to a year."""
    result = run("--workshop", workshop, "plan", "--today", TODAY, "--weeks", "52", "--json")
    assert len(json.loads(result.stdout)["weeks"]) == 3 * 52
    assert run("--workshop", workshop, "plan", "--weeks", "53").exit_code == 2


def test_a_replay_uses_nothing_later(workshop: str):
    """As of last winter, the reeds since then don't count."""
    result = run("--workshop", workshop, "plan", "--today", "2026-01-12", "--json")
    answer = json.loads(result.stdout)
    assert answer["basis"]["last_reed"] <= "2026-01-12"
    assert answer["weeks"][0]["week_start"] == "2026-01-12"


def test_a_mistyped_option_is_told_the_nearest(workshop: str):
    """``--week`` was meant to be ``--weeks``."""
    result = run("--workshop", workshop, "plan", "--week", "3")
    assert result.exit_code == 2
    assert "--weeks" in result.stderr


def test_a_date_that_is_none_is_refused(workshop: str):
    """And says how a date is written."""
    result = run("--workshop", workshop, "week", "--today", "23.11.2026")
    assert result.exit_code == 2
    assert "2026-11-23" in result.stderr


def test_a_workshop_is_started_by_a_few_answers(tmp_path: Path):
    """Place, contact, range, diameter, gouge; then the next step is named."""
    folder = tmp_path / "w"
    typed = "Ghent, BE\nme@example.org\n0.72-0.88\n10.4\n0.58\n"
    result = run("--workshop", str(folder), "start", typed=typed)
    assert result.exit_code == 0, result.stderr
    text = (folder / "workshop.toml").read_text()
    for words in ('timezone = "Europe/Brussels"', "low_mm = 0.72", "usual_mm = 10.4", "0.58"):
        assert words in text
    assert "planner week" in result.stdout


def test_a_workshop_is_started_by_options_alone(tmp_path: Path):
    """Nothing is asked of a script."""
    folder = str(tmp_path / "w")
    coordinates = ("--latitude", "51.05", "--longitude", "3.72")
    result = run("--workshop", folder, "start", "--place", "Bench", *coordinates)
    assert result.exit_code == 0, result.stderr
    assert run("--workshop", folder, "start", "--place", "Bench", *coordinates).exit_code == 1


def test_an_unknown_town_is_said_and_nothing_is_written(tmp_path: Path):
    """With the way out: coordinates."""
    result = run("--workshop", str(tmp_path / "w"), "start", "--place", "Xyzzyville")
    assert result.exit_code == 2
    assert "--latitude" in result.stderr
    assert not (tmp_path / "w").exists()


def test_a_workshop_is_started_from_a_folder_of_tables(tmp_path: Path):
    """Settings, tables and weather are taken in."""
    folder = tmp_path / "w"
    result = run("--workshop", str(folder), "start", "--from", str(SAMPLE), "--today", TODAY)
    assert result.exit_code == 0, result.stderr
    assert "rows of reeds" in result.stderr
    assert (folder / "workshop.db").is_file()


def test_a_new_workshop_without_weather_says_how_to_get_some(tmp_path: Path):
    """First use without a network: one sentence, exit code 1."""
    folder = str(tmp_path / "w")
    run("--workshop", folder, "start", "--place", "Ghent, BE")
    result = run("--workshop", folder, "week", "--offline")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert "planner weather fetch" in result.stderr


def test_the_committed_sample_page_is_the_one_made_today(tmp_path: Path):
    """If figures moved, python .ci/remake makes it anew, with its picture and README quotes."""
    run("demo", str(tmp_path / "own"))
    made = tmp_path / "own" / "reports" / f"plan-{TODAY}.html"
    assert made.read_bytes() == (SAMPLE.parent / "reports" / "sample-plan.html").read_bytes()


def test_the_page_is_opened_only_when_asked(workshop: str, monkeypatch: pytest.MonkeyPatch):
    """In whatever shows pages on that machine."""
    opened: list[str] = []
    monkeypatch.setattr("click.launch", opened.append)
    run("--workshop", workshop, "plan", "--today", TODAY)
    assert not opened
    run("--workshop", workshop, "plan", "--today", TODAY, "--open")
    assert [Path(path).name for path in opened] == [f"plan-{TODAY}.html"]
