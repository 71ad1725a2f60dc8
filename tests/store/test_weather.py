"""What the weather store keeps, and gives back as of a day."""

import subprocess
import sys
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from planner.air.days import Days
from planner.errors import RecordDamaged
from planner.store.sqlite import connect
from planner.store.weather import WeatherStore
from planner.store.weather_schema import APPLICATION_ID, MIGRATIONS
from planner.weather.asked import Remembered
from planner.weather.credits import Credit

NOW = datetime(2026, 11, 25, 8, 0, tzinfo=UTC)
UNTIL = date(2026, 12, 1)


def air(first: str, n: int, *, temperature: float = 10.0, hours: int = 24) -> Days:
    """Return *n* days from *first*, each a little damper than the last."""
    days = np.datetime64(first, "D") + np.arange(n)
    return Days(days, np.full(n, temperature), 800.0 + np.arange(n), np.full(n, hours))


@pytest.fixture
def store(tmp_path):
    """Return an empty store."""
    with WeatherStore.open(tmp_path / "weather.db") as opened:
        yield opened


def put(store, days, **kind):
    """Store days for the one place of these tests."""
    return store.put("Exampleton", days, **{"source": "NASA POWER", "fetched_at": NOW, **kind})


def foresee(store, issued, temperature=10.0):
    """Store a forecast of nine days from its day of issue on, all as warm."""
    days = air(issued.isoformat(), 9, temperature=temperature)
    return put(store, days, source="MET Norway", kind="forecast", issued=issued)


def test_days_come_back_as_they_were_put(store):
    """Twenty days in, the nineteen before the asked day out."""
    put(store, air("2026-11-01", 20))
    found = store.observed("exampleton ", date(2026, 11, 20))
    np.testing.assert_array_equal(found.day, air("2026-11-01", 19).day)
    np.testing.assert_allclose(found.vapour_pressure, air("2026-11-01", 19).vapour_pressure)
    assert found.hours.tolist() == [24] * 19


def test_the_same_days_twice_are_one_row_each(store):
    """The newer fetch of a day replaces the older."""
    put(store, air("2026-11-01", 3))
    put(store, air("2026-11-01", 3, temperature=12.0))
    found = store.observed("Exampleton", date(2026, 12, 1))
    assert found.temperature.tolist() == [12.0] * 3


def test_the_makers_own_station_goes_before_a_reanalysis(store):
    """One row a day, from the best source of that day."""
    put(store, air("2026-11-01", 4))
    put(store, air("2026-11-02", 1, temperature=3.0), source="garden.csv")
    found = store.observed("Exampleton", date(2026, 12, 1))
    # One shared day says little of how the two differ: a tenth of the 7 °C.
    assert found.temperature.tolist() == [10.0, pytest.approx(3.7, abs=0.1), 10.0, 10.0]


def test_a_thin_day_does_not_count(store):
    """Seventeen hours are kept but not given as a day; eighteen are."""
    put(store, air("2026-11-01", 1, hours=17))
    put(store, air("2026-11-02", 1, hours=18))
    found = store.observed("Exampleton", date(2026, 12, 1))
    assert found.day.astype(str).tolist() == ["2026-11-02"]


def test_days_without_a_number_are_not_stored(store):
    """A gap stays a gap."""
    days = air("2026-11-01", 3)
    days.temperature[1] = np.nan
    assert put(store, days) == 2
    assert len(store.observed("Exampleton", date(2026, 12, 1))) == 2


def test_the_latest_forecast_by_a_day_is_given(store):
    """As of the 23rd, the one of the 22nd; the one of the 24th isn't known yet."""
    for issued, temperature in ((20, 1.0), (22, 2.0), (24, 3.0)):
        foresee(store, date(2026, 11, issued), temperature)
    days, issued, source = store.forecast("Exampleton", date(2026, 11, 23))
    assert (issued, source) == (date(2026, 11, 22), "MET Norway")
    assert set(days.temperature.tolist()) == {2.0}


def test_a_forecast_whose_days_have_passed_is_none(store):
    """An old forecast says nothing of today."""
    foresee(store, date(2026, 11, 1))
    assert store.forecast("Exampleton", date(2026, 11, 9)) is not None
    assert store.forecast("Exampleton", date(2026, 11, 10)) is None


def test_forecasts_are_kept_as_issued(store):
    """A later forecast of the same days doesn't touch the earlier one."""
    for issued in (1, 2):
        foresee(store, date(2026, 11, issued), issued)
    found = store.forecasts("Exampleton")
    assert [(f.issued.day, f.days.temperature[0]) for f in found] == [(1, 1.0), (2, 2.0)]
    assert [f.issued.day for f in store.forecasts("Exampleton", first=date(2026, 11, 2))] == [2]


