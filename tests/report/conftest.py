"""What the tests of the pages share."""

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest


def _invented() -> ModuleType:
    """Load the invented documents by their path: the tests are no package."""
    if "report_invented" not in sys.modules:
        path = Path(__file__).with_name("invented.py")
        spec = importlib.util.spec_from_file_location("report_invented", path)
        assert spec is not None
        assert spec.loader is not None
        module = importlib.util.module_from_spec(spec)
        sys.modules["report_invented"] = module
        spec.loader.exec_module(module)
    return sys.modules["report_invented"]


@pytest.fixture(scope="session")
def invented() -> ModuleType:
    """Return the invented documents."""
    return _invented()
