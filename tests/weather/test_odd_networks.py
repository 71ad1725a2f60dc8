"""Networks between the maker and a service: proxies, login pages, packings, times that are none."""

import gzip

import httpx
import pytest

from planner.errors import WeatherRefused, WeatherUnavailable
from planner.weather.headers import http_time
from planner.weather.http import Ask, open_client
from tests.weather.conftest import EXAMPLETON

URL = "https://weather.example/v1"
LOST = "Fri, 31 Dec 9999 23:59:59 -1200"  # in UTC it lies after the last year that there is


def ask(**more):
    """Return a question to an invented service."""
    return Ask("Example service", URL, **more)


@pytest.mark.parametrize(
    ("variable", "value"),
    [
        ("HTTPS_PROXY", "tunnel://proxy.example"),
        ("HTTPS_PROXY", "http://[::1"),
        ("ALL_PROXY", "socks5://127.0.0.1:1080"),
        ("NO_PROXY", "[::"),
        ("SSL_CERT_FILE", "/nowhere/certificates.pem"),
        ("SSL_CERT_FILE", __file__),
    ],
)
def test_a_variable_that_bars_the_way_is_named(monkeypatch, variable: str, value: str):
    """It is trouble with the network: who plans gets an answer from what is stored."""
    monkeypatch.setenv(variable, value)
    with pytest.raises(WeatherUnavailable, match=f"The network is set up.*{variable}"):
        open_client("")


def test_times_out_of_the_calendar_are_none(respx_mock, web):
    """In every header."""
    assert http_time(LOST) is None
    respx_mock.get(URL).respond(200, json={}, headers={"Expires": LOST})
    assert web.get_json(ask()).expires is None


@pytest.mark.parametrize("said", [b"\xe9\xff", b"x" * 5000])
def test_what_cannot_be_said_back_to_a_service_is_not_kept(respx_mock, web, said: bytes):
    """The next question would fail on it, and the one after it."""
    respx_mock.get(URL).respond(200, json={}, headers=[(b"Last-Modified", said)])
    assert web.get_json(ask()).last_modified == ""


def test_an_answer_packed_twice_is_not_unpacked(respx_mock, web):
    """A few bytes would become all the memory that there is."""
    twice = gzip.compress(gzip.compress(b"{}"))
    respx_mock.get(URL).respond(200, content=twice, headers={"Content-Encoding": "gzip, gzip"})
    with pytest.raises(WeatherRefused, match='packed as "gzip, gzip"'):
        web.get_json(ask())


def test_a_certificate_that_is_not_the_services_is_told_apart(respx_mock, web):
    """As where a login page stands before the network."""
    error = httpx.ConnectError("[SSL: CERTIFICATE_VERIFY_FAILED] certificate verify failed")
    respx_mock.get(URL).mock(side_effect=error)
    with pytest.raises(WeatherUnavailable, match=r"weather\.example.*login page"):
        web.get_json(ask())


def test_nothing_new_is_no_news_where_nothing_is_stored(fetching, speaker, store):
    """A cache between answers "not modified" to who never asked for that."""
    speaker.faults["met-norway"] = ["unchanged"]
    report = fetching("met-norway", places=[EXAMPLETON])
    assert not report.fresh
    assert "nothing of it is stored" in report.warnings[0]
    assert len(fetching("met-norway", places=[EXAMPLETON]).fetched) == 1