def test_days_that_no_archive_has_yet_come_from_the_latest_forecast_for_them(store):
    """The archive ends on the 20th; the days up to today come from what was foreseen."""
    put(store, air("2026-11-01", 20))
    for issued, temperature in ((19, 1.0), (22, 2.0)):
        foresee(store, date(2026, 11, issued), temperature)
    found = store.observed("Exampleton", date(2026, 11, 25))
    assert found.day[-1] == np.datetime64("2026-11-24")
    moved = store.footing("Exampleton", date(2026, 11, 25))["MET Norway"].rows[0]
    foreseen = found.temperature[-4:] - moved
    assert found.temperature[-6:-4].tolist() == [10.0, 10.0]
    assert foreseen.tolist() == pytest.approx([1.0, 2.0, 2.0, 2.0])
    assert len(store.observed("Exampleton", date(2026, 11, 25), filled=False)) == 20


def test_a_typical_year_lies_before_the_first_observed_day(store):
    """It stands in while fewer than three years were observed, and never after."""
    put(store, air("2001-01-01", 365, temperature=5.0), source="town.epw", kind="typical")
    put(store, air("2024-03-01", 700))
    found = store.observed("Exampleton", date(2026, 1, 30))
    assert len(found) == 365 + 700  # 29 February 2024 stays a gap
    assert found.day[0] == np.datetime64("2023-03-01")
    put(store, air("2020-01-01", 1200))
    assert store.observed("Exampleton", date(2026, 1, 30)).day[0] == np.datetime64("2020-01-01")


def test_a_typical_year_is_brought_to_the_level_of_what_was_observed(store):
    """A station 4 °C colder all year: with a year observed most of that is made good."""
    put(store, air("2001-01-01", 365, temperature=6.0), source="town.epw", kind="typical")
    put(store, air("2025-11-20", 369, temperature=10.0))
    found = store.observed("Exampleton", date(2026, 11, 24))
    assert str(found.day[0]) == "2024-11-20"
    assert 9.0 < found.temperature[0] < 10.0
    assert store.footing("Exampleton", date(2026, 11, 24))["town.epw"].shared == 369


def test_a_place_with_only_a_typical_year_has_that_year(store):
    """The year before the asked day."""
    put(store, air("2001-01-01", 365), source="town.epw", kind="typical")
    found = store.observed("Exampleton", date(2026, 11, 25))
    assert str(found.day[0]) == "2025-11-25"
    assert str(found.day[-1]) == "2026-11-24"


def garden_and_archive(store, garden_c: float) -> None:
    """Two years of an archive at 10 °C, and the garden's last hundred days."""
    put(store, air("2024-11-25", 730))
    put(store, air("2026-08-17", 100, temperature=garden_c), source="garden.csv")


def test_sources_meet_on_the_footing_of_the_one_that_tells_most(store):
    """A hundred warm days of the garden are brought to the archive's level, all but a little."""
    garden_and_archive(store, garden_c=14.0)
    found = store.observed("Exampleton", date(2026, 11, 25))
    assert found.temperature[:-100].tolist() == [10.0] * 630
    assert 10.0 < found.temperature[-1] < 11.0
    moves = store.footing("Exampleton", date(2026, 11, 25))
    assert moves["garden.csv"].shared == 100
    assert moves["garden.csv"].rows[0] == pytest.approx(found.temperature[-1] - 14.0)


def test_the_footing_knows_nothing_of_later_days(store):
    """As of the twentieth day only twenty are shared, and fewer days move less."""
    garden_and_archive(store, garden_c=14.0)
    early = store.footing("Exampleton", date(2026, 9, 6))["garden.csv"]
    late = store.footing("Exampleton", date(2026, 11, 25))["garden.csv"]
    assert (early.shared, late.shared) == (20, 100)
    assert late.rows[0] < early.rows[0] < 0.0


def test_a_forecast_is_brought_to_the_footing_of_the_past_by_what_was_foreseen(store):
    """Sixty days foreseen 3 °C too warm: the next forecast is moved, as issued it stays."""
    put(store, air("2025-11-25", 365))
    for n in range(60):
        foresee(store, date(2026, 9, 26) + timedelta(days=n), 13.0)
    days, issued, _ = store.forecast("Exampleton", date(2026, 11, 25))
    assert issued == date(2026, 11, 24)
    assert 10.0 < days.temperature[0] < 11.2
    assert {f.days.temperature[0] for f in store.forecasts("Exampleton")} == {13.0}
    move = store.footing("Exampleton", date(2026, 11, 25))["MET Norway"]
    assert move.shared == 60


