"""A run of openings in words a maker reads."""

from dataclasses import replace
from datetime import date

import pytest

from planner.report.run_words import run_words
from planner.spread import Spread
from planner.watch.documents import Cause, RunNote
from tests.report.page_walk import plain

RUN = RunNote(
    kind="closed",
    since=date(2026, 11, 2),
    last=date(2026, 11, 20),
    reeds=14,
    off_mm=Spread(-0.08, -0.06, -0.04),
    left_mm=Spread(-0.05, -0.03, -0.01),
    followed=False,
    causes=(Cause("level", 0.62), Cause("lot", 0.3, "26-4"), Cause("gouge", 0.08)),
    correction_mm=-0.14,
    diameter_mm=10.21,
    class_low_mm=10.0,
    class_high_mm=10.25,
)


def said(order: str = "dmy", **changed: object) -> str:
    """Return the words, white space plain."""
    return plain(run_words(replace(RUN, **changed), order))


def test_how_far_off_since_when_and_how_sure():
    """Always a length with its unit and its doubt, the side in words."""
    assert said().startswith(
        "The 14 reeds from Mon 2 Nov 2026 to Fri 20 Nov 2026 came out about 0.06 mm too closed "
        "(8 in 10: 0.04–0.08 mm), with diameter, gouge and moisture accounted for."
    )
    open_ = said(kind="open", off_mm=Spread(-0.01, 0.04, 0.09))
    assert "0.04 mm too open (8 in 10: −0.01 to 0.09 mm)" in open_
    assert "from 2026" not in said()
    assert "Mon 2026-11-02" in said("ymd")


def test_one_reed_is_said_as_one():
    """No "1 reeds"."""
    assert said(reeds=1).startswith("The reed from")


def test_causes_come_in_their_order_with_what_to_look_at():
    """The likeliest with its share and what to do about it, then the others."""
    assert (
        "Most likely a change in all reeds (knife, habit, staples), 62 in 100; else lot 26-4 (30) "
        "or the gouge (8). Think back what was new about then."
    ) in said()


@pytest.mark.parametrize(
    ("cause", "words"),
    [
        (Cause("lot", 0.9, "26-4"), "Most likely lot 26-4, 90 in 100. Try a few reeds of another"),
        (Cause("gouge", 0.9), "Most likely the gouge, 90 in 100. Gauge a few pieces"),
        (Cause("room", 0.9, "Saltreed"), "Most likely the room in Saltreed, 90 in 100. Read the"),
        (Cause("room", 0.9), "Most likely the room, 90 in 100."),
        (Cause("level", 1.0), "more than 99 in 100."),
    ],
)
def test_each_cause_has_its_words(cause: Cause, words: str):
    """Alone it leads, with the first thing to look at."""
    assert words in said(causes=(cause,))


def test_the_correction_is_told_as_the_makers_class():
    """In mm of diameter, rounder or flatter, until the plan has followed."""
    assert said().endswith(
        "The plan has yet to follow by 0.03 mm: until it has, take cane 0.14 mm rounder than the "
        "plan says, the class of 10.00–10.25 mm."
    )
    assert "0.14 mm flatter" in said(correction_mm=0.14)


def test_a_lots_correction_is_for_the_lot():
    """The plan never follows a lot."""
    lot = said(causes=(Cause("lot", 0.9, "26-4"),))
    assert "The plan knows of no lot: from this one take cane 0.14 mm rounder" in lot


def test_what_can_not_be_said_is_said():
    """Followed already; effect too little known; no diameter left to go to."""
    nothing = {"correction_mm": None, "diameter_mm": None, "class_low_mm": None}
    assert said(followed=True, **nothing).endswith(
        "its diameters make up for it, so change no more for its sake."
    )
    assert said(**nothing).endswith("isn't known well enough yet to say.")
    assert "No other diameter is within what you take" in said(correction_mm=0.0)
