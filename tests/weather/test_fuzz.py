"""Whatever a service answers: no traceback, and no bad number in the store."""

import copy
from datetime import date

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.errors import WeatherError
from planner.weather import met_norway, nasa_power, open_meteo
from planner.weather import national_weather_service as us
from planner.weather.headers import http_time, own_words, seconds_to_wait, user_agent
from planner.weather.hours import days_of
from tests.replies import services
from tests.weather.conftest import EXAMPLETON, PRAIRIE

FIRST, LAST = date(2026, 11, 20), date(2026, 11, 24)

LEAVES = (
    st.none()
    | st.booleans()
    | st.integers(-(10**30), 10**30)
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from([-999, -999.0, 99.9, "°F", "2026-11-26T00:00:00Z", "P1DT6H", 10**400])
)
TREES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner),
    max_leaves=12,
)

READERS = {
    "met": lambda c: days_of(met_norway.read_forecast(c, EXAMPLETON), "Etc/GMT-1"),
    "power": lambda c: nasa_power.read_history(c, EXAMPLETON).days,
    "meteo": lambda c: days_of(open_meteo.read_hours(c, EXAMPLETON, "Open-Meteo"), "Etc/GMT-1"),
    "us": lambda c: days_of(us.read_forecast(c, PRAIRIE, services.NOW), "Etc/GMT+6"),
    "cell": us.read_cell,
}
SOUND = {
    "met": services.met_norway(50.12, 15.0),
    "power": services.nasa_power(50.12, 15.0, FIRST, LAST, LAST),
    "meteo": services.open_meteo(50.12, 15.0, FIRST, LAST),
    "us": services.us_grid(41.5, -90.0),
    "cell": services.us_point(41.5, -90.0),
}

# The first of the long lists are enough to be broken.
del SOUND["met"]["properties"]["timeseries"][30:]
for _layer in ("temperature", "dewpoint"):
    del SOUND["us"]["properties"][_layer]["values"][30:]


def branches(tree, path=()):
    """Yield the way to every branch and leaf; of long lists the first three."""
    yield path
    children = tree.items() if isinstance(tree, dict) else ()
    if isinstance(tree, list):
        children = enumerate(tree[:3])
    for key, value in children:
        yield from branches(value, (*path, key))


PATHS = {name: list(branches(tree)) for name, tree in SOUND.items()}


def check(service, content):
    """Read it: a refusal in one sentence, or days of air that can be."""
    days, told = None, ""
    try:
        days = READERS[service](content)
    except WeatherError as error:
        told = str(error)
    assert "\n" not in told
    if days is None:
        return
    if service == "cell":
        assert days.startswith("/gridpoints/")
        return
    assert np.isfinite(days.temperature).all()
    assert np.isfinite(days.vapour_pressure).all()
    assert ((days.temperature >= -90) & (days.temperature <= 60)).all()
    assert ((days.vapour_pressure > 0) & (days.vapour_pressure < 8000)).all()
    assert ((days.hours >= 1) & (days.hours <= 25)).all()


@pytest.mark.parametrize("service", READERS)
@given(tree=TREES)
@settings(max_examples=30, deadline=None)
def test_any_json_is_refused_or_sound(service, tree):
    """Nothing but JSON is promised of an answer."""
    check(service, tree)


@pytest.mark.parametrize("service", READERS)
@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_a_sound_answer_with_a_branch_replaced_is_refused_or_sound(service, data):
    """One to three branches of a real form hold something else, or are gone."""
    content = copy.deepcopy(SOUND[service])
    for _ in range(data.draw(st.integers(1, 3))):
        path = data.draw(st.sampled_from(PATHS[service]))
        content = _replaced(content, path, data.draw(TREES), gone=data.draw(st.booleans()))
    check(service, content)


def _replaced(tree, path, value, *, gone):
    if not path:
        return value
    node = tree
    for key in path[:-1]:
        try:
            node = node[key]
        except (KeyError, IndexError, TypeError):
            return tree
    if isinstance(node, dict) and gone:
        node.pop(path[-1], None)
    elif isinstance(node, dict) or (isinstance(node, list) and path[-1] in range(len(node))):
        node[path[-1]] = value
    return tree


@given(body=st.binary(max_size=400))
@settings(max_examples=100, deadline=None)
def test_the_words_of_any_body_are_one_short_line(body):
    """A page, a body cut off, bytes of nothing: one line of at most 170 signs, never empty."""
    words = own_words(body)
    assert words
    assert words.isprintable()
    assert len(words) <= 170


@given(text=st.text(max_size=60))
@settings(max_examples=100, deadline=None)
def test_any_header_is_read_or_passed_over(text):
    """Dates and waits come as the service likes."""
    wait = seconds_to_wait(text, services.NOW)
    assert wait is None or 0.0 <= wait <= 7 * 86_400
    found = http_time(text)
    assert found is None or found.tzinfo is not None


@given(contact=st.text(max_size=60))
@settings(max_examples=100, deadline=None)
def test_any_contact_makes_a_header_that_can_be_sent(contact):
    """No line end, no sign outside ASCII."""
    agent = user_agent("1.0", contact)
    assert agent.isascii()
    assert agent.isprintable()
    assert agent.startswith("seasonal-humidity-planner/1.0")


def test_the_words_of_the_services_are_found():
    """Each has its own place for them."""
    assert own_words(b'{"error": true, "reason": "Bad latitude"}') == "Bad latitude"
    assert own_words(b'{"title": "x", "detail": "Outside the US", "status": 404}') == (
        "Outside the US"
    )
    assert own_words(b'{"header": "It failed", "messages": ["Bad start"]}') == (
        "It failed Bad start"
    )
    assert own_words(b"<style>p {}</style><p>Down &amp; out</p>") == "Down &amp; out"
    assert own_words(b"") == "no word why"
