"""A wanted range out of reach of all cane is said, and how far the reeds stand from it."""

from dataclasses import replace

import numpy as np
import pytest

from planner.plan.reach import out_of_reach


def said(text: tuple[str, ...]) -> str:
    """The one warning, its no-break spaces as plain ones."""
    (line,) = text
    return line.replace("\u00a0", " ")


def test_a_plan_within_reach_warns_of_nothing(advised, draws_of):
    """Nor does one that knows little, or whose usual cane alone comes out wrong."""
    for level, sure in ((0.8, True), (0.8, False), (0.7, True)):
        draws = draws_of(level=level, sure=sure)
        assert out_of_reach([advised([6.5, 8.5], draws=draws)], draws, measured=True) == ()


def test_reeds_far_above_the_range_are_told_with_what_to_check(advised, draws_of):
    """Own arithmetic: 1.9 mm at 10.5 mm is 1.7 mm at 11.5 mm, 0.8 mm above 0.9 mm."""
    draws = draws_of(level=1.9)
    line = said(out_of_reach([advised([8.5, 8.5], draws=draws)], draws, measured=True))
    assert line.startswith(
        "Next to no reeds are expected in your wanted range of 0.70–0.90 mm, whatever cane you "
        "take: with the cane of this plan they stand open about 1.7"
    )
    assert "0.80 mm above it" in line
    assert line.endswith(
        "Check the wanted range, the unit in which the openings were read and the limits of the "
        "cane (workshop.toml)."
    )


def test_reeds_far_below_the_range_are_told_without_a_unit_where_none_was_measured(
    advised, draws_of
):
    """Own arithmetic: 0.01 mm at 10.5 mm is 0.21 mm at 9.5 mm, 0.49 mm below 0.7 mm."""
    draws = draws_of(level=0.01)
    line = said(out_of_reach([advised([8.5], draws=draws)], draws, measured=False))
    assert "0.49 mm below it" in line
    assert line.endswith("Check the wanted range and the limits of the cane (workshop.toml).")


def test_a_range_that_few_reeds_reach_is_told_more_mildly(advised, draws_of):
    """A share under 20 in 100 is told with its number."""
    draws = draws_of(level=1.3)
    advice = advised([8.5], draws=draws)
    assert 0.005 < advice.weeks[0].in_band_share < 0.2
    line = said(out_of_reach([advice], draws, measured=True))
    assert line.startswith(f"At most {round(100 * advice.weeks[0].in_band_share)} in 100 reeds are")


def test_a_range_too_narrow_for_the_scatter_is_told_as_that(advised, draws_of):
    """Reeds that stand in the middle of 0.02 mm, but scatter by 0.08 mm."""
    draws = replace(draws_of(), low=np.full(200, 0.79), high=np.full(200, 0.81))
    line = said(out_of_reach([advised([8.5], draws=draws)], draws, measured=True))
    assert "within it, but scatter far beyond it" in line


@pytest.mark.parametrize("usual_only", [False, True])
def test_weeks_and_places_out_of_reach_are_counted(advised, draws_of, coming_of, usual_only):
    """Own arithmetic: 40 % damper opens by 1.2 mm; only there, and in one week of two."""
    draws = draws_of()
    near = advised([8.5, 8.5], draws=draws, usual_only=usual_only)
    far = advised(
        [8.5, 48.5],
        draws=draws,
        place="Far",
        bench=coming_of([8.5, 8.5]),
        usual_only=usual_only,
    )
    line = said(out_of_reach([near, far], draws, measured=True))
    assert line.startswith("At Far: in 1 of 2 weeks next to no reeds are expected")
    all_there = advised([48.5, 48.5], draws=draws, place="Far", bench=coming_of([8.5, 8.5]))
    line = said(out_of_reach([near, all_there], draws, measured=True))
    assert line.startswith("At Far: next to no reeds are expected")
