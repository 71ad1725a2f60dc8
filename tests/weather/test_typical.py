"""Typical years: what a file of its kind says, and what is no whole one."""

from pathlib import Path

import pytest

from planner.air.humidity import saturation_pressure, vapour_pressure
from planner.errors import TableError
from planner.weather.typical import is_typical, read_typical

PLACE = "LOCATION,Invented,-,-,Own,000000,50.10,15.20,1.0,200.0"
HEAD = [PLACE, *(f"HEADING {n}" for n in range(2, 9))]
TMY3_PLACE = '000000,"INVENTED",QH,1.0,50.1,15.2,200'
TMY3_HEAD = "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C),Dew-point (C),RHum (%)"


def epw_row(hour: int, temperature: object = 8.0, dew_point: object = 4.0, humidity: object = 76):
    """One hour of 5 March."""
    return f"1999,3,5,{hour},60,?,{temperature},{dew_point},{humidity},99000"


def epw(folder: Path, rows: list[str]) -> Path:
    """A file of these rows below its heading."""
    path = folder / "town.epw"
    path.write_text("\n".join([*HEAD, *rows]))
    return path


def tmy3(folder: Path, rows: list[str], head: str = TMY3_HEAD) -> Path:
    """The same in the other form."""
    path = folder / "town.csv"
    path.write_text("\n".join([TMY3_PLACE, head, *rows]))
    return path


def tmy3_rows(day: int) -> list[str]:
    """The hours of a day of March, named by their ends."""
    return [f"03/{day:02}/1999,{hour:02}:00,8.0,4.0,76" for hour in range(1, 25)]


def test_a_day_is_read_with_its_station_and_without_a_year(tmp_path: Path):
    """Twenty-four hours named by their ends; the humidity stands in for a missing dew point."""
    rows = [epw_row(hour) for hour in range(1, 24)] + [epw_row(24, dew_point=99.9)]
    found = read_typical(epw(tmp_path, rows))
    assert found.days.day.astype(str).tolist() == ["2001-03-05"]
    assert found.days.hours.tolist() == [24]
    mean = (23 * saturation_pressure(4.0) + vapour_pressure(76.0, 8.0)) / 24
    assert found.days.vapour_pressure[0] == pytest.approx(float(mean))
    assert found.station == (50.1, 15.2)
    assert found.notes[0] == "town.epw is a typical year"


@pytest.mark.parametrize("lacking", [{"temperature": 99.9}, {"dew_point": 99.9, "humidity": 999}])
def test_an_hour_that_is_marked_as_missing_is_left_out(tmp_path: Path, lacking: dict[str, float]):
    """The marks of the EPW data dictionary: 99.9 °C twice, 999 %."""
    rows = [epw_row(hour) for hour in range(1, 24)] + [epw_row(24, **lacking)]
    found = read_typical(epw(tmp_path, rows)).days
    assert found.hours.tolist() == [23]
    assert found.temperature.tolist() == [pytest.approx(8.0)]


@pytest.mark.parametrize(
    ("latitude", "longitude", "sound"),
    [("-90.0", "-180.0", True), ("-90.1", "15.2", False), ("50.1", "-181", False)],
)
def test_a_station_stands_on_the_globe(
    tmp_path: Path, latitude: str, longitude: str, *, sound: bool
):
    """South and west as well as north and east."""
    path = epw(tmp_path, [epw_row(hour) for hour in range(1, 25)])
    place = PLACE.replace("50.10", latitude).replace("15.20", longitude)
    path.write_text(path.read_text().replace(PLACE, place))
    assert (read_typical(path).station is not None) == sound


def test_an_empty_line_between_is_none_of_the_hours(tmp_path: Path):
    """In either form; the hours after it keep their days."""
    for path in (
        epw(tmp_path, [epw_row(hour) for hour in range(1, 13)] + [""] + [epw_row(13)]),
        tmy3(tmp_path, [*tmy3_rows(5), "", *tmy3_rows(6)]),
    ):
        assert is_typical(path)
        days = read_typical(path).days
        assert str(days.day[0]) == "2001-03-05"
        assert days.hours.tolist() == ([13] if path.suffix == ".epw" else [24, 24])
        assert days.temperature == pytest.approx(8.0)


def test_without_coordinates_there_is_no_station(tmp_path: Path):
    """The days are read all the same."""
    path = epw(tmp_path, [epw_row(hour) for hour in range(1, 25)])
    for place in (
        "LOCATION,Invented",
        PLACE.replace("50.10", "north"),
        PLACE.replace("50.10", "95"),
    ):
        path.write_text(path.read_text().replace(path.read_text().splitlines()[0], place))
        found = read_typical(path)
        assert found.station is None
        assert len(found.days) == 1


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([epw_row(1), "1999,3,5,2"], "town.epw, row 10: not a row of hourly weather, cut short?"),
        ([epw_row(1, temperature="warm")], "town.epw, row 9: not a row of hourly weather"),
        ([], "town.epw holds no hourly rows"),
        ([epw_row(25)], "town.epw: hour 25 is none"),
        ([epw_row(1).replace(",3,5,", ",13,5,")], "town.epw: month 13 is none"),
    ],
)
def test_a_file_that_is_no_whole_one_is_refused(tmp_path: Path, rows: list[str], said: str):
    """With the row, or with what can't be."""
    with pytest.raises(TableError, match=said):
        read_typical(epw(tmp_path, rows))


@pytest.mark.parametrize(
    ("last", "said"),
    [
        ("03/06/1999,01:00,8.0", "row 27: not a row of hourly weather, cut short"),
        ("03/06/1999", "row 27: not a row of hourly weather, cut short"),
        ("6 March,01:00,8.0,4.0,76", "row 27: not a row of hourly weather, cut short"),
    ],
)
def test_a_row_of_the_other_form_that_is_cut_short_is_named(tmp_path: Path, last: str, said: str):
    """Never taken for another hour's."""
    with pytest.raises(TableError, match=said):
        read_typical(tmy3(tmp_path, [*tmy3_rows(5), last]))


def test_the_other_form_without_a_column_says_which(tmp_path: Path):
    """Its own name of the column."""
    head = TMY3_HEAD.replace("Dew-point (C)", "Dew")
    with pytest.raises(TableError, match=r"town.csv looks like TMY3, but has no column.*Dew-point"):
        read_typical(tmy3(tmp_path, tmy3_rows(5), head))
