"""Fetching: only what is missing, politely, and whatever the services do."""

import time
from datetime import date, timedelta

import numpy as np
import pytest

from planner.errors import WeatherUnavailable
from planner.weather.http import Ask
from planner.weather.places import Place
from tests.replies.loopback import NAMES
from tests.weather.conftest import EXAMPLETON

TODAY = date(2026, 11, 25)
DAY = timedelta(days=1)


def rows(store):
    """Return how many days the store holds of both places."""
    return len(store.stored("Exampleton")) + len(store.stored("Prairie"))


def test_the_first_fetch_brings_past_and_coming_days(fetching, store, speaker):
    """Two requests: one for all past years, one for the days ahead."""
    report = fetching(years=15)
    assert report.warnings == []
    assert report.requests == 2
    assert report.bytes > 0
    past = store.observed("Exampleton", TODAY)
    assert str(past.day[0]) == "2011-01-01"
    assert str(past.day[-1]) == "2026-11-22"
    assert store.forecast("Exampleton", TODAY) is not None


def test_the_second_fetch_asks_only_for_what_is_missing(fetching, store, speaker):
    """Next day: the three days that weren't there yet, and the forecast by condition."""
    fetching()
    speaker.now += DAY
    speaker.requests.clear()
    report = fetching()
    assert report.requests == 2
    ((_, query, _),) = speaker.asked("nasa-power")
    assert (query["start"], query["end"]) == ("20261123", "20261125")
    ((_, _, headers),) = speaker.asked("met-norway")
    assert headers["If-Modified-Since"] == "Wed, 25 Nov 2026 06:00:00 GMT"
    assert str(store.observed("Exampleton", TODAY + DAY, filled=False).day[-1]) == "2026-11-23"


def test_a_forecast_that_still_holds_is_not_asked_for(fetching, speaker):
    """Before Expires nothing is sent; after it a question by condition, answered 304."""
    fetching("met-norway")
    report = fetching("met-norway", now=speaker.now + timedelta(minutes=20))
    assert report.requests == 0
    assert report.fresh == ["Exampleton: MET Norway"]
    report = fetching("met-norway", now=speaker.now + timedelta(minutes=31))
    assert report.requests == 1
    assert report.fetched == []
    assert report.fresh == ["Exampleton: MET Norway"]


def test_who_calls_is_told_and_coordinates_are_rounded(fetching, speaker):
    """Two decimals are enough for the weather."""
    fetching(places=[Place("Exampleton", 50.123456, 15.000001, "Etc/GMT-1", 123.4)])
    ((_, query, _),) = speaker.asked("met-norway")
    assert (query["lat"], query["lon"], query["altitude"]) == ("50.12", "15", "123")


def test_without_a_contact_the_services_that_want_one_are_not_asked(fetching, speaker, web):
    """One sentence says what to do; the past comes all the same."""
    web.contact = ""
    report = fetching()
    assert speaker.asked("met-norway") == []
    (warning,) = report.warnings
    assert "contact" in warning
    assert [entry.source for entry in report.fetched] == ["NASA POWER"]


# What a service does three times in a row, and how often it is asked then.
STUCK = {
    "slow 0.3": 3,
    "reset": 3,
    "cut": 3,
    'json {"properties": {"timese': 3,
    'json {"elevation": nan}': 3,
    "html": 3,
    "status 500": 3,
    "status 503": 3,
    "busy 7": 3,
    "busy 100000": 1,
    "status 403": 1,
    "status 400": 1,
    "redirect http://elsewhere.example/": 1,
    "json []": 1,
    "json {}": 1,
    "json null": 1,
    'json {"error": true, "reason": "No data is available for this location"}': 1,
    'json {"header": "The request failed", "messages": ["Bad start"]}': 1,
}


@pytest.mark.parametrize("service", NAMES)
@pytest.mark.parametrize("fault", STUCK)
def test_trouble_is_a_warning_and_what_is_stored_stays(
    fetching, store, speaker, web, service, fault
):
    """Each fault of each service: one sentence, bounded tries, nothing lost, healed next time."""
    store.put("Exampleton", _one_day(), source="garden.csv", fetched_at=speaker.now)
    speaker.faults[service] = [fault] * 20
    usual, web._client.timeout = web._client.timeout, 0.15
    report = fetching(service)
    web._client.timeout = usual
    (warning,) = report.warnings
    # A list is how Open-Meteo answers for several places; elsewhere it is no answer either.
    assert len(speaker.asked(service)) == STUCK[fault]
    assert warning.startswith(("Exampleton: ", "Prairie: "))
    assert "<" not in warning
    assert "\n" not in warning
    assert report.fetched == []
    assert rows(store) == 1
    speaker.faults.clear()
    healed = fetching(service, now=speaker.now + 3 * DAY)
    assert healed.warnings == []
    assert rows(store) > 1


