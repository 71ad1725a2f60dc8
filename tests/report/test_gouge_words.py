"""The gouger in words a maker reads."""

from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace

import pytest

from planner.report.gouge_words import NO_CHECKS, gouge_lines, next_check_note, often_sentence
from planner.watch.documents import SCHEMA_VERSION, GougeDocument
from planner.watch.gouger import Aim, gouger_states

START = date(2026, 1, 5)
TODAY = START + timedelta(days=45)


def rows(centres, *, left=None, right=None, note=""):
    """Return checks three days apart."""
    return [
        SimpleNamespace(
            date=START + timedelta(days=3 * i),
            gouger="bench",
            centre_mm=centre,
            left_mm=left,
            right_mm=right,
            event="set" if i == 0 else None,
            note=note if i % 2 else "",
        )
        for i, centre in enumerate(centres)
    ]


def document(checks, today=TODAY):
    """Return the answer for these checks."""
    states = gouger_states(checks, Aim(0.59, 0.56, 0.62, 0.02), today=today)
    return GougeDocument(SCHEMA_VERSION, today, 0.59, 0.56, 0.62, 0.02, 100, states)


def text(checks):
    """Return the lines as one text, each run of white space a blank."""
    return " ".join("\n".join(gouge_lines(document(checks), "dmy")).split())


def test_without_checks_it_says_how_to_enter_one():
    """An empty record gets the next step, not an empty table."""
    assert " ".join(map(str.strip, gouge_lines(document([]), "dmy"))) == NO_CHECKS


@pytest.mark.parametrize(
    ("centres", "said"),
    [
        ([0.59, 0.595, 0.588], "too few to tell a drift from chance"),
        ([0.59, 0.592] * 8, "steady: 16 checks"),
        ([0.59 - 0.0015 * i for i in range(16)], "it gouges thinner than aimed since about"),
        ([0.59 + 0.002 * i for i in range(16)], "it gouges thicker than aimed since about"),
        ([0.585 - 0.002 * i for i in range(16)], "near the thinnest allowed (0.56 mm)"),
    ],
)
def test_each_state_has_its_sentence(centres, said):
    """Few, steady, thin, thick and unstable are told apart in words."""
    assert said in text(rows(centres))


def test_a_drift_names_the_day_it_leaves_and_warns_of_thin_cane():
    """A steady loss gets a day, and the day from which reeds may be unstable."""
    said = text(rows([0.592 - 0.001 * i for i in range(16)]))
    assert "it will be too thin about" in said
    assert "such reeds lose their stability" in said


@pytest.mark.parametrize(
    ("left", "right", "said"),
    [
        (0.47, 0.44, "the left side comes out 0.030 mm thicker"),
        (0.44, 0.47, "the right side comes out 0.030 mm thicker"),
        (0.45, 0.45, "even: left minus right 0.000 mm"),
        (None, None, "gauge left and right too"),
    ],
)
def test_the_sides_have_their_sentence(left, right, said):
    """Tilted to either side, even, and not gauged."""
    assert said in text(rows([0.59, 0.592] * 8, left=left, right=right))


def test_a_worn_blade_has_its_sentence():
    """The centre thicker against the sides means a blade worn in the middle, else beside it."""
    assert "worn in the middle" in text(
        rows([0.59 + 0.002 * i for i in range(16)], left=0.45, right=0.45)
    )
    assert "worn beside the middle" in text(
        rows([0.59 - 0.002 * i for i in range(16)], left=0.45, right=0.45)
    )


def test_wet_and_dry_are_said_to_be_told_apart():
    """Where the notes tell, the difference is given."""
    checks = rows([0.60, 0.585] * 8, note="dry")
    for check in checks[::2]:
        check.note = "wet"
    assert "wet pieces gauge +0.01" in text(checks)


def test_the_week_gets_a_note_only_where_there_is_something_to_do():
    """Drifting and overdue gougers are mentioned, a steady one in time isn't."""
    drifting = document(rows([0.59 - 0.0015 * i for i in range(16)])).gougers[0]
    steady = document(rows([0.59, 0.592] * 8)).gougers[0]
    assert "thinner than aimed" in next_check_note(drifting, TODAY, "dmy")
    assert next_check_note(steady, steady.next_check, "dmy") == ""
    late = steady.next_check + timedelta(days=1)
    assert "was due on" in next_check_note(steady, late, "dmy")


def test_lines_fit_a_terminal():
    """No line is wider than 80 columns."""
    for centres in ([0.59], [0.59 - 0.0015 * i for i in range(16)]):
        assert max(map(len, gouge_lines(document(rows(centres)), "dmy"))) <= 80


def test_a_habit_that_reaches_nothing_says_so():
    """Even the most checks that make sense call a change too late."""
    often = document(rows([0.59, 0.592] * 8)).gougers[0].frequency
    never = " ".join(often_sentence(replace(often, reached=False)).split())
    assert (
        "is the most that makes sense; even so a change of 0.01 mm is not noticed within" in never
    )
    assert "is then noticed within about" in often_sentence(replace(often, reached=True))
