"""Left, right and centre: what the numbers say, by hand."""

from datetime import date, timedelta
from types import SimpleNamespace

import pytest

from planner.spread import Spread
from planner.watch.checks import series_of
from planner.watch.sides import sides

START = date(2026, 1, 5)


def checked(rows, *, every=3):
    """Return what the sides say of (centre, left, right), so many days apart."""
    checks = [
        SimpleNamespace(
            date=START + timedelta(days=7 + i * every),
            gouger="bench",
            centre_mm=centre,
            left_mm=left,
            right_mm=right,
            event=None,
            note="",
        )
        for i, (centre, left, right) in enumerate(rows)
    ]
    return sides(series_of(checks, START + timedelta(days=365)))


def close(spread: Spread) -> tuple[object, ...]:
    """Return the three figures to compare with. [mm]"""
    return tuple(pytest.approx(value, abs=2e-6) for value in (spread.p10, spread.p50, spread.p90))


def figures(spread: Spread) -> tuple[float, ...]:
    """Return the three figures."""
    return spread.p10, spread.p50, spread.p90


def test_a_steady_tilt_by_hand():
    """Ten checks, left 0.020 mm above right, always: normal about nought before, 0.030 mm.

    Spread of one: 0.014² counting 8 among 8 + 2/3 x 9 = 14 is 1.12e-4; 10 / 1.12e-4 = 89286
    beside 1 / 0.030² = 1111: 0.0197542 mm, give or take 90397^-0.5 = 0.0033260.
    The centre is 0.140 mm above their middle, give or take (0.012² x 8 / 14 / 10)^0.5 = 0.0028685.
    """
    found = checked([(0.59, 0.46, 0.44)] * 10)
    assert (found.checks, found.finding) == (10, "tilted")
    assert figures(found.tilt_mm) == close(Spread.normal(0.0197542, 0.0033260))
    assert figures(found.fall_mm) == close(Spread.normal(0.14, 0.0028685))


@pytest.mark.parametrize("side", [1, -1])
def test_a_tilt_to_either_side_is_called(side):
    """Mirrored, the figures change their sign and the finding stays."""
    found = checked([(0.59, 0.45 + side * 0.01, 0.45 - side * 0.01)] * 10)
    assert found.finding == "tilted"
    assert found.tilt_mm.p50 * side > 0.015


@pytest.mark.parametrize(("step", "finding"), [(0.002, "even"), (0.005, "worn"), (-0.005, "worn")])
def test_a_change_over_the_run_by_hand(step, finding):
    """Ten checks, the centre moving by a step each: a line through them, nought before, 0.020 mm.

    Spread of one, squared: (8 x 0.012² + 9 step² / 3) / 14. The line's own weight is the squares
    of the ten even places between -1/2 and 1/2, 82.5 / 81, over that.
    """
    found = checked([(0.59 + step * i, 0.45, 0.45) for i in range(10)])
    own = 82.5 / 81 / ((8 * 0.012**2 + 3 * step**2) / 14)
    total = own + 1 / 0.020**2
    expected = Spread.normal(9 * step * own / total, total**-0.5)
    assert figures(found.fall_change_mm) == close(expected)
    assert found.finding == finding