@pytest.mark.parametrize("service", NAMES)
@pytest.mark.parametrize("fault", ["reset", "status 500", "status 503", "busy 7", "html", "cut"])
def test_a_passing_trouble_is_tried_again(fetching, store, speaker, service, fault):
    """Twice wrong, then right: the weather comes."""
    if fault == "busy" and service == "met-norway":
        pytest.skip("MET Norway asks to stop after 429")
    speaker.faults[service] = [fault] * 2
    report = fetching(service)
    assert report.warnings == []
    assert rows(store) > 0


@pytest.mark.parametrize("service", NAMES)
def test_retry_after_is_waited_for(fetching, speaker, clock, service):
    """Seven seconds asked for, seven waited."""
    speaker.faults[service] = ["busy 7"]
    assert fetching(service).warnings == []
    assert 7.0 in clock.slept


def test_without_retry_after_the_waits_grow(fetching, speaker, clock):
    """One second, then two, each with jitter (here by half)."""
    speaker.faults["nasa-power"] = ["busy", "busy"]
    assert fetching("nasa-power").warnings == []
    assert [s for s in clock.slept if s in (1.5, 3.0)] == [1.5, 3.0]


def test_met_norway_is_left_alone_after_too_many_requests(fetching, speaker):
    """Its terms ask to stop after a 429."""
    speaker.faults["met-norway"] = ["busy"] * 3
    (warning,) = fetching("met-norway").warnings
    assert "MET Norway doesn't answer now (status 429)" in warning
    assert len(speaker.asked("met-norway")) == 1


def test_a_service_that_wants_to_be_left_alone_is_not_asked_before(fetching, speaker):
    """A day's silence asked for holds over the next fetches too."""
    speaker.faults["nasa-power"] = ["busy 86400"]
    (warning,) = fetching("nasa-power").warnings
    assert "again from 2026-11-26 08:10 UTC" in warning
    again = fetching("nasa-power", now=speaker.now + timedelta(hours=23))
    assert again.requests == 0
    assert "wasn't asked" in again.warnings[0]
    assert fetching("nasa-power", now=speaker.now + timedelta(hours=25)).warnings == []


@pytest.mark.parametrize(
    ("words", "wait", "requests"),
    [
        ("Minutely API request limit exceeded. Please try again in one minute.", 52.0, 2),
        ("Too many concurrent requests", 3.0, 2),
        ("Hourly API request limit exceeded. Please try again in the next hour.", None, 1),
        ("Daily API request limit exceeded. Please try again tomorrow.", None, 1),
    ],
)
def test_the_limits_of_open_meteo_are_told_apart(fetching, speaker, clock, words, wait, requests):
    """By their words: a full minute, a moment, or stop."""
    speaker.faults["open-meteo"] = [f'status 429 {{"error": true, "reason": "{words}"}}']
    speaker.now = speaker.now.replace(second=0)
    report = fetching("open-meteo")
    assert len(speaker.asked("open-meteo")) == requests
    if wait is None:
        assert words.split(".")[0] in report.warnings[0]
    else:
        assert report.warnings == []
        assert max(clock.slept) == pytest.approx(60.0 if wait == 52.0 else wait)


def test_a_service_that_is_down_is_not_asked_for_each_place(fetching, speaker):
    """Thirty places, one failure: three tries, not ninety."""
    speaker.faults["nasa-power"] = ["status 503"] * 100
    places = [Place(f"Town {n}", 40.0 + n / 10, 15.0, "Etc/GMT-1") for n in range(30)]
    report = fetching("nasa-power", places=places)
    assert len(report.warnings) == 1
    assert len(speaker.asked("nasa-power")) == 3


def test_a_place_that_a_service_refuses_does_not_stop_the_others(fetching, store, speaker):
    """The second town's weather comes."""
    speaker.faults["nasa-power"] = ["status 422"]
    report = fetching("nasa-power", places=[EXAMPLETON, Place("Prairie", 41.5, -90, "Etc/GMT+6")])
    assert len(report.warnings) == 1
    assert len(store.observed("Prairie", TODAY)) > 300


def test_a_dripping_answer_is_given_up(fetching, speaker, clock, web):
    """A byte now and then keeps the line busy, but not for ever; once is enough to see that."""
    ticks = iter(range(10_000))
    web._clock = lambda: float(next(ticks)) * 40.0
    speaker.faults["nasa-power"] = ["drip 0.01"] * 3
    (warning,) = fetching("nasa-power").warnings
    assert "no whole answer within 120 seconds" in warning
    assert len(speaker.asked("nasa-power")) == 1


