"""Invented workshops for the tests of the opening model, shared with its benchmarks."""

import importlib.util
import sys
from pathlib import Path

import pytest

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"


@pytest.fixture(scope="session")
def workshops():
    """The module that makes invented workshops of known truth."""
    name = "opening_workshops"
    spec = importlib.util.spec_from_file_location(name, BENCHMARKS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[name] = module
    spec.loader.exec_module(module)
    return module
