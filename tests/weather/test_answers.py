"""What stands in an answer is either mended in a stated way, or refused with one sentence."""

import copy
import math
from datetime import date, timedelta

import numpy as np
import pytest

from planner.air.humidity import saturation_pressure
from planner.errors import WeatherRefused
from planner.weather import met_norway, nasa_power, open_meteo
from planner.weather import national_weather_service as us
from planner.weather.credits import OPEN_METEO
from planner.weather.hours import Hours, days_of, filled_between, mended
from planner.weather.places import Place
from planner.weather.services import height_of
from planner.weather.trees import celsius, check_near
from tests.replies import services
from tests.weather.conftest import EXAMPLETON, PRAIRIE

NOW = services.NOW
FIRST, LAST = date(2026, 11, 1), date(2026, 11, 24)


def met():
    """Return a fresh answer of MET Norway."""
    return services.met_norway(50.12, 15.0)


def power():
    """Return a fresh answer of NASA POWER."""
    return services.nasa_power(50.12, 15.0, FIRST, LAST, ready=date(2026, 11, 20))


def meteo():
    """Return a fresh answer of Open-Meteo."""
    return services.open_meteo(50.12, 15.0, FIRST, LAST)


def grid():
    """Return a fresh answer of the US service."""
    return services.us_grid(41.5, -90.0)


def met_details(content):
    """Return the values of the steps."""
    return [step["data"]["instant"]["details"] for step in content["properties"]["timeseries"]]


def read(service, content, place=None):
    """Read an answer of a service as days, with what was mended."""
    if service == "power":
        reply = nasa_power.read_history(content, place or EXAMPLETON)
        return reply.days, reply.notes
    if service == "met":
        hours = met_norway.read_forecast(content, place or EXAMPLETON)
    elif service == "meteo":
        hours = open_meteo.read_hours(content, place or EXAMPLETON, "Open-Meteo")
    else:
        hours = us.read_forecast(content, place or PRAIRIE, NOW)
    return days_of(hours, (place or EXAMPLETON).timezone), hours.notes


MAKERS = {"met": met, "power": power, "meteo": meteo, "us": grid}


def in_unit(service, content, unit, change):
    """Put temperatures of an answer into another unit, and say so."""
    if service == "met":
        units = content["properties"]["meta"]["units"]
        units["air_temperature"] = units["dew_point_temperature"] = unit
        for details in met_details(content):
            for key in ("air_temperature", "dew_point_temperature"):
                details[key] = change(details[key])
    elif service == "power":
        content["parameters"]["T2M"]["units"] = unit
        column = content["properties"]["parameter"]["T2M"]
        for key, value in column.items():
            column[key] = value if value == -999.0 else change(value)
    elif service == "meteo":
        for key in ("temperature_2m", "dew_point_2m"):
            content["hourly_units"][key] = unit
            content["hourly"][key] = [v if v is None else change(v) for v in content["hourly"][key]]
    else:
        for key in ("temperature", "dewpoint"):
            layer = content["properties"][key]
            layer["uom"] = f"wmoUnit:{unit}"
            for entry in layer["values"]:
                entry["value"] = None if entry["value"] is None else change(entry["value"])
    return content


@pytest.mark.parametrize("service", MAKERS)
def test_another_unit_than_asked_is_converted_and_told(service):
    """Fahrenheit comes out as the same air, with a note."""
    plain, _ = read(service, MAKERS[service]())
    unit = {"met": "fahrenheit", "power": "F", "meteo": "°F", "us": "degF"}[service]
    content = in_unit(service, MAKERS[service](), unit, lambda value: value * 1.8 + 32.0)
    days, notes = read(service, content)
    np.testing.assert_allclose(days.vapour_pressure, plain.vapour_pressure, rtol=1e-9)
    np.testing.assert_allclose(days.temperature, plain.temperature, atol=1e-9)
    assert any(unit in note and "converted" in note for note in notes)


