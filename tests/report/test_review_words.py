"""The review of a season in the words of a terminal."""

from dataclasses import replace
from itertools import pairwise

import pytest

from planner.plan.review import review
from planner.plan.review_documents import (
    Calibration,
    Following,
    OutlookScore,
    ReviewDocument,
    Rival,
    RoomScore,
)
from planner.report.review_tables import promise_tables, rival_table, share, week_table, worth
from planner.report.review_words import (
    calibration_sentence,
    following_sentence,
    outlook_sentence,
    review_lines,
    room_sentence,
    seen_sentence,
    title,
    worth_sentence,
)
from planner.spread import Spread
from tests.plan.test_review import known, made
from tests.report.page_walk import plain

RIVAL = Rival("usual", 107, 0.55, 0.61, Spread(0.05, 0.06, 0.07), Spread(5, 6, 7), 0.93, 10.4, 10.4)


@pytest.fixture(scope="module")
def document() -> ReviewDocument:
    """The review of an invented winter."""
    return review(known(made()))


@pytest.mark.parametrize(
    "document",
    [
        review(known(made())),
        review(known(made(), planned={}, last_year={}, come={})),
        review(known([])),
        review(known([], planned={}, last_year={}, come={}, room_weeks=())),
    ],
    ids=["usual", "no weather", "no reeds", "nothing"],
)
def test_lines_fit_a_terminal_and_end_with_next_season(document: ReviewDocument):
    """Whatever there is; three sentences, then the notes."""
    lines = list(review_lines(document, "dmy"))
    assert max(map(len, lines)) <= 80
    text = plain(" ".join(lines))
    for sentence in (*document.next_season, document.verdict, *document.notes):
        assert plain(sentence) in text
    for slip in ("None", "nan"):
        assert slip not in text
    assert not any(one == other == "" for one, other in pairwise(lines))
    assert ("Seen" in text) == bool(document.reeds)


def test_the_season_is_named_with_its_days(document: ReviewDocument):
    """By its name where it is a half year, else by its days alone."""
    assert plain(title(document, "dmy")) == (
        "Invented, winter half 2025/26 (Wed 1 Oct 2025 to Tue 31 Mar 2026)"
    )
    days = replace(document, season="")
    assert plain(title(days, "mdy")) == "Invented, Wed Oct 1 2025 to Tue Mar 31 2026"


def test_seen_counts_good_closed_and_open(document: ReviewDocument):
    """They add up."""
    text = plain(seen_sentence(document))
    closed = sum(week.closed for week in document.weeks)
    assert f"{document.reeds} reeds judged" in text
    assert f"{closed} too closed" in text
    assert seen_sentence(replace(document, seen_share=None)) == "no reeds judged."


def test_worth_is_told_with_its_interval():
    """In reeds of a hundred, a true minus, and how sure."""
    assert plain(worth_sentence(RIVAL)) == (
        "against one diameter all along, the plan's diameters were worth +6 (+5 to +7) good reeds "
        "in 100: 61 in 100 instead of 55 in 100 over 107 reeds, reckoned with hindsight. "
        "That they were the better choice: "
        "93 in 100."
    )
    assert worth(Spread(-0.04, -0.01, 0.004)) == "−1 (−4 to 0)"


def test_following_proves_nothing_and_says_so():
    """Either part may be missing."""
    both = plain(following_sentence(Following(81, 0.52, 26, 0.5, 0.9)))
    assert both == (
        "81 reeds within the advised range, 52 in 100 good; 26 reeds outside it by 0.9 "
        "classes on average, 50 in 100 good. They were of other weeks and lots, so this proves "
        "nothing."
    )
    assert plain(following_sentence(Following(0, None, 4, 0.5, 2.0))).startswith("4 reeds outside")


def test_a_week_without_a_plan_or_reeds_has_dashes(document: ReviewDocument):
    """Never a nought that wasn't counted."""
    bare = replace(
        document.weeks[0],
        diameter_mm=None,
        room_rh_pct=None,
        predicted_share=None,
        seen_share=None,
        made_diameter_mm=None,
        seen_room_rh_pct=None,
    )
    (row,) = week_table(replace(document, weeks=(bare,)), "dmy", every=True).rows
    assert row[2:] == ("–",) * 6
    assert share(0.715) == "72/100"


