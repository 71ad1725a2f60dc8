"""What holds for every page of ours, asked of the ``html`` and ``page`` of whoever imports all."""

import re
from base64 import b64encode
from hashlib import sha256
from itertools import pairwise

from planner.report.page import MOST_BYTES
from tests.report.page_walk import Page

__all__ = [
    "test_a_page_is_small_enough_to_mail",
    "test_every_picture_has_its_words",
    "test_headings_never_skip_a_rank",
    "test_names_are_unique_and_point_somewhere",
    "test_nothing_of_the_program_shows",
    "test_nothing_runs_and_nothing_is_fetched",
    "test_numbers_hold_on_to_their_units",
    "test_tables_have_headings",
    "test_the_policy_allows_this_style_sheet_and_nothing_else",
]


def test_headings_never_skip_a_rank(page: Page):
    """A screen reader's way through the page."""
    ranks = [int(element.name[1]) for element in page.all("h1", "h2", "h3", "h4")]
    assert ranks[0] == 1
    assert all(after <= before + 1 for before, after in pairwise(ranks))


def test_names_are_unique_and_point_somewhere(page: Page):
    """No id twice; what labels another element is there."""
    ids = [e.attributes["id"] for e in page.elements if "id" in e.attributes]
    assert len(ids) == len(set(ids))
    for element in page.elements:
        for pointer in ("aria-labelledby", "aria-describedby"):
            assert set(element.attributes.get(pointer, "").split()) <= set(ids)
        fill = element.attributes.get("fill", "")
        if fill.startswith("url("):
            assert fill[5:-1] in ids


def test_every_picture_has_its_words(page: Page):
    """A title that names it and a description that says what is to be seen."""
    for element in page.all("svg"):
        assert element.attributes["role"] == "img"
        title, description = element.attributes["aria-labelledby"].split()
        by_id = {e.attributes["id"]: e for e in page.elements if "id" in e.attributes}
        assert by_id[title].text.strip()
        assert len(by_id[description].text.split()) >= 5


def test_tables_have_headings(page: Page):
    """Each table has a caption or a labelled region, each column a heading with a scope."""
    for cell in page.all("th"):
        assert "thead" not in cell.around or cell.attributes["scope"] == "col"
    for region in page.all("div"):
        if region.attributes.get("role") == "region":
            assert region.attributes["tabindex"] == "0"
            assert "aria-labelledby" in region.attributes or "aria-label" in region.attributes


def test_nothing_runs_and_nothing_is_fetched(html: str, page: Page):
    """No script, no style of an element's own, no address outside but within links."""
    assert not page.all("script", "iframe", "object", "embed", "form", "base", "img")
    for element in page.elements:
        assert not [key for key in element.attributes if key.startswith("on") or key == "style"]
        assert not element.attributes.get("src")
        if element.name == "link":
            assert element.attributes["href"] == "data:,"
        if element.name == "a":
            assert element.attributes["href"].startswith(("#", "https://"))
    assert "@import" not in html
    assert "url(http" not in html


def test_the_policy_allows_this_style_sheet_and_nothing_else(html: str, page: Page):
    """The hash in the policy is that of the style sheet as it stands in the page."""
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    assert style is not None
    mark = b64encode(sha256(style[1].encode()).digest()).decode()
    assert page.meta("Content-Security-Policy").split("; ") == [
        "default-src 'none'",
        f"style-src 'sha256-{mark}'",
        "img-src data:",
        "base-uri 'none'",
        "form-action 'none'",
    ]


def test_a_page_is_small_enough_to_mail(html: str):
    """Under 400 kB, with a year of weeks or fifty places."""
    assert len(html.encode()) < MOST_BYTES == 400_000


def test_nothing_of_the_program_shows(page: Page):
    """No word of the programming language, no figure that isn't one."""
    for slip in ("None", "nan", "inf ", "Undefined", "Markup", "datetime", "{{", "}}"):
        assert slip not in page.text


def test_numbers_hold_on_to_their_units(html: str):
    """No plain space between a figure and its unit, no break after the dash of a range."""
    body = html[html.index("<body>") :]
    assert not re.findall(r"\d (?:mm|%|°C)\b", body)
    # What stands in cells, pictures and marked figures doesn't wrap anyway.
    for held in (r"<table.*?</table>", r"<svg.*?</svg>", r'<span class="n">.*?</span>'):
        body = re.sub(held, "", body, flags=re.DOTALL)
    assert not re.findall(r"[0-9]–[0-9]", body)
