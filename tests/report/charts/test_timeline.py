"""The panel over days: true labels, true places, thinned to what can be seen."""

import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.report.charts.timeline import (
    NARROW,
    WIDE,
    decimals_of,
    panel_over,
    specks,
    stretches,
    strokes,
    thinned,
)

FIRST, LAST = date(2026, 1, 1), date(2026, 12, 31)


def panel(low, high, *, first=FIRST, last=LAST, layout=WIDE, **named):
    """A panel of these values and days."""
    return panel_over((first, last), (low, high), (layout, 10.0, 110.0), **named)


@given(st.floats(-50, 50), st.floats(0, 200), st.sampled_from([0.04, 0.2, 1.0, 20.0]))
def test_the_labels_say_where_their_lines_are(low, width, least):
    """A label rounded to too few decimals would lie about its line."""
    made = panel(low, low + width, least=least)
    ticks = made.values.ticks(4)
    assert ticks
    for tick in ticks:
        assert round(tick, made.decimals) == pytest.approx(tick, abs=1e-9)


def test_quarters_are_labelled_as_quarters():
    """0.25 steps: not 0.2, 0.5, 0.8."""
    written = re.findall(r">([0-9.]+)</text>", "".join(panel(0.45, 1.25, least=0.2).grid()))
    assert written == ["0.50", "0.75", "1.00", "1.25"]


@pytest.mark.parametrize(
    ("values", "decimals"),
    [((0, 20), 0), ((0.5, 1.0), 1), ((0.25,), 2), ((0.005,), 3), ((1 / 3,), 3), ((), 0)],
)
def test_as_few_decimals_as_tell_the_truth(values, decimals):
    """Own cases."""
    assert decimals_of(values) == decimals


def test_a_value_lies_in_the_middle_of_its_day():
    """One day over the whole width."""
    made = panel(0, 100, first=FIRST, last=FIRST)
    assert made.at(FIRST, made.values.low) == ((WIDE.left + WIDE.right) / 2, 110.0)


def test_months_are_named_below_and_the_year_once():
    """The first of them and each January carry the year."""
    text = re.findall(r">([^<>]+)</text>", "".join(panel(0, 1).foot(13)))
    assert text[:4] == ["Jan", "2026", "Feb", "Mar"]
    assert text.count("2026") == 1


def test_a_few_days_are_named_singly():
    """A forecast of a week has no first of a month to name."""
    made = panel(0, 1, first=date(2026, 1, 5), last=date(2026, 1, 11), layout=NARROW, dates="mdy")
    text = re.findall(r">([^<>]+)</text>", "".join(made.foot(6)))
    assert text[0] == "Jan\u00a05"
    assert 2 <= len(text) <= 6


def test_the_words_of_a_moment_stay_within():
    """Near the right end they stand to the left of their line."""
    made = panel(0, 1)
    assert 'text-anchor="end"' in made.moment(LAST, "sharpened")
    assert 'text-anchor="end"' not in made.moment(FIRST, "sharpened")


@given(st.integers(0, 3000), st.integers(2, 500))
def test_thinning_keeps_both_ends(count, most):
    """Never many more than asked for."""
    points = [(float(i), 0.0) for i in range(count)]
    kept = thinned(points, most)
    assert len(kept) <= most + 1
    assert kept[:1] == points[:1]
    assert kept[-1:] == points[-1:]


def test_marks_on_one_spot_are_drawn_once():
    """Ten reeds of one day and opening are one speck."""
    assert specks([(1.0, 2.0)] * 10, "s").count("M") == 1
    assert strokes([(1.0, 2.0), (1.0, 2.0), (3.0, 2.0)], 5, "s").count("M") == 2
    assert specks([], "s") == strokes([], 5, "s") == ""


def test_a_line_breaks_where_days_are_missing():
    """Three days, a month of nothing, two days."""
    days = [FIRST + timedelta(days=d) for d in (0, 1, 2, 40, 41)]
    assert stretches(days) == [slice(0, 3), slice(3, 5)]


def test_a_panel_of_no_days_draws_nothing():
    """No line, no band."""
    made = panel(0, 1)
    assert made.line([], [], "x") == made.band([], [], [], "x") == ""
