"""What is learned of a workshop, as its settings have it."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.commands.learn import fit_of, usual_diameter
from planner.history.tables import Reed
from planner.opening.observations import Observations
from planner.settings import Settings, read_settings

TODAY = date(2026, 11, 23)
SETTINGS = """
[opening]
low_mm = 0.70
high_mm = 0.95
[cane]
diameter_min_mm = 9.5
diameter_max_mm = 10.6
[gouge]
usual_mm = 0.57
min_mm = 0.56
max_mm = 0.62
[[place]]
name = "Quillhaven"
latitude = 50.0
longitude = 10.0
timezone = "Europe/Berlin"
"""


@pytest.fixture
def settings(tmp_path: Path) -> Settings:
    """A maker near the end of what can be made: narrow cane, a thin gouge."""
    (tmp_path / "workshop.toml").write_text(SETTINGS)
    return read_settings(tmp_path)


def test_trial_pieces_keep_the_makers_limits(settings):
    """No tube above 10.6 mm and no gouge below 0.56 mm, though both would teach as much."""
    trials = " ".join(fit_of(settings, Observations.none(), 10.5, TODAY).trials)
    assert "at 10.10 mm and 4 at 10.60 mm diameter" in trials
    assert "at 0.560 mm and 4 at 0.600 mm gouge" in trials


def test_the_usual_diameter_is_that_of_the_last_year(settings):
    """The median of the reeds since a year ago; without any, the middle of the maker's range."""
    days = [date(2024, 1, 1), date(2026, 1, 1), date(2026, 2, 1), date(2026, 3, 1)]
    tubes = [9.5, 10.2, 10.3, 10.6]
    reeds = [
        Reed(day, "Quillhaven", diameter_mm=tube) for day, tube in zip(days, tubes, strict=True)
    ]
    assert usual_diameter(settings.cane, reeds, TODAY) == pytest.approx(10.3)
    assert usual_diameter(settings.cane, reeds[:1], TODAY) == pytest.approx(10.05)
    assert usual_diameter(replace(settings.cane, usual_mm=10.4), reeds, TODAY) == 10.4
