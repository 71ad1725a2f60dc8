"""The picture of a season: a mark for all that was expected and for all that came."""

import re
from dataclasses import replace

import pytest

from planner.plan.review import review
from planner.plan.review_documents import ReviewDocument
from planner.report.charts.season import season_picture
from tests.plan.test_review import known, made


@pytest.fixture(scope="module")
def document() -> ReviewDocument:
    """The review of an invented winter of 27 weeks."""
    return review(known(made()))


def counted(picture: str) -> dict[str, int]:
    """Return how many marks of each class there are."""
    return {name: len(re.findall(f'class="{name}"', picture)) for name in (
        "air-band", "air-line", "cane-band", "cane-best", "check", "wanted",
    )}  # fmt: skip


@pytest.mark.parametrize("wide", [True, False])
def test_every_week_has_its_marks(document: ReviewDocument, wide: bool):  # noqa: FBT001
    """One band of the room, two bars a week, and a ring in each panel."""
    weeks = len(document.weeks)
    assert counted(season_picture(document, "s", wide=wide)) == {
        "air-band": 1,
        "air-line": 1,
        "cane-band": 2 * weeks,
        "cane-best": 2 * weeks,
        "check": 3 * weeks,
        "wanted": 3,
    }


def test_a_gap_breaks_the_band_and_a_silent_week_has_no_ring(document: ReviewDocument):
    """Nothing is drawn that wasn't there."""
    bare = {
        "room_rh_pct": None, "diameter_mm": None, "opening_mm": None, "seen_room_rh_pct": None,
        "made_diameter_mm": None, "seen_opening_mm": None,
    }  # fmt: skip
    weeks = list(document.weeks)
    weeks[10] = replace(weeks[10], **bare)
    found = counted(season_picture(replace(document, weeks=tuple(weeks)), "s"))
    assert found["air-band"] == 2
    assert found["cane-band"] == 2 * (len(weeks) - 1)
    assert found["check"] == 3 * (len(weeks) - 1)


def test_only_the_bench_is_shown(document: ReviewDocument):
    """A week elsewhere stands in the table alone."""
    away = replace(document.weeks[3], place="Hall")
    both = replace(document, weeks=(*document.weeks, away))
    assert season_picture(both, "s") == season_picture(document, "s")


def test_without_a_plan_what_was_made_is_shown():
    """Rings without bars; without reeds either, there is no picture."""
    made_only = review(known(made(), planned={}, last_year={}, come={}))
    found = counted(season_picture(made_only, "s"))
    assert (found["cane-band"], found["air-band"]) == (0, 0)
    assert found["check"] == 2 * len(made_only.weeks)
    nothing = review(known([], planned={}, last_year={}, come={}))
    assert season_picture(nothing, "s") == ""


def test_the_words_count_what_lay_within(document: ReviewDocument):
    """For whoever can't see it."""
    text = season_picture(document, "s")
    assert "Room: 27 of 27\u00a0weeks within what was expected" in text
    assert "Diameter: 27 of 27\u00a0weeks within" in text
    assert re.search(r"Opening: \d+ of 27\u00a0weeks within", text)


def test_one_week_alone_is_drawn(document: ReviewDocument):
    """A season of a week has a place for it."""
    one = replace(document, weeks=document.weeks[:1])
    assert counted(season_picture(one, "s"))["check"] == 3
