"""The picture of a history beside the model."""

from dataclasses import replace

from planner.report.charts.openings import VERDICTS, openings_picture
from tests.report import invented
from tests.report.page_walk import plain, walk


def test_verdicts_have_their_rows_only_where_there_are_some():
    """Measured reeds alone need none, and the picture is lower by them."""
    shown = invented.history(40)
    silent = replace(shown, reeds=[replace(reed, verdict=None) for reed in shown.reeds])
    heights, texts = [], []
    for history in (shown, silent):
        page = walk(openings_picture(history, "o"))
        heights.append(float(page.one("svg").attributes["viewbox"].split()[3]))
        texts.append({plain(element.text).strip() for element in page.all("text")})
    assert set(VERDICTS) <= texts[0]
    assert not set(VERDICTS) & texts[1]
    assert heights[1] < heights[0]


def test_without_reeds_there_is_no_picture():
    """Nor an empty frame."""
    assert openings_picture(invented.history(0), "o") == ""