@pytest.mark.parametrize("service", MAKERS)
def test_a_unit_that_is_none_of_temperature_is_refused(service):
    """Better no number than a wrong one."""
    content = in_unit(service, MAKERS[service](), "mp/h", lambda value: value)
    with pytest.raises(WeatherRefused, match="mp/h"):
        read(service, content)


@pytest.mark.parametrize("key", ["QV2M", "PS"])
def test_humidity_and_pressure_in_another_unit_are_refused(key):
    """Kilograms for grams would make the air a thousand times too damp."""
    content = power()
    content["parameters"][key]["units"] = "kg"
    with pytest.raises(WeatherRefused, match=f'{key} in "kg"'):
        read("power", content)


@pytest.mark.parametrize(
    ("service", "swap"),
    [
        ("met", lambda c: c["geometry"].update(coordinates=[50.12, 15.0, 20])),
        ("power", lambda c: c["geometry"].update(coordinates=[50.12, 15.0, 20])),
        ("meteo", lambda c: c.update(latitude=15.0, longitude=50.0)),
        ("us", lambda c: c["geometry"].update(coordinates=[[[90.0, 41.5]]])),
        ("met", lambda c: c["geometry"].update(coordinates=[])),
        ("power", lambda c: c["geometry"].update(coordinates=None)),
        ("meteo", lambda c: c.update(latitude=None)),
    ],
)
def test_an_answer_for_another_point_is_refused(service, swap):
    """Swapped coordinates give good weather of the wrong place."""
    content = MAKERS[service]()
    swap(content)
    with pytest.raises(WeatherRefused, match=r"point|asked for"):
        read(service, content)


@pytest.mark.parametrize(
    ("asked", "found", "sound"),
    [
        ((-17.0, 179.95), (-17.0, -179.97), True),
        ((-17.0, -180.0), (-17.0, 180.0), True),
        ((-17.0, 178.0), (-17.0, -178.0), False),
        ((89.9, 10.0), (89.9, 40.0), True),  # at the pole the meridians meet
        ((-90.0, 0.0), (-90.0, 180.0), True),
        ((0.0, 0.0), (0.0, 0.0), True),
        ((50.0, 8.0), (8.0, 50.0), False),
    ],
)
def test_nearness_is_measured_across_the_date_line_and_at_the_poles(asked, found, sound):
    """Not by the difference of two longitudes."""
    if sound:
        check_near(*asked, found, service="X", tolerance=0.1)
    else:
        with pytest.raises(WeatherRefused, match="was asked for"):
            check_near(*asked, found, service="X", tolerance=0.1)


@pytest.mark.parametrize("service", ["met", "meteo", "us"])
def test_the_hours_that_are_missing_make_a_day_thin(service):
    """Seven hours without a value leave seventeen: the day stands there, marked by its hours."""
    content = MAKERS[service]()
    if service == "met":
        steps = content["properties"]["timeseries"]
        content["properties"]["timeseries"] = [s for n, s in enumerate(steps) if not 20 <= n < 27]
        day = "2026-11-26"
    elif service == "meteo":
        content["hourly"]["dew_point_2m"][32:39] = [None] * 7
        day = "2026-11-02"
    else:
        del content["properties"]["temperature"]["values"][28:35]
        day = "2026-11-26"
    days, _ = read(service, content)
    assert days.hours[days.day == np.datetime64(day)] == [17]


def test_the_fill_number_is_a_gap():
    """-999 as the header says, as it doesn't say, as a text, and -99 of old."""
    content = power()
    column = content["properties"]["parameter"]["QV2M"]
    column["20261102"], column["20261103"], column["20261104"] = -99, "3.2", None
    content["header"]["fill_value"] = -888
    column["20261105"] = -888.0
    days, _ = read("power", content)
    assert [str(day) for day in days.day[:3]] == ["2026-11-01", "2026-11-06", "2026-11-07"]
    assert str(days.day[-1]) == "2026-11-20"


def test_the_year_and_the_climate_are_no_days():
    """203013 is the mean of a year, ANN of all years."""
    content = power()
    for column in content["properties"]["parameter"].values():
        column.update({"203013": 3.0, "ANN": 3.0, "20261131": 3.0, "2026110105": 3.0})
    assert len(read("power", content)[0]) == 20