def test_heights_are_kept_and_a_new_one_counts_as_a_change(store):
    """The cell at 200 m, the place at 900: colder; found lower, warmer again."""
    put(store, air("2026-11-01", 20), height=200.0)
    before = store.revision()
    store.settle("Exampleton", 50.1, 15.0, 900.0)
    assert store.revision() > before
    high = store.observed("Exampleton", date(2026, 11, 25))
    assert high.temperature[0] == pytest.approx(10.0 - 4.55)
    assert not store.settle("Exampleton", 50.1, 15.0, 200.0)
    assert store.observed("Exampleton", date(2026, 11, 25)).temperature[0] == 10.0
    known = store.revision()
    assert not store.settle("Exampleton", 50.1, 15.0, 200.0)
    assert store.revision() == known


def test_a_place_that_is_elsewhere_now_lets_go_of_what_was_fetched(store):
    """It is the weather of another place; what the maker brought in stays."""
    put(store, air("2026-11-01", 20), height=200.0)
    put(store, air("2026-11-01", 5), source="garden.csv")
    assert not store.settle("Exampleton", 50.1, 15.0, 900.0)
    assert not store.settle("Exampleton", 50.101, 15.0, 900.0)
    assert len(store.observed("Exampleton", UNTIL)) == 20
    before = store.revision()
    assert store.settle("Exampleton", 48.0, 15.0, 900.0)
    assert store.revision() > before
    assert {row.source for row in store.stored("Exampleton")} == {"garden.csv"}
    assert not store.settle("Exampleton", 48.0, 15.0, 900.0)


def test_the_same_days_at_the_same_height_are_no_change(store):
    """Fetched again, they mustn't make a plan look old."""
    put(store, air("2026-11-01", 3), height=200.0)
    known = store.revision()
    put(store, air("2026-11-01", 3), height=200.0)
    assert store.revision() == known
    put(store, air("2026-11-01", 3), height=210.0)
    assert store.revision() > known


def test_a_first_forecast_is_brought_to_the_height_of_the_place(store):
    """Before any of its days has passed: 700 m higher is 4.55 °C colder (6.5 K a km)."""
    store.settle("Exampleton", 50.1, 15.0, 900.0)
    days = air("2026-11-25", 9)
    put(store, days, source="MET Norway", kind="forecast", issued=NOW.date(), height=200.0)
    found, _, _ = store.forecast("Exampleton", NOW.date())
    assert found.temperature[0] == pytest.approx(10.0 - 4.55)


def test_a_leap_day_that_was_observed_has_no_typical_one(store):
    """The typical year has no 29 February; the days beside it are compared all the same."""
    put(store, air("2001-01-01", 365, temperature=6.0), source="town.epw", kind="typical")
    put(store, air("2024-02-01", 100))
    assert store.footing("Exampleton", date(2024, 6, 1))["town.epw"].shared == 99


def test_it_is_told_when_each_day_of_a_source_was_fetched(store):
    """Thin days too: so it is known what to fetch again."""
    put(store, air("2026-11-01", 1))
    put(store, air("2026-11-02", 1, hours=3), fetched_at=NOW + timedelta(days=1))
    put(store, air("2026-11-01", 5), source="garden.csv")
    held = store.held("exampleton", "NASA POWER")
    assert [(row.day.day, row.fetched.day) for row in held] == [(1, 25), (2, 26)]


def test_a_credit_of_the_files_own_is_told(store):
    """As a file or a service says it, not as a source of that name is usually credited."""
    own = Credit("NASA POWER", "CC0", "Made by hand from a table")
    put(store, air("2026-11-01", 3), credit=own)
    (source,) = store.sources(["Exampleton"], UNTIL)
    assert (source.licence, source.attribution) == ("CC0", "Made by hand from a table")


def test_a_store_of_the_first_version_is_brought_up_to_date(tmp_path):
    """Its weather stays."""
    path = tmp_path / "weather.db"
    first = connect(path, application_id=APPLICATION_ID, migrations=MIGRATIONS[:1])
    first.execute("INSERT INTO sources VALUES ('garden.csv', 'own', 'own')")
    first.close()
    with WeatherStore.open(path) as opened:
        put(opened, air("2026-11-01", 3), height=120.0)
        assert len(opened.observed("Exampleton", date(2026, 12, 1))) == 3


def test_noise_in_the_file_is_one_sentence(store, tmp_path):
    """A text that is none any more, as a broken disk leaves it."""
    put(store, air("2026-11-01", 3))
    store._connection.execute("UPDATE days SET source = CAST(X'FFFE41' AS TEXT)")
    with pytest.raises(RecordDamaged, match="isn't a sound database"):
        store.stored("Exampleton")


