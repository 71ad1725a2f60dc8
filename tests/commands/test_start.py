"""Making a workshop."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.commands.start import Answers, must_be_free, settings_text, start
from planner.errors import RecordFull, WorkshopError
from planner.settings import read_settings
from planner.weather.places import Place

MILLRACE = Place("Millrace", 50.1, 8.7, "Europe/Berlin")


def test_what_was_answered_stands_in_the_settings(tmp_path: Path):
    """A new workshop is read back as it was answered."""
    settings = start(
        tmp_path / "reeds",
        Answers("Reeds", MILLRACE, "me@example.org", 0.7, 0.9, 10.4, 0.58),
    )
    assert (settings.opening.low_mm, settings.opening.high_mm) == (0.7, 0.9)
    assert (settings.cane.usual_mm, settings.gouge.usual_mm) == (10.4, 0.58)
    assert settings.contact == "me@example.org"
    assert settings.gouge.min_mm == pytest.approx(0.55)


def test_a_workshop_is_never_overwritten(tmp_path: Path):
    """The settings of a maker stay."""
    start(tmp_path, Answers("One", MILLRACE))
    before = (tmp_path / "workshop.toml").read_bytes()
    with pytest.raises(WorkshopError, match="already"):
        start(tmp_path, Answers("Two", MILLRACE))
    assert (tmp_path / "workshop.toml").read_bytes() == before


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path):
    """A file is in its way, or no disk takes the name; no half file is left."""
    (tmp_path / "file").write_text("kept")
    for folder in (tmp_path / "file", tmp_path / ("x" * 400)):
        with pytest.raises(RecordFull, match="can't be written"):
            start(folder, Answers("One", MILLRACE))
    assert [path.name for path in tmp_path.iterdir()] == ["file"]


def test_answers_that_cannot_be_used_leave_nothing_behind(tmp_path: Path):
    """A range the wrong way round is refused and no file is left."""
    with pytest.raises(WorkshopError, match="must be less than"):
        start(tmp_path, Answers("Reeds", MILLRACE, opening_low=0.9, opening_high=0.7))
    assert not list(tmp_path.iterdir())


@given(st.text(max_size=40), st.text(max_size=40))
def test_any_name_survives_the_settings_file(tmp_path_factory, name: str, contact: str):
    """Quotes, backslashes and control characters come back as they were typed."""
    name, contact = (t.encode("utf-8", "ignore").decode() for t in (name, contact))
    folder = tmp_path_factory.mktemp("w")
    (folder / "workshop.toml").write_text(
        settings_text(Answers(name or "x", MILLRACE, contact)), encoding="utf-8"
    )
    settings = read_settings(folder)
    assert (settings.name, settings.contact) == (name or "x", contact)


def test_a_maker_of_another_double_reed_gets_limits_about_the_usual_diameter(tmp_path: Path):
    """No limit is hard-coded: 24 mm cane is as good as 10.5."""
    settings = start(tmp_path, Answers("Low reeds", MILLRACE, usual_diameter=24.5, usual_gouge=1.2))
    assert settings.cane.diameter_min_mm <= 24.5 <= settings.cane.diameter_max_mm


@pytest.mark.parametrize(
    ("usual", "limits"), [(10.4, (9.25, 11.5)), (10.5, (9.5, 11.5)), (25.0, (24.0, 26.0))]
)
def test_classes_begin_where_cane_is_sold(tmp_path: Path, usual: float, limits: tuple):
    """In whole sorting steps: nobody sells a class of 10.15 to 10.40 mm."""
    cane = start(tmp_path, Answers("Reeds", MILLRACE, usual_diameter=usual)).cane
    assert (cane.diameter_min_mm, cane.diameter_max_mm) == limits


def test_a_folder_that_cannot_be_looked_into_is_told(tmp_path: Path):
    """No disk takes the name."""
    with pytest.raises(RecordFull, match="can't be written"):
        must_be_free(tmp_path / ("x" * 400))
