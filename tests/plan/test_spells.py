"""Dry and humid spells: when, how strong in mm of diameter, how likely."""

import re
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.plan.coming import YearMean
from planner.plan.spells import find_spells, odds, runs, sensitivity

YEAR = YearMean(room_rh=45.0, moisture=8.5)


@pytest.fixture
def found(advised, draws_of):
    """The spells of weeks of given moistures."""

    def spells(moisture, draws=None, year=YEAR, **keywords):
        draws = draws or draws_of()
        return find_spells(advised(moisture, draws=draws, year=year, **keywords), draws)

    return spells


def test_no_spell_in_a_usual_season(found):
    """Weeks as usual over the year ask for nothing."""
    assert found([8.5, 8.4, 8.6, 8.5]) == ()


def test_a_dry_spell_is_named_with_its_weeks_and_strength(found):
    """Own arithmetic: 2.5 % drier at 0.03 mm per % and -0.2 mm per mm is 0.375 mm rounder."""
    spells = found([8.5, 8.5, 6.0, 6.0, 6.0, 8.5])
    assert len(spells) == 1
    spell = spells[0]
    assert spell.kind == "dry"
    assert (spell.first_week, spell.last_week) == (date(2026, 12, 7), date(2026, 12, 21))
    assert spell.shift_mm == pytest.approx(-0.37, abs=0.03)
    assert spell.probability > 0.95
    assert spell.room_rh_pct.p50 == pytest.approx(29.5, abs=1)
    assert spell.words == (
        "Dry spell, Bench: 2026-12-07 to 2026-12-27 (3\u00a0weeks), room about "
        f"{spell.room_rh_pct.p50:.0f}\u00a0%; cane about {abs(spell.shift_mm):.2f}\u00a0mm rounder "
        "than usual; nearly sure. Sort for it this week."
    )


@pytest.mark.parametrize(
    ("moisture", "lead", "said"),
    [
        ([8.5] * 4 + [6.0] * 2, 14, "Sort for it by 2026-12-07."),
        ([8.5] * 2 + [6.0] * 4, 14, "Sort for it this week."),
        ([6.0] * 6, 14, "Its first reeds are under way; sort for the others from now on."),
        ([6.0] * 2 + [8.5] * 4, 14, "All its reeds are under way."),
        ([8.5] * 4 + [6.0] * 2, 0, "Sort for it by 2026-12-21."),
    ],
)
def test_a_spell_says_by_when_its_cane_is_sorted(found, moisture, lead, said):
    """Own calendar: today is in the week of 23 November; counted back by the maker's lead time."""
    (spell,) = found(moisture, lead=lead)
    assert spell.words.endswith(said)


def test_a_humid_spell_asks_for_flatter_cane(found):
    """The other side of the year."""
    (spell,) = found([8.5, 11.0, 11.0])
    assert spell.kind == "humid"
    assert spell.shift_mm > 0.3
    assert "flatter than usual" in spell.words


def test_the_chance_is_the_share_of_members_that_have_the_spell(found):
    """Own arithmetic: asked 0.135 mm on average, 0.125 at least; sd of the members decides.

    At 0.15 mm for each % the mean is 0.9 % dry, the limit 0.833; sd 1 %: P = Phi(0.067) = 0.53.
    """
    (spell,) = found([8.5, 7.6], sd=1.0)
    assert spell.probability == pytest.approx(0.53, abs=0.08)
    assert "; 1 in 2. " in spell.words


def test_a_standing_offset_of_the_usual_cane_is_no_spell(found, draws_of):
    """The usual cane is too flat all the year; the air is as always."""
    assert found([8.5, 8.5, 8.4], draws=draws_of(level=0.7)) == ()


def test_a_spell_within_the_usual_class_is_one_against_what_is_taken_now(found, draws_of):
    """The usual cane is a bit too round now, and in the dry weeks to come a bit too flat.

    Own arithmetic: 0.04 mm too open asks for 0.2 mm flatter cane than usual; 2 % drier at
    0.15 mm for each %: 0.3 mm rounder than now, 0.1 mm rounder than usual, less than half a class.
    """
    (spell,) = found([8.5, 8.5, 8.5, 6.5, 6.5], draws=draws_of(level=0.84))
    assert (spell.kind, spell.first_week) == ("dry", date(2026, 12, 14))
    assert spell.shift_mm == pytest.approx(-0.1, abs=0.02)
    said = re.search(r"cane about (0\.\d\d)\u00a0mm rounder than now;", spell.words)
    assert float(said[1]) == pytest.approx(0.3, abs=0.02)


def test_a_place_that_is_always_dry_has_a_spell_only_when_it_is_drier_than_that(found):
    """The year's mean there counts, not the bench's."""
    there = YearMean(room_rh=30.0, moisture=6.0)
    assert found([6.0, 6.0], year=there) == ()
    assert len(found([6.0, 4.0], year=there)) == 1


def test_a_week_that_falls_short_does_not_break_a_spell(found):
    """One milder week within a dry month is part of it."""
    assert len(found([6.0, 6.0, 8.0, 6.0, 6.0])) == 1
    assert len(found([6.0, 6.0, 8.5, 8.5, 6.0, 6.0])) == 2


def test_damp_cane_that_closes_turns_the_advice_not_the_kind_of_spell(found, draws_of):
    """A maker whose reeds close when damp goes flatter in a dry spell; it is dry all the same."""
    (spell,) = found([8.5, 6.0], draws=draws_of(moisture=-0.03))
    assert spell.kind == "dry"
    assert spell.shift_mm > 0


def test_the_sensitivity_is_shrunk_while_the_effects_are_uncertain(draws_of):
    """Least squares over the draws: the ratio where they are sure, less where not."""
    assert sensitivity(draws_of()) == pytest.approx(0.15, abs=0.005)
    assert 0.0 < sensitivity(draws_of(sure=False)) < 0.13


def test_the_sensitivity_is_where_the_squared_distance_is_least(draws_of):
    """Numpy's least squares as the reference: min over x of E (b_d x + b_m)²."""
    draws = draws_of(sure=False)
    solved = np.linalg.lstsq(draws.diameter[:, None], -draws.moisture, rcond=None)[0]
    assert sensitivity(draws) == pytest.approx(float(solved[0]))


@pytest.mark.parametrize(
    ("marks", "expected"),
    [
        ([], []),
        ([False, False], []),
        ([True, True, False, True], [(0, 3)]),
        ([True, False, False, True], [(0, 0), (3, 3)]),
        ([False, True], [(1, 1)]),
    ],
)
def test_runs_are_joined_over_a_single_gap(marks, expected):
    """Positions of first and last."""
    assert runs(marks) == expected


@given(st.floats(0.02, 0.93))
def test_what_is_said_of_a_probability_is_near_it(probability):
    """Between two neighbours of the plain ones lie at most 17 in 100."""
    of, among = odds(probability).split(" in ")
    assert int(of) / int(among) == pytest.approx(probability, abs=0.085)


@pytest.mark.parametrize(
    ("probability", "said"),
    [(0.0, "1 in 10"), (0.31, "1 in 3"), (0.52, "1 in 2"), (0.68, "2 in 3"), (1.0, "nearly sure")],
)
def test_a_probability_is_said_plainly(probability, said):
    """The nearest of a few that a maker would say."""
    assert odds(probability) == said
