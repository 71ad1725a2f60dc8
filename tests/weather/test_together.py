"""Many places: in one question where the service takes it, else one after the other."""

from datetime import date, timedelta

import pytest

from planner.weather import open_meteo
from planner.weather.open_meteo import MOST_PLACES, OpenMeteo
from planner.weather.places import Place

FIRST = date(2011, 1, 1)
TOWNS = [Place(f"Town {n}", 40.0 + n / 10, 15.0, "Etc/GMT-1") for n in range(30)]


def test_the_coming_days_of_thirty_places_are_one_question(fetching, store, speaker):
    """Each place gets its own answer."""
    report = fetching("open-meteo", places=TOWNS)
    assert report.warnings == []
    assert report.requests == 1
    ((_, query, _),) = speaker.asked("open-meteo")
    assert query["latitude"].count(",") == 29
    assert [entry.place for entry in report.fetched] == [town.name for town in TOWNS]
    for town in TOWNS:
        assert len(store.forecasts(town.name)) == 1
    assert fetching("open-meteo", places=TOWNS).requests == 0


def test_past_days_are_asked_for_a_few_places_at_a_time(fetching, store, speaker, monkeypatch):
    """As many as the service's weights allow, here two; next week's few days all at once."""
    monkeypatch.setattr(open_meteo, "MOST_WEIGHT", 10.0)
    report = fetching("open-meteo-archive", places=TOWNS[:5])
    assert report.warnings == []
    assert report.requests == 3
    held = [len(store.held(town.name, "Open-Meteo archive")) for town in TOWNS[:5]]
    assert min(held) == max(held) > 320
    speaker.now += timedelta(7)
    assert fetching("open-meteo-archive", places=TOWNS[:5]).requests == 1


def told_of(fetching, *services, **more):
    """Fetch, and return how far it was said to be: places answered, of how many, whose."""
    told = []
    fetching(*services, progress=lambda *far: told.append(far), **more)
    return told


def test_progress_counts_places_and_not_questions(fetching, monkeypatch):
    """Five of the past in questions of two, each counted as its answer is taken in."""
    monkeypatch.setattr(open_meteo, "MOST_WEIGHT", 10.0)
    said = "Open-Meteo archive, Town 0 and 4 others"
    told = told_of(fetching, "open-meteo-archive", places=TOWNS[:5])
    assert told == [*((count, 5, said) for count in range(6)), (5, 5, "")]


def test_progress_counts_what_is_fresh_and_what_is_given_up(fetching, speaker):
    """A place that needn't be asked for, and those of a service that is down."""
    fetching("met-norway", places=TOWNS[:2])
    told = told_of(fetching, "met-norway", places=TOWNS[:3])
    assert [far[:2] for far in told] == [(0, 3), (1, 3), (2, 3), (3, 3), (3, 3)]
    assert told[-2][2] == "MET Norway, Town 2"
    speaker.faults["nasa-power"] = ["status 503"] * 3
    told = told_of(fetching, "nasa-power", places=TOWNS[:3])
    assert [far[:2] for far in told] == [(0, 3), (1, 3), (2, 3), (3, 3)]


def test_a_place_with_two_gaps_counts_once_both_are_asked_for(fetching, speaker):
    """The year before, and from June on: a question each."""
    june = speaker.now - timedelta(180)
    fetching("open-meteo-archive", places=TOWNS[:1], now=june)
    speaker.requests.clear()
    told = told_of(fetching, "open-meteo-archive", places=TOWNS[:1], years=1)
    assert len(speaker.asked("open-meteo-archive")) == 2
    assert [done for done, _, _ in told] == [0, 0, 1, 1]


def test_how_many_go_into_one_question_follows_the_services_weights():
    """Places x max(1, variables / 10 x max(1, days / 14)) may be 600 a minute."""
    service = OpenMeteo()
    assert service.most((FIRST, FIRST)) == MOST_PLACES
    for years, most in ((1, 50), (10, 9), (15, 6), (80, 1)):
        days = round(365.25 * years)
        assert service.most((FIRST, FIRST + timedelta(days - 1))) == most
        assert most * max(1.0, 0.2 * days / 14) <= 600


def test_services_that_take_one_place_are_asked_one_after_the_other(fetching, speaker):
    """Thirty questions, in a row, with the pause they want."""
    report = fetching("nasa-power", places=TOWNS)
    assert report.requests == 30
    assert report.warnings == []


def test_a_question_about_many_that_is_refused_is_asked_for_each(fetching, store, speaker):
    """One point that the service has no data for doesn't take the others along."""
    words = '{"error": true, "reason": "No data is available for this location"}'
    speaker.faults["open-meteo"] = [f"status 400 {words}", "", f"status 400 {words}"]
    report = fetching("open-meteo", places=TOWNS[:3])
    assert report.requests == 4
    assert report.warnings == [
        "Town 1: Open-Meteo refused the request (status 400): No data is available for this "
        "location."
    ]
    assert [entry.place for entry in report.fetched] == ["Town 0", "Town 2"]


def test_an_answer_with_one_bad_table_loses_that_place_alone(fetching, store, speaker):
    """The others are kept, the lost one is asked for again next time."""

    def spoiled(content):
        if isinstance(content, list):
            content[1] = {"error": True, "reason": "broken"}
        return content

    speaker.change = spoiled
    report = fetching("open-meteo", places=TOWNS[:3])
    (warning,) = report.warnings
    assert warning.startswith("Town 1: Open-Meteo refused the request: broken")
    assert [entry.place for entry in report.fetched] == ["Town 0", "Town 2"]
    speaker.change = None
    again = fetching("open-meteo", places=TOWNS[:3])
    assert [entry.place for entry in again.fetched] == ["Town 1"]


@pytest.mark.parametrize("answer", ["swapped", "short"])
def test_tables_that_are_not_those_of_the_places_are_refused(fetching, store, speaker, answer):
    """Good weather of another town is no weather; with a table missing nobody's is known."""

    def wrong(content):
        if not isinstance(content, list):
            return content
        return content[::-1] if answer == "swapped" else content[:-1]

    speaker.change = wrong
    places = [TOWNS[0], TOWNS[29]]
    report = fetching("open-meteo", places=places)
    if answer == "swapped":
        assert len(report.warnings) == 2
        assert report.fetched == []
    else:
        assert report.requests == 3
        assert report.warnings == []
