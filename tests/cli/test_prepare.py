"""prepare and for in a terminal."""

import json
from pathlib import Path

import pytest

from planner.demo import TODAY
from tests.workshops import SAMPLE, own_copy, run

DAY = TODAY.isoformat()
WEATHER = str(SAMPLE / "weather-Saltreed.csv")


@pytest.fixture(scope="module")
def workshop(planned_sample: Path, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The sample's workshop with its plan kept."""
    return str(own_copy(planned_sample, tmp_path_factory.mktemp("sample")).folder)


def test_prepare_shows_spells_tasks_stock_and_yields(workshop: str):
    """In that order, dates as the workshop writes them, no line wider than a terminal."""
    result = run("--workshop", workshop, "prepare", "--today", DAY)
    assert result.exit_code == 0
    lines = result.stdout.splitlines()
    first = [next(i for i, line in enumerate(lines) if line.startswith(label)) for label in (
        "Spell", "by ", "This week", "Stock", "Yields",
    )]  # fmt: skip
    assert first == sorted(first)
    assert any("Sort " in line for line in lines)
    assert any("Order " in line for line in lines)
    assert max(len(line) for line in lines) <= 80


def test_prepare_answers_in_json(workshop: str):
    """Stdout is one JSON object; warnings go to stderr."""
    result = run("--workshop", workshop, "prepare", "--today", DAY, "--json")
    answer = json.loads(result.stdout)
    assert answer["schema_version"] == 1
    item = answer["prepare"][0]
    assert item.keys() == {
        "by", "action", "diameter_low_mm", "diameter_high_mm", "gouge_mm", "pieces", "place",
        "week_start", "words",
    }  # fmt: skip
    spell = answer["spells"][0]
    assert {"kind", "first_week", "last_week", "shift_mm", "probability"} <= spell.keys()


def test_for_answers_in_a_few_lines(workshop: str):
    """Diameter, gouge and bench opening for a listed town, from a table of its weather."""
    result = run("--workshop", workshop, "for", "Ghent, BE", "--weather", WEATHER, "--today", DAY)
    assert result.exit_code == 0
    assert result.stdout.startswith("Gent (51.05, 3.72)")
    for label in ("Take ", "Finish ", "Expect ", "Why "):
        assert f"\n{label}" in result.stdout
    assert "on your bench" in result.stdout
    assert max(len(line) for line in result.stdout.splitlines()) <= 80


def test_for_says_how_a_file_of_weather_was_read(workshop: str, tmp_path: Path):
    """What was mended or left out of it, on stderr."""
    lines = Path(WEATHER).read_text(encoding="utf-8").splitlines()
    spoilt = tmp_path / "there.csv"
    last = lines[-1].split(",")[0]
    spoilt.write_text("\n".join([*lines, "2026-12-24,5.0,1.0"]), encoding="utf-8")
    assert last < "2026-12-24"
    asked = ("for", "Ghent, BE", "--weather", str(spoilt), "--today", DAY)
    result = run("--workshop", workshop, *asked)
    assert result.exit_code == 0, result.stderr
    assert "there.csv: 1 day after " in result.stderr


def test_for_takes_coordinates_and_what_is_known_of_the_room(workshop: str):
    """A humidifier there shows in the room that is reckoned with."""
    where = ("--latitude", "47.1", "--longitude", "11.3", "--weather", WEATHER, "--today", DAY)
    asked = ("--workshop", workshop, "for", "The hut", *where, "--json")
    plain = json.loads(run(*asked).stdout)
    damp = json.loads(run(*asked, "--humidify-to-pct", "60").stdout)
    assert plain["place"]["timezone"] == "Europe/Vienna"
    assert damp["take"]["room_rh_pct"]["p10"] > plain["take"]["room_rh_pct"]["p10"] + 5
    assert damp["take"]["diameter_mm"]["best"] > plain["take"]["diameter_mm"]["best"]


@pytest.mark.parametrize(
    ("arguments", "code", "said"),
    [
        (("for", "Nowhereville"), 2, 'No place of the list is named "Nowhereville"'),
        (("for", "X", "--latitude", "1"), 2, "--latitude and --longitude go together"),
        (("for", "Ghent", "--offline"), 1, "There is no weather for Gent"),
        (("for", "Ghent", "--weather", "missing.csv"), 2, "does not exist"),
        (("for", "frostmere", "--winter-c", "25"), 2, "Frostmere is a place of this workshop"),
        (("for", "Frostmere", "--latitude", "1", "--longitude", "1"), 2, "is a place of this"),
        (
            ("for", "Ghent", "--humidify-to-pct", "60", "--dehumidify-to-pct", "50"),
            2,
            "--humidify-to-pct must not exceed --dehumidify-to-pct.",
        ),
        (("for",), 2, "Missing argument"),
        (("prepare", "--weeks", "60"), 2, "60 is not in the range 1<=x<=52"),
    ],
)
def test_wrong_use_is_one_clear_line(workshop: str, arguments, code, said):
    """Nothing on stdout, no traceback, the right exit code."""
    result = run("--workshop", workshop, *arguments, "--today", DAY)
    assert result.exit_code == code
    assert said in result.stderr
    assert "Traceback" not in result.stderr
    assert result.stdout == ""


@pytest.mark.parametrize("verb", ["prepare", "for"])
def test_every_option_has_help(verb: str):
    """A maker can look it up, with examples."""
    result = run(verb, "--help")
    assert result.exit_code == 0
    assert "Examples:" in result.stdout
