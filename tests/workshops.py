"""Workshops to test on: settings of invented places, the sample, and the program called there."""

import os
import shutil
import sys
from pathlib import Path

from click.testing import CliRunner, Result

from planner.cli import main
from planner.settings import Settings, read_settings

ROOT = Path(__file__).parents[1]
SAMPLE = ROOT / "sample_history"
PROGRAM = (sys.executable, "-m", "planner")

BENCH_TOWN = """
[[place]]
name = "Bench Town"
latitude = 52.5
longitude = 13.4
timezone = "Europe/Berlin"
"""
FAR_BAY = """
[[place]]
name = "Far Bay"
latitude = 40.7
longitude = -74.0
timezone = "America/New_York"
"""
EXAMPLETON = """
[[place]]
name = "Exampleton"
latitude = 50.12
longitude = 15.0
timezone = "Etc/GMT-1"
"""
MILLRACE = """
[[place]]
name = "Millrace"
latitude = 50
longitude = 8
timezone = "{timezone}"
"""
# Services of the weather are told who is asking.
ASKING = '[workshop]\ncontact = "maker@example.org"\n'


def founded(folder: Path, settings: str) -> Path:
    """Make a folder a workshop of these settings, without a record."""
    (folder / "workshop.toml").write_text(settings, encoding="utf-8")
    return folder


def own_copy(kept: Path, folder: Path) -> Settings:
    """Return the settings of a copy of a workshop, made in *folder*, to do with as one likes."""
    shutil.copytree(kept, folder, dirs_exist_ok=True)
    return read_settings(folder)


def run(*words: object, typed: str | None = None) -> Result:
    """Run the program in this process, lines coming through a pipe."""
    return CliRunner().invoke(main, [str(word) for word in words], input=typed)


def planner(shop: Path, *words: object, typed: str | None = None) -> Result:
    """Run the program in a workshop, in this process."""
    return run("--workshop", shop, *words, typed=typed)


def environment(**more: str) -> dict[str, str]:
    """Return the environment of a process of its own that imports the planner."""
    return {**os.environ, "PYTHONPATH": str(ROOT), **more}
