"""The fitted rooms and model are used again while what they rest on holds, and only then."""

from datetime import date, timedelta
from pathlib import Path

import pytest

from planner.commands import learn as learning
from planner.commands.learn import learn
from planner.commands.workshop import opened
from planner.demo import TODAY
from planner.history.tables import Reading, Reed
from planner.settings import Settings
from planner.store.frozen import to_text
from tests.workshops import own_copy


@pytest.fixture(scope="module")
def learned_once(sample: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's workshop, its rooms and its model kept."""
    settings = own_copy(sample, tmp_path_factory.mktemp("learned"))
    with opened(settings) as workshop:
        learn(workshop, TODAY, keep=True)
    return settings.folder


@pytest.fixture
def settings(learned_once: Path, tmp_path: Path) -> Settings:
    """A copy of it, to do with as one likes."""
    return own_copy(learned_once, tmp_path / "w")


@pytest.fixture
def fitted(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """What was really fitted: "room" or "opening" each time."""
    made: list[str] = []

    def noting(name: str, word: str) -> None:
        real = getattr(learning, name)

        def wrapped(*args, **kwargs):
            made.append(word)
            return real(*args, **kwargs)

        monkeypatch.setattr(learning, name, wrapped)

    noting("fit_room", "room")
    noting("fit_opening", "opening")
    return made


def test_nothing_is_fitted_again_while_nothing_changed(settings: Settings, fitted: list[str]):
    """What is kept is what was made; places without a reading are the prior's and quick."""
    with opened(settings) as workshop:
        bench = settings.bench.place.name
        kept = learn(workshop, TODAY)
        silent = {place for place in settings.place_names if not readings(workshop, place)}
        assert fitted == ["room"] * len(silent)
        assert bench not in silent
        for key in (*(f"room of {name}" for name in settings.place_names), "opening"):
            workshop.weather.keep(key, "another", "{}")
        anew = learn(workshop, TODAY)
    assert to_text(kept.fit) == to_text(anew.fit)
    assert to_text(kept.rooms[bench]) == to_text(anew.rooms[bench])


def readings(workshop, place: str) -> bool:
    """Whether a place has any."""
    return any(row.place == place for row in workshop.record.readings(until=TODAY))


def test_a_new_reed_leaves_the_rooms(settings: Settings, fitted: list[str]):
    """Only the opening model is fitted anew."""
    with opened(settings) as workshop:
        silent = sum(not readings(workshop, place) for place in settings.place_names)
        reed = Reed(TODAY, settings.bench.place.name, diameter_mm=10.3, opening_mm=0.8)
        workshop.record.add(reed)
        learn(workshop, TODAY)
    assert fitted == ["room"] * silent + ["opening"]


def test_a_new_reading_fits_its_room_and_what_follows(settings: Settings, fitted: list[str]):
    """The moisture of the reeds follows from the room."""
    with opened(settings) as workshop:
        silent = sum(not readings(workshop, place) for place in settings.place_names)
        time = workshop.record.readings(until=TODAY)[-1].time - timedelta(hours=1)
        bench = settings.bench.place.name
        workshop.record.add(Reading(time=time, place=bench, rh_pct=30.0))
        learn(workshop, TODAY)
    assert fitted == ["room"] * (silent + 1) + ["opening"]


def test_another_day_is_another_model(settings: Settings, fitted: list[str]):
    """Learning as of a day uses nothing later, kept or not."""
    with opened(settings) as workshop:
        then = learn(workshop, date(2026, 3, 1))
        assert "opening" in fitted
        assert max(reed.date for reed in then.reeds) <= date(2026, 3, 1)
        fitted.clear()
        learn(workshop, TODAY)  # looking back has kept nothing in place of it
    assert "opening" not in fitted


@pytest.mark.parametrize("text", ["", "{}", "[1]"])
def test_a_damaged_one_is_made_anew_silently(
    settings: Settings, fitted: list[str], capsys: pytest.CaptureFixture[str], text: str
):
    """What can be made again is no reason to stop."""
    with opened(settings) as workshop:
        mark = workshop.weather.kept("opening")
        assert mark is not None
        workshop.weather.keep("opening", mark[0], text)
        learn(workshop, TODAY, keep=True)
        assert "opening" in fitted
        fitted.clear()
        learn(workshop, TODAY)
    assert "opening" not in fitted
    assert capsys.readouterr() == ("", "")
