"""The verbs of the weather store as a maker calls them."""

import json
import re
import sys
from io import StringIO

import pytest

from planner.cli.weather import _progress
from tests.replies.loopback import speaking
from tests.report.page_walk import walk
from tests.workshops import ASKING, EXAMPLETON, founded, planner

WORKSHOP = ASKING + EXAMPLETON


@pytest.fixture
def folder(tmp_path):
    """Return the folder of a workshop."""
    return founded(tmp_path, WORKSHOP)


def run(folder, *words):
    """Call ``planner weather``."""
    return planner(folder, "weather", *words)


def plain(text):
    """Return a text with its no-break spaces as plain ones."""
    return text.replace("\u00a0", " ")


def table(folder, days=("2026-01-05", "2026-01-06", "2026-01-08")):
    """Write a daily table."""
    path = folder / "garden.csv"
    rows = [f"{day},5.0,80" for day in days]
    path.write_text("\n".join(["time,temperature_c,rh_pct", *rows]))
    return path


def test_a_file_is_taken_in_once(folder):
    """The second time nothing is new."""
    first = run(folder, "import", table(folder), "--today", "2026-02-01")
    assert first.exit_code == 0, first.stderr
    assert "Exampleton: 3 days read, 3 new or changed" in plain(first.stdout)
    assert "3 days read, 0 new" in plain(run(folder, "import", table(folder)).stdout)


def test_a_dry_run_stores_nothing(folder):
    """It only says what it would do."""
    assert "would be stored" in run(folder, "import", table(folder), "--dry-run").stdout
    assert "Nothing is stored" in run(folder, "show").stdout


def test_an_import_answers_in_json(folder):
    """What was read, and that nothing was stored by a dry run."""
    words = ("import", table(folder), "--today", "2026-02-01", "--json")
    answer = json.loads(run(folder, *words, "--dry-run").stdout)
    assert (answer["schema_version"], answer["dry_run"]) == (1, True)
    assert (answer["days"], answer["first"], answer["last"]) == (3, "2026-01-05", "2026-01-08")
    assert json.loads(run(folder, *words).stdout)["changed"] == 3


def test_a_loggers_table_is_taken_in_by_its_own_headings(folder):
    """A dry run stores and keeps nothing; what is kept is told, and holds the next time."""
    path = folder / "logger.csv"
    path.write_text("Zeit,T,U\n2026-01-05,5.0,80\n", encoding="utf-8")
    missing = run(folder, "import", path)
    assert (missing.exit_code, missing.stdout) == (1, "")
    assert '--map "yours=temperature_c"' in missing.stderr
    words = ("import", path, "--map", "Zeit=time,T=temperature_c,U=rh_pct", "--remember")
    assert "1 day would be stored" in plain(run(folder, *words, "--dry-run").stdout)
    assert "[import" not in (folder / "workshop.toml").read_text()
    done = run(folder, *words)
    assert done.exit_code == 0, done.stderr
    assert done.stderr.startswith("workshop.toml now keeps:\n[import.weather]\n")
    assert "1 day read, 0 new" in plain(run(folder, "import", path).stdout)
    wrong = run(folder, "import", path, "--map", "T=temp")
    assert (wrong.exit_code, wrong.stdout) == (2, "")
    assert 'map: "temp" is not one of time, temperature_c' in wrong.stderr


def test_a_typical_year_is_no_forecast_and_says_how_far_its_station_is(folder):
    """Its days have no year; a station of another region is told."""
    path = folder / "town.epw"
    hours = [f"1999,3,5,{hour},60,?,8.0,4.0,76,99000" for hour in range(1, 25)]
    place = "LOCATION,Invented,-,-,Own,000000,54.10,15.20,1.0,200.0"
    path.write_text("\n".join([place, *("HEADING",) * 7, *hours]))
    refused = run(folder, "import", path, "--kind", "forecast")
    assert (refused.exit_code, refused.stdout) == (2, "")
    assert "town.epw is a typical year; it can't be a forecast." in refused.stderr
    done = run(folder, "import", path)
    assert done.exit_code == 0, done.stderr
    # 3.98 degrees of latitude of 111.2 km
    assert "town.epw: its station stands 443 km from Exampleton." in done.stderr
    assert "wasn't used" not in done.stderr
    words = ("--map", "T=temperature_c", "--dates", "dmy", "--remember")
    mapped = run(folder, "import", path, *words)
    assert mapped.exit_code == 0, mapped.stderr
    fixed = "wasn't used, as the columns of a typical year are fixed."
    assert f"town.epw: --map {fixed}" in mapped.stderr
    assert f"town.epw: --dates {fixed}" in mapped.stderr
    assert "[import" not in (folder / "workshop.toml").read_text()


def test_a_bad_file_is_one_message_and_changes_nothing(folder):
    """Exit code 1, empty stdout, the row and the column."""
    path = table(folder)
    path.write_text(path.read_text().replace("80", "damp", 1))
    result = run(folder, "import", path)
    assert (result.exit_code, result.stdout) == (1, "")
    assert 'row 2, column "rh_pct": "damp"' in result.stderr
    assert "Nothing is stored" in run(folder, "show").stdout


