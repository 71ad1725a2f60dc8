"""The pages in a real browser: seen, printed, walked with the keyboard, judged by axe and vnu."""

import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from planner.plan.documents import PlanDocument
from planner.report.index import render_index
from planner.report.page import render_plan, write_page
from planner.report.review_page import render_review
from planner.report.room_page import render_room
from tests.report import invented
from tests.report.browser import A4, LETTER, Browser, node_module, open_browser, program
from tests.report.invented import MADE, everything
from tests.report.test_page import NO_HISTORY, hostile, many
from tests.report.test_review_page import usual as season_reviewed
from tests.report.test_room_page import beyond as room_beyond
from tests.report.test_weather_page import weather_page

pytestmark = pytest.mark.browser

STRICT = ("--Werror", "--no-langdetect", "--also-check-css", "--format", "gnu")
ROUGH = ("-r", "20", "-gray", "-f", "1", "-l", "1")
LONG = "Weißwassermühlenwerkstatt-" * 6


def long_names() -> PlanDocument:
    """Return a plan whose names are long words without a space."""
    document = invented.plan_document(12, (f"{LONG}bench", f"{LONG}elsewhere"))
    return replace(document, workshop=replace(document.workshop, name=LONG))


SAMPLE = Path(__file__).parents[2] / "reports" / "sample-plan.html"
PAGES = {
    "sample": lambda: SAMPLE.read_text(encoding="utf-8"),
    "usual": lambda: everything(invented.plan_document()),
    "one-week": lambda: everything(invented.plan_document(1, ("Aldermoor",))),
    "year": lambda: everything(invented.plan_document(52, ("Aldermoor",))),
    "fifty": lambda: everything(invented.plan_document(12, many(50))),
    "no-history": lambda: render_plan(invented.plan_document(basis=NO_HISTORY, stock=()), **MADE),
    "long-names": lambda: everything(long_names()),
    "review": lambda: render_review(season_reviewed(), **MADE),
    "review-long-names": lambda: render_review(
        replace(season_reviewed(), workshop=LONG, bench=LONG), **MADE
    ),
    "room": lambda: render_room(room_beyond(), invented.room(), **MADE),
    "weather": weather_page,
}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Return one browser for all tests."""
    with open_browser() as started:
        yield started


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with every kind of page and the list of them."""
    folder = tmp_path_factory.mktemp("reports")
    for name, made in PAGES.items():
        write_page(made(), folder / f"{name}.html")
    write_page(render_index(folder), folder / "index.html")
    return folder


@pytest.mark.parametrize(
    ("name", "width", "scheme"),
    [
        ("sample", 1000, "dark"),
        ("sample", 360, "light"),
        ("usual", 1000, "light"),
        ("usual", 320, "dark"),
        ("year", 1000, "dark"),
        ("fifty", 320, "light"),
        ("no-history", 390, "light"),
        ("long-names", 320, "light"),
        ("index", 320, "light"),
        ("review", 1000, "light"),
        ("review", 320, "dark"),
        ("room", 1000, "light"),
        ("room", 320, "dark"),
        ("weather", 1000, "dark"),
        ("weather", 320, "light"),
    ],
)
def test_axe_finds_nothing(browser: Browser, folder: Path, name: str, width: int, scheme: str):
    """WCAG 2.2 A and AA and best practices, as far as a program can tell (axe-core)."""
    browser.show(folder / f"{name}.html", width=width, scheme=scheme)
    assert browser.axe() == []


def test_the_validator_finds_nothing(folder: Path):
    """The Nu HTML Checker on every page, style sheet included."""
    checker = node_module("vnu-jar/build/dist/vnu.jar")
    told = subprocess.run(
        [program("java"), "-jar", str(checker), *STRICT, *map(str, sorted(folder.glob("*.html")))],
        check=False,
        capture_output=True,
        encoding="utf-8",
    )
    assert (told.stdout + told.stderr).strip() == ""
    assert told.returncode == 0


@pytest.mark.parametrize("name", [*PAGES, "index"])
def test_a_page_asks_for_nothing_and_says_nothing(browser: Browser, folder: Path, name: str):
    """The only address is that of the page itself; the console is empty."""
    browser.requests(), browser.console()
    page = folder / f"{name}.html"
    browser.show(page)
    asked = [url for url in browser.requests() if not url.startswith("data:")]
    assert asked == [page.as_uri()]
    assert browser.console() == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", [*PAGES, "index"])
def test_nothing_is_wider_than_a_small_phone(
    browser: Browser, folder: Path, name: str, scheme: str
):
    """No scrolling sideways at 320 px, which is also 1280 px at 400 % (WCAG 1.4.10)."""
    browser.show(folder / f"{name}.html", width=320, scheme=scheme)
    assert browser.run("return document.documentElement.scrollWidth") <= 320


@pytest.mark.parametrize("name", ["sample", "usual", "year", "no-history"])
def test_a_phones_first_screen_answers_the_week(browser: Browser, folder: Path, name: str):
    """Diameter, gouge, how sure and for which week stand on 360 by 640 px without scrolling."""
    browser.show(folder / f"{name}.html", width=360, height=640)
    for part in (".big", ".second", ".sure", ".when"):
        bottom = browser.run(
            "return document.querySelector(arguments[0]).getBoundingClientRect().bottom", part
        )
        assert 0 < bottom <= 640, part


