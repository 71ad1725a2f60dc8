"""The study of the outlook reads decades of weather from whatever table holds them."""

import gzip

import numpy as np
import pytest
from outlook_tables import Unreadable, days_of, sites

from planner.air.humidity import dew_point, relative_humidity, saturation_pressure

WARM, DEW = (20.0, 10.5), (12.0, 4.0)
HUMID = relative_humidity(saturation_pressure(DEW), WARM)
VAPOUR = saturation_pressure(DEW)


def rows(*columns, separator=","):
    """Return lines of columns."""
    return "\n".join(
        separator.join(str(cell) for cell in row) for row in zip(*columns, strict=True)
    )


F = [[round(value * 1.8 + 32, 4) for value in pair] for pair in (WARM, DEW)]
DATES = ("2001-06-01", "2001-06-02")
FORMS = {
    "plain": "date,temperature_c,dew_point_c\n" + rows(DATES, WARM, DEW),
    "units in the heading": "Day;Temp (°C);RH (%)\n"
    + rows(DATES, WARM, HUMID, separator=";").replace(".", ","),
    "Fahrenheit named": "date\ttemp_f\tdewp_f\n" + rows(DATES, *F, separator="\t"),
    "Fahrenheit by its size": "STATION,DATE,TEMP,DEWP\n" + rows((7, 7), DATES, *F),
    "Kelvin and hPa": "time,t2m,vapour_pressure_hPa\n"
    + rows(DATES, np.add(WARM, 273.15), VAPOUR / 100),
    "kPa by its size": "YEAR MO DY T2M vap\n"
    + rows((2001, 2001), (6, 6), (1, 2), WARM, VAPOUR / 1000, separator="   "),
    "day of the year": "-BEGIN HEADER-\nsome words, and more\n-END HEADER-\nYEAR,DOY,T2M,T2MDEW\n"
    + rows((2001, 2001), (152, 153), WARM, DEW),
    "a preamble": "latitude,longitude,elevation\n50.1,8.2,100\n\n"
    "time,temperature_2m_mean (°C),dew_point_2m_mean (°C)\n" + rows(DATES, WARM, DEW),
    "lowest and highest": "date,tmin,tmax,rhum\n" + rows(DATES, (15, 5.5), (25, 15.5), HUMID),
    "an index before": "\tDay\tMonth\tYear\tT2M\tRH2M\n"
    + rows((0, 1), (1, 2), (6, 6), (2001, 2001), WARM, HUMID, separator="\t"),
    "a weather service's own": "STATIONS_ID;MESS_DATUM;QN_4; TMK; UPM;eor\n"
    + rows((44, 44), (20010601, 20010602), (3, 3), WARM, HUMID, ("eor", "eor"), separator=";"),
    "words run together": "DATE,DailyAverageDryBulbTemperature,DailyAverageDewPointTemperature\n"
    + rows(DATES, WARM, DEW),
    "months by name": '"STATION","DAY","TEMPERATURE_MIN","TEMPERATURE_MAX","VAPOURPRESSURE"\n'
    + rows((7, 7), ("01-JUN-01", "02-JUN-01"), (15, 5.5), (25, 15.5), VAPOUR / 100),
    "units in brackets": "Date/Time,Mean Temp (°C),Rel Hum (%)\n" + rows(DATES, WARM, HUMID),
    "dates in one number": "yyyymmdd,tavg,rh\n" + rows((20010601, 20010602), WARM, HUMID),
}


@pytest.mark.parametrize("form", FORMS)
def test_the_same_two_days_are_read_from_every_form(tmp_path, form):
    """Names, units and separators differ; the air doesn't."""
    path = tmp_path / "town.csv"
    path.write_text(FORMS[form], encoding="utf-8")
    days = days_of(path)
    assert days.day.astype(str).tolist() == list(DATES)
    np.testing.assert_allclose(days.temperature, WARM, atol=1e-3)
    np.testing.assert_allclose(dew_point(days.vapour_pressure), DEW, atol=2e-3)


def test_years_of_a_station_are_joined_and_missing_hours_make_a_day_missing(tmp_path):
    """ISD-Lite by the year, in tenths of a degree, -9999 for missing."""
    for year in (2001, 2002):
        lines = [
            f"{year} 06 {day:02} {hour:02}  200 {-9999 if day == 2 and hour > 9 else 120} "
            "10123 -9999 -9999 -9999 -9999 -9999"
            for day in (1, 2, 3)
            for hour in range(24)
        ]
        (tmp_path / f"725300-{year}.gz").write_bytes(gzip.compress("\n".join(lines).encode()))
    ((name, days),) = list(sites(tmp_path))
    assert name == "725300"
    assert days.day.astype(str).tolist() == ["2001-06-01", "2001-06-03", "2002-06-01", "2002-06-03"]
    np.testing.assert_allclose(dew_point(days.vapour_pressure), 12.0, atol=1e-6)


def test_a_station_in_folders_of_years_is_one_place(tmp_path):
    """As archives lay them out."""
    for year in ("2001", "2002"):
        (tmp_path / year).mkdir()
        dates = [f"{year}-06-01", f"{year}-06-02"]
        text = "DATE,TEMP,DEWP\n" + rows(dates, WARM, DEW)
        (tmp_path / year / "72530094846.csv").write_text(text)
    ((name, days),) = list(sites(tmp_path))
    assert name == "72530094846"
    assert len(days) == 4


def test_a_file_without_humidity_is_named_and_the_lowest_may_stand_in(tmp_path):
    """Only where it is asked for."""
    path = tmp_path / "dry.csv"
    path.write_text("date,tmin,tmax\n" + rows(DATES, (12, 4), (28, 17)))
    with pytest.raises(Unreadable, match="humidity"):
        days_of(path)
    np.testing.assert_allclose(dew_point(days_of(path, lowest_for_dew=True).vapour_pressure), DEW)
    (tmp_path / "notes.txt").write_text("nothing but words")
    found = dict(sites(tmp_path))
    assert all(isinstance(table, Unreadable) for table in found.values())
