"""What was known as of one day after another."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest

from planner.commands.learn import learn
from planner.commands.observe import observe
from planner.commands.relearn import Relearner, joined
from planner.commands.workshop import Workshop, opened
from planner.opening.observations import Observations
from planner.settings import Settings
from tests.workshops import own_copy

FIRST = date(2025, 12, 1)
LATER = FIRST + timedelta(days=21)


@pytest.fixture(scope="module")
def settings(bench: Path, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """The sample's bench."""
    return own_copy(bench, tmp_path_factory.mktemp("relearn"))


@pytest.fixture
def workshop(settings: Settings):
    """The workshop, opened."""
    with opened(settings) as found:
        yield found


def same(one: Observations, other: Observations, moisture: float = 0.0) -> bool:
    """Whether two histories are alike, lots by name, moistures within so many %."""
    names = [[*seen.lots, ""] for seen in (one, other)]
    lots = [[names[i][n] for n in seen.lot] for i, seen in enumerate((one, other))]
    alike = all(
        np.array_equal(getattr(one, name), getattr(other, name), equal_nan=True)
        for name in ("day", "diameter_low", "gouge", "opening", "verdict", "dry")
    )
    off = np.abs(one.moisture - other.moisture).max(initial=0.0)
    return lots[0] == lots[1] and alike and bool(off <= moisture)


def test_the_first_day_is_learned_as_any(workshop: Workshop):
    """The same as learning as of that day by itself."""
    relearned, learned = Relearner(workshop).learn(FIRST), learn(workshop, FIRST)
    assert same(relearned.observations, learned.observations)
    assert relearned.reeds == learned.reeds
    assert np.array_equal(relearned.fit.draws(50).diameter, learned.fit.draws(50).diameter)


def test_a_later_day_adds_its_reeds_and_keeps_the_rooms(workshop: Workshop):
    """Every reed judged by then, its moisture by the room as learned last."""
    learner = Relearner(workshop)
    first = learner.learn(FIRST)
    later = learner.learn(LATER)
    assert later.today == LATER
    assert later.rooms is first.rooms
    assert {reed.date for reed in later.reeds[len(first.reeds) :]} <= {
        FIRST + timedelta(days=i) for i in range(1, 22)
    }
    assert len(later.reeds) > len(first.reeds)
    # The room's own comings and goings are drawn anew over other days: a mean of some draws.
    anew = observe(later.reeds, first.rooms, later.outdoor)
    assert same(later.observations, anew, moisture=0.3)
    assert max(day[-1] for day in (t.day for t in later.outdoor.values())) <= np.datetime64(LATER)


def test_rooms_are_learned_anew_after_some_weeks(workshop: Workshop):
    """Then all is as if learned as of that day by itself."""
    learner = Relearner(workshop, rooms_every=timedelta(days=14))
    first, later = learner.learn(FIRST), learner.learn(LATER)
    assert later.rooms is not first.rooms
    assert same(later.observations, learn(workshop, LATER).observations)


def test_an_earlier_day_is_refused(workshop: Workshop):
    """Its rooms would know the future."""
    learner = Relearner(workshop)
    learner.learn(LATER)
    with pytest.raises(ValueError, match=r"as of 2025-12-01 after 2025-12-22"):
        learner.learn(FIRST)


def test_histories_are_joined_with_one_list_of_lots():
    """Lots keep their names; a reed without one stays so."""
    seen = Observations.none()
    assert len(joined(seen, seen)) == 0
    one = _of(["b", "a", ""])
    other = _of(["a", "c"])
    found = joined(one, other)
    assert [(*found.lots, "")[n] for n in found.lot] == ["b", "a", "", "a", "c"]
    assert len(set(found.lots)) == 3


def _of(lots: list[str]) -> Observations:
    names = tuple(sorted({lot for lot in lots if lot}))
    count = len(lots)
    plain = np.full(count, 0.5)
    return Observations(
        day=np.datetime64("2026-01-01") + np.arange(count),
        diameter_low=plain,
        diameter_high=plain,
        gouge=plain,
        moisture=plain,
        moisture_sd=plain,
        opening=plain,
        verdict=np.zeros(count, np.int8),
        lot=np.array([names.index(lot) if lot else -1 for lot in lots], np.int64),
        dry=np.zeros(count, np.bool_),
        lots=names,
    )


def test_without_a_new_reed_the_model_stays_as_it_is(workshop: Workshop):
    """Nothing to learn from, nothing learned: the very same fit."""
    learner = Relearner(workshop)
    first = learner.learn(FIRST)
    assert learner.learn(FIRST).fit is first.fit


def test_only_the_places_asked_for_are_read(workshop: Workshop):
    """The bench always; of the others those whose reeds were judged since, or that are named."""
    learner = Relearner(workshop)
    learner.learn(FIRST)
    assert learner.learn(LATER, ()).outdoor.keys() == {"Quillhaven"}


def test_a_reed_noted_later_for_an_earlier_day_is_learned_too(bench: Path, tmp_path: Path):
    """The record grew behind what was learned: all is learned anew."""
    with opened(own_copy(bench, tmp_path / "w")) as workshop:
        learner = Relearner(workshop)
        first = learner.learn(FIRST)
        old = first.reeds[0]
        workshop.record.add(replace(old, id=None, lot="found again"))
        later = learner.learn(LATER)
        assert [reed.lot for reed in later.reeds].count("found again") == 1
        assert same(later.observations, learn(workshop, LATER).observations)
