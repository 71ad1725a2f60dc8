"""The verb room, on the invented workshop."""

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from planner.cli import main
from tests.workshops import SAMPLE, own_copy, planner


@pytest.fixture(scope="module")
def workshop(sample: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with the invented tables."""
    return own_copy(sample, tmp_path_factory.mktemp("room")).folder


def asked(workshop: Path, *options: str):
    """Ask for the room as of a day of the sample."""
    return planner(workshop, "room", "--today", "2026-11-23", *options)


def test_room_tells_what_it_found(workshop: Path):
    """Words for the maker: moisture added, lag, set-point, and what to read next."""
    found = asked(workshop)
    assert found.exit_code == 0, found.output
    for words in ("The room in Quillhaven: ", "g/m³", "days", "week of", "eading"):
        assert words in found.output


def test_room_writes_a_page_with_a_picture(workshop: Path):
    """One page beside the plans', listed with them, with the readings against the model."""
    found = asked(workshop)
    page = workshop / "reports" / "room-quillhaven-2026-11-23.html"
    assert f"Page: {page}" in found.output
    html = page.read_text(encoding="utf-8")
    assert html.count("<svg") == 2  # for a sheet and for a phone
    assert "days with readings lie within the band" in html.replace("\u00a0", " ")
    assert page.name in (workshop / "reports" / "index.html").read_text(encoding="utf-8")


def test_room_opens_its_page(workshop: Path, monkeypatch: pytest.MonkeyPatch):
    """Only when asked to."""
    opened: list[str] = []
    monkeypatch.setattr("click.launch", opened.append)
    asked(workshop)
    assert not opened
    asked(workshop, "--open")
    assert [Path(path).name for path in opened] == ["room-quillhaven-2026-11-23.html"]


def test_room_as_json(workshop: Path):
    """The keys promised, with ordered percentiles; no reading counts after the day asked for."""
    answer = json.loads(asked(workshop, "--json").stdout)
    assert answer["schema_version"] == 1
    cold = answer["moisture_added_cold_g_m3"]
    assert cold["p10"] < cold["p50"] < cold["p90"]
    assert answer["weeks"][-1]["week_start"] <= "2026-11-23"
    assert answer["outside_reach"] == []
    assert answer["hygrometers_apart_pct"] is None
    assert all(one["either_way_pct"] > 0 for one in answer["known_within"])


@pytest.fixture(scope="module")
def unread(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A workshop with weather and without a single reading, in a shed without heating."""
    folder = tmp_path_factory.mktemp("unread")
    tables = folder / "tables"
    shutil.copytree(SAMPLE, tables)
    (tables / "readings.csv").unlink()
    made = CliRunner().invoke(
        main, ["--workshop", str(folder / "shed"), "start", "--from", str(tables)]
    )
    assert made.exit_code == 0, made.output
    settings = folder / "shed" / "workshop.toml"
    text = settings.read_text(encoding="utf-8")
    head, _, rest = text.partition("[[place]]")
    first, _, others = rest.partition("[[place]]")
    room = "" if "[place.room]" in first else "[place.room]\n"
    first = first.rstrip() + f"\n{room}heated = false\n\n"
    settings.write_text(f"{head}[[place]]{first}[[place]]{others}", encoding="utf-8")
    return folder / "shed"


def test_a_shed_without_a_reading_is_guessed_and_said_to_be(unread: Path):
    """Guesses are called so, what lies beyond the model is named, readings are asked for."""
    found = asked(unread)
    assert found.exit_code == 0, found.output
    told = found.output.replace("\u00a0", " ")
    for words in ("no readings yet", "mostly a guess", "edge of what outdoor air tells"):
        assert words in told
    assert "would teach the most" in told
    assert "week of" not in told
    page = next((unread / "reports").glob("room-*.html")).read_text(encoding="utf-8")
    assert "There are no readings on these days." in page


def test_an_unknown_place_is_named(workshop: Path):
    """One sentence with the places there are."""
    found = asked(workshop, "--place", "Nowhere")
    assert found.exit_code == 1
    assert "Quillhaven" in found.output
