"""What all tests share: slow studies wait to be asked for, and no setting leaks in."""

import os

import hypothesis
import pytest

from planner.cli import ONE_THREAD

for _name in ONE_THREAD:  # before a test loads numpy
    os.environ.setdefault(_name, "1")

# No test fails for being slow: what else a machine does, or the first loading of a library, is
# none of its business.
hypothesis.settings.register_profile("untimed", deadline=None)
hypothesis.settings.load_profile("untimed")

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


@pytest.fixture(autouse=True)
def _own_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    """No setting of whoever runs the tests reaches them."""
    for name in ("PLANNER_WORKSHOP", "PLANNER_DEBUG", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
