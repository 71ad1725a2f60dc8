"""The picture of the stock against the need."""

from dataclasses import replace

from planner.report.charts.stock import stock_picture
from tests.report import invented
from tests.report.page_walk import plain, walk


def test_what_is_short_is_said_at_its_bar():
    """A broken line to what is needed, and how many are missing; else that it is enough."""
    page = walk(stock_picture(invented.STOCK, "s"))
    texts = [plain(element.text) for element in page.all("text")]
    assert texts.count("125 pieces short") == 1
    assert texts.count("enough") == 2
    assert "not sorted" in texts
    assert [e.attributes.get("class") for e in page.elements].count("short") == 1
    assert plain(page.all("desc")[0].text) == (
        "10.00–10.25 mm: 46 pieces at hand, 171 needed, 125 short."
    )


def test_enough_everywhere_is_said_in_one_sentence():
    """And an empty stock has no picture."""
    enough = [replace(line, short_pieces=0) for line in invented.STOCK]
    page = walk(stock_picture(enough, "s"))
    assert plain(page.all("desc")[0].text) == "Enough in each of 3 classes."
    assert stock_picture((), "s") == ""
