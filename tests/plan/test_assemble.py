"""The plan as one document, and as JSON: keys to the letter, nothing lost on the way back."""

import json
import subprocess
import sys
from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from planner.opening.observations import Observations
from planner.plan.assemble import assemble, to_json_dict
from planner.plan.basis import basis
from planner.plan.documents import (
    Preparation,
    Source,
    Spell,
    StockLine,
    WorkshopLine,
    YieldLine,
)
from planner.spread import Spread

TODAY = date(2026, 11, 25)
WORKSHOP = WorkshopLine("Invented", "Bench", ("Bench", "Far"), 10.5, 0.59, 0.25, 9.5, 11.5)


@pytest.fixture
def document(advised, draws_of, coming_of):
    """A plan of two places with something in every part."""
    bench = advised([8.5, 7.0])
    far = advised([6.0, 6.0], place="Far", bench=coming_of([8.5, 7.0]))
    return assemble(
        today=TODAY,
        workshop=WORKSHOP,
        basis=basis(
            Observations.none(),
            draws_of(),
            grade="thin",
            grade_why="No reeds.",
            from_history={"diameter": 0.4},
            wanted_learned=False,
            readings=3,
            weather_years=9.96,
            season_worth="Something.",
        ),
        weeks=[*far.weeks, *bench.weeks],
        spells=[
            Spell("Far", "dry", TODAY, TODAY, 10.123456, -0.3, 2 / 3, Spread(20.0, 25.0, 30.0), "w")
        ],
        prepare=[
            Preparation(TODAY, "sort", 10.0, 10.25, None, 12, "Far", TODAY, "Sort."),
            Preparation(TODAY, "gouge", 10.0, 10.25, 0.59, 7, "Far", None, "Gouge."),
        ],
        warnings=["once", "once"],
        sources=[Source("A", "L", "T", TODAY), Source("A", "L", "T", TODAY)],
        stock=[StockLine(None, None, 1, 2, 3, 4, 12, 5, 0, 7, "unsorted")],
        yields=[YieldLine("tied", "finished", 0.6, 0.4, 0.8, 0)],
        prepare_notes=["n"],
    )


def test_the_keys_are_those_promised(document):
    """The design's example of `plan --json`, key by key."""
    answer = to_json_dict(document)
    assert {
        "schema_version", "today", "workshop", "basis", "weeks", "spells", "prepare", "warnings",
        "sources",
    } <= answer.keys()  # fmt: skip
    week = answer["weeks"][0]
    assert {
        "week_start", "place", "sort_by", "weather", "room_rh_pct", "moisture_pct", "diameter_mm",
        "gouge_mm", "in_band_share", "in_band_share_usual", "opening_mm", "why",
    } <= week.keys()  # fmt: skip
    assert week["room_rh_pct"].keys() == {"p10", "p50", "p90"}
    assert week["diameter_mm"].keys() == {"low", "best", "high"}
    assert week["gouge_mm"].keys() == {"low", "target", "high"}
    assert {"name", "licence", "attribution"} <= answer["sources"][0].keys()
    assert {"reeds", "with_mm", "grade"} <= answer["basis"].keys()
    assert (answer["schema_version"], answer["today"]) == (1, "2026-11-25")


def test_weeks_go_by_date_and_the_bench_comes_first(document):
    """Whatever the order they were made in."""
    order = [(row.week_start.isoformat(), row.place) for row in document.weeks]
    assert order == [
        ("2026-11-23", "Bench"),
        ("2026-11-23", "Far"),
        ("2026-11-30", "Bench"),
        ("2026-11-30", "Far"),
    ]


def test_a_warning_and_a_source_stand_once(document):
    """Two places with the same trouble make one line."""
    assert document.warnings == ("once",)
    assert len(document.sources) == 1


def test_figures_carry_the_digits_they_merit(document):
    """Lengths to a thousandth of a mm, shares to a tenth in 100, humidity to a tenth."""
    answer = to_json_dict(document)
    week = answer["weeks"][1]
    assert answer["spells"][0]["diameter_mm"] == 10.123
    assert answer["spells"][0]["probability"] == 0.67
    assert answer["basis"]["weather_years"] == 10.0
    assert week["in_band_share"] == round(document.weeks[1].in_band_share, 3)
    assert week["room_rh_pct"]["p50"] == round(document.weeks[1].room_rh_pct.p50, 1)
    assert week["opening_mm"]["p10"] == round(document.weeks[1].opening_mm.p10, 3)
    assert json.dumps(answer).count("-0.0,") == 0


def test_a_small_effect_keeps_its_leading_digits(document):
    """Moisture effects are some thousandths of a mm: they aren't rounded away."""
    effects = {effect["name"]: effect for effect in to_json_dict(document)["basis"]["effects"]}
    exact = {effect.name: effect for effect in document.basis.effects}
    assert effects["moisture"]["low"] == pytest.approx(exact["moisture"].low, rel=1e-3)


def test_reading_a_kept_plan_loads_nothing_heavy():
    """The bench path stands on the standard library."""
    code = (
        "import sys, planner.plan.assemble; "
        "print([m for m in ('numpy', 'scipy', 'pandas') if m in sys.modules])"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"


def test_the_basis_counts_the_history(draws_of):
    """Reeds with mm, with a verdict, first and last day, and the range that is wanted."""
    seen = replace(
        Observations.none(),
        day=np.array(["2026-01-02", "2026-03-04"], "datetime64[D]"),
        opening=np.array([0.8, np.nan]),
        verdict=np.array([2, 0], np.int8),
    )
    found = basis(
        seen,
        draws_of(),
        grade="g",
        grade_why="w",
        from_history={},
        wanted_learned=True,
        readings=0,
        weather_years=1.0,
        season_worth="s",
    )
    assert (found.reeds, found.with_mm, found.with_verdict) == (2, 1, 1)
    assert (found.first_reed, found.last_reed) == (date(2026, 1, 2), date(2026, 3, 4))
    assert (found.wanted_low_mm, found.wanted_high_mm) == (0.7, 0.9)
