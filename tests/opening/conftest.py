"""Invented workshops for the tests of the opening model, shared with its benchmarks."""

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest
from threadpoolctl import threadpool_limits

from planner.opening.observations import UNJUDGED, Observations

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


@pytest.fixture(scope="session")
def reeds():
    """Make a history by its columns; what is left out is a good reed of the usual cane, unread."""

    def made(count, **columns):
        usual = {
            "day": np.datetime64("2025-03-03") + np.arange(count),
            "diameter_low": np.full(count, 10.5),
            "diameter_high": None,
            "gouge": np.full(count, 0.59),
            "moisture": np.full(count, 8.5),
            "moisture_sd": np.zeros(count),
            "opening": np.full(count, np.nan),
            "verdict": np.full(count, UNJUDGED, np.int8),
            "lot": np.full(count, -1),
            "dry": np.zeros(count, np.bool_),
            "lots": (),
        }
        given = usual | columns
        if given["diameter_high"] is None:
            given["diameter_high"] = given["diameter_low"]
        return Observations(**given)

    return made
