"""Invented workshops for the tests of the opening model, shared with its benchmarks."""

import importlib.util
import sys
from pathlib import Path

import pytest
from threadpoolctl import threadpool_limits

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


@pytest.fixture(autouse=True, scope="session")
def _one_thread():
    """Small systems are solved faster by one thread, whatever else the machine does."""
    with threadpool_limits(1):
        yield