def test_weeks_without_reeds_are_left_out_of_the_terminal_and_counted(document: ReviewDocument):
    """The page has them all."""
    first = replace(document.weeks[0], reeds=0)
    shown = replace(document, weeks=(first, *document.weeks[1:]))
    assert len(week_table(shown, "dmy", every=True).rows) == len(document.weeks)
    assert len(week_table(shown, "dmy", every=False).rows) == len(document.weeks) - 1
    assert "1 week without judged reeds left out." in plain(" ".join(review_lines(shown, "dmy")))


def test_rivals_have_a_row_each(document: ReviewDocument):
    """All four, in the words of the trade."""
    names = [row[0] for row in rival_table(document.rivals).rows]
    assert names == [
        "what you took",
        "one diameter all along",
        "by the calendar",
        "last year's plan",
    ]


def test_promises_are_told_with_what_so_few_can_tell(document: ReviewDocument):
    """The scores, and where the share within the interval may truly lie."""
    found = document.calibration
    text = plain(calibration_sentence(found))
    assert f"squared and averaged: {found.brier:.3f}, and 0 is the best; the Brier score)" in text
    assert text.startswith(f"of {found.mm_reeds} measured openings, ")
    assert "within the range that promised 80" in text
    assert "with so few it may be" in text
    silent = replace(
        found, inside_80=None, inside_80_low=None, inside_80_high=None, pit=(0,) * 5, mm_reeds=0
    )
    assert calibration_sentence(silent).startswith("as forecasts the promised shares were ")
    for skill, said in (
        (0.07, "7 in 100 better than"),
        (-0.05, "5 in 100 worse than"),
        (0.0, "no b"),
    ):
        assert f"were {said}" in plain(calibration_sentence(replace(silent, skill=skill)))
    assert [table.caption for table in promise_tables(silent)] == [
        "Reeds by what was promised of them"
    ]


def test_where_openings_fell_is_counted_in_fifths(document: ReviewDocument):
    """As many as were measured."""
    found: Calibration = document.calibration
    _, fell = promise_tables(found)
    assert sum(int(row[1]) for row in fell.rows) == found.mm_reeds
    assert len(fell.rows) == 5


def test_outlook_and_room_say_how_far_off_they_were():
    """With their sign, and as a count of weeks."""
    outlook = OutlookScore("Quillhaven", 27, -1.5, 6.4, 4.0, 20 / 27, 8.1)
    assert plain(outlook_sentence(outlook)) == (
        "Quillhaven: weekly room humidity off by 6.4 % (−1.5 on average), 20 of 27 weeks within "
        "the range that promised 8 in 10; the season's mean, said for every week, would have "
        "been off by 8.1 %."
    )
    few = plain(outlook_sentence(OutlookScore("Saltreed", 1, 1.1, 1.1, 1.0, 1.0, 0.0)))
    assert few.endswith("1 of 1 week within the range that promised 8 in 10.")
    assert "read +0.5 %" in plain(room_sentence(RoomScore("Quillhaven", 27, 80, 0.5, 2.2)))


def test_long_names_are_cut_to_a_terminal(document: ReviewDocument):
    """A place, a lot and a cause of forty letters; the page has them whole."""
    name = "Weisswassermuehlenwerkstatt-an-der-Strasse"
    weeks = (*document.weeks, replace(document.weeks[3], place=name))
    groups = tuple(replace(group, name=f"{name}-{i}") for i, group in enumerate(document.by_lot))
    misses = tuple(replace(cause, what=name) for cause in document.misses)
    long = replace(
        document,
        weeks=weeks,
        by_lot=groups,
        by_place=(*document.by_place, groups[0]),
        misses=misses,
    )
    lines = list(review_lines(long, "dmy"))
    assert max(map(len, lines)) <= 80
    assert sum("…" in line for line in lines) > 2
