"""The plan's page: whole, closed to the world, escaped, and true to the plan."""

import re
from dataclasses import fields, is_dataclass, replace
from datetime import date
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from planner.errors import RecordFull
from planner.plan.documents import Basis, PlanDocument
from planner.report import words
from planner.report.environment import environment
from planner.report.figures import HistoryShown, JudgedReed
from planner.report.page import MOST_BYTES, render_plan, write_page
from planner.report.plan_view import in_one, reasons_of
from planner.spread import Spread
from tests.report import invented
from tests.report.every_page import *  # noqa: F403  every page is asked the same
from tests.report.invented import MADE, everything
from tests.report.page_walk import Page, plain, walk

HOSTILE = '<script>alert("1")</script><img src=x onerror=alert(2)>&"\'{{ 7 * 7 }}\x00'


def many(count: int) -> tuple[str, ...]:
    """Return the names of so many places."""
    return (invented.BENCH, *(f"Town {number}" for number in range(1, count)))


NO_HISTORY = replace(
    invented.BASIS,
    reeds=0,
    with_mm=0,
    with_verdict=0,
    first_reed=None,
    last_reed=None,
    grade="none",
    grade_why="Nothing is known of your reeds yet.",
    readings=0,
)

PAGES = {
    "usual": lambda: everything(invented.plan_document()),
    "one week": lambda: everything(invented.plan_document(1, ("Aldermoor",))),
    "a year": lambda: everything(invented.plan_document(52, ("Aldermoor",))),
    "fifty places": lambda: everything(invented.plan_document(12, many(50))),
    "no history": lambda: render_plan(
        invented.plan_document(basis=NO_HISTORY, stock=(), yields=(), trials=()), **MADE
    ),
    "nothing": lambda: render_plan(
        invented.plan_document(0, spells=(), prepare=(), sources=(), same_cane=()), **MADE
    ),
}


@pytest.fixture(scope="module", params=PAGES)
def html(request: pytest.FixtureRequest) -> str:
    """Return each kind of page in turn."""
    return PAGES[request.param]()


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    """Return each kind of page, walked through."""
    return walk(html)


def test_the_head_says_what_a_reader_needs(page: Page):
    """Language, character set first, title with place and day, one heading of the first rank."""
    assert page.one("html").attributes["lang"] == "en"
    assert page.all("meta")[0].attributes == {"charset": "utf-8"}
    assert page.meta("viewport") == "width=device-width, initial-scale=1"
    assert page.meta("date") == "2026-11-25"
    assert plain(page.one("head").text).startswith(
        "Reeds at the Old Ropewalk: cane and gouge from Wed 25 Nov 2026"
    )
    assert len(page.all("h1")) == 1
    assert [element.name for element in page.all("header", "main", "footer")] == [
        "header",
        "main",
        "footer",
    ]


@pytest.mark.parametrize(("weeks", "places"), [(52, 50), (26, 20), (12, 13)])
def test_very_large_plans_keep_every_place(weeks: int, places: int):
    """A page of many places says less of each, but leaves none out."""
    document = invented.plan_document(weeks, many(places))
    html = everything(document)
    assert len(html.encode()) < MOST_BYTES
    for name in document.workshop.places:
        assert name in html


def test_the_same_plan_gives_the_same_bytes():
    """Deterministic, so that a committed page can be checked to be current."""
    assert everything(invented.plan_document()) == everything(invented.plan_document())


def test_this_week_comes_first():
    """The cane to sort now is that of the week two weeks on, with its share and its days."""
    page = walk(everything(invented.plan_document()))
    text = plain(page.text)
    week = invented.advice(2)
    first = text[: text.index("The weeks ahead")]
    assert plain(words.bare_span(week.diameter_mm.low, week.diameter_mm.high)) in first
    assert f"gouge {plain(words.fine_mm(week.gouge_mm.target))}" in first
    assert plain(words.in_100(week.in_band_share)) in first
    assert "judged in the week of Mon 7 Dec 2026; sort by Mon 23 Nov 2026" in first
    assert "Being finished this week: cane of 10.29–10.54 mm" in first


def test_a_plan_that_is_too_short_says_so():
    """One week ahead, two weeks from sorting to finishing: nothing to sort can be told."""
    text = plain(walk(everything(invented.plan_document(1, ("Aldermoor",)))).text)
    assert "For the reeds being finished this week" in text
    assert "plan more weeks to see what to sort" in text


def test_without_weeks_the_page_says_that_there_is_nothing():
    """And still tells the warnings and the cautions."""
    text = plain(walk(PAGES["nothing"]()).text)
    assert "Nothing to take yet" in text
    assert "Cautions" in text


def test_without_a_history_the_page_says_what_it_rests_on():
    """A newcomer is told that the figures are general experience."""
    text = plain(walk(PAGES["no history"]()).text)
    assert "There are no judged reeds yet. The figures rest on general experience" in text


