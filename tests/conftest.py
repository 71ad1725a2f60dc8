"""What all tests share: workshops made once, odd disks; slow studies wait; no setting leaks in."""

import os
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

import hypothesis
import pytest

from planner.cli import ONE_THREAD
from tests.workshops import SAMPLE, own_copy

for _name in ONE_THREAD:  # before a test loads numpy
    os.environ.setdefault(_name, "1")

# No test fails for being slow: what else a machine does, or the first loading of a library, is
# none of its business.
hypothesis.settings.register_profile("untimed", deadline=None)
hypothesis.settings.load_profile("untimed")

pytest.register_assert_rewrite("tests.report.every_page")

ASKED_FOR = ("slow", "wheel")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the marks that must be asked for by -m, and say so in the summary."""
    expression = config.getoption("-m")
    for mark in ASKED_FOR:
        if mark in expression:
            continue
        skip = pytest.mark.skip(reason=f"asked for with -m {mark}")
        for item in items:
            if item.get_closest_marker(mark):
                item.add_marker(skip)


@pytest.fixture
def quick_disk(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: neither a kill nor a lock needs a slow disk."""
    memory = Path("/dev/shm")
    if not os.access(memory, os.W_OK):
        yield tmp_path
        return
    with tempfile.TemporaryDirectory(dir=memory) as folder:
        yield Path(folder)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 512 kB, of memory."""
    mounted = tmp_path / "disk"
    mounted.mkdir()
    call = ["mount", "-t", "tmpfs", "-o", "size=512k", "tmpfs", str(mounted)]
    if os.geteuid() or subprocess.run(call, check=False, capture_output=True).returncode:
        pytest.skip("mounting a small disk needs root")
    try:
        yield mounted
    finally:
        subprocess.run(["umount", "-l", str(mounted)], check=False)


@pytest.fixture(scope="session")
def sample(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's workshop, its tables taken in; for all tests, to be copied and not changed."""
    from planner.commands.load import load_folder  # loads numpy, which most tests do without
    from planner.demo import TODAY

    return load_folder(SAMPLE, tmp_path_factory.mktemp("sample"), today=TODAY).settings.folder


@pytest.fixture(scope="session")
def planned_sample(sample: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same with its plan made and kept."""
    from planner.commands.plan import plan
    from planner.demo import TODAY

    settings = own_copy(sample, tmp_path_factory.mktemp("planned"))
    plan(settings, today=TODAY)
    return settings.folder


@pytest.fixture(scope="session")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample's bench by itself; for all tests, to be copied and not changed."""
    from tests.commands.bench_only import bench_only

    return bench_only(tmp_path_factory.mktemp("bench")).folder


@pytest.fixture(autouse=True)
def _own_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """No setting of whoever runs the tests reaches them."""
    for name in ("PLANNER_WORKSHOP", "PLANNER_DEBUG", "NO_COLOR", "FORCE_COLOR", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)
