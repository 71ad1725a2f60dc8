"""The gouger of the sample, as the command answers."""

from dataclasses import fields
from datetime import date
from pathlib import Path

import pytest

from planner.commands.gouge import gouge, to_json_dict
from planner.demo import TODAY
from planner.errors import WrongUse
from planner.settings import Settings
from planner.watch.documents import GougeDocument, GougerState
from tests.commands.bench_only import Row, bench_only
from tests.workshops import own_copy


@pytest.fixture(scope="module")
def settings(bench: Path, tmp_path_factory: pytest.TempPathFactory) -> Settings:
    """The sample's bench."""
    return own_copy(bench, tmp_path_factory.mktemp("gouge"))


def test_the_samples_gouger_creeps_thicker(settings: Settings):
    """Its truth: 0.0008 mm a week thicker since it was sharpened on 22 June 2026."""
    document = gouge(settings, today=TODAY)
    (state,) = document.gougers
    assert (state.gouger, state.restart) == ("beech", date(2026, 6, 22))
    assert state.state == "thick"
    assert state.drift_mm_per_week.p10 < 0.0008 < state.drift_mm_per_week.p90
    assert state.now_mm.p10 < 0.590 + 0.0008 * 22 < state.now_mm.p90 + 0.004
    assert (document.low_mm, document.target_mm, document.high_mm) == (0.56, 0.59, 0.62)


def test_as_of_a_day_nothing_later_counts(settings: Settings):
    """The day before it was sharpened."""
    (state,) = gouge(settings, today=date(2026, 6, 21)).gougers
    assert state.last_check <= date(2026, 6, 21)
    assert state.restart == date(2025, 12, 15)


def test_a_gouger_can_be_asked_for_by_name(settings: Settings):
    """Whatever the case; an unknown one is told, with those that there are."""
    assert len(gouge(settings, today=TODAY, gouger=" BEECH").gougers) == 1
    with pytest.raises(WrongUse, match=r'No check names the gouger "oak"; there are: beech\.'):
        gouge(settings, today=TODAY, gouger="oak")
    assert gouge(settings, today=date(2000, 1, 1), gouger="oak").gougers == ()


def test_how_often_to_check_goes_by_what_is_gouged_a_week(settings: Settings):
    """The reeds wanted and the pieces that each takes; fewer pieces ask for more checks."""
    (usual,) = gouge(settings, today=TODAY).gougers
    (strict,) = gouge(settings, today=TODAY, within_pieces=30).gougers
    assert usual.frequency.pieces_per_week > 20
    assert usual.frequency.within_pieces == round(usual.frequency.pieces_per_week)
    assert strict.frequency.within_pieces == 30
    often, seldom = (
        s.frequency.checks_per_week * s.frequency.pieces_a_check for s in (strict, usual)
    )
    assert often >= seldom


def test_the_answer_in_json_has_the_fields_of_the_document(settings: Settings):
    """Days as ISO 8601, lengths to a ten-thousandth of a mm."""
    answer = to_json_dict(gouge(settings, today=TODAY))
    assert answer.keys() == {field.name for field in fields(GougeDocument)}
    (state,) = answer["gougers"]
    assert state.keys() == {field.name for field in fields(GougerState)}
    assert state["restart"] == "2026-06-22"
    assert state["now_mm"]["p50"] == round(state["now_mm"]["p50"], 4)


def test_no_check_at_all_is_no_fault(tmp_path: Path):
    """An empty chart, no warning."""

    def without_checks(table: str, row: Row) -> Row | None:
        return None if table == "checks" else row

    document = gouge(bench_only(tmp_path, without_checks), today=TODAY)
    assert (document.gougers, document.warnings) == ((), ())
