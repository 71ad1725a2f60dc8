"""The room's page and its words: whole, closed to the world, and true to what was found."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from planner.air.days import Days
from planner.report.figures import RoomShown
from planner.report.room_page import render_room
from planner.report.room_words import (
    found_sentences,
    mind_sentences,
    rests_on,
    room_warnings,
    wanted_sentences,
)
from planner.room.findings import Findings, Range, RoomKnown, WeekRead
from planner.room.hygrometers import Disagreement
from planner.room.knowledge import RoomKnowledge
from planner.room.model import fit_room
from planner.room.reach import COOLED, UNHEATED, Beyond
from planner.room.readings import Readings
from planner.room.wanted import SeasonDoubt
from tests.report import invented
from tests.report.every_page import *  # noqa: F403  every page is asked the same
from tests.report.page_walk import Page, plain, walk

TODAY = date(2026, 11, 23)
NOTHING_SHOWN = RoomShown("Quillhaven", (), (), (), ())


def usual() -> RoomKnown:
    """A heated room with a humidifier, read on 90 days of winter."""
    learned = {"from_readings": 0.9}
    found = Findings(
        excess_cold=Range(2.1, 2.4, 2.8, **learned),
        excess_mild=Range(-0.2, 0.6, 1.4, from_readings=0.1),
        set_point=Range(19.6, 20.2, 20.7, **learned),
        lag=Range(0.7, 1.1, 1.6, **learned),
        floor=Range(33.0, 35.0, 37.0, **learned),
        ceiling=None,
        days_read=90,
        days_with_temperature=90,
        misfit=2.4,
        beyond=(),
        apart=None,
    )
    weeks = tuple(
        WeekRead(date(2026, 9, 7) + timedelta(days=7 * i), 5, 40.0 + i, 41.0 + i) for i in range(11)
    )
    doubts = (SeasonDoubt(15.0, None, 80, 6.2), SeasonDoubt(None, 5.0, 100, 1.4))
    known = RoomKnowledge(humidify_to_pct=35.0)
    return RoomKnown(TODAY, "Quillhaven", known, found, 120, weeks, doubts)


def bare() -> RoomKnown:
    """A room without readings."""
    nothing = replace(usual().found, days_read=0, days_with_temperature=0, floor=None)
    return replace(usual(), found=nothing, readings=0, weeks=(), doubts=())


def beyond() -> RoomKnown:
    """A cellar with a cooler, two hygrometers that differ, and no temperature noted."""
    found = replace(
        usual().found,
        beyond=(Beyond(UNHEATED, said=False, days_read=90), Beyond(COOLED, said=True, days_read=0)),
        apart=Disagreement(4, 6.3),
        days_with_temperature=0,
    )
    return replace(usual(), found=found, knowledge=RoomKnowledge(heated=False))


CASES: dict[str, tuple[Callable[[], RoomKnown], Callable[[], RoomShown]]] = {
    "usual": (usual, invented.room),
    "bare": (bare, lambda: NOTHING_SHOWN),
    "beyond": (beyond, lambda: invented.room(40)),
}


@pytest.fixture(scope="module", params=CASES)
def case(request: pytest.FixtureRequest) -> tuple[RoomKnown, RoomShown]:
    """Return each kind of room in turn."""
    known, shown = CASES[request.param]
    return known(), shown()


@pytest.fixture(scope="module")
def html(case: tuple[RoomKnown, RoomShown]) -> str:
    """Return its page."""
    return render_room(*case, version="0.1.0", made_at="Mon 23 Nov 2026")


@pytest.fixture(scope="module")
def page(html: str) -> Page:
    """Return the page, taken apart."""
    return walk(html)


def test_the_page_says_all_that_the_terminal_says(case, page):
    """Every sentence stands in the page."""
    known, _ = case
    told = plain(page.text)
    for sentence in (*found_sentences(known), *mind_sentences(known), *wanted_sentences(known)):
        assert plain(sentence) in told


def test_the_words_tell_what_was_found():
    """In a maker's words, with what holds the humidity and how sure each figure is."""
    told = " ".join(found_sentences(usual())).replace("\u00a0", " ")
    assert "adds about 2.4 g/m³ (2.1 to 2.8) of moisture on cold days" in told
    assert "about 0.6 g/m³ (−0.2 to 1.4, mostly a guess) on mild ones" in told
    assert "follows the outdoors within about a day" in told
    assert "A humidifier holds the humidity up to about 35 % (33 to 37)" in told
    assert "kept at about 20.2 °C" in told