def test_days_that_have_not_come_are_no_observations(folder):
    """Exit code 1, as nothing was stored, and how a forecast is taken in."""
    for days, told in (
        (("2026-03-05",), "the one day with temperature and humidity lies after today"),
        (("2026-03-05", "2026-03-06"), "all 2 days with temperature and humidity lie after today"),
    ):
        result = run(folder, "import", table(folder, days), "--today", "2026-02-01")
        assert (result.exit_code, result.stdout) == (1, "")
        assert f"garden.csv: {told}" in result.stderr
        assert "--kind forecast" in result.stderr
    words = ("--kind", "forecast", "--today", "2026-02-01")
    done = run(folder, "import", table(folder, days[:1]), *words)
    assert "1 day of forecast read" in plain(done.stdout)


def test_a_file_without_a_day_is_told_with_what_became_of_its_rows(folder):
    """No day had both temperature and humidity: exit code 1, and one humidity is one."""
    path = folder / "garden.csv"
    path.write_text("time,temperature_c,dew_point_c\n2026-01-05,5,40\n")
    result = run(folder, "import", path, "--today", "2026-02-01")
    assert (result.exit_code, result.stdout) == (1, "")
    assert (
        "garden.csv holds no day with temperature and humidity (1 humidity that air can't have "
        "left out); nothing was stored."
    ) in result.stderr


def test_an_issue_without_a_forecast_is_wrong_use(folder):
    """Exit code 2."""
    result = run(folder, "import", table(folder), "--issued", "2026-01-04")
    assert result.exit_code == 2
    assert "--kind forecast" in result.stderr


def test_what_is_stored_is_shown_with_its_gaps_and_its_curve(folder):
    """Sources, gaps, last fetch, attribution, and one line a year."""
    run(folder, "import", table(folder))
    run(folder, "import", table(folder, ["2026-01-20"]), "--kind", "forecast",
        "--issued", "2026-01-18")  # fmt: skip
    result = run(folder, "show", "--plot", "--today", "2026-01-19")
    assert result.exit_code == 0, result.stderr
    said = " ".join(result.stdout.split())
    assert "garden.csv, observed: 3 days, Mon 5 Jan 2026 to Thu 8 Jan 2026" in said
    assert "1 gap, 1 day missing: Wed 7 Jan 2026 to Wed 7 Jan 2026 (1 day)" in said
    assert "issued Sun 18 Jan 2026, to Tue 20 Jan 2026 (1 forecast kept as issued)" in said
    assert "as usual for forecasts; none could be compared here yet" in said
    assert "Mean dew point by week" in result.stdout
    page = folder / "reports" / "weather-exampleton-2026-01-19.html"
    assert f"Page: {page}" in result.stdout
    html = plain(page.read_text(encoding="utf-8"))
    assert html.count("<svg") == 2  # for a sheet and for a phone
    assert "2 days, Mon 5 Jan" not in html
    assert "garden.csv, observed: 3 days" in html
    assert "1 day missing between them" in html
    assert page.name in (folder / "reports" / "index.html").read_text(encoding="utf-8")
    answer = json.loads(run(folder, "show", "--json", "--today", "2026-01-19").stdout)
    assert answer["schema_version"] == 1
    assert answer["holdings"][0]["gaps"] == [{"first": "2026-01-07", "last": "2026-01-07"}]


def test_what_came_later_is_not_shown_as_of_a_day(folder):
    """Neither days nor forecasts after it."""
    run(folder, "import", table(folder))
    for issued in ("2026-01-06", "2026-01-18"):
        done = run(folder, "import", table(folder, ["2026-01-20"]), "--kind", "forecast",
                   "--issued", issued)  # fmt: skip
        assert done.exit_code == 0, done.stderr
    answer = json.loads(run(folder, "show", "--json", "--today", "2026-01-06").stdout)
    assert (answer["holdings"][0]["days"], answer["holdings"][0]["last"]) == (2, "2026-01-06")
    assert (answer["forecast"]["issued"], answer["forecast"]["kept"]) == ("2026-01-06", 1)
    answer = json.loads(run(folder, "show", "--json", "--today", "2026-01-01").stdout)
    assert (answer["holdings"], answer["forecast"], answer["last_fetch"]) == ([], None, None)
    assert answer["sources"] == []


def test_a_forecast_issued_after_today_is_refused(folder):
    """Nobody can have it yet; a slip in the year would hide the forecasts that are true."""
    words = ("--kind", "forecast", "--issued", "2026-01-19", "--today", "2026-01-18")
    result = run(folder, "import", table(folder, ["2026-01-20"]), *words)
    assert result.exit_code == 2
    assert "--issued 2026-01-19 lies after today, 2026-01-18." in result.stderr