@pytest.mark.parametrize("service", ["nasa-power", "met-norway", "open-meteo-archive"])
def test_the_height_that_an_answer_is_for_is_kept(fetching, store, speaker, service):
    """A place 700 m above the cell of the archive is 4.55 °C colder (ISO 2533)."""
    place = Place("Exampleton", 50.12, 15.0, "Etc/GMT-1", altitude=882.4)

    def high(content):
        if service == "open-meteo-archive":
            content["elevation"] = 182.4
        else:
            content["geometry"]["coordinates"][2] = 182.4
        return content

    speaker.change = high
    fetching(service, places=[place])
    move = store.footing("Exampleton", date(2026, 11, 26))[
        {"met-norway": "MET Norway", "nasa-power": "NASA POWER"}.get(service, "Open-Meteo archive")
    ]
    assert move.rows[0] == pytest.approx(-4.55)


@pytest.mark.parametrize("height", [None, "high", True, -9999, 1e9, float("nan")])
def test_a_height_that_no_place_has_is_none(height):
    """A slip in the answer moves no air."""
    assert height_of(height) is None


def test_the_version_of_the_data_is_in_its_credit_and_messages_are_shown():
    """As the service asks."""
    content = power()
    content["messages"] = ["QV2M is provisional"]
    reply = nasa_power.read_history(content, EXAMPLETON)
    assert "v2.9.8" in reply.credit.attribution
    assert reply.notes == ("the service says: QV2M is provisional",)


def test_labels_with_an_offset_are_put_right():
    """The zone's offset of the moment of asking is in every label of the series."""
    plain, _ = read("meteo", meteo())
    content = meteo()
    content["utc_offset_seconds"] = 9 * 3600 + 1800
    content["hourly"]["time"] = [
        f"{np.datetime64(label) + np.timedelta64(570, 'm')}" for label in content["hourly"]["time"]
    ]
    days, notes = read("meteo", content)
    np.testing.assert_array_equal(days.vapour_pressure, plain.vapour_pressure)
    assert any("+9.5 h" in note for note in notes)


def test_open_meteo_may_answer_with_a_list_or_a_models_name():
    """One object in a list; names with the model behind them."""
    plain, _ = read("meteo", meteo())
    content = meteo()
    for key in ("temperature_2m", "dew_point_2m"):
        content["hourly"][f"{key}_era5"] = content["hourly"].pop(key)
        content["hourly_units"][f"{key}_era5"] = "°C"
    (reply,) = open_meteo.read_answers([content], [EXAMPLETON], OPEN_METEO)
    np.testing.assert_array_equal(reply.days.vapour_pressure, plain.vapour_pressure)
    with pytest.raises(WeatherRefused, match="2 tables for 1 places"):
        open_meteo.read_answers([content, content], [EXAMPLETON], OPEN_METEO)


def test_without_dew_point_relative_humidity_serves():
    """Each service can do without its dew points."""
    content = met()
    plain, _ = read("met", content)
    for details in met_details(content):
        del details["dew_point_temperature"]
    days, _ = read("met", content)
    np.testing.assert_allclose(days.vapour_pressure, plain.vapour_pressure, rtol=5e-3)


