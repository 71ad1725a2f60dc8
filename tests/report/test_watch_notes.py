"""What the watch noticed, on the plan's page, in its terminal lines and in its JSON object."""

import json
from dataclasses import replace
from datetime import date

from planner.commands.plan import rows_now
from planner.plan.assemble import to_json_dict
from planner.plan.documents import WatchNote
from planner.report.page import render_plan
from planner.report.terminal import plan_lines, week_lines
from planner.spread import Spread
from planner.watch.documents import Cause, RunNote
from tests.report import invented
from tests.report.invented import MADE
from tests.report.page_walk import plain, walk

RUN = RunNote(
    kind="closed",
    since=date(2026, 11, 2),
    last=date(2026, 11, 20),
    reeds=14,
    off_mm=Spread(-0.0812, -0.06, -0.04),
    left_mm=Spread(-0.05, -0.03, -0.01),
    followed=False,
    causes=(Cause("level", 0.62, ""), Cause("lot", 0.38, "26-4")),
    correction_mm=-0.14,
    diameter_mm=10.21,
    class_low_mm=10.0,
    class_high_mm=10.25,
)
NOTES = (
    WatchNote("openings", "The reeds came out too closed.", RUN),
    WatchNote("gouger", "The gouger is thinner than aimed.", None),
)
PLAN = replace(invented.plan_document(), watch=NOTES)


def test_the_page_tells_them_before_the_weeks():
    """Under a heading of their own; without notes there is none."""
    text = plain(walk(render_plan(PLAN, **MADE)).text)
    assert text.index("Noticed") < text.index(NOTES[0].words) < text.index(NOTES[1].words)
    assert text.index(NOTES[1].words) < text.index("The weeks ahead")
    assert "Noticed" not in render_plan(replace(PLAN, watch=()), **MADE)


def test_week_and_plan_tell_them_in_a_terminal():
    """Labelled; without notes there is no line."""
    answer = to_json_dict(PLAN)
    silent = to_json_dict(replace(PLAN, watch=()))
    for lines, none in (
        (week_lines(answer, rows_now(answer), "dmy"), week_lines(silent, rows_now(silent), "dmy")),
        (plan_lines(answer, "dmy"), plan_lines(silent, "dmy")),
    ):
        told = list(lines)
        assert f"Run         {NOTES[0].words}" in told
        assert f"Gouger      {NOTES[1].words}" in told
        assert not any(line.startswith(("Run ", "Gouger ")) for line in none)


def test_they_are_in_the_json_object():
    """Rounded as lengths and shares are."""
    answer = json.loads(json.dumps(to_json_dict(PLAN)))
    run = answer["watch"][0]["run"]
    assert run["since"] == "2026-11-02"
    assert run["off_mm"] == {"p10": -0.081, "p50": -0.06, "p90": -0.04}
    assert run["causes"][1] == {"name": "lot", "share": 0.38, "what": "26-4"}
    assert answer["watch"][1] == {"about": "gouger", "words": NOTES[1].words, "run": None}
