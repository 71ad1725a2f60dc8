"""What a maker is warned of before trusting a plan."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.commands.chain import plan_as_of, weather_warnings
from planner.commands.learn import Learned, learn
from planner.commands.wishes import Wishes
from planner.commands.workshop import Workshop, opened
from planner.demo import TODAY
from planner.report.words import day
from tests.workshops import own_copy


@pytest.fixture(scope="module")
def workshop(sample: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Workshop]:
    """The sample's workshop, opened."""
    with opened(own_copy(sample, tmp_path_factory.mktemp("chain"))) as found:
        yield found


@pytest.fixture(scope="module")
def learned(workshop: Workshop) -> Learned:
    """What is known in it."""
    return learn(workshop, TODAY)


def told(workshop: Workshop, learned: Learned, days: int) -> list[str]:
    """The warnings so many days later, with nothing fetched since, of the bench."""
    later = replace(learned, today=TODAY + timedelta(days=days))
    return [line for line in weather_warnings(workshop, later) if line.startswith("Quillhaven: ")]


def test_weather_that_grows_old_is_told(workshop: Workshop, learned: Learned):
    """First the forecast's age, then that there is none, then the last day stored."""
    _, issued, _ = workshop.weather.forecast("Quillhaven", TODAY)
    last = learned.outdoor["Quillhaven"].day[-1].item()
    fresh, old, gone = (told(workshop, learned, days) for days in (0, 5, 40))
    assert not [line for line in fresh if "forecast" in line]
    age = (TODAY - issued).days + 5
    assert f"Quillhaven: the forecast is {age} days old." in old
    assert "Quillhaven: no forecast is stored; the weeks ahead stand on past years alone." in gone
    assert f"Quillhaven: the last day of weather stored is {day(last)}." in gone


def test_a_place_without_weather_is_told_how_to_get_it(workshop: Workshop, learned: Learned):
    """Nothing else is said of it."""
    rooms = {name: room for name, room in learned.rooms.items() if name != "Quillhaven"}
    found = weather_warnings(workshop, replace(learned, rooms=rooms))
    (line,) = [line for line in found if "Quillhaven" in line]
    assert line.startswith('No weather is stored for Quillhaven. Run "planner weather fetch"')


def test_days_in_the_notes_of_the_fit_are_written_as_all_others(
    workshop: Workshop, learned: Learned
):
    """The model knows nothing of how a workshop writes its days."""
    slip = "1 opening lies so far out (2026-01-05); look it up."
    noted = replace(learned, fit=replace(learned.fit, notes=(slip,)))
    found = plan_as_of(workshop, noted, Wishes(weeks=3).settled(workshop.settings))
    assert found.basis.notes == (
        f"1 opening lies so far out ({day(date(2026, 1, 5))}); look it up.",
    )


def test_verdicts_that_contradict_the_openings_reach_the_plan(workshop: Workshop, learned: Learned):
    """The sample's verdicts turned round: closed for open, open for good."""
    turned = {"good": "open", "open": "closed", "closed": "good", None: None}
    reeds = tuple(replace(reed, verdict=turned[reed.verdict]) for reed in learned.reeds)
    asked = Wishes(weeks=3).settled(workshop.settings)
    found = plan_as_of(workshop, replace(learned, reeds=reeds), asked)
    assert [line for line in found.warnings if "with both an opening and a verdict" in line]
    asis = plan_as_of(workshop, learned, asked)
    assert not [line for line in asis.warnings if "with both an opening and a verdict" in line]
