"""Verdicts that hardly go with the openings beside them are told."""

from datetime import date, timedelta

import numpy as np

from planner.history.tables import Reed
from planner.plan.review_target import contradicting

WANTED = (0.72, 0.88)
LAST = date(2026, 11, 20)


def reeds(verdicts, openings, measured="soaked") -> list[Reed]:
    """Reeds of a day each, up to LAST."""
    first = LAST - timedelta(days=len(verdicts) - 1)
    return [
        Reed(
            first + timedelta(days=i),
            "Bench",
            diameter_mm=10.4,
            opening_mm=None if opening is None else float(opening),
            verdict=verdict,
            measured=measured,
        )
        for i, (verdict, opening) in enumerate(zip(verdicts, openings, strict=True))
    ]


def test_verdicts_at_random_are_told_with_how_many_agree():
    """Openings well within the range, every fourth verdict "good": 25 in 100."""
    verdicts = ["good", "closed", "open", "open"] * 50
    (line,) = contradicting(reeds(verdicts, np.full(200, 0.80)), WANTED)
    line = line.replace("\u00a0", " ")
    assert line.startswith("Of the last year's 200 reeds with both an opening and a verdict, only ")
    assert "only 25 in 100 have the verdict that your wanted range of 0.72–0.88 mm makes" in line


def test_verdicts_that_go_with_the_openings_are_not_told():
    """Right ones, right ones within 0.02 mm of a limit, and one slip in five."""
    openings = [0.80, 0.60, 1.00, 0.73, 0.80] * 20
    verdicts = ["good", "closed", "open", "closed", "open"] * 20
    assert not list(contradicting(reeds(verdicts, openings), WANTED))


def test_few_reeds_old_ones_and_verdicts_alone_are_no_contradiction():
    """23 that disagree are chance, others are of another year; a verdict alone speaks of none."""
    wrong = reeds(["open"] * 200, np.full(200, 0.80))
    assert list(contradicting(wrong, WANTED))
    assert not list(contradicting(wrong[-23:], WANTED))
    assert not list(contradicting(reeds(["open"] * 200, [None] * 200), WANTED))
    assert not list(contradicting([], WANTED))
    newer = Reed(LAST + timedelta(days=380), "Bench", diameter_mm=10.4, verdict="good")
    assert not list(contradicting([*wrong, newer], WANTED))


def test_openings_of_dry_reeds_are_not_held_against_a_range_of_soaked_ones():
    """Where both are measured the dry ones don't count."""
    dry = reeds(["good"] * 100, np.full(100, 0.40), measured="dry")
    soaked = reeds(["good"] * 100, np.full(100, 0.80))
    both = sorted([*dry, *soaked], key=lambda reed: reed.date)
    assert not list(contradicting(both, WANTED))