@pytest.mark.parametrize(
    ("order", "day"),
    [("dmy", "Mon 7 Dec 2026"), ("mdy", "Mon Dec 7 2026"), ("ymd", "Mon 2026-12-07")],
)
def test_days_are_in_the_workshops_order(order: str, day: str):
    """The order of the settings, on the whole page."""
    html = render_plan(invented.plan_document(), dates=order, **MADE)
    others = {"Mon 7 Dec 2026", "Mon Dec 7 2026", "Mon 2026-12-07"} - {day}
    text = plain(walk(html).text)
    assert day in text
    assert not [other for other in others if other in text]


def test_degrees_are_metric_and_fahrenheit_where_it_is_asked_for():
    """Own arithmetic: 20.1 °C are 68.2 °F; never Fahrenheit alone."""
    celsius, both = (
        plain(walk(render_plan(document, rooms=invented.ROOMS, fahrenheit=asked, **MADE)).text)
        for document, asked in ((invented.plan_document(), False), (invented.plan_document(), True))
    )
    assert "20.1 °C" in celsius
    assert "°F" not in celsius
    assert "20.1 °C (68.2 °F)" in both


def test_last_season_is_told_by_quarters():
    """Own arithmetic: 31 good of 47 are 66 in 100; without judged reeds there is no such part."""
    text = plain(walk(everything(invented.plan_document())).text)
    assert "The last year" in text
    assert "Thu 27 Nov 2025 to Wed 25 Feb 2026471431266" in text.replace("\n", "")
    assert "The last year" not in plain(walk(PAGES["no history"]()).text)


def test_the_rooms_say_what_they_are_taken_to_be():
    """Heating, what holds the humidity, and what stands on readings."""
    text = plain(walk(everything(invented.plan_document())).text)
    rooms = text[text.index("What the rooms are taken to be") :]
    assert "up to 40 %" in rooms
    assert "not heated" in rooms
    assert "cooled in summer: readings needed then" in rooms
    assert "none" in rooms


def test_reasons_that_differ_in_figures_alone_are_one():
    """Own example: three weeks of one winter, then another reason."""
    assert in_one(["Room about 26 %, gouge 0.59.", "Room about 24 %, gouge 0.58."]) == (
        "Room about 24–26 %, gouge 0.58–0.59."
    )
    assert in_one(["0.10 mm", "0.06 mm", "0.08 mm"]) == "0.06–0.10 mm"
    assert in_one(["As ever."]) == "As ever."
    weeks = tuple(
        replace(invented.advice(i), why=why)
        for i, why in enumerate(["Room 26 %.", "Room 24 %.", "Usual cane.", "Room 25 %.", " "])
    )
    assert [(r.first_week.day, r.last_week.day, r.why) for r in reasons_of(weeks)] == [
        (23, 30, "Room 24–26 %."),
        (7, 7, "Usual cane."),
        (14, 14, "Room 25 %."),
    ]


def test_a_history_says_how_well_the_model_agrees():
    """Own arithmetic: 15 of 20 measured reeds within; verdicts alone don't count."""
    band = Spread(0.7, 0.8, 0.9)
    reeds = [JudgedReed(invented.TODAY, 0.8 if i < 15 else 0.95, "", band) for i in range(20)]
    told = HistoryShown([*reeds, JudgedReed(invented.TODAY, None, "good", band)], 0.7, 0.9).words
    assert told.startswith("Of 20\u00a0measured reeds shown, 75 in\u00a0100 lie within the band")
    assert HistoryShown(reeds[:19], 0.7, 0.9).words == ""


def test_nothing_that_a_reader_needs_is_left_off_the_paper():
    """Only the gouger's earlier checks fold away: the last six are printed, and the picture."""
    page = walk(everything(invented.plan_document()))
    assert [plain(e.text) for e in page.all("summary")] == ["34 checks before these"]
    rows = [e for e in page.all("tr") if "details" not in e.around and "0.583–0.597" in e.text]
    assert len(rows) == 6
    assert plain(page.text).count(invented.advice(0, "Highmere").why) >= 2


def shown(value: float, decimals: int) -> str:
    """Return a figure as the page writes it."""
    return words.number(value, decimals)


