"""What a review says: when it fitted, whether to follow, what to change next."""

import pytest

from planner.plan.review_advice import Found, next_season, verdict
from planner.plan.review_documents import Calibration, Following, MissCause, Rival, RoomScore
from planner.spread import Spread


def calibration(promised=0.80, seen=0.80, *, chance=0.5, mm_reeds=200) -> Calibration:
    """A season of 200 reeds in 24 weeks."""
    return Calibration(
        reeds=200,
        predicted_share=promised,
        seen_share=seen,
        chance=chance,
        weeks=24,
        lots=6,
        brier=0.16,
        reliability=0.0,
        resolution=0.0,
        uncertainty=0.16,
        within=0.0,
        skill=0.0,
        rows=(),
        mm_reeds=mm_reeds,
        pit=(40, 40, 40, 40, 40),
        pit_chance=1.0,
        inside_80=0.8,
        inside_80_low=0.75,
        inside_80_high=0.85,
    )


def rival(probability: float, worth: float) -> Rival:
    """One diameter all along, held against the plan."""
    spread = Spread(worth - 0.02, worth, worth + 0.02)
    return Rival("usual", 200, 0.7, 0.7 + worth, spread, spread, probability, 10.5, 10.5)


def room(off: float, readings: int = 100) -> RoomScore:
    """A room whose hygrometer read so much more than expected. [%]"""
    return RoomScore("Bench", 20, readings, off, abs(off))


def found(**more) -> Found:
    """A season in which nothing was the matter."""
    usual = {
        "calibration": calibration(),
        "rivals": (rival(0.99, 0.05),),
        "following": Following(150, 0.8, 50, 0.7, 0.6),
        "misses": (),
        "room": (room(0.0),),
        "gouge_noted_share": 1.0,
        "bench": "Bench",
    }
    return Found(**{**usual, **more})


@pytest.mark.parametrize(
    ("promised", "seen", "chance", "said"),
    [
        (0.80, 0.78, 0.01, "it fitted."),
        (0.80, 0.74, 0.06, "nothing speaks against it."),
        (0.80, 0.74, 0.04, "it was too hopeful."),
        (0.80, 0.86, 0.04, "it was too cautious."),
    ],
)
def test_the_verdict_is_against_the_plan_only_where_chance_is_ruled_out(
    promised, seen, chance, said
):
    """Within 3 in 100 it fitted; further off one season in twenty decides."""
    told = verdict(found(calibration=calibration(promised, seen, chance=chance)))
    assert told.endswith(said)
    assert f"{100 * promised:.0f} in 100" in told
    assert f"{100 * seen:.0f} in 100" in told


@pytest.mark.parametrize(
    ("probability", "worth", "said"),
    [
        (0.80, 0.03, "Follow the plan's diameters"),
        (0.99, 0.01, "Take the plan's diameters as advice only"),
        (0.75, 0.10, "Take the plan's diameters as advice only"),
        (0.50, 0.00, "Take the plan's diameters as advice only"),
        (0.25, -0.10, "Take the plan's diameters as advice only"),
        (0.01, -0.01, "Take the plan's diameters as advice only"),
        (0.10, -0.03, "Trust your own choice more than the plan"),
    ],
)
def test_to_follow_or_not_is_said_where_it_is_likely_and_matters(probability, worth, said):
    """Four to one, and two reeds in a hundred; for and against alike."""
    first = next_season(found(rivals=(rival(probability, worth),)))[0]
    assert first.startswith(said)


@pytest.mark.parametrize(("off", "word"), [(4.5, "4 % more"), (-7.0, "7 % less")])
def test_a_hygrometer_that_is_off_is_worth_a_look(off, word):
    """More than 4 % to either side in the mean of a season."""
    told = [line for line in next_season(found(room=(room(off),))) if "hygrometer" in line]
    assert len(told) == 1
    assert word in told[0]


@pytest.mark.parametrize("off", [3.5, -3.5])
def test_a_hygrometer_that_agrees_is_left_alone(off):
    """What any two hygrometers may differ by."""
    assert not any("hygrometer" in line for line in next_season(found(room=(room(off),))))


@pytest.mark.parametrize(("readings", "asked"), [(19, True), (20, False)])
def test_a_room_hardly_read_is_to_be_read(readings, asked):
    """Of all places together; twenty weeks are a season."""
    lines = next_season(found(room=(room(0.0, readings),)))
    assert any(line.startswith("Read the hygrometer at Bench") for line in lines) == asked


@pytest.mark.parametrize(
    ("name", "share", "told"), [("gouge", 0.26, True), ("gouge", 0.24, False), ("reed", 0.4, False)]
)
def test_a_cause_is_told_from_a_quarter_of_the_misses_on(name, share, told):
    """With its share; what lies in the reed itself is no one's gouge."""
    lines = next_season(found(misses=(MissCause(name, share, 0.05),)))
    assert any(f"{100 * share:.0f} in 100 of what" in line for line in lines) == told
    assert any("from reed to reed" in line for line in lines) == (name == "reed")


def test_it_is_always_three_different_sentences():
    """Whatever was or wasn't the matter."""
    for case in (
        found(),
        found(calibration=None, rivals=(), following=None, room=(), gouge_noted_share=0.0),
        found(misses=tuple(MissCause(n, 0.3, 0.1) for n in ("diameter", "lot", "level"))),
    ):
        assert len(set(next_season(case))) == 3
