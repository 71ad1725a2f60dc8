"""The list of pages in a folder, newest first."""

from dataclasses import dataclass
from datetime import date
from html.parser import HTMLParser
from itertools import groupby
from operator import attrgetter
from pathlib import Path

from planner import __version__
from planner.report.page import page, write_page

INDEX = "index.html"
HEAD_BYTES = 65_536  # title and date stand well within it, whatever the page


@dataclass(frozen=True)
class Listed:
    """One page of the list; ``made_for`` is the day it was planned as of, None where unknown."""

    file: str
    title: str
    made_for: date | None


def write_listed(html: str, path: Path, *, dates: str) -> None:
    """Write a page, and the list of the pages beside it anew.

    Raises
    ------
    RecordFull
        If one of the two can't be written.
    """
    write_page(html, path)
    write_page(render_index(path.parent, dates=dates), path.parent / INDEX)


def render_index(folder: Path, *, dates: str = "dmy") -> str:
    """Return a page that lists the pages of the folder, newest first and by name within a day."""
    pages = sorted(pages_in(folder), key=lambda entry: entry.file)
    pages.sort(key=lambda entry: entry.made_for or date.min, reverse=True)
    days = [(day, list(made)) for day, made in groupby(pages, key=attrgetter("made_for"))]
    return page("index.html.jinja", dates=dates, days=days, version=__version__)


def pages_in(folder: Path) -> list[Listed]:
    """Return the pages of a folder, without the list itself; none where there is no folder."""
    return [
        _listed(path)
        for path in folder.glob("*.html")
        if path.name != INDEX and path.is_file() and not path.name.startswith(".")
    ]


def _listed(path: Path) -> Listed:
    head = _Head()
    with path.open(encoding="utf-8", errors="replace") as opened:
        head.feed(opened.read(HEAD_BYTES))
    return Listed(path.name, " ".join(head.title.split()) or path.stem, _day(head.day))


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


class _Head(HTMLParser):
    """Reads the title and the day of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.title = ""
        self.day = ""
        self._within = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        if tag == "meta" and named.get("name") == "date":
            self.day = named.get("content") or ""
        self._within = tag == "title" and not self.title

    def handle_endtag(self, tag: str) -> None:
        self._within = False

    def handle_data(self, data: str) -> None:
        if self._within:
            self.title += data