def figures_of(document: PlanDocument) -> set[str]:
    """Return every figure of a plan as it should be read on its page."""
    found: set[str] = set()
    for week in document.weeks:
        for diameter in ("low", "best", "high"):
            found.add(shown(getattr(week.diameter_mm, diameter), 2))
        found.add(words.fine(week.gouge_mm.target))
        found.add(words.fine_span(week.gouge_mm.low, week.gouge_mm.high))
        found |= {shown(100 * s, 0) for s in (week.in_band_share, week.in_band_share_usual)}
        spreads = [(week.opening_mm, 2), (week.room_rh_pct, 0), (week.moisture_pct, 1)]
        if week.bench_opening_mm:
            spreads.append((week.bench_opening_mm, 2))
        for spread, decimals in spreads:
            found |= {shown(getattr(spread, f.name), decimals) for f in fields(spread)}
        found |= {words.day(week.week_start), words.short_day(week.sort_by)}
        found |= {week.why, words.weather_word(week.weather)}
    steps = {"diameter": document.workshop.sorted_to_mm, "gouge": 0.01, "moisture": 1.0}
    for effect in document.basis.effects:
        step = steps[effect.name]
        found |= {words.signed(step * v, 3) for v in (effect.estimate, effect.low, effect.high)}
        found.add(words.percent(100 * effect.from_history))
    for spell in document.spells:
        found |= {words.mm(spell.diameter_mm), spell.words}
        found |= {words.day(spell.first_week), words.in_100(spell.probability)}
    for task in document.prepare:
        found |= {words.day(task.by), words.span(task.diameter_low_mm, task.diameter_high_mm)}
        found.add(words.counted(task.pieces, "piece"))
    for line in document.stock:
        found |= {str(line.tubes), str(line.split), str(line.gouged), str(line.tied)}
        found |= {line.words} if line.surplus_pieces else set()
        found |= {str(line.at_hand_pieces), str(line.needed_pieces), str(line.surplus_pieces)}
    for source in document.sources:
        found |= {source.attribution, source.licence}
    found |= {*document.warnings, *document.trials, *document.basis.notes}
    found |= {*document.prepare_notes}
    found |= {cane.words for cane in document.same_cane}
    return {plain(figure) for figure in found}


def test_every_figure_of_the_plan_is_on_its_page():
    """Nothing that the plan knows is kept from the reader."""
    document = invented.plan_document()
    text = plain(walk(everything(document)).text)
    figures = figures_of(document)
    assert len(figures) > 150
    assert sorted(figure for figure in figures if figure not in text) == []


def hostile(value: object) -> object:
    """Return a document with every text in it made hostile."""
    if isinstance(value, str):
        return value + HOSTILE
    if isinstance(value, tuple):
        return tuple(hostile(item) for item in value)
    if is_dataclass(value) and not isinstance(value, type):
        keep = {"kind", "weather", "event", "state", "leaves", "finding", "verdict"}
        return replace(
            value,
            **{
                f.name: hostile(getattr(value, f.name))
                for f in fields(value)
                if f.init and f.name not in keep
            },
        )
    return value


def test_whatever_a_maker_typed_is_only_text():
    """Scripts in every text field of every document: none becomes an element."""
    document = hostile(invented.plan_document())
    gouger = hostile(invented.gouge_document())
    history = hostile(invented.history())
    html = render_plan(document, gouger=gouger, history=history, **MADE)  # type: ignore[arg-type]
    page = walk(html)
    assert not page.all("script", "img")
    assert not [e for e in page.elements if any(key.startswith("on") for key in e.attributes)]
    assert page.text.count('<script>alert("1")</script>') > 40
    assert "49" not in re.findall(r"&(?:quot|#34);.{0,6}49", html)
    assert "\x00" not in html


def test_a_template_never_shows_what_it_wasnt_given():
    """A slip in a template is an error, not a gap in the page."""
    with pytest.raises(UndefinedError):
        environment().from_string("{{ nothing.here }}").render()


def test_a_page_is_written_whole(tmp_path: Path):
    """The folder is made; nothing but the page is left in it."""
    path = tmp_path / "reports" / "plan.html"
    write_page("first", path)
    write_page("second é", path)
    assert path.read_text(encoding="utf-8") == "second é"
    assert [entry.name for entry in path.parent.iterdir()] == ["plan.html"]


def test_a_page_that_cannot_be_written_leaves_the_old_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """No space while writing: the page of before stands, no draft lies about."""
    path = tmp_path / "plan.html"
    write_page("first", path)

    def full(*given: object, **named: object) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_text", full)
    with pytest.raises(
        RecordFull, match=r"plan\.html can't be written \(No space left on device\)"
    ):
        write_page("second", path)
    assert path.read_text(encoding="utf-8") == "first"
    assert [entry.name for entry in tmp_path.iterdir()] == ["plan.html"]


def test_a_folder_that_is_a_file_is_told(tmp_path: Path):
    """Something lies where the folder should be."""
    (tmp_path / "reports").write_text("a file", encoding="utf-8")
    with pytest.raises(RecordFull, match=r"can't be written \(File exists\)"):
        write_page("page", tmp_path / "reports" / "plan.html")


def test_the_basis_learned_from_verdicts_says_so():
    """Where the wanted range isn't set it is said that it was learned."""
    basis: Basis = replace(invented.BASIS, wanted_learned=True)
    text = plain(walk(everything(invented.plan_document(basis=basis))).text)
    assert "0.70–0.90 mm (learned from your verdicts)" in text


def test_an_old_forecast_is_told_before_the_weeks():
    """Warnings stand above the picture."""
    text = plain(walk(everything(invented.plan_document())).text)
    assert text.index("The forecast is from Mon 23 Nov 2026, two days old.") < text.index(
        "The weeks ahead"
    )
    assert date(2026, 11, 23) == invented.MONDAY
