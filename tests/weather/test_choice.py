"""Which services are asked: never a non-commercial one without the maker's word or key."""

from datetime import date, timedelta

import pytest

from planner.errors import WorkshopError
from planner.weather.asked import Held
from planner.weather.choice import AHEAD, PAST, chosen, only
from planner.weather.missing import missing_spans
from planner.weather.wanted import Wanted


def test_by_default_a_seller_of_reeds_may_use_what_is_chosen():
    """No key, any use, worldwide."""
    found = chosen(Wanted(), {})
    assert (found.ahead.name, found.past.name) == ("MET Norway", "NASA POWER")


@pytest.mark.parametrize("service", [name for name in (*AHEAD, *PAST) if "open" in name])
def test_open_meteo_needs_a_word_or_a_key(service):
    """Neither: one sentence that says how."""
    with pytest.raises(WorkshopError, match="non-commercial use only"):
        chosen(only(Wanted(), service), {})
    free = chosen(only(Wanted(open_meteo_noncommercial=True), service), {})
    assert (free.ahead or free.past).key == ""
    paid = chosen(only(Wanted(open_meteo_apikey_env="KEY"), service), {"KEY": "secret"})
    assert (paid.ahead or paid.past).key == "secret"
    with pytest.raises(WorkshopError, match='"KEY", which isn\'t set'):
        chosen(only(Wanted(open_meteo_apikey_env="KEY"), service), {})


def test_an_unknown_service_or_address_is_told():
    """With the names there are."""
    with pytest.raises(WorkshopError, match='did you mean "nasa-power"'):
        chosen(Wanted(past="nasapower"), {})
    with pytest.raises(WorkshopError, match="must be an address"):
        chosen(Wanted(urls={"met-norway": "api.met.no"}), {})
    with pytest.raises(WorkshopError, match=r"\[weather.urls\]"):
        chosen(Wanted(urls={"met": "https://x"}), {})


def test_one_service_alone_or_none_can_be_asked():
    """--from asks that one; "none" in the settings asks nobody."""
    found = chosen(only(Wanted(), "nasa-power"), {})
    assert found.ahead is None
    assert chosen(Wanted(ahead="none", past="none"), {}).past is None


FIRST, TODAY = date(2024, 1, 1), date(2026, 11, 25)
LAST = TODAY - timedelta(days=3)


def held(*gaps):
    """Return all days from FIRST to LAST but those of the gaps, fetched long after."""
    days = [FIRST + timedelta(days=n) for n in range((LAST - FIRST).days + 1)]
    missing = {start + timedelta(days=n) for start, count in gaps for n in range(count)}
    return [Held(day, day + timedelta(days=200)) for day in days if day not in missing]


def test_everything_is_one_span_at_first_and_none_when_all_is_there():
    """One question for all past years."""
    assert missing_spans([], FIRST, LAST, TODAY) == [(FIRST, LAST)]
    assert missing_spans(held(), FIRST, LAST, TODAY) == []


def test_near_gaps_are_asked_for_as_one_and_many_as_one_span():
    """Requests are dearer than days."""
    near = held((date(2025, 3, 1), 2), (date(2025, 4, 1), 1))
    assert missing_spans(near, FIRST, LAST, TODAY) == [(date(2025, 3, 1), date(2025, 4, 1))]
    far = [(date(2024, month, 1), 1) for month in (1, 4, 7, 10)]
    assert missing_spans(held(*far), FIRST, LAST, TODAY) == [(date(2024, 1, 1), date(2024, 10, 1))]


@pytest.mark.parametrize(("early", "asked"), [(59, 0), (60, 1)])
def test_preliminary_days_wait_until_there_are_sixty(early, asked):
    """Fetched within a hundred days of the day, and older than that by now."""
    days = held()
    old = [n for n, entry in enumerate(days) if (TODAY - entry.day).days >= 100][-early:]
    for n in old:
        days[n] = Held(days[n].day, days[n].day + timedelta(days=5))
    assert len(missing_spans(days, FIRST, LAST, TODAY)) == asked