def test_the_words_ask_for_the_readings_that_teach_most():
    """Warm days are known worst here; a room that is known well is told so."""
    told = " ".join(wanted_sentences(usual())).replace("\u00a0", " ")
    assert "Readings on days above 15 °C would teach the most." in told
    known_well = replace(usual(), doubts=(SeasonDoubt(None, 5.0, 100, 1.4),))
    assert "one a week keeps it so" in " ".join(wanted_sentences(known_well))
    assert "Note the temperature too" in " ".join(wanted_sentences(beyond()))


def test_what_lies_beyond_the_model_is_named():
    """What the readings show is worded as such, what was said as said; hygrometers are named."""
    told = " ".join(mind_sentences(beyond())).replace("\u00a0", " ")
    assert "at the edge of what outdoor air tells" in told
    assert "it is as cold in winter as a room that is not heated" in told
    assert "it is cooled in hot weather" in told
    assert "6 % apart (compared 4 times)" in told
    assert "hygrometer_offset_pct" in told
    assert mind_sentences(usual()) == []


def test_a_correction_that_was_given_is_said_to_be_taken_off():
    """No advice to try the hygrometers again."""
    corrected = replace(beyond(), knowledge=RoomKnowledge(hygrometer_offset_pct=3.0))
    told = " ".join(mind_sentences(corrected))
    assert "Your correction is taken off" in told
    assert "salt" not in told


def test_a_room_without_readings_says_so():
    """Guesses are called guesses."""
    assert "guesses" in rests_on(bare())


def test_a_plan_warns_of_a_room_beyond_the_model():
    """One short sentence each, and none for an ordinary room."""
    outdoor = Days(
        np.arange("2026-01-01", "2026-03-01", dtype="datetime64[D]"),
        np.full(59, 3.0),
        np.full(59, 600.0),
        np.full(59, 24),
    )
    ordinary = fit_room(Readings.none(), outdoor, RoomKnowledge())
    assert list(room_warnings("Quillhaven", ordinary)) == []
    cellar = fit_room(Readings.none(), outdoor, RoomKnowledge(heated=False, damp=True))
    apart = replace(cellar, apart=Disagreement(3, 7.0))
    told = list(room_warnings("Quillhaven", apart))
    assert len(told) == 2
    assert "not heated" in told[0]
    assert "walls give water" in told[0]
    assert "7\u00a0% apart" in told[1]


def test_what_holds_the_humidity_and_how_slow_the_room_is():
    """A limit is the machine's that the maker named, else something's; the lag in plain words."""
    ceiling = Range(52.0, 55.0, 58.0, 0.9)
    for knowledge, holder in (
        (RoomKnowledge(dehumidify_to_pct=55.0), "A dehumidifier"),
        (RoomKnowledge(), "Something"),
    ):
        found = replace(usual().found, ceiling=ceiling)
        said = plain(" ".join(found_sentences(replace(usual(), found=found, knowledge=knowledge))))
        assert f"{holder} holds it down to about 55 % (52 to 58) in damp weather." in said
    for days, words in ((0.5, "about half a day"), (1.1, "about a day"), (2.6, "about 3 days")):
        found = replace(usual().found, lag=Range(days / 2, days, 2 * days, 0.9))
        said = plain(" ".join(found_sentences(replace(usual(), found=found))))
        assert f"It follows the outdoors within {words} (" in said
