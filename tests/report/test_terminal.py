"""The plan in a terminal: aligned, within 80 columns, whatever the names."""

import pytest

from planner.plan.assemble import to_json_dict
from planner.report.layout import NARROWEST, WIDTH
from planner.report.terminal import plan_lines, week_lines
from tests.report import invented

LONG = "Oberwassermühlenbach an der Großen Quelle"


def lines_of(weeks: int, places: tuple[str, ...], width: int = WIDTH) -> list[str]:
    """The week and the plan of an invented workshop."""
    answer = to_json_dict(invented.plan_document(weeks, places))
    bench = [row for row in answer["weeks"] if row["place"] == places[0]]
    now = {"take": [row for row in answer["weeks"] if row in bench[2:3]], "finishing": bench[0]}
    return [*week_lines(answer, now, "dmy", width), *plan_lines(answer, "dmy", width)]


@pytest.mark.parametrize("weeks", [1, 12, 52])
def test_no_line_is_wider_than_a_terminal_whatever_the_names(weeks: int):
    """From one week to a year, names as long as they come."""
    places = (LONG, f"{LONG} {LONG} {LONG}", *(f"Town {number}" for number in range(8)))
    assert max(map(len, lines_of(weeks, places))) <= WIDTH


@pytest.mark.parametrize("width", [NARROWEST, 47, 60, 79])
def test_a_narrow_terminal_has_the_whole_answer_in_narrow_lines(width: int):
    """The same words, of the tables what can't be spared."""
    places = ("Aldermoor", "Oberwassermühlenbach")
    narrow, usual = (lines_of(12, places, width) for width in (width, WIDTH))
    assert max(map(len, narrow)) <= width
    assert {word for line in usual for word in line.split()} - {
        word for line in narrow for word in line.split()
    } <= {word for row in usual if "/100" in row or "room %" in row for word in row.split()}
    assert [line.split()[:2] for line in narrow if "/100" in line] == [
        line.split()[:2] for line in usual if "/100" in line
    ]


def test_with_many_places_the_rest_is_left_to_the_page():
    """And said."""
    lines = lines_of(12, tuple(f"Town {number}" for number in range(9)))
    assert "and 6 more places, on the page." in lines


def test_the_plan_says_which_week_is_taken_for_now():
    """Two weeks' lead from Wednesday 25 November: cane for 7 December; without one, no riddle."""
    answer = to_json_dict(invented.plan_document(4))
    said = " ".join(" ".join(plan_lines(answer, "dmy")).replace("\u00a0", " ").split())
    assert "their cane is sorted 14 days before: take cane for 7 Dec now. " in said
    for row in answer["weeks"]:
        row["sort_by"] = row["week_start"]
    assert next(plan_lines(answer, "dmy")).startswith("Weeks in which the reeds are judged; their")
    assert "14 days" not in " ".join(plan_lines(answer, "dmy"))
