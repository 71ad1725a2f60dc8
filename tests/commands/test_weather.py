"""Weather kept fresh for the plan, whatever the network does."""

from datetime import UTC, date, datetime, timedelta

import httpx
import numpy as np
import pytest

from planner.air.days import Days
from planner.commands.weather import refresh
from planner.commands.workshop import opened
from planner.settings import read_settings
from tests.replies.loopback import speaking
from tests.replies.services import NOW
from tests.workshops import ASKING, EXAMPLETON

TODAY = date(2026, 11, 25)
WORKSHOP = f"""
{ASKING}
{EXAMPLETON}
[weather.urls]
met-norway = "{{url}}/met-norway"
nasa-power = "{{url}}/nasa-power"
"""


@pytest.fixture
def speaker():
    """Return a server that speaks as the services do."""
    with speaking() as running:
        yield running


@pytest.fixture
def workshop(tmp_path, speaker):
    """Return an opened workshop that asks that server."""
    (tmp_path / "workshop.toml").write_text(WORKSHOP.format(url=speaker.url))
    with opened(read_settings(tmp_path)) as found:
        yield found


def test_weather_older_than_a_day_is_brought_up_to_date(workshop, speaker):
    """Once a day, not at each plan."""
    assert refresh(workshop, today=TODAY, now=NOW) == []
    assert len(workshop.weather.observed("Exampleton", TODAY)) > 5000
    asked = len(speaker.requests)
    assert refresh(workshop, today=TODAY, now=NOW + timedelta(hours=6)) == []
    assert len(speaker.requests) == asked
    speaker.now = NOW + timedelta(days=1)
    assert refresh(workshop, today=TODAY + timedelta(days=1), now=speaker.now) == []
    assert len(speaker.requests) == asked + 2


def test_a_replay_of_another_day_asks_nobody(workshop, speaker):
    """As of last winter, only what is stored counts."""
    assert refresh(workshop, today=date(2026, 1, 12), now=NOW) == []
    assert speaker.requests == []


def test_without_a_network_the_stored_weather_is_used_and_its_age_told(workshop, speaker):
    """No error; the plan isn't made to wait at once again."""
    refresh(workshop, today=TODAY, now=NOW)

    def nobody(request):
        raise httpx.ConnectError("no network", request=request)

    later = NOW + timedelta(days=3)
    day = TODAY + timedelta(days=3)
    transport = httpx.MockTransport(nobody)
    warnings = refresh(workshop, today=day, now=later, transport=transport)
    assert any("can't be reached" in line for line in warnings)
    assert warnings[-1] == (
        "Exampleton: stored weather used: observed to Sun\u00a022\u00a0Nov\u00a02026, "
        "forecast 3 days old."
    )
    again = later + timedelta(minutes=5)
    assert refresh(workshop, today=day, now=again, transport=transport) == []


def test_with_nothing_stored_and_no_network_it_says_so(workshop):
    """Still no error here; whether a plan can be made is the plan's to say."""
    transport = httpx.MockTransport(lambda request: httpx.Response(500))
    warnings = refresh(workshop, today=TODAY, now=datetime(2026, 11, 25, 9, tzinfo=UTC),
                       transport=transport)  # fmt: skip
    assert warnings[-1] == "Exampleton: no weather is stored."


def test_past_days_without_a_forecast_are_told_as_that(workshop):
    """Climate ahead, and how far the days reach."""
    days = Days(np.array(["2026-11-20"], "datetime64[D]"), *np.array([[8.0], [900.0], [24]]))
    workshop.weather.put("Exampleton", days, source="garden.csv", fetched_at=NOW)
    transport = httpx.MockTransport(lambda request: httpx.Response(500))
    warnings = refresh(workshop, today=TODAY, now=NOW, transport=transport)
    assert warnings[-1] == (
        "Exampleton: stored weather used: observed to Fri\u00a020\u00a0Nov\u00a02026, no forecast, "
        "so climate ahead."
    )
