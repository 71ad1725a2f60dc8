"""One question, one answer, or one sentence why not: small cases, without a server."""

import httpx
import pytest

from planner import __version__
from planner.errors import WeatherRefused, WeatherUnavailable
from planner.weather import http
from planner.weather.http import Ask, Web, open_client

URL = "https://weather.example/v1"


def ask(**more):
    """Return a question to an invented service."""
    return Ask("Example service", URL, **more)


def test_who_calls_is_said_in_every_question(respx_mock):
    """Program, version, and whom to write to."""
    route = respx_mock.get(URL).respond(json={})
    with open_client("maker@example.org") as client:
        Web(client).get_json(ask())
    agent = route.calls.last.request.headers["User-Agent"]
    assert agent == f"seasonal-humidity-planner/{__version__} (maker@example.org)"


def test_an_answer_brings_what_was_said_of_asking_again(respx_mock, web):
    """Expires, Last-Modified; and a note where the product is about to be withdrawn."""
    headers = {"Expires": "Wed, 25 Nov 2026 09:00:00 GMT", "Last-Modified": "yesterday"}
    respx_mock.get(URL).respond(203, json={"a": 1}, headers=headers)
    answer = web.get_json(ask())
    assert answer.content == {"a": 1}
    assert (answer.expires.hour, answer.last_modified) == (9, "yesterday")
    assert "withdrawn" in answer.notes[0]


def test_not_modified_is_no_answer_but_good_news(respx_mock, web):
    """304: the old one holds."""
    respx_mock.get(URL).respond(304)
    assert web.get_json(ask()).unchanged


def test_constants_that_are_no_json_are_gaps(respx_mock, web):
    """NaN and Infinity, which some programs write."""
    respx_mock.get(URL).respond(text='{"a": NaN, "b": [-Infinity, 1]}')
    assert web.get_json(ask()).content == {"a": None, "b": [None, 1]}


def test_a_question_that_is_refused_is_asked_once(respx_mock, web):
    """In the service's own words."""
    route = respx_mock.get(URL).respond(400, json={"reason": "Bad latitude"})
    with pytest.raises(WeatherRefused, match=r"refused the request \(status 400\): Bad latitude"):
        web.get_json(ask())
    assert route.call_count == 1


@pytest.mark.parametrize("error", [httpx.ReadTimeout, httpx.ReadError, httpx.RemoteProtocolError])
def test_a_broken_line_is_tried_three_times(respx_mock, web, error):
    """With a wait before each new try."""
    route = respx_mock.get(URL).mock(side_effect=error("broken"))
    with pytest.raises(WeatherUnavailable, match="doesn't answer now"):
        web.get_json(ask())
    assert route.call_count == 3


def test_a_hidden_parameter_is_sent_and_never_told(respx_mock, web):
    """Keys are nobody's business, not in any sentence."""
    route = respx_mock.get(URL).respond(401, text="your key s3cret is unknown to us")
    with pytest.raises(WeatherRefused) as caught:
        web.get_json(ask(hidden={"apikey": "s3cret"}))
    assert route.calls.last.request.url.params["apikey"] == "s3cret"
    assert "s3cret" not in str(caught.value)


def test_redirects_to_another_host_or_out_of_encryption_are_refused(respx_mock, web):
    """Even where redirects are followed."""
    for target in ("https://other.example/v1", "http://weather.example/v1"):
        respx_mock.get(URL).respond(302, headers={"Location": target})
        with pytest.raises(WeatherRefused, match="not followed"):
            web.get_json(ask(redirects=True))


def test_redirects_in_circles_end(respx_mock, web):
    """Three, then no more."""
    route = respx_mock.get(URL).respond(302, headers={"Location": URL})
    with pytest.raises(WeatherRefused, match="round in circles"):
        web.get_json(ask(redirects=True))
    assert route.call_count == 4


def test_an_endless_answer_is_refused(respx_mock, web, monkeypatch):
    """No store of weather is that large."""
    monkeypatch.setattr(http, "MOST_BYTES", 1000)
    respx_mock.get(URL).respond(text="x" * 1001)
    with pytest.raises(WeatherRefused, match="more than 1,000 bytes"):
        web.get_json(ask())


@pytest.mark.parametrize("url", ["ftp://weather.example", "weather.example", "https://[::1"])
def test_an_address_that_is_none_is_said(web, url):
    """A slip in workshop.toml."""
    with pytest.raises((WeatherRefused, WeatherUnavailable)):
        web.get_json(Ask("Example service", url))


def test_two_questions_keep_the_pause_that_the_service_wants(respx_mock, web, clock):
    """Two seconds between them, none before the first."""
    respx_mock.get(URL).respond(json={})
    web.get_json(ask(pause=2.0))
    assert clock.slept == []
    web.get_json(ask(pause=2.0))
    assert clock.slept == [2.0]
