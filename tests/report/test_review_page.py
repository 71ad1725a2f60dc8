"""The review's page: whole, closed to the world, escaped, and true to the review."""

from dataclasses import replace

import pytest

from planner.plan.review import review
from planner.plan.review_documents import ReviewDocument
from planner.report.index import pages_in
from planner.report.page import write_page
from planner.report.review_page import render_review
from tests.plan.test_review import HALF, HALL, known, made, planned_week
from tests.report.every_page import *  # noqa: F403  every page is asked the same
from tests.report.page_walk import Page, plain, walk
from tests.report.test_page import hostile

MADE = {"version": "0.1.0", "made_at": "Fri 10 Apr 2026"}


def usual() -> ReviewDocument:
    """Return the review of a season that was followed, with a reed judged elsewhere."""
    reeds = made()
    last = replace(reeds[-1], place=HALL)
    week = planned_week(review(known(reeds)).weeks[-1].week_start, HALL)
    weeks = {**known(reeds).planned, (week.week_start, HALL): week}
    return review(known([*reeds[:-1], last], planned=weeks))


DOCUMENTS = {
    "usual": usual,
    "without weather": lambda: review(known(made(), planned={}, last_year={}, come={})),
    "without reeds": lambda: review(known([])),
    "nothing at all": lambda: review(known([], planned={}, last_year={}, come={}, room_weeks=())),
    "some days": lambda: replace(review(known(made())), season=""),
}


@pytest.fixture(scope="module", params=DOCUMENTS)
def document(request: pytest.FixtureRequest) -> ReviewDocument:
    """Return each kind of review in turn."""
    return DOCUMENTS[request.param]()


@pytest.fixture(scope="module")
def html(document: ReviewDocument) -> str:
    """Return its page."""
    return render_review(document, **MADE)


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    """Return its page, walked through."""
    return walk(html)


def test_the_head_says_which_season_and_as_of_when(document: ReviewDocument, page: Page):
    """Language, title, one heading of the first rank, the day it was made as of."""
    assert page.one("html").attributes["lang"] == "en"
    assert page.meta("date") == document.today.isoformat()
    title = plain(page.all("title")[0].text)
    assert title.startswith("Invented: review ")
    heading = plain(page.one("h1").text)
    assert heading == f"Review {title.partition('review ')[2]}"
    assert (document.season or "Wed 1 Oct 2025 to Tue 31 Mar 2026") in heading


def test_the_verdict_comes_first_and_three_sentences_for_next_season(
    document: ReviewDocument, page: Page
):
    """What a maker wants to know stands above every table."""
    text = plain(page.text)
    assert plain(document.verdict) in text
    assert len(document.next_season) == 3
    for sentence in document.next_season:
        assert plain(sentence) in text
    assert text.index(plain(document.verdict)) < text.index("Week by week")
    for note in document.notes:
        assert plain(note) in text


def test_every_week_and_every_group_is_in_a_table(document: ReviewDocument, page: Page):
    """A row for each week of the season, a row for each lot and each class."""
    rows = [row for row in page.all("th") if row.attributes.get("scope") == "row"]
    named = [plain(row.text) for row in rows]
    assert len(named) >= len(document.weeks)
    for group in document.by_lot:
        assert group.name in named
    for group in document.by_diameter:
        assert group.name.replace("-", "–") in named


def test_the_picture_is_there_where_there_is_something_to_see(document: ReviewDocument, page: Page):
    """Drawn for a sheet and for a phone; its words count what lay within what was expected."""
    pictures = page.all("svg")
    planned = any(week.diameter_mm or week.reeds for week in document.weeks)
    assert len(pictures) == (2 if planned else 0)
    if planned and document.calibration:
        said = plain(next(e.text for e in page.all("desc")))
        assert "Room: 27 of 27 weeks within what was expected" in said
        assert "Opening: " in said


def test_the_worth_of_the_plan_is_told_with_its_doubt():
    """The four rivals with the interval, the sentence above, and that it is no experiment."""
    text = plain(walk(render_review(usual(), **MADE)).text)
    for words in (
        "one diameter all along",
        "by the calendar",
        "last year's plan",
        "what you took",
        "Only reeds of other diameters, made side by side, would prove it.",
        "They were of other weeks and lots, so this proves nothing.",
    ):
        assert words in text


def test_the_same_review_gives_the_same_bytes():
    """Nothing of the moment gets in."""
    assert render_review(usual(), **MADE) == render_review(usual(), **MADE)


@pytest.mark.parametrize(("order", "day"), [("mdy", "Wed Oct 1 2025"), ("ymd", "Wed 2025-10-01")])
def test_days_are_written_as_the_workshop_writes_them(order: str, day: str):
    """In whatever order it has set."""
    assert day in plain(walk(render_review(usual(), dates=order, **MADE)).text)


def test_whatever_a_maker_typed_is_only_text():
    """Scripts in every text of the review: none becomes an element."""
    document = usual()
    words = {name: getattr(document, name) for name in ("rivals", "misses", "errors", "worth")}
    page = walk(render_review(replace(hostile(document), **words), **MADE))  # type: ignore[arg-type]
    assert not page.all("script", "img")
    assert 'alert("1")' in page.text


def test_the_list_of_pages_names_it(tmp_path):
    """With its season and the day as of which it was made."""
    write_page(render_review(usual(), **MADE), tmp_path / "review-x.html")
    (entry,) = pages_in(tmp_path)
    assert entry.title == "Invented: review of the winter half 2025/26"
    assert entry.made_for == known([]).today
    assert entry.made_for > HALF.last