def test_open_meteo_without_dew_point_is_read_by_its_humidity():
    """The same air told the other way; without either it is refused."""
    plain, _ = read("meteo", meteo())
    content = meteo()
    hourly = content["hourly"]
    warmth, dew = (np.array(hourly[key]) for key in ("temperature_2m", "dew_point_2m"))
    share = saturation_pressure(dew) / saturation_pressure(warmth)
    hourly["relative_humidity_2m"] = (100.0 * share).tolist()
    del hourly["dew_point_2m"]
    days, _ = read("meteo", content)
    np.testing.assert_allclose(days.vapour_pressure, plain.vapour_pressure, rtol=1e-9)
    hourly["relative_humidity_2m_member01"] = hourly["relative_humidity_2m"]
    with pytest.raises(WeatherRefused, match="other members for humidity than for temperature"):
        read("meteo", content)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda found: found["hourly"].update(time=[]), "without any hour"),
        (lambda found: found["hourly_units"].update(time="unixtime"), 'gave times as "unixtime"'),
        (
            lambda found: found["hourly"].update(dew_point_2m_x=found["hourly"]["dew_point_2m"]),
            "other members for dew_point_2m than for temperature",
        ),
    ],
)
def test_an_answer_of_open_meteo_that_is_not_what_was_asked_is_refused(change, said):
    """In one sentence that says what."""
    content = meteo()
    change(content)
    with pytest.raises(WeatherRefused, match=said):
        read("meteo", content)


def test_an_archive_that_is_all_null_is_no_day():
    """Status 200, every value null."""
    content = meteo()
    content["hourly"]["temperature_2m"] = [None] * len(content["hourly"]["time"])
    assert len(read("meteo", content)[0]) == 0


def test_days_in_the_future_of_an_archive_are_left_out_and_counted(fetching, store, speaker):
    """The past ends yesterday, whatever the archive says."""

    def ahead(content):
        for column in content["properties"]["parameter"].values():
            column.update({"20261127": 4.0, "20261128": 4.0, "29990101": 4.0})
        return content

    speaker.change = ahead
    report = fetching("nasa-power")
    assert "3 days of NASA POWER after 2026-11-24 left out" in report.warnings[0]
    assert str(store.observed("Exampleton", date(2999, 12, 31)).day[-1]) == "2026-11-22"


def test_a_forecast_of_last_week_is_told(fetching, store, speaker):
    """A stale copy in a cache in between has no day to come."""

    def old(content):
        for step in content["properties"]["timeseries"]:
            step["time"] = step["time"].replace("2026-1", "2025-1")
        return content

    speaker.change = old
    report = fetching("met-norway")
    assert "no whole day from 2026-11-25 on" in report.warnings[0]
    assert store.forecasts("Exampleton") == []


def test_an_old_update_of_the_us_service_is_told():
    """Its network of caches keeps stale copies now and then."""
    content = services.us_grid(41.5, -90.0, NOW - timedelta(hours=13))
    _, notes = read("us", content)
    assert "its forecast is of 2026-11-24 19:10 UTC" in notes


@pytest.mark.parametrize(
    ("span", "hours"),
    [
        ("2030-01-01T03:00:00+00:00/PT2H", ["2030-01-01T03", "2030-01-01T04"]),
        ("2030-01-01T03:00:00+02:00/PT1H", ["2030-01-01T01"]),
        ("2030-01-01T03:00:00Z/2030-01-01T05:00:00Z", ["2030-01-01T03", "2030-01-01T04"]),
        ("PT1H/2030-01-01T05:00:00Z", ["2030-01-01T04"]),
        ("2030-01-01T03:00:00+00:00", []),
        ("2030-01-01T03:00:00+00:00/P", []),
        ("NOW/PT1H", []),
        (None, []),
    ],
)
def test_spans_of_the_us_service_are_their_hours(span, hours):
    """ISO 8601-1:2019, 5.5: start and duration, start and end, duration and end."""
    assert [str(hour) for hour in us.span_hours(span)] == hours


def test_a_span_of_days_is_all_its_hours():
    """Six days and fifteen hours, equal neighbours merged."""
    assert len(list(us.span_hours("2030-01-01T03:00:00+00:00/P6DT15H"))) == 159
    assert len(list(us.span_hours("2030-01-01T03:00:00+00:00/P999D"))) == 720


@pytest.mark.parametrize("prefix", ["unit:", "wmo:", "wmoUnit:", ""])
def test_the_units_of_the_us_service_have_had_many_prefixes(prefix):
    """Only what stands after the colon counts."""
    content = grid()
    for key in ("temperature", "dewpoint"):
        content["properties"][key]["uom"] = f"{prefix}degC"
    assert read("us", content)[1] == ()


