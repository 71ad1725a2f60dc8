"""Whatever a record may hold, the model gives sound figures and words."""

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.history.tables import TableLimits
from planner.opening.draws import Reference
from planner.opening.model import OpeningFit, fit_opening
from planner.opening.observations import Observations
from planner.store.frozen import from_text, to_text

LIMITS = TableLimits()


def maybe(values):
    """A value, or NaN for none."""
    return st.one_of(st.just(np.nan), values)


REED = st.tuples(
    st.integers(0, 4000),  # day
    st.floats(*LIMITS.of("diameter")),
    st.floats(0.0, 1.0),  # width of the class
    maybe(st.floats(*LIMITS.of("gouge"))),
    maybe(st.floats(0.0, 30.0)),  # moisture
    maybe(st.floats(*LIMITS.of("opening"))),
    st.integers(-1, 2),  # verdict
    st.integers(-1, 2),  # lot
    st.booleans(),  # dry
)
RANGE = st.tuples(maybe(st.floats(0.3, 0.9)), maybe(st.floats(0.91, 2.0))).map(
    lambda limits: tuple(None if np.isnan(limit) else limit for limit in limits)
)


def history(rows):
    """Rows of the strategy as a history, ascending by day."""
    rows = sorted(rows, key=lambda row: row[0])
    day, diameter, width, gouge, moisture, opening, verdict, lot, dry = (
        np.array([row[i] for row in rows]) for i in range(9)
    )
    return Observations(
        np.datetime64("2015-01-01") + day.astype(int),
        diameter, diameter + width, gouge, moisture, np.full(len(rows), 0.5), opening,
        verdict.astype(np.int8), lot.astype(np.int64), dry.astype(np.bool_), ("a", "b", "c"),
    )  # fmt: skip


@settings(
    max_examples=15,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(rows=st.lists(REED, min_size=1, max_size=25), wanted=RANGE)
def test_any_history_gives_sound_draws_and_words(rows, wanted):
    """Values at the edge of what is believed, verdicts against openings, anything left out."""
    fit = fit_opening(history(rows), reference=Reference(10.5, 0.59, 8.5), wanted=wanted)
    draws = fit.draws(100)
    for name in ("level", "diameter", "gouge", "moisture", "spread", "wander", "low", "high"):
        assert np.isfinite(getattr(draws, name)).all(), name
    assert (draws.spread > 0).all()
    assert (draws.low < draws.high).all()
    assert fit.grade in ("none", "thin", "fair", "good")
    assert all("nan" not in word for word in (*fit.notes, *fit.trials, fit.grade_why))
    assert from_text(OpeningFit, to_text(fit)).notes == fit.notes
