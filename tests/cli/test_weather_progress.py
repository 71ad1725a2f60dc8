"""A bar while weather is fetched, where somebody looks at it; nothing of it anywhere else."""

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.replies.loopback import speaking
from tests.workshops import ASKING, EXAMPLETON

pty = pytest.importorskip("pty", reason="needs a pseudo-terminal")

WORKSHOP = f"""
{ASKING}
{EXAMPLETON}
[[place]]
name = "Second"
latitude = 51.0
longitude = 16.0
timezone = "Etc/GMT-1"
[weather]
ahead = "none"
[weather.urls]
nasa-power = "{{url}}/nasa-power"
"""


def fetched(folder: Path, stderr: int) -> str:
    """Fetch with stderr going there, and return what stands on stdout."""
    planner = Path(sys.executable).parent / "planner"
    done = subprocess.run(
        [planner, "--workshop", folder, "weather", "fetch"],
        stdout=subprocess.PIPE,
        stderr=stderr,
        stdin=subprocess.DEVNULL,
        timeout=60,
        check=True,
        env={**os.environ, "TERM": "xterm", "COLUMNS": "100"},
    )
    return done.stdout.decode()


@pytest.fixture
def folder(tmp_path):
    """Return the folder of a workshop of two places that asks a server on the loopback."""
    with speaking() as speaker:
        (tmp_path / "workshop.toml").write_text(WORKSHOP.format(url=speaker.url))
        yield tmp_path


def test_on_a_terminal_a_bar_tells_how_far_it_is(folder):
    """From nought to all, with the service and the place that are being asked."""
    ours, theirs = pty.openpty()
    try:
        out = fetched(folder, theirs)
        os.set_blocking(ours, False)
        shown = os.read(ours, 100_000).decode()
    finally:
        os.close(theirs)
        os.close(ours)
    done = re.findall(r"(\d)/(\d)", shown)
    assert done[1:] == sorted(done[1:])
    assert (done[1], done[-1]) == (("0", "2"), ("2", "2"))
    assert "Fetching" in shown
    assert "NASA POWER, Second" in shown
    assert "[" not in out
    assert "Exampleton:" in out


def test_in_a_file_there_is_no_bar(folder):
    """A log holds words, not a moving picture."""
    log = folder / "log.txt"
    with log.open("wb") as file:
        fetched(folder, file.fileno())
    assert "[" not in log.read_text()
    assert "Fetching" not in log.read_text()