@pytest.mark.parametrize(
    ("change", "read"),
    [
        ("days SET day = '2026-11-2I'", lambda store: store.observed("Exampleton", UNTIL)),
        ("days SET fetched_at = 'I'", lambda store: store.held("Exampleton", "NASA POWER")),
        ("days SET fetched_at = 'I'", lambda store: store.sources(["Exampleton"], UNTIL)),
        ("asked SET at = '2026-1I-25'", lambda store: store.recall("question")),
    ],
)
def test_a_day_that_is_none_is_damage_told_with_its_cure(store, change, read):
    """A fault within a value is one that SQLite doesn't see; every bench command met it."""
    put(store, air("2026-11-01", 1))
    store.remember("question", Remembered(NOW))
    store._connection.execute("PRAGMA ignore_check_constraints = ON")
    store._connection.execute(f"UPDATE {change}")
    with pytest.raises(RecordDamaged, match='Put it elsewhere; "planner weather fetch"'):
        read(store)


def test_sources_tell_licence_attribution_and_last_fetch(store):
    """What the page must show next to the data."""
    put(store, air("2026-11-01", 3))
    put(store, air("2026-11-01", 3), fetched_at=NOW + timedelta(days=2))
    (source,) = store.sources(["Exampleton", "Elsewhere"], date(2026, 12, 1))
    assert source.name == "NASA POWER"
    assert "Langley" in source.attribution
    assert source.as_of == date(2026, 11, 27)
    assert store.sources(["Elsewhere"], date(2026, 12, 1)) == []


def test_sources_as_of_a_day_are_those_that_had_something_by_then(store):
    """Neither a later fetch nor a source of later days alone."""
    put(store, air("2026-11-01", 3))
    put(store, air("2026-11-10", 3), source="garden.csv")
    put(store, air("2026-11-04", 3), source="MET Norway", kind="forecast", issued=date(2026, 11, 3))
    put(store, air("2026-01-01", 365), source="town.epw", kind="typical")

    def told(day: date) -> list[tuple[str, date | None]]:
        return [(source.name, source.as_of) for source in store.sources(["Exampleton"], day)]

    first, second = date(2026, 11, 2), date(2026, 11, 3)
    assert told(first) == [("NASA POWER", first), ("town.epw", first)]
    assert told(second) == [("MET Norway", second), ("NASA POWER", second), ("town.epw", second)]


def test_the_revision_grows_with_a_change_only(store):
    """A kept plan is good as long as the revision is the same."""
    start = store.revision()
    put(store, air("2026-11-01", 3))
    changed = store.revision()
    store.keep("plan", "abc", "{}")
    put(store, air("2026-11-01", 3), fetched_at=NOW + timedelta(days=1))
    assert changed > start
    assert store.revision() == changed


def test_a_kept_answer_comes_back_with_its_fingerprint(store):
    """The last of each key, None for a key never kept."""
    assert store.kept("plan") is None
    store.keep("plan", "abc", "{}")
    store.keep("plan", "def", '{"a": 1}')
    assert store.kept("plan") == ("def", '{"a": 1}')


def test_a_kept_answer_that_was_damaged_is_none(store):
    """One sign is another diameter, and the bench would take it."""
    store.keep("plan", "abc", '{"low": 10.25}')
    store._connection.execute("UPDATE kept SET text = replace(text, '10.25', '10.85')")
    assert store.kept("plan") is None


def test_a_file_that_is_no_database_is_refused_in_one_sentence(tmp_path):
    """And left as it is."""
    path = tmp_path / "weather.db"
    path.write_text("not a database, " * 100)
    with pytest.raises(RecordDamaged, match="isn't a sound database"):
        WeatherStore.open(path)
    assert path.read_text().startswith("not a database")


def test_the_bench_path_loads_no_arrays(tmp_path):
    """Opening, the revision and kept answers leave numpy, pandas and httpx out."""
    code = (
        "import sys; from pathlib import Path; from planner.store.weather import WeatherStore\n"
        f"with WeatherStore.open(Path({str(tmp_path / 'weather.db')!r})) as store:\n"
        "    store.keep('plan', 'a', 'b'); store.kept('plan'); store.revision()\n"
        "print(sorted({'numpy', 'pandas', 'httpx', 'scipy'} & set(sys.modules)))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_a_forecast_alone_has_a_day_of_issue(store):
    """A slip of the program, not of the maker; nothing is stored."""
    for kind, issued in (("forecast", None), ("observed", date(2026, 11, 1))):
        with pytest.raises(ValueError, match="a forecast has a day of issue, other kinds none"):
            put(store, air("2026-11-01", 3), kind=kind, issued=issued)
    assert len(store.observed("Exampleton", date(2026, 12, 1))) == 0
