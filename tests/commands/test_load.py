"""Loading a folder of tables."""

import time
from datetime import date, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from planner.commands.foreign import foreign_for
from planner.commands.load import load_folder
from planner.commands.record import open_record
from planner.commands.workshop import opened
from planner.errors import PlannerError, TableError, WorkshopError
from planner.settings import read_settings
from tests.workshops import MILLRACE

PLACE = MILLRACE.format(timezone="UTC")
TODAY = date(2026, 11, 23)


def _source(folder: Path, **tables: str) -> Path:
    source = folder / "tables"
    source.mkdir()
    (source / "workshop.toml").write_text(PLACE)
    for name, text in tables.items():
        (source / f"{name}.csv").write_text(text)
    return source


def test_what_is_there_is_taken_in(tmp_path: Path):
    """A folder with reeds alone is enough; each file is told."""
    source = _source(tmp_path, reeds="date,diameter_mm,verdict\n2026-11-20,10.4,good\n")
    loaded = load_folder(source, tmp_path / "w", today=TODAY)
    assert loaded.lines == ("1\u00a0row of reeds from reeds.csv",)


def test_a_folder_without_a_table_is_said(tmp_path: Path):
    """Settings alone are no history."""
    with pytest.raises(WorkshopError, match="holds no table"):
        load_folder(_source(tmp_path), tmp_path / "w", today=TODAY)


def test_a_day_that_has_begun_at_the_bench_is_no_later_one(tmp_path: Path, monkeypatch):
    """The computer's own clock may stand a day behind: 26 hours lie between these two."""
    monkeypatch.setenv("TZ", "Etc/GMT+12")
    time.tzset()
    try:
        here = datetime.now(ZoneInfo("Pacific/Kiritimati")).date()
        source = _source(tmp_path, reeds=f"date,diameter_mm,verdict\n{here},10.4,good\n")
        (source / "workshop.toml").write_text(MILLRACE.format(timezone="Pacific/Kiritimati"))
        assert len(load_folder(source, tmp_path / "w").lines) == 1
    finally:
        monkeypatch.undo()
        time.tzset()


def test_a_bad_cell_is_named(tmp_path: Path):
    """As in any import."""
    source = _source(tmp_path, reeds="date,diameter_mm,verdict\n2026-11-20,105,good\n")
    with pytest.raises(TableError, match="105"):
        load_folder(source, tmp_path / "w", today=TODAY)


def test_what_the_settings_keep_for_a_table_holds_here_too(tmp_path: Path):
    """Own headings and days, as in any import; columns left out are named."""
    source = _source(tmp_path, reeds="Tag,Ø,verdict,price\n3/4/2026,10.4,good,9\n")
    kept = '[workshop]\ndates = "mdy"\n[import.reeds]\nmap = "Tag=date,Ø=diameter_mm"\n'
    (source / "workshop.toml").write_text(kept + PLACE, encoding="utf-8")
    loaded = load_folder(source, tmp_path / "w", today=TODAY)
    assert loaded.lines[1] == "reeds.csv: left out the columns price."
    with open_record(loaded.settings) as record:
        assert [reed.date for reed in record.reeds()] == [date(2026, 3, 4)]


def test_headings_kept_for_weather_do_not_stop_other_imports(tmp_path: Path):
    """``[import.weather]`` is known beside the tables."""
    (tmp_path / "workshop.toml").write_text(PLACE + '[import.weather]\nmap = "t=time"\n')
    foreign_for(read_settings(tmp_path), "reeds", {})


def test_what_the_settings_keep_for_the_weather_holds_here_too(tmp_path: Path):
    """Own headings and days."""
    weather = {"weather-Millrace": "Tag,T,rh_pct\n3/4/2026,5,80\n"}
    source = _source(tmp_path, **weather)
    kept = '[import.weather]\nmap = "Tag=time,T=temperature_c"\ndates = "mdy"\n'
    (source / "workshop.toml").write_text(PLACE + kept, encoding="utf-8")
    loaded = load_folder(source, tmp_path / "w", today=TODAY)
    with opened(loaded.settings) as workshop:
        assert str(workshop.weather.observed("Millrace", TODAY).day[0]) == "2026-03-04"


def test_tables_without_settings_make_no_workshop(tmp_path: Path):
    """The file that is missing is named."""
    source = _source(tmp_path, reeds="date,diameter_mm,verdict\n2026-11-20,10.4,good\n")
    (source / "workshop.toml").unlink()
    with pytest.raises(WorkshopError, match=r"workshop\.toml is missing; a workshop needs"):
        load_folder(source, tmp_path / "w", today=TODAY)
    assert not (tmp_path / "w").exists()


def test_a_workshop_where_none_can_be_made_is_told(tmp_path: Path):
    """A file stands in the way."""
    (tmp_path / "w").write_text("kept")
    with pytest.raises(PlannerError, match="can't be"):
        load_folder(_source(tmp_path), tmp_path / "w", today=TODAY)
    assert (tmp_path / "w").read_text() == "kept"


def test_a_forecast_is_named_by_the_day_of_issue(tmp_path: Path):
    """Taken in as of that day; a name that ends in none is refused."""
    air = "time,temperature_c,dew_point_c\n2026-11-21,5,3\n2026-11-22,6,3\n"
    source = _source(tmp_path)
    (source / "forecast-Millrace-2026-11-20.csv").write_text(air)
    loaded = load_folder(source, tmp_path / "w", today=TODAY)
    assert loaded.lines == (
        "a forecast of Fri\u00a020\u00a0Nov\u00a02026 "
        "for Millrace from forecast-Millrace-2026-11-20.csv",
    )
    (source / "forecast-Millrace-latest.csv").write_text(air)
    with pytest.raises(
        TableError, match="the name must end in the day of issue, as forecast-PLACE"
    ):
        load_folder(source, tmp_path / "other", today=TODAY)
