"""What the plan's page is given beside the plan."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from planner.commands.learn import Learned, learn
from planner.commands.page import SHOWN_REEDS, history_shown, quarters_seen, rooms_shown
from planner.commands.workshop import opened
from planner.demo import TODAY
from planner.opening.observations import UNJUDGED, Observations
from tests.report import invented
from tests.workshops import own_copy


@pytest.fixture(scope="module")
def learned(sample: Path, tmp_path_factory: pytest.TempPathFactory) -> Learned:
    """What is known in the sample's workshop."""
    with opened(own_copy(sample, tmp_path_factory.mktemp("page"))) as workshop:
        return learn(workshop, TODAY)


def with_expected(learned: Learned, expected: np.ndarray) -> Learned:
    """The same, with other openings expected."""
    residuals = replace(learned.fit.residuals, expected=expected)
    return replace(learned, fit=replace(learned.fit, residuals=residuals))


def test_the_latest_reeds_are_shown_beside_the_model(learned: Learned):
    """As many as can be told apart, and in words how well the two agree."""
    shown = history_shown(learned, invented.plan_document())
    assert len(shown.reeds) == SHOWN_REEDS
    assert shown.reeds[-1].day == learned.reeds[-1].date
    assert "measured reeds shown" in shown.words


def test_a_reed_that_could_not_be_used_is_left_out(learned: Learned):
    """The model expects nothing of it: no gap in a line, no figure that is none."""
    expected = learned.fit.residuals.expected.copy()
    expected[-5:] = np.nan
    shown = history_shown(with_expected(learned, expected), invented.plan_document())
    assert all(np.isfinite(reed.expected_mm.p50) for reed in shown.reeds)
    nothing = with_expected(learned, np.full(len(expected), np.nan))
    assert history_shown(nothing, invented.plan_document()) is None


def test_the_rooms_are_those_of_the_plan(learned: Learned):
    """The bench first; each heated about as its maker said."""
    rooms = rooms_shown(learned)
    assert [room.place for room in rooms] == ["Quillhaven", "Frostmere", "Saltreed"]
    assert rooms[0].set_point_c.p50 == pytest.approx(20, abs=1.5)
    assert rooms[0].days_read > 100


def test_the_last_year_is_counted_by_verdict_else_by_opening(learned: Learned):
    """Every reed of the last 364 days once, but those only measured dry, beside soaked ones."""
    quarters = quarters_seen(learned, invented.plan_document())
    seen = learned.observations
    year = seen.day > np.datetime64(TODAY) - 364
    told = (seen.verdict != UNJUDGED) | ~seen.dry
    assert sum(quarter.reeds for quarter in quarters) == (year & told).sum()
    assert quarters[-1].last == TODAY
    unjudged = replace(seen, verdict=np.full(len(seen), UNJUDGED, np.int8))
    by_opening = quarters_seen(replace(learned, observations=unjudged), invented.plan_document())
    opening = seen.opening[year & np.isfinite(seen.opening) & ~seen.dry]
    assert sum(q.good for q in by_opening) == ((opening >= 0.7) & (opening <= 0.9)).sum()


def test_a_workshop_without_reeds_has_no_last_season(learned: Learned):
    """No table of noughts."""
    nothing = replace(learned, observations=Observations.none())
    assert quarters_seen(nothing, invented.plan_document()) == ()