@pytest.mark.parametrize("part", ["h-season", "h-gouger-1"])
def test_a_phone_shows_more_of_a_table_than_its_days(browser: Browser, folder: Path, part: str):
    """At 360 px a figure or two stand beside the day without scrolling."""
    browser.show(folder / "sample.html", width=360)
    seen = browser.run(
        "const row = `[aria-labelledby='${arguments[0]}'] tbody tr:first-child td`;"
        "const right = cell => cell.getBoundingClientRect().right;"
        "return [...document.querySelectorAll(row)].filter(cell => right(cell) <= 360).length",
        part,
    )
    assert seen >= 2


CUT = """
const cut = [];
for (const svg of document.querySelectorAll("svg")) {
  const frame = svg.getBoundingClientRect();
  if (!frame.width) continue;
  for (const text of svg.querySelectorAll("text")) {
    const box = text.getBoundingClientRect();
    if (box.left < frame.left - 8 || box.right > frame.right + 8 ||
        box.top < frame.top - 2 || box.bottom > frame.bottom + 2)
      cut.push(text.textContent + " at " + [box.left, box.top, box.right, box.bottom].join());
    if (box.height < 9) cut.push(text.textContent + " is only " + box.height + " px high");
  }
}
return cut;
"""


@pytest.mark.parametrize("width", [320, 640, 1000])
@pytest.mark.parametrize("name", ["usual", "one-week", "year", "review"])
def test_no_word_of_a_picture_is_cut_off(browser: Browser, folder: Path, name: str, width: int):
    """Every word lies within its picture, in a size that can be read."""
    browser.show(folder / f"{name}.html", width=width)
    assert browser.run(CUT) == []


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
@pytest.mark.parametrize("name", ["usual", "one-week", "year", "no-history"])
def test_the_bench_sheets_are_two_at_most(
    browser: Browser, folder: Path, tmp_path: Path, name: str, paper: str, size: tuple[float, float]
):
    """Weeks table and checklist print on one or two sheets, the table on one of them."""
    browser.show(folder / f"{name}.html", scheme="dark")
    sheets = browser.printed(tmp_path / f"{paper}.pdf", size)
    table = [i for i, sheet in enumerate(sheets) if "judged in week of" in sheet]
    start = next(i for i, sheet in enumerate(sheets) if "At the bench" in sheet)
    end = next(i for i, sheet in enumerate(sheets) if "Set mouldy" in sheet)
    assert len(table) == 1
    assert max(end, *table) - min(start, *table) < 2
    assert end == start
    first = sheets[0]
    assert "mm" in first
    assert "The weeks ahead" in first


def test_a_review_prints_without_an_empty_sheet(browser: Browser, folder: Path, tmp_path: Path):
    """The verdict with the picture first, the weeks on a sheet of their own; none nearly empty."""
    browser.show(folder / "review.html")
    sheets = browser.printed(tmp_path / "review.pdf", A4)
    assert "Came out in range" in sheets[0]
    assert "The season at the bench" in sheets[0]
    assert "Week by week" in sheets[1]
    assert all(len(sheet.split()) > 60 for sheet in sheets)


def test_a_dark_screen_still_prints_on_white(browser: Browser, folder: Path, tmp_path: Path):
    """The paper's corner is white, and most of the sheet is."""
    browser.show(folder / "usual.html", scheme="dark")
    browser.printed(tmp_path / "page.pdf", A4)
    subprocess.run(
        [program("pdftoppm"), *ROUGH, str(tmp_path / "page.pdf"), str(tmp_path / "page")],
        check=True,
    )
    picture = next(tmp_path.glob("page*.pgm")).read_bytes()
    pixels = picture.split(b"\n", 3)[3]
    assert pixels[0] == 255
    assert sum(pixel > 200 for pixel in pixels) > 0.7 * len(pixels)


def test_the_keyboard_reaches_what_can_be_moved(browser: Browser, folder: Path):
    """The way past the head comes first, then every table that may have to be scrolled."""
    browser.show(folder / "usual.html", width=320)
    order = browser.run(
        "return [...document.querySelectorAll('a[href], [tabindex], summary')]"
        ".map(e => e.className || e.localName)"
    )
    assert order[0] == "skip"
    assert order.count("scroll") == browser.run(
        "return [...document.querySelectorAll('table')]"
        ".filter(e => e.closest('.scroll')?.tabIndex === 0).length"
    )
    browser.run("document.querySelector('.skip').focus()")
    box = browser.run("return document.querySelector('.skip').getBoundingClientRect().toJSON()")
    assert box["top"] >= 0
    assert box["height"] >= 24


def test_nothing_that_a_maker_typed_runs(browser: Browser, tmp_path: Path):
    """Scripts in every text field: no dialog, no element, no message but text."""
    document = hostile(invented.plan_document())
    gouger = hostile(invented.gouge_document())
    html = render_plan(document, gouger=gouger, history=invented.history(), **MADE)  # type: ignore[arg-type]
    write_page(html, tmp_path / "hostile.html")
    browser.console()
    browser.show(tmp_path / "hostile.html")
    assert browser.run("return document.querySelectorAll('script, img, [onerror]').length") == 0
    assert browser.console() == []
    assert browser.run("return document.body.innerText").count('alert("1")') > 40


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
def test_no_sheet_is_nearly_empty(
    browser: Browser, tmp_path: Path, paper: str, size: tuple[float, float]
):
    """The sample's page: no sheet for the sake of a line or two; the last may be what is left."""
    browser.show(SAMPLE)
    sheets = browser.printed(tmp_path / f"{paper}.pdf", size)
    lines = [len([line for line in sheet.splitlines() if line.strip()]) for sheet in sheets]
    assert min(lines[:-1]) >= 12, lines
    assert lines[-1] >= 3, lines
