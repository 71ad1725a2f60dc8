"""Places by name, the likeliest first, and zones by coordinates."""

import random

import pytest

from planner.weather import search
from planner.weather.globe import distance_km
from planner.weather.search import place_named, search_places, zone_at


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("Mumbai", "Mumbai, IN"),
        ("münchen", "Munich, DE"),
        ("Muenchen", "Munich, DE"),
        ("reykjavik", "Reykjavík, IS"),
        ("London, Canada", "London, CA"),
        ("Portland, ME", "Portland, ME, US"),
        ("  new   york ", "New York"),
        ("San Franc", "San Francisco"),
    ],
)
def test_the_likeliest_place_comes_first(text, first):
    """The name itself before another name, that before a beginning; the larger first."""
    assert str(search_places(text)[0]).startswith(first)


def test_a_name_of_several_places_lists_them():
    """No town is taken silently for another."""
    assert place_named("Portland") is None
    assert len({entry.region for entry in search_places("Portland", 3)}) == 3
    assert place_named("Portland, OR").timezone == "America/Los_Angeles"


def test_a_name_that_is_clearly_one_is_taken():
    """Ten times the inhabitants of every other."""
    assert place_named("Paris").timezone == "Europe/Paris"
    assert place_named("Paris, TX").timezone == "America/Chicago"


@pytest.mark.parametrize("text", ["", "  ", ",", "zzzyx", "San Franc"])
def test_what_names_no_place_is_none(text):
    """A beginning is a candidate, but no place."""
    assert place_named(text) is None


@pytest.mark.parametrize(
    ("here", "zone"),
    [
        ((50.1, 8.7), "Europe/Berlin"),
        ((27.7, 85.3), "Asia/Kathmandu"),
        ((-18.1, 178.4), "Pacific/Fiji"),
        ((0.0, -140.0), "Etc/GMT+9"),
        ((-89.0, 0.0), "Etc/GMT"),
    ],
)
def test_the_zone_is_that_of_the_nearest_place_or_of_the_longitude(here, zone):
    """Out at sea and at the pole there is no town to ask."""
    assert zone_at(*here) == zone


def test_distances_cross_the_date_line():
    """A degree of the equator is 111.2 km, wherever it lies."""
    assert distance_km((0.0, 179.5), (0.0, -179.5)) == pytest.approx(111.2, abs=0.1)
    assert distance_km((90.0, 0.0), (90.0, 120.0)) == pytest.approx(0.0, abs=1e-6)


def test_names_are_found_as_one_by_one(monkeypatch):
    """All names at once, with their accents in: the same places as each name folded by itself."""
    cities = search._cities()[::40]
    monkeypatch.setattr(search, "_cities", lambda: cities)
    search._own_names.cache_clear()
    search._other_names.cache_clear()
    folded_names = [
        (search.folded(c["name"]), {search.folded(n) for n in c["alternatenames"]}) for c in cities
    ]
    some = random.Random(3)
    asked = [some.choice([c["name"], *c["alternatenames"]]) for c in some.sample(cities, 150)]
    asked += [name[:4] for name in asked[:60]] + ["a.c", "(", "  são   paulo ", "[x"]
    try:
        for text in asked:
            name = search.folded(text.partition(",")[0])
            if not name or "," in text:
                continue
            expected = {
                i: search.BY_NAME if own == name
                else search.BY_OTHER_NAME if name in others
                else search.BEGINS_SO
                for i, (own, others) in enumerate(folded_names)
                if own.startswith(name) or name in others
            }  # fmt: skip
            assert search._ranks(name) == expected, text
    finally:
        search._own_names.cache_clear()
        search._other_names.cache_clear()
