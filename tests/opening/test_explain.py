"""The fit in plain words: estimates, the grade by its written rule, what can't be told."""

import numpy as np
import pytest

from planner.opening.draws import Reference
from planner.opening.explain import (
    FittedEffect,
    cannot_tell,
    effects_of,
    grade_of,
    season_diameter_sd,
)
from planner.opening.model import fit_opening
from planner.opening.observations import GOOD
from planner.opening.posterior import Component, Posterior
from planner.opening.priors import PRIORS
from planner.opening.rows import make_rows

REFERENCE = Reference(10.5, 0.59, 8.5)
WANTED = (0.70, 0.95)


def posterior_of(mean, sd):
    """A posterior of one component with independent unknowns."""
    part = Component(1.0, np.array(mean), np.diag(np.square(sd)), 0.08, 0.001, 0.8, 0.2)
    return Posterior(REFERENCE, (part,), WANTED, 0.1, None)


def test_an_effect_is_told_with_interval_and_source():
    """80 % of a normal distribution lie within 1.2816 spreads; half the spread is 3/4 learned."""
    p = PRIORS
    sd = [0.1, p.diameter.sd / 2, p.gouge.sd, p.moisture.sd / 10, 0.1]
    diameter, gouge, moisture = effects_of(posterior_of([0.8, -0.3, 1.5, 0.02, -0.2], sd), p)
    assert (diameter.name, diameter.unit) == ("diameter", "mm per mm")
    assert diameter.estimate == pytest.approx(-0.3)
    assert (diameter.p10, diameter.p90) == pytest.approx(
        (-0.3 - 1.28155 * sd[1], -0.3 + 1.28155 * sd[1]), abs=1e-5
    )
    assert diameter.from_history == pytest.approx(0.75)
    assert gouge.from_history == pytest.approx(0.0)
    assert moisture.from_history == pytest.approx(0.99)


def effects(diameter, moisture, gouge=0.0):
    """Effects of which the history has taught these shares."""
    return tuple(
        FittedEffect(name, "", 0.0, 0.0, 0.0, share)
        for name, share in (("diameter", diameter), ("gouge", gouge), ("moisture", moisture))
    )


@pytest.mark.parametrize(
    ("reeds", "taught", "season_sd", "grade"),
    [
        (0, (0.9, 0.9), 0.1, "none"),
        (1, (0.0, 0.0), 0.9, "thin"),
        (11, (0.9, 0.9), 0.1, "thin"),
        (12, (0.9, 0.9), 0.1, "fair"),
        (12, (0.5, 0.0), 0.1, "fair"),
        (12, (0.0, 0.5), 0.1, "fair"),
        (12, (0.49, 0.49), 0.1, "thin"),
        (500, (0.49, 0.49), 0.1, "thin"),
        (59, (0.9, 0.9), 0.1, "fair"),
        (60, (0.9, 0.9), 0.1, "good"),
        (60, (0.5, 0.5), 0.25, "good"),
        (60, (0.5, 0.49), 0.1, "fair"),
        (60, (0.9, 0.9), 0.251, "fair"),
    ],
)
def test_the_grade_follows_its_rule_to_the_edge(reeds, taught, season_sd, grade):
    """Reeds 12 and 60, half of an effect, one sorting step of 0.25 mm."""
    found, why = grade_of(reeds, effects(*taught), season_sd, 0.25)
    assert found == grade
    assert why.endswith(".")


def test_the_effect_of_the_gouge_does_not_raise_the_grade():
    """The plan turns on diameter and moisture."""
    assert grade_of(100, effects(0.1, 0.1, gouge=0.9), 0.1, 0.25)[0] == "thin"


@pytest.mark.parametrize(
    ("reeds", "taught", "said"),
    [
        (0, (0.0, 0.0), "No reed is on record"),
        (1, (0.0, 0.0), "the effects of diameter and moisture still rest mainly on general"),
        (8, (0.6, 0.0), "the effect of diameter comes mainly from these reeds, but under 12"),
        (30, (0.6, 0.6), "the effects of diameter and moisture come mainly from these reeds; the"),
        (90, (0.6, 0.6), "known to about 0.10 mm, within a sorting step of 0.25 mm."),
    ],
)
def test_the_grade_says_why(reeds, taught, said):
    """A sentence for each case."""
    assert said in grade_of(reeds, effects(*taught), 0.1, 0.25)[1]


def test_how_unsure_a_seasons_diameter_is_by_brute_force():
    """Two per cent of moisture over the effect of diameter, in a million draws."""
    posterior = posterior_of([0.8, -0.25, 2.0, 0.02, -0.2], [0.05, 0.03, 1.0, 0.006, 0.1])
    chance = np.random.default_rng(0)
    steep = np.minimum(chance.normal(-0.25, 0.03, 10**6), -0.02)
    change = 2.0 * chance.normal(0.02, 0.006, 10**6) / steep
    low, high = np.quantile(change, [0.16, 0.84])
    assert season_diameter_sd(posterior) == pytest.approx((high - low) / 2, rel=0.05)


def told(seen):
    """What the history can't tell, as one text."""
    return "\n".join(cannot_tell(make_rows(seen, REFERENCE, PRIORS)))