@pytest.mark.parametrize("fault", ["crawl 0.05", "drip 0.05", "slow 3"])
def test_headers_that_drip_are_given_up_too(speaker, web, fault):
    """Three seconds of bytes, half a second allowed: the time of the whole answer is bounded."""
    speaker.faults["nasa-power"] = [fault]
    began = time.monotonic()
    with pytest.raises(WeatherUnavailable, match="no whole answer"):
        web.get_json(Ask("NASA POWER", f"{speaker.url}/nasa-power/", seconds=0.5))
    assert time.monotonic() - began < 2.5


def test_nobody_answers_at_all(store, web, clock):
    """A closed port: two quick tries, one sentence."""
    from planner.weather.fetch import fetch
    from planner.weather.nasa_power import NasaPower
    from tests.replies.services import NOW

    report = fetch(
        [EXAMPLETON],
        store,
        web,
        today=TODAY,
        now=NOW,
        ahead=None,
        past=NasaPower("http://127.0.0.1:9"),
    )
    assert report.warnings == ["Exampleton: NASA POWER doesn't answer now: "
                               "127.0.0.1 can't be reached."]  # fmt: skip
    assert report.requests == 2


def test_redirects_within_the_host_are_followed_where_the_service_has_them(fetching, speaker):
    """The US service moves points to fewer decimals."""
    speaker.faults["national-weather-service"] = [
        "redirect /national-weather-service/points/41.5,-90"
    ]
    assert fetching("national-weather-service").warnings == []


def test_the_grid_of_the_us_service_is_looked_up_once_and_anew_when_moved(fetching, speaker):
    """Two requests, then one; after a 404 the point again."""
    assert fetching("national-weather-service").requests == 2
    assert fetching("national-weather-service", now=speaker.now + DAY).requests == 1
    speaker.faults["national-weather-service"] = ["status 404"]
    report = fetching("national-weather-service", now=speaker.now + 2 * DAY)
    assert report.requests == 3
    assert report.warnings == []


def test_partial_answers_are_kept_and_the_rest_is_asked_for_next_time(fetching, store, speaker):
    """A hole in the middle comes the next time, by itself."""

    def holed(content):
        for column in content["properties"]["parameter"].values():
            for day in range(10, 20):
                column[f"202606{day}"] = -999.0
        return content

    speaker.change = holed
    fetching("nasa-power")
    assert len(store.observed("Exampleton", TODAY)) == 326 - 10
    speaker.change = None
    speaker.requests.clear()
    fetching("nasa-power", now=speaker.now + DAY)
    spans = [(query["start"], query["end"]) for _, query, _ in speaker.asked("nasa-power")]
    assert spans == [("20260610", "20260619"), ("20261123", "20261125")]


def test_a_hole_of_the_service_itself_is_not_asked_for_each_day(fetching, store, speaker):
    """Once a week is enough for what isn't there."""

    def holed(content):
        for column in content["properties"]["parameter"].values():
            if "20260610" in column:
                column["20260610"] = None
        return content

    speaker.change = holed
    for days in (0, 1, 2, 9):
        speaker.requests.clear()
        fetching("nasa-power", now=speaker.now + days * DAY)
        spans = [query["start"] for _, query, _ in speaker.asked("nasa-power")]
        assert ("20260610" in spans) == (days in (1, 9)), days


def test_preliminary_days_are_asked_for_again_a_season_later(fetching, store, speaker):
    """The newest hundred days are replaced by final ones, all in one question."""
    fetching("nasa-power")
    speaker.now += 160 * DAY
    speaker.requests.clear()
    fetching("nasa-power", years=1)
    ((_, query, _),) = speaker.asked("nasa-power")
    assert query["start"] == "20260818"


def test_a_place_that_moved_lets_go_of_what_was_fetched_for_it(fetching, store, speaker):
    """The weather of the old coordinates isn't shown for the new ones; own files stay."""
    fetching("nasa-power")
    store.put("Exampleton", _one_day(), source="garden.csv", fetched_at=speaker.now)
    speaker.faults["nasa-power"] = ["status 500"] * 3
    moved = Place("Exampleton", 35.0, 135.0, "Asia/Tokyo")
    report = fetching("nasa-power", places=[moved])
    assert "has moved" in report.notes[0]
    assert len(store.observed("Exampleton", TODAY)) == 1


def test_fetching_twice_on_a_day_keeps_the_whole_first_day(fetching, store, speaker):
    """In the evening a few hours of today are left; the morning's whole day stays."""
    speaker.now = speaker.now.replace(hour=0)
    fetching("met-norway", now=speaker.now)
    speaker.now = speaker.now.replace(hour=20)
    fetching("met-norway", now=speaker.now)
    (forecast,) = store.forecasts("Exampleton")
    assert forecast.days.day[0] == np.datetime64("2026-11-25") or len(forecast.days) >= 8


def _one_day():
    from planner.air.days import Days

    return Days(
        np.array(["2026-11-01"], "datetime64[D]"), np.array([8.0]), np.array([900.0]),
        np.array([24]),
    )  # fmt: skip
