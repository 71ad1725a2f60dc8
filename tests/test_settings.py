"""``workshop.toml``: what may stand in it, and what the maker is told otherwise."""

from contextlib import suppress
from pathlib import Path

import pytest

from planner.errors import UnknownPlace, WorkshopError
from planner.settings import Cane, Gouge, Lead, Opening, Output, find_workshop, read_settings
from planner.settings_schema import PLACE as PLACE_KEYS
from planner.settings_schema import ROOM, SECTIONS

PLACE = """
[[place]]
name = "Millrace"
latitude = 50.1
longitude = 8.7
timezone = "Europe/Berlin"
"""


def _write(folder: Path, text: str) -> Path:
    (folder / "workshop.toml").write_text(text, encoding="utf-8")
    return folder


def test_a_place_is_all_that_is_needed(tmp_path: Path):
    """Everything else has the defaults of the design."""
    settings = read_settings(_write(tmp_path, PLACE))
    assert settings.bench.place.name == "Millrace"
    assert (settings.cane.diameter_min_mm, settings.cane.diameter_max_mm) == (9.5, 11.5)
    assert (settings.cane.sorted_to_mm, settings.cane.usual_mm) == (0.25, None)
    assert (settings.gouge.usual_mm, settings.gouge.min_mm, settings.gouge.max_mm) == (
        0.59,
        0.56,
        0.62,
    )
    assert (settings.lead.sort_to_finish_days, settings.lead.in_use_days) == (14, 21)
    assert settings.output.reeds_per_week == 20
    assert (settings.opening.low_mm, settings.opening.high_mm) == (None, None)


def test_what_is_written_is_what_counts(tmp_path: Path):
    """A workshop of another double reed (invented), every section told."""
    text = """
[workshop]
name = "Low Reeds"
contact = "me@example.org"
temperature = "fahrenheit"
dates = "mdy"
[opening]
low_mm = 0.62
high_mm = 0.9
resolution_mm = 0.05
[cane]
diameter_min_mm = 23.0
diameter_max_mm = 27.0
sorted_to_mm = 0.5
usual_mm = 25
[gouge]
usual_mm = 1.3
min_mm = 1.2
max_mm = 1.4
check_limit_mm = 0.03
[lead]
sort_to_finish_days = 21
in_use_days = 30
order_days = 60
[output]
reeds_per_week = 4.5
pieces_per_good_reed = 2
"""
    place = PLACE.replace("Millrace", "  Millrace ") + "share = 3\n[place.room]\nwinter_c = 19.5\n"
    settings = read_settings(_write(tmp_path, text + place))
    assert (settings.name, settings.contact, settings.fahrenheit) == (
        "Low Reeds",
        "me@example.org",
        True,
    )
    assert (settings.dates, settings.typed_dates) == ("mdy", "mdy")
    assert settings.opening == Opening(0.62, 0.9, 0.05)
    assert settings.cane == Cane(23.0, 27.0, 0.5, 25)
    assert settings.gouge == Gouge(1.3, 1.2, 1.4, 0.03)
    assert settings.lead == Lead(21, 30, 60)
    assert settings.output == Output(4.5, 2)
    bench = settings.bench
    assert (bench.place.name, bench.share, bench.room.winter_c) == ("Millrace", 3, 19.5)


def test_what_is_not_written_stays_open(tmp_path: Path):
    """The folder's name, days as most write them, but none guessed."""
    settings = read_settings(_write(tmp_path, PLACE))
    assert (settings.name, settings.fahrenheit) == (tmp_path.name, False)
    assert (settings.dates, settings.typed_dates) == ("dmy", "ymd")


def test_every_problem_is_told_at_once(tmp_path: Path):
    """Three slips, three lines, each with its key and what may stand there."""
    text = '[cane]\nsorted_to = 0.25\n[gouge]\nusual_mm = "0.59"\n'
    text += "[opening]\nlow_mm = 0.9\nhigh_mm = 0.7\n"
    with pytest.raises(WorkshopError) as told:
        read_settings(_write(tmp_path, text + PLACE))
    message = str(told.value)
    assert 'did you mean "sorted_to_mm"?' in message
    assert "usual_mm = '0.59': must be a number" in message
    assert "low_mm = 0.9 must be less than high_mm = 0.7" in message


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "no [[place]]"),
        ("[workshop", "isn't sound TOML"),
        ('[workshop]\ndates = "dym"\n' + PLACE, 'must be one of "ymd", "dmy", "mdy"'),
        (PLACE.replace("Millrace", "  "), "[[place]] 1 needs a name"),
        ("[canes]" + PLACE, 'did you mean "cane"?'),
        (PLACE + PLACE, "two places are named"),
        (PLACE.replace("Europe/Berlin", "Mars/Olympus"), "must be a time zone"),
        (PLACE.replace("50.1", "95"), "from -90 to 90"),
        (PLACE.replace("longitude = 8.7\n", ""), "go together"),
        (PLACE + "[place.room]\nwinter = 20\n", 'did you mean "winter_c"?'),
        ("[opening]\nlow_mm = 0.7\n" + PLACE, "go together"),
        (
            "[cane]\nusual_mm = 12\n" + PLACE,
            "must lie within 9.5 to 11.5 "
            "(diameter_min_mm and diameter_max_mm aren't set and are the defaults)",
        ),
        (
            "[gouge]\nmin_mm = 0.7\n" + PLACE,
            "must be less than max_mm = 0.62 (max_mm isn't set and is the default)",
        ),
        (
            "[gouge]\nmin_mm = 0.85\nmax_mm = 0.95\n" + PLACE,
            "usual_mm = 0.59 must lie within 0.85 to 0.95 (usual_mm isn't set and is the default)",
        ),
        (
            PLACE + "[place.room]\nhumidify_to_pct = 60\ndehumidify_to_pct = 50\n",
            "[place.room] humidify_to_pct = 60 must not exceed dehumidify_to_pct = 50",
        ),
        ("cane = 3\n" + PLACE, "must be a table"),
        ("import = 3\n" + PLACE, "[import] must be a table, with one of its own for each table"),
        ("[cane]\nusual_mm = " + "9" * 5000, "isn't sound TOML"),
        ("a = " + "[" * 5000, "isn't sound TOML"),
        (f"[opening]\nlow_mm = {10**400}\nhigh_mm = 1\n{PLACE}", "must be a number from 0 to 10"),
    ],
)
def test_each_slip_has_its_sentence(tmp_path: Path, text: str, words: str):
    """A maker reads what to mend."""
    with pytest.raises(WorkshopError) as told:
        read_settings(_write(tmp_path, text))
    assert words in str(told.value)