def test_nothing_stored_is_nothing_drawn(folder):
    """One line on what to do, and no page."""
    result = run(folder, "show", "--plot")
    assert result.exit_code == 0, result.stderr
    assert "Nothing is stored" in result.stdout
    assert not (folder / "reports").exists()


def test_the_page_of_the_weather_is_whole_html(folder):
    """One h1, a table beside the picture, nothing fetched, nothing that a name could break."""
    run(folder, "import", table(folder))
    text = (folder / "workshop.toml").read_text().replace("Exampleton", "Ex <b>ample</b>")
    (folder / "workshop.toml").write_text(text)
    run(folder, "import", table(folder))
    result = run(folder, "show", "--plot", "--today", "2026-01-19")
    assert result.exit_code == 0, result.stderr
    (page,) = (folder / "reports").glob("weather-*.html")
    found = walk(page.read_text(encoding="utf-8"))
    assert len(found.all("h1")) == 1
    assert len(found.all("table")) == 1
    assert "Ex <b>ample</b>" in found.text
    assert "5 °C" in found.text.replace("\u00a0", " ")


def test_how_sources_are_brought_together_is_told(folder):
    """A garden two degrees warmer than the station beside it."""
    days = [f"2026-01-{day:02}" for day in range(1, 31)]
    run(folder, "import", table(folder, days))
    (folder / "garden.csv").rename(folder / "station.csv")
    rows = "\n".join(f"{day},7.0,80" for day in days[5:25])
    (folder / "garden.csv").write_text(f"time,temperature_c,rh_pct\n{rows}\n")
    run(folder, "import", folder / "station.csv", "--today", "2026-02-01")
    run(folder, "import", folder / "garden.csv", "--today", "2026-02-01")
    shown = run(folder, "show", "--today", "2026-02-01").stdout
    assert "is moved by" in shown
    answer = json.loads(run(folder, "show", "--json", "--today", "2026-02-01").stdout)
    assert {move["source"] for move in answer["moves"]} <= {"garden.csv", "station.csv"}


def test_weather_is_fetched_and_its_sources_are_shown(folder):
    """Against a server that speaks as the services do; the present day is the computer's."""
    with speaking() as speaker:
        urls = f'\n[weather.urls]\nnasa-power = "{speaker.url}/nasa-power"\n'
        (folder / "workshop.toml").write_text(WORKSHOP + urls)
        result = run(folder, "fetch", "--from", "nasa-power", "--json")
    assert result.exit_code == 0, result.stderr
    assert json.loads(result.stdout)["requests"] == 1
    shown = run(folder, "show").stdout
    assert "NASA POWER, observed:" in shown
    assert "Langley Research Center" in shown
    assert "a plan rests on climate alone" in shown


def test_a_service_or_place_that_is_not_there_is_one_message(folder):
    """And what there is."""
    result = run(folder, "fetch", "--from", "nasapower")
    assert (result.exit_code, result.stdout) == (1, "")
    assert "nasa-power" in result.stderr
    result = run(folder, "show", "--place", "Nowhere")
    assert (result.exit_code, result.stdout) == (1, "")
    assert 'no place "Nowhere"' in result.stderr


def test_own_data_are_named_by_their_file_alone(folder):
    """No sentence that says the same thrice; whoever made the table knows it."""
    run(folder, "import", table(folder), "--today", "2026-02-01")
    assert run(folder, "show").stdout.splitlines()[-1] == "garden.csv (your own data)"


def test_offline_asks_no_service_for_a_place(folder):
    """What contradicts itself is told; the list that comes with the program needs no network."""
    assert run(folder, "places", "Riga", "--offline").exit_code == 0
    asked = run(folder, "places", "Riga", "--from", "open-meteo", "--offline")
    assert asked.exit_code == 2
    assert "--offline asks none" in asked.stderr


class Screen(StringIO):
    """A terminal that keeps what is written on it."""

    def isatty(self):
        """Return that somebody looks at it."""
        return True


def test_a_fetch_shows_how_many_places_are_done_and_whose_turn_it_is(monkeypatch):
    """From the first question on, within eighty columns; in a pipe nothing is shown."""
    monkeypatch.setattr(sys, "stderr", Screen())
    with _progress() as show:
        show(0, 100, "National Weather Service, A Place of a Very Long Name and 49 others")
        show(50, 100, "NASA POWER, Bench")
        show(50, 100, "NASA POWER, Hall")
        show(100, 100, "")
    frames = re.sub(r"\x1b\[\?25.", "", sys.stderr.getvalue()).split("\r")
    assert [frame.split("]")[1].strip() for frame in frames[2:6]] == [
        "0/100  National Weather Service, A Place of",
        "50/100  NASA POWER, Bench",
        "50/100  NASA POWER, Hall",
        "100/100",
    ]
    assert "None" not in sys.stderr.getvalue()
    assert max(map(len, frames)) <= 80
    monkeypatch.setattr(sys, "stderr", StringIO())
    with _progress() as show:
        assert show is None