def test_a_cell_is_put_together_from_its_names_only():
    """An address in an answer is not followed."""
    found = us.read_cell(services.us_point(41.5, -90.0))
    assert found == "/gridpoints/EXA/31,80"
    for bad in ({"gridId": "../x", "gridX": 1, "gridY": 2}, {"gridId": "EXA", "gridX": 1}, {}):
        with pytest.raises(WeatherRefused):
            us.read_cell({"properties": bad})


@pytest.mark.parametrize("service", MAKERS)
def test_humidity_over_saturation_is_cut_or_left_out_and_counted(service):
    """A dew point 0.3 °C too high is rounding; 8 °C too high is no air."""
    content = copy.deepcopy(MAKERS[service]())
    if service == "power":
        column = content["properties"]["parameter"]["QV2M"]
        column["20261103"] = 60.0
        column["20261104"] = _saturated(content, "20261104") * 1.02
        gone = "2026-11-03"
    else:
        gone = None
        pairs = _pairs(service, content)
        pairs[2](+0.3)
        pairs[3](+8.0)
    days, notes = read(service, content)
    assert any("slightly over 100 %" in note for note in notes)
    assert any(note.startswith("1 humidity that air can't have") for note in notes)
    assert (days.vapour_pressure <= 1.0001 * saturation_pressure(days.temperature)).all() or gone
    assert gone is None or gone not in days.day.astype(str)


def _saturated(content, key):
    column = content["properties"]["parameter"]
    e = float(saturation_pressure(column["T2M"][key]))
    p = column["PS"][key] * 1000.0
    return 1000.0 * 0.622 * e / (p - 0.378 * e)


def _pairs(service, content):
    """Return setters that put the dew point so far above the temperature, hour by hour."""

    def met_set(details):
        return lambda above: details.update(
            dew_point_temperature=details["air_temperature"] + above
        )

    def meteo_set(n):
        def put(above):
            content["hourly"]["dew_point_2m"][n] = content["hourly"]["temperature_2m"][n] + above

        return put

    def us_set(n):
        layers = content["properties"]
        return lambda above: layers["dewpoint"]["values"][n].update(
            value=layers["temperature"]["values"][n]["value"] + above
        )

    if service == "met":
        return [met_set(details) for details in met_details(content)]
    return [(meteo_set if service == "meteo" else us_set)(n) for n in range(10)]


def test_mending_leaves_good_hours_alone():
    """Nothing noted, nothing changed; a gap stays one."""
    time = np.array(["2026-01-01T00", "2026-01-01T01"], "datetime64[s]")
    hours = mended(Hours(time, np.array([5.0, math.nan]), np.array([600.0, 500.0])))
    assert hours.notes == ()
    assert hours.vapour_pressure.tolist() == [600.0, 500.0]
    hours = mended(Hours(time, np.array([65.0, math.inf]), np.array([600.0, 500.0])))
    assert np.isnan(hours.temperature).all()
    assert hours.notes == ("2 temperatures outside -90 to 60 °C left out",)


def test_lines_join_neighbours_that_are_near_only():
    """Three hours apart are joined, seven are not."""
    time = np.array(
        ["2026-01-01T00", "2026-01-01T03", "2026-01-01T10", "2026-01-01T10:30"], "datetime64[s]"
    )
    values = np.array([0.0, 3.0, 10.0, 11.0])
    joined = filled_between(Hours(time, values, 100.0 + values), 6)
    assert sorted(joined.temperature.tolist()) == [0.0, 1.0, 2.0, 3.0, 10.0, 11.0]


def test_every_unit_of_temperature_ends_in_celsius():
    """Own arithmetic: 50 °F and 283.15 K are 10 °C; any other than °C is told."""
    for value, unit, told in ((10.0, "wmoUnit:degC", 0), (50.0, "°F", 1), (283.15, "K", 1)):
        found, notes = celsius(np.array([value]), unit, "Some service")
        assert found == pytest.approx([10.0])
        assert len(notes) == told