@pytest.fixture(scope="module")
def varied(reeds):
    """Forty reeds whose diameter, gouge and moisture go their own ways, or as given."""
    chance = np.random.default_rng(2)
    own = {
        "diameter_low": 10.5 + 0.25 * chance.integers(-2, 3, 40),
        "gouge": 0.59 + 0.01 * chance.integers(-2, 3, 40),
        "moisture": 8.5 + chance.normal(size=40),
        "opening": np.full(40, 0.8),
    }
    return lambda **given: reeds(40, **(own | given))


def test_a_varied_history_tells_all_apart(varied):
    """Nothing to say."""
    assert told(varied()) == ""


@pytest.mark.parametrize(
    ("column", "usual", "said"),
    [
        ("diameter_low", 10.5, "The diameter hardly ever changed"),
        ("gouge", 0.59, "The gouge hardly ever changed"),
        ("moisture", 8.5, "All reeds were judged in about the same dampness"),
    ],
)
def test_what_never_changed_is_said(varied, column, usual, said):
    """One constant column, one sentence."""
    assert told(varied(**{column: np.full(40, usual)})).splitlines()[0].startswith(said)
    assert len(told(varied(**{column: np.full(40, usual)})).splitlines()) == 1


@pytest.mark.parametrize(
    ("column", "slope", "said"),
    [
        ("diameter_low", (10.5, 0.12), "Diameter and season nearly always changed together"),
        ("gouge", (0.59, -0.006), "Gouge and season nearly always changed together"),
    ],
)
def test_what_always_goes_with_the_season_is_said(varied, column, slope, said):
    """A maker who follows the season to the letter."""
    moisture = varied().moisture
    followed = slope[0] + slope[1] * (moisture - 8.5)
    assert told(varied(**{column: followed})).startswith(said)


def test_a_short_history_is_not_lectured(reeds):
    """Under twelve reeds the grade says enough."""
    assert told(reeds(11, opening=np.full(11, 0.8))) == ""


@pytest.mark.parametrize(
    ("wanted", "columns", "said"),
    [
        ((None, None), {"opening": 0.8}, "No wanted range is set and no verdict was given"),
        ((None, None), {"verdict": GOOD}, "no opening was measured; millimetres are reckoned"),
        ((None, None), {"opening": 0.8, "verdict": GOOD}, "your verdicts put it at about"),
        (WANTED, {"opening": 0.8, "dry": True}, "All openings were measured on dry reeds"),
        (WANTED, {"opening": 0.8, "gouge": np.nan}, "20 of 20 reeds have no gouge noted"),
    ],
)
def test_what_was_taken_for_granted_is_said(reeds, wanted, columns, said):
    """A range not set, dry reeds alone, gouges not noted."""
    kind = {"verdict": np.int8, "dry": np.bool_}
    full = {name: np.full(20, v, kind.get(name, float)) for name, v in columns.items()}
    fit = fit_opening(reeds(20, **full), reference=REFERENCE, wanted=wanted)
    assert any(said in note for note in fit.notes), fit.notes


def test_verdicts_that_change_elsewhere_than_set_are_said(reeds):
    """Called good from 0.80 to 1.05 mm with 0.70 to 0.95 set."""
    chance = np.random.default_rng(3)
    opening = np.round(chance.uniform(0.55, 1.25, 120), 2)
    verdict = (np.digitize(opening, [0.80, 1.05]) - 1).astype(np.int8)
    fit = fit_opening(
        reeds(120, opening=opening, verdict=verdict), reference=REFERENCE, wanted=WANTED
    )
    note = next(note for note in fit.notes if note.startswith("Your verdicts change at about"))
    assert "not at the limits 0.70 and 0.95 mm that are set" in note
    low, high = (float(word) for word in note.split(" mm")[0].split() if word[0].isdigit())
    assert (low, high) == pytest.approx((0.80, 1.05), abs=0.02)


@pytest.mark.parametrize("cuts", [(0.78, 0.95), (0.70, 1.03)])
def test_verdicts_that_change_elsewhere_at_one_end_are_said(reeds, cuts):
    """One limit kept as it is set, the other 0.08 mm off."""
    opening = np.round(np.random.default_rng(3).uniform(0.55, 1.25, 200), 2)
    verdict = (np.digitize(opening, cuts) - 1).astype(np.int8)
    fit = fit_opening(
        reeds(200, opening=opening, verdict=verdict), reference=REFERENCE, wanted=WANTED
    )
    note = next(note for note in fit.notes if note.startswith("Your verdicts change at about"))
    low, high = (float(word) for word in note.split(" mm")[0].split() if word[0].isdigit())
    assert (low, high) == pytest.approx(cuts, abs=0.02)


def test_a_sudden_change_is_counted(reeds):
    """A reed a week: sixty at 0.75 mm, sixty at 0.95."""
    chance = np.random.default_rng(4)
    opening = np.round(np.repeat([0.75, 0.95], 60) + 0.06 * chance.normal(size=120), 2)
    weekly = np.datetime64("2023-01-02") + 7 * np.arange(120)
    fit = fit_opening(reeds(120, day=weekly, opening=opening), reference=REFERENCE, wanted=WANTED)
    assert "The level of your openings has changed suddenly once." in fit.notes
