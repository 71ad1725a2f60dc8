"""A history so long that its best hyper-parameters will do, with a sudden change in doubt."""

import numpy as np
import pytest
from opening_workshops import REFERENCE, Habit, draw_truth, make_history

from planner.opening import fitting
from planner.opening.model import fit_opening


def test_a_doubtful_change_in_a_long_history_leaves_both_views(monkeypatch: pytest.MonkeyPatch):
    """One set of hyper-parameters for each view, not none for either."""
    seen = make_history(draw_truth(np.random.default_rng(3)), 90, Habit(), np.random.default_rng(4))
    views = fitting._views
    monkeypatch.setattr(fitting, "MANY_ROWS", 60)
    monkeypatch.setattr(fitting, "_views", lambda *given: views(*given)[:1] * 2)
    draws = fit_opening(seen, reference=REFERENCE, wanted=(0.7, 0.95)).draws(50)
    assert np.isfinite(draws.level).all()
    assert np.isfinite(draws.diameter).all()
