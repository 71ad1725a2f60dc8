"""How a maker's own tables are read: what is said, what the settings keep, and keeping it."""

from datetime import date
from pathlib import Path

import pytest

from planner.commands.foreign import WEATHER, foreign_for, remember, to_remember
from planner.commands.weather import import_weather
from planner.commands.workshop import opened
from planner.errors import TableError, WrongUse
from planner.settings import Settings, read_settings
from tests.workshops import MILLRACE

PLACE = MILLRACE.format(timezone="Europe/Berlin")
LOGGER = "Zeit;Temp (°F);U;Akku\n3/4/2026;41;80;3,1\n4/4/2026;50;70;3,1\n"
SAID = {"map": "zeit=time,Temp (°F)=temperature_c,U=rh_pct", "dates": "dmy"}


@pytest.fixture
def shop(tmp_path: Path) -> Settings:
    """The settings of a workshop without a record."""
    (tmp_path / "workshop.toml").write_text(PLACE, encoding="utf-8")
    return read_settings(tmp_path)


def test_what_is_remembered_is_read_back(shop: Settings):
    """Quotes and signs of any script; the rest of the file stays as it was."""
    said = {"map": 'Ø "x"=diameter_mm,Tag=date,res=verdict', "verdicts": "flat=closed", "units": ""}
    remember(shop, to_remember(shop, "reeds", said))
    again = read_settings(shop.folder)
    assert again.text.startswith(PLACE.rstrip())
    foreign = foreign_for(again, "reeds", {})
    assert foreign.headings['ø "x"'] == "diameter_mm"
    assert foreign.verdicts == {"flat": "closed"}
    with pytest.raises(WrongUse, match="edit it there"):
        to_remember(again, "reeds", said)
    with pytest.raises(WrongUse, match="nothing to remember"):
        to_remember(shop, "checks", {"map": None})


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        ("[import.reads]\n", r"\[import.reads\] is no table"),
        ("[import]\nreeds = 3\n", "must be a table of map"),
        ('[import.reeds]\nmapp = "a=b"\n', '"mapp" is not one of'),
        ('[import.reeds]\nmap = "a=b"\n', '"b" is not one of'),
    ],
)
def test_a_slip_in_what_is_kept_is_named(shop: Settings, kept: str, words: str):
    """With the file and the table it stands in."""
    (shop.folder / "workshop.toml").write_text(PLACE + kept, encoding="utf-8")
    with pytest.raises(WrongUse, match=words):
        foreign_for(read_settings(shop.folder), "reeds", {})


def logged(settings: Settings, **said: str | None):
    """Take the logger's table in, by what is said and what is kept."""
    path = settings.folder / "logger.csv"
    path.write_text(LOGGER, encoding="utf-8")
    with opened(settings) as workshop:
        import_weather(workshop, path, today=date(2026, 11, 25), said=said)
        return workshop.weather.observed("Millrace", date(2026, 11, 25))


def test_a_loggers_headings_and_days_are_said_once_and_kept(shop: Settings):
    """41 °F is 5 °C; another time without a word, and what is said then goes before it."""
    with pytest.raises(TableError, match=r'row 1: the columns are Zeit.*--map "yours=temperature'):
        logged(shop)
    days = logged(shop, **SAID)
    assert days.day.astype(str).tolist() == ["2026-04-03", "2026-04-04"]
    assert days.temperature.tolist() == pytest.approx([5.0, 10.0])
    told = remember(shop, to_remember(shop, WEATHER, SAID))
    assert told[1].splitlines()[0] == "[import.weather]"
    again = read_settings(shop.folder)
    assert len(logged(again)) == 2
    assert logged(again, dates="mdy").day.astype(str).tolist()[-2:] == ["2026-04-03", "2026-04-04"]
    with pytest.raises(WrongUse, match="say --map or --dates"):
        to_remember(shop, WEATHER, {})


@pytest.mark.parametrize(
    ("kept", "words"),
    [
        ("[import]\nweather = 3\n", "must be a table of map and dates"),
        ('[import.weather]\nunits = "a=b"\n', '"units" is not one of map, dates'),
        ('[import.weather]\nmap = "T=temp"\n', '"temp" is not one of time, temperature_c'),
        ('[import.weather]\ndates = "dym"\n', 'dates: "dym" is not one of'),
    ],
)
def test_a_slip_in_what_is_kept_of_the_weather_is_named(shop: Settings, kept: str, words: str):
    """And nothing is stored."""
    (shop.folder / "workshop.toml").write_text(PLACE + kept, encoding="utf-8")
    with pytest.raises(WrongUse, match=words):
        logged(read_settings(shop.folder))