def test_a_folder_without_settings_says_what_to_do(tmp_path: Path):
    """First use in a wrong folder."""
    with pytest.raises(WorkshopError, match="planner start"):
        find_workshop(tmp_path)


def test_a_folder_that_cannot_be_looked_into_is_named(tmp_path: Path):
    """A name that no disk takes."""
    with pytest.raises(WorkshopError, match="can't be looked into: File name too long"):
        find_workshop(tmp_path / ("x" * 400))


def test_a_folder_that_is_gone_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The terminal stands in a folder that was moved or deleted."""
    here = tmp_path / "here"
    here.mkdir()
    monkeypatch.chdir(here)
    here.rmdir()
    with pytest.raises(WorkshopError, match="The folder you stand in is gone"):
        find_workshop(None)
    monkeypatch.setenv("PLANNER_WORKSHOP", str(_write(tmp_path, PLACE)))
    assert find_workshop(None) == tmp_path


def test_the_variable_names_the_workshop_from_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """The folder one stands in comes first, then PLANNER_WORKSHOP."""
    here, there = tmp_path / "here", tmp_path / "there"
    here.mkdir()
    there.mkdir()
    _write(there, PLACE)
    monkeypatch.chdir(here)
    monkeypatch.setenv("PLANNER_WORKSHOP", str(there))
    assert find_workshop(None) == there
    _write(here, PLACE)
    assert find_workshop(None) == here


def test_a_place_is_found_without_regard_to_case(tmp_path: Path):
    """And an unknown one names those there are."""
    settings = read_settings(_write(tmp_path, PLACE))
    assert settings.place_named(" millRACE ").place.name == "Millrace"
    with pytest.raises(UnknownPlace, match="it has Millrace"):
        settings.place_named("Elsewhere")


ODD = [
    "nan",
    "inf",
    "-1",
    "1" + "0" * 400,
    "1e308",
    '""',
    '"\\u0000"',
    "[]",
    "{}",
    "true",
    "1979-05-27",
]


@pytest.mark.parametrize("value", ODD)
def test_any_value_of_any_key_is_taken_or_told(tmp_path: Path, value: str):
    """Never an error of Python's own, each key by itself and all of a section at once."""
    for section, keys in SECTIONS.items():
        for lines in (
            [f"{key} = {value}" for key in keys],
            *([f"{key} = {value}"] for key in keys),
        ):
            text = "\n".join([f"[{section}]", *lines, PLACE])
            _taken_or_told(tmp_path, text)
    for key in PLACE_KEYS:
        rest = [line for line in PLACE.splitlines() if not line.startswith(key)]
        _taken_or_told(tmp_path, "\n".join([*rest, f"{key} = {value}"]))
    for key in ROOM:
        _taken_or_told(tmp_path, f"{PLACE}[place.room]\n{key} = {value}\n")
    for key in (*SECTIONS, "place", "import", "other"):
        _taken_or_told(tmp_path, f"{key} = {value}\n")


def _taken_or_told(folder: Path, text: str) -> None:
    with suppress(WorkshopError):
        read_settings(_write(folder, text))


def test_what_a_place_leaves_out_is_looked_up(tmp_path: Path):
    """The coordinates of a listed town; the time zone of coordinates."""
    text = '[[place]]\nname = "Ghent, BE"\n[[place]]\nname = "Hut"\nlatitude = 47.1\n'
    town, hut = read_settings(_write(tmp_path, text + "longitude = 11.3\n")).places
    assert (town.place.latitude, town.place.longitude) == (
        pytest.approx(51.05, abs=0.02),
        pytest.approx(3.72, abs=0.02),
    )
    assert (town.place.name, town.place.timezone) == ("Ghent, BE", "Europe/Brussels")
    assert hut.place.timezone == "Europe/Vienna"


def test_a_name_that_is_not_one_town_needs_coordinates(tmp_path: Path):
    """Neither none nor several."""
    for name in ("Xyzzyville", "Springfield"):
        with pytest.raises(WorkshopError, match=f'"{name}" is not one place of the list; give it'):
            read_settings(_write(tmp_path, f'[[place]]\nname = "{name}"\n'))
