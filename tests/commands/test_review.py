"""The review of a season as a command, on the sample's bench."""

from datetime import date, timedelta
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from planner.air.weeks import monday_of
from planner.commands.review import Reviewed, hindsight_of, review_season
from planner.commands.workshop import opened
from planner.demo import TODAY
from planner.errors import WrongUse
from planner.opening.draws import Reference
from planner.opening.model import fit_opening
from planner.opening.observations import UNJUDGED, Observations
from planner.plan.review_hindsight import Found
from planner.settings import Settings
from tests.commands.bench_only import BENCH, Row, bench_only
from tests.workshops import own_copy

FIRST, LAST = date(2026, 2, 2), date(2026, 2, 22)


@pytest.fixture(scope="module")
def settings(bench: Path, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """The sample's bench."""
    return own_copy(bench, tmp_path_factory.mktemp("review"))


@pytest.fixture(scope="module")
def told() -> list[tuple[int, int]]:
    """What the review said while it was made."""
    return []


@pytest.fixture(scope="module")
def reviewed(settings: Settings, told: list[tuple[int, int]]) -> Reviewed:
    """The review of three weeks in February."""
    return review_season(
        settings, today=TODAY, first=FIRST, last=LAST, progress=lambda *far: told.append(far)
    )


def test_every_week_is_planned_as_of_the_day_its_cane_was_sorted(reviewed: Reviewed):
    """Two weeks before; with the diameters of that time and the room that came."""
    weeks = reviewed.document.weeks
    assert [week.week_start for week in weeks] == [
        date(2026, 2, 2),
        date(2026, 2, 9),
        date(2026, 2, 16),
    ]
    for week in weeks:
        assert (week.week_start - week.planned_on).days == 14
        assert 9.5 <= week.diameter_mm.low <= week.diameter_mm.high <= 11.5
        assert 0 < week.advised_share < 1
        assert 0 < week.seen_room_rh_pct < 100
    assert reviewed.document.season == ""


def test_the_reeds_of_those_days_are_all_there(reviewed: Reviewed, settings: Settings):
    """As on record: those with a verdict or a soaked opening."""
    with opened(settings) as workshop:
        own = [reed for reed in workshop.record.reeds() if FIRST <= reed.date <= LAST]
    counted = [reed for reed in own if reed.verdict or (reed.measured or "soaked") == "soaked"]
    assert reviewed.document.reeds == len(counted) > 3
    assert sum(week.reeds for week in reviewed.document.weeks) == len(counted)


def test_it_has_its_rivals_its_scores_and_three_sentences(reviewed: Reviewed):
    """Made, usual, calendar and last year's plan, since reeds were known a year before."""
    document = reviewed.document
    assert {rival.name for rival in document.rivals} == {"made", "usual", "calendar", "last_year"}
    assert document.calibration.reeds == document.reeds
    assert document.outlook[0].weeks == 3
    assert document.room[0].place == BENCH
    assert len(document.next_season) == 3


def test_its_page_lies_beside_those_of_the_plans(reviewed: Reviewed, settings: Settings):
    """Named by its days, and listed."""
    assert reviewed.page == settings.folder / "reports" / "review-2026-02-02-2026-02-22.html"
    text = reviewed.page.read_text(encoding="utf-8")
    assert "Review from Mon\u00a02\u00a0Feb\u00a02026 to Sun\u00a022\u00a0Feb\u00a02026" in text
    index = (reviewed.page.parent / "index.html").read_text(encoding="utf-8")
    assert reviewed.page.name in index


def test_it_says_that_it_takes_a_while(reviewed: Reviewed, told: list[tuple[int, int]]):
    """Before the work begins, with how many weeks there are, and after each of them."""
    assert told == [(0, 3), (1, 3), (2, 3), (3, 3)]


def test_what_was_judged_is_known_with_hindsight(settings: Settings):
    """In every draw the reeds as made come out about as they were seen."""
    from planner.commands.learn import learn

    with opened(settings) as workshop:
        learned = learn(workshop, TODAY)
    rows = np.flatnonzero(np.isfinite(learned.observations.opening) & ~learned.observations.dry)
    rows = rows[-60:]
    seen = learned.observations.at(rows)
    found = hindsight_of(learned, learned.fit.draws(100), rows)
    expected = found.opening((seen.diameter_low + seen.diameter_high) / 2, seen.gouge)
    noted = np.isfinite(seen.gouge)
    off = (seen.opening - expected.mean(axis=0))[noted]
    assert abs(np.median(off)) < 0.02
    assert expected.std(axis=0)[noted].max() < 0.08


def test_how_unlike_lots_are_is_handed_on_as_learned(monkeypatch: pytest.MonkeyPatch):
    """Two hundred reeds of twenty lots, that differ by 0.08 mm, within a lot by 0.05 (invented)."""
    chance = np.random.default_rng(6)
    lot = np.repeat(np.arange(20), 10)
    opening = 0.82 + 0.08 * chance.normal(size=20)[lot] + 0.05 * chance.normal(size=200)
    seen = Observations(
        day=np.datetime64("2026-01-01") + np.arange(200),
        diameter_low=np.full(200, 10.5),
        diameter_high=np.full(200, 10.5),
        gouge=np.full(200, 0.59),
        moisture=np.full(200, 8.5),
        moisture_sd=np.zeros(200),
        opening=np.round(opening, 2),
        verdict=np.full(200, UNJUDGED, np.int8),
        lot=lot,
        dry=np.zeros(200, np.bool_),
        lots=tuple(str(number) for number in range(20)),
    )
    fit = fit_opening(seen, reference=Reference(10.5, 0.59, 8.5), wanted=(0.70, 0.95))
    asked: list[Found] = []
    monkeypatch.setattr(
        "planner.commands.review.hindsight", lambda _, found, *__: asked.append(found)
    )
    hindsight_of(SimpleNamespace(observations=seen, fit=fit), fit.draws(400), np.arange(200))
    assert asked[0].lot_sd == pytest.approx(0.08, rel=0.3)
    assert asked[0].reed_sd == pytest.approx(0.05, rel=0.15)


def test_of_a_season_that_goes_on_no_coming_week_is_reviewed(settings: Settings):
    """It ends in two weeks; what there is of it is planned again, and counted so."""
    told: list[tuple[int, int]] = []
    first = monday_of(TODAY)
    found = review_season(
        settings,
        today=TODAY,
        first=first,
        last=first + timedelta(days=20),
        progress=lambda *far: told.append(far),
    )
    assert [week.week_start for week in found.document.weeks] == [first]
    assert told == [(0, 1), (1, 1)]


def test_a_season_that_ends_before_it_begins_is_wrong_use(settings: Settings):
    """With the days that were asked for."""
    with pytest.raises(WrongUse, match=r"2026-03-01.*--from must not be after --to"):
        review_season(settings, today=TODAY, first=date(2026, 3, 1), last=FIRST)


def test_a_season_without_weather_and_one_without_reeds_are_reviewed_too(tmp_path: Path):
    """What was made is shown, and said to have no plan; nothing made is said, too."""

    def winter_without(table: str, row: Row) -> Row | None:
        if table == "weather":
            return None
        return None if table == "reeds" and row["date"] > "2026-02-15" else row

    bare = bench_only(tmp_path, winter_without)
    seen = review_season(bare, today=TODAY, first=FIRST, last=LAST).document
    assert seen.reeds > 0
    assert (seen.predicted_share, seen.rivals, seen.outlook) == (None, (), ())
    assert any("no weather" in note for note in seen.notes)
    empty = review_season(bare, today=TODAY, first=date(2026, 6, 1), last=date(2026, 6, 7))
    assert empty.document.verdict == "No reed was judged in this season."
    assert empty.page.is_file()
