"""What a fit says of its room is said only when it is sure enough."""

from dataclasses import replace

import numpy as np
import pytest

from planner.air.days import Days
from planner.room.findings import findings
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room
from planner.room.priors import NAMES
from planner.room.readings import Readings


@pytest.mark.parametrize(
    ("logit", "either_way", "told"),
    [
        pytest.param(2.0, 0.5, True, id="sure: most of the lack is made good"),
        pytest.param(0.6, 0.7, False, id="likelier than not"),
        pytest.param(-2.0, 0.5, False, id="little is made good"),
    ],
)
@pytest.mark.parametrize("name", ["floor", "ceiling"])
def test_a_holder_is_told_only_when_nine_in_ten_say_so(
    outdoor: Days, name: str, logit: float, either_way: float, *, told: bool
):
    """A cold spell in which the room dries less than it should looks like a weak humidifier."""
    room = fit_room(Readings.none(), outdoor, RoomKnowledge())
    theta = room.theta.copy()
    draws = np.linspace(-2.0, 2.0, len(theta))
    theta[:, NAMES.index(f"{name}_logit")] = logit + either_way * draws
    assert (getattr(findings(replace(room, theta=theta)), name) is not None) is told


def test_the_humidifier_the_maker_told_of_is_told_back(outdoor: Days):
    """Without any reading, too."""
    room = fit_room(Readings.none(), outdoor, RoomKnowledge(humidify_to_pct=45.0))
    found = findings(room)
    assert found.floor is not None
    assert found.floor.p50 == pytest.approx(45.0, abs=1.0)
    assert found.ceiling is None
