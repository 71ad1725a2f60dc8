"""Whatever a maker reads, the room stays a room."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from room_truth import CLIMATES, weather

from planner.air.days import Air
from planner.room.findings import findings
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room, indoor
from planner.room.readings import Readings
from planner.room.wanted import doubts

OUTDOOR = weather(CLIMATES["temperate"], 200, np.random.default_rng(3))
START = OUTDOOR.day[0].astype("datetime64[s]")

readings = st.lists(
    st.tuples(
        st.integers(-40 * 24, 240 * 24),  # hours from the first day of weather
        st.floats(-40.0, 60.0) | st.just(float("nan")),
        st.floats(0.0, 100.0),
    ),
    max_size=60,
)
known = st.builds(
    RoomKnowledge,
    winter_c=st.none() | st.floats(0.0, 35.0),
    heated=st.booleans(),
    humidify_to_pct=st.none() | st.floats(0.0, 100.0),
    dehumidify_to_pct=st.none() | st.floats(0.0, 100.0),
    air_conditioned=st.booleans(),
    damp=st.booleans(),
    hygrometer_offset_pct=st.floats(-50.0, 50.0),
)


@given(readings=readings, knowledge=known)
@settings(max_examples=30, deadline=None)
def test_any_readings_give_a_room_of_possible_air(readings, knowledge):
    """Finite, between dry and damp, with ordered ranges: out of order, doubled, absurd or none."""
    hours = np.array([hour for hour, _, _ in readings], dtype=np.int64)
    room = fit_room(
        Readings(
            START + hours * np.timedelta64(3600, "s"),
            np.array([warmth for _, warmth, _ in readings], dtype=float),
            np.array([humidity for _, _, humidity in readings], dtype=float),
        ),
        OUTDOOR,
        knowledge,
        draws=40,
    )
    air = Air(OUTDOOR.day, OUTDOOR.temperature[None], OUTDOOR.vapour_pressure[None])
    inside = indoor(air, room)
    assert np.isfinite(inside.temperature).all()
    assert (inside.relative_humidity > 0.9).all()
    assert (inside.relative_humidity < 100.1).all()
    found = findings(room)
    assert found.lag.p10 <= found.lag.p50 <= found.lag.p90
    assert all(np.isfinite(one.either_way_pct) for one in doubts(room, OUTDOOR))
