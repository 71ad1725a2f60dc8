"""The list of pages beside each other in the folder."""

from pathlib import Path

from planner.report.index import Listed, pages_in, render_index
from planner.report.page import write_page
from tests.report import invented
from tests.report.invented import everything
from tests.report.page_walk import plain, walk


def page_of(folder: Path, name: str, title: str, day: str = "") -> None:
    """Write a small page."""
    meta = f'<meta name="date" content="{day}">' if day else ""
    (folder / name).write_text(f"<html><head>{meta}<title>{title}</title></head></html>")


def test_the_newest_page_stands_first(tmp_path: Path):
    """By the day each was planned as of, not by the day of the file; unknown days last."""
    page_of(tmp_path, "a.html", "Old", "2025-01-06")
    page_of(tmp_path, "b.html", "New", "2026-11-23")
    page_of(tmp_path, "c.html", "Whenever")
    links = walk(render_index(tmp_path)).all("a")
    assert [e.attributes["href"] for e in links[1:]] == ["b.html", "a.html", "c.html"]
    assert [e.text for e in links[1:]] == ["New", "Old", "Whenever"]


def test_pages_of_one_day_stand_by_name(tmp_path: Path):
    """The same list whatever order the disk gives."""
    for name in ("review.html", "plan.html"):
        page_of(tmp_path, name, name, "2026-11-23")
    links = walk(render_index(tmp_path)).all("a")
    assert [e.attributes["href"] for e in links[1:]] == ["plan.html", "review.html"]


def test_the_list_itself_and_drafts_are_not_listed(tmp_path: Path):
    """Nor what is no page."""
    page_of(tmp_path, "index.html", "List")
    page_of(tmp_path, ".plan.html.12", "Draft")
    page_of(tmp_path, ".hidden.html", "Draft")
    (tmp_path / "notes.txt").write_text("x")
    (tmp_path / "folder.html").mkdir()
    assert pages_in(tmp_path) == []


def test_a_real_page_is_listed_by_its_title_and_day(tmp_path: Path):
    """As the plan writes it."""
    write_page(everything(invented.plan_document()), tmp_path / "plan-2026-11-25.html")
    assert pages_in(tmp_path) == [
        Listed(
            "plan-2026-11-25.html",
            "Reeds at the Old Ropewalk: cane and gouge from Wed 25 Nov 2026, 12 weeks",
            invented.TODAY,
        )
    ]


def test_no_folder_or_no_pages_is_said(tmp_path: Path):
    """With what makes the first."""
    for folder in (tmp_path, tmp_path / "missing"):
        assert "planner plan makes the first" in plain(walk(render_index(folder)).text)


def test_whatever_lies_there_makes_no_trouble(tmp_path: Path):
    """Bytes that are no text, no title, a date that is none, markup in a title."""
    (tmp_path / "noise.html").write_bytes(bytes(range(256)) * 9)
    page_of(tmp_path, "odd name & more.html", "&lt;b&gt; & co", "yesterday")
    html = render_index(tmp_path)
    found = {entry.file: entry for entry in pages_in(tmp_path)}
    assert found["noise.html"].title == "noise"
    assert found["odd name & more.html"].title == "<b> & co"
    assert found["odd name & more.html"].made_for is None
    assert 'href="odd%20name%20%26%20more.html"' in html
    assert "<b>" not in html


def test_days_are_in_the_workshops_order(tmp_path: Path):
    """As on the pages."""
    page_of(tmp_path, "a.html", "A", "2026-11-23")
    assert "Mon Nov 23 2026" in plain(walk(render_index(tmp_path, dates="mdy")).text)
