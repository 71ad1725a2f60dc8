"""Places by name from Open-Meteo: only where the maker opts in, trusted in nothing."""

import json

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.errors import WeatherError, WeatherRefused, WorkshopError
from planner.weather.choice import place_search
from planner.weather.open_meteo_places import OpenMeteoPlaces, read_places
from planner.weather.wanted import Wanted
from tests.workshops import EXAMPLETON, planner

FREE = "https://geocoding-api.open-meteo.com/v1/search"
PAID = "https://customer-geocoding-api.open-meteo.com/v1/search"
# Invented, in the service's form.
HILL = {
    "id": 1, "name": "Upper Marrow", "latitude": 50.5, "longitude": -3.25, "elevation": 212.0,
    "feature_code": "PPL", "country_code": "XX", "timezone": "Europe/London", "population": 310,
    "country": "Exampleland", "admin1": "Shire",
}  # fmt: skip
STRIP = {**HILL, "name": "Marrow Strip", "feature_code": "AIRP", "population": 9000}


def test_nobody_is_asked_without_the_makers_word_or_key():
    """The free host is for non-commercial use."""
    with pytest.raises(WorkshopError, match="non-commercial use only"):
        place_search(Wanted(), "open-meteo", {})
    with pytest.raises(WorkshopError, match="No weather service is called"):
        place_search(Wanted(open_meteo_noncommercial=True), "geonames", {})
    assert place_search(Wanted(open_meteo_noncommercial=True), "open-meteo", {}).key == ""
    paid = place_search(Wanted(open_meteo_apikey_env="KEY"), "open-meteo", {"KEY": "secret"})
    assert paid.key == "secret"


def test_towns_come_before_airports_with_their_height(respx_mock, web):
    """The order of the service is kept else."""
    route = respx_mock.get(FREE).respond(json={"results": [STRIP, HILL]})
    found = OpenMeteoPlaces().search(web, " Marrow ")
    assert route.calls.last.request.url.params["name"] == "Marrow"
    assert "apikey" not in route.calls.last.request.url.params
    assert [place.name for place in found] == ["Upper Marrow", "Marrow Strip"]
    assert found[0].place.altitude == 212.0
    assert found[0].place.timezone == "Europe/London"


def test_a_key_goes_to_the_customer_host_and_into_no_message(respx_mock, web):
    """Neither an error nor a redirect carries it on."""
    respx_mock.get(PAID, params={"apikey": "s3cret"}).respond(
        301, headers={"Location": "https://elsewhere.example/"}
    )
    with pytest.raises(WeatherRefused, match="sent us on") as caught:
        OpenMeteoPlaces(key="s3cret").search(web, "Marrow")
    assert "s3cret" not in str(caught.value)


def test_nothing_found_has_no_key_and_zeros_are_left_out(respx_mock, web):
    """An island at the equator has neither latitude nor height nor people in the answer."""
    respx_mock.get(FREE).respond(json={"generationtime_ms": 0.5})
    assert OpenMeteoPlaces().search(web, "Nowhere") == []
    left_out = ("latitude", "elevation", "population")
    (place,) = read_places({"results": [{k: v for k, v in HILL.items() if k not in left_out}]})
    assert (place.latitude, place.altitude, place.population) == (0.0, 0.0, 0)


@pytest.mark.parametrize(
    ("change", "left"),
    [
        ({"timezone": "Mars/Base"}, 0),
        ({"timezone": "../etc/passwd"}, 0),
        ({"name": None}, 0),
        ({"latitude": 91.0}, 0),
        ({"longitude": "3"}, 0),
        ({"elevation": -99999}, 1),
        ({"population": -1}, 1),
        ({"country": 7}, 1),
    ],
)
def test_a_place_that_cannot_be_placed_is_left_out(change, left):
    """One without name, point or clock is none; other slips only lose that field."""
    assert len(read_places({"results": [{**HILL, **change}, "x", None]})) == left


@pytest.mark.parametrize(
    "content",
    [[], None, "x", {"error": True, "reason": "Bad name"}, {"results": {"a": 1}}],
)
def test_what_is_no_answer_is_refused_in_a_sentence(content):
    """In the service's own words where it has some."""
    with pytest.raises(WeatherRefused, match=r"form|Bad name"):
        read_places(content)


@given(
    st.recursive(
        st.none() | st.booleans() | st.floats() | st.text(max_size=8),
        lambda inner: (
            st.dictionaries(st.sampled_from([*HILL, "results"]), inner, max_size=8)
            | st.lists(inner, max_size=4)
        ),
        max_leaves=12,
    )
)
@settings(max_examples=150, deadline=None)
def test_any_answer_is_places_or_refused(content):
    """No traceback, no place without a clock."""
    try:
        found = read_places(content)
    except WeatherError:
        return
    assert all(place.timezone and abs(place.latitude) <= 90 for place in found)


def run(folder, *words):
    """Call ``planner weather places``."""
    return planner(folder, "weather", "places", *words)


def test_the_command_shows_what_goes_into_the_settings(tmp_path, respx_mock):
    """From the list without a network; from the service only where it may be asked."""
    (tmp_path / "workshop.toml").write_text(EXAMPLETON)
    shown = run(tmp_path, "Reykjavik")
    assert shown.exit_code == 0, shown.stderr
    assert 'timezone = "Atlantic/Reykjavik"' in shown.stdout
    assert "GeoNames" in shown.stdout
    refused = run(tmp_path, "Marrow", "--from", "open-meteo")
    assert (refused.exit_code, refused.stdout) == (1, "")
    assert "non-commercial" in refused.stderr
    (tmp_path / "workshop.toml").write_text(
        EXAMPLETON + "\n[weather]\nopen_meteo_noncommercial = true\n"
    )
    respx_mock.get(FREE).respond(json={"results": [HILL]})
    answer = run(tmp_path, "Marrow", "--from", "open-meteo")
    assert "altitude = 212" in answer.stdout
    as_json = json.loads(run(tmp_path, "Marrow", "--from", "open-meteo", "--json").stdout)
    assert as_json["places"][0]["name"] == "Upper Marrow"
    respx_mock.get(FREE).respond(json={})
    assert "No place named" in run(tmp_path, "Marrow", "--from", "open-meteo").stdout


def test_without_a_network_the_search_is_one_sentence(tmp_path, respx_mock):
    """Exit code 1; the list still serves."""
    text = EXAMPLETON + "\n[weather]\nopen_meteo_noncommercial = true\n"
    (tmp_path / "workshop.toml").write_text(text)
    respx_mock.get(FREE).mock(side_effect=httpx.ConnectError("no network"))
    result = run(tmp_path, "Marrow", "--from", "open-meteo")
    assert (result.exit_code, result.stdout) == (1, "")
    assert "can't be reached" in result.stderr
