"""The plan in a terminal: aligned, within 80 columns, whatever the names."""

import pytest

from planner.plan.assemble import to_json_dict
from planner.report.terminal import LABEL, WIDTH, fitted, labelled, plan_lines, table, week_lines
from tests.report import invented

LONG = "Oberwassermühlenbach an der Großen Quelle"


def test_a_paragraph_stands_beside_its_label():
    """And wraps beneath itself."""
    lines = labelled("Take", "word " * 30)
    assert lines[0].startswith("Take        word")
    assert all(line.startswith(" " * LABEL + "word") for line in lines[1:])
    assert max(map(len, lines)) <= WIDTH


@pytest.mark.parametrize("label", ["Twelve signs", LONG])
def test_a_long_label_never_runs_into_its_text(label: str):
    """It has a line of its own."""
    assert labelled(label, "word") == [label, " " * LABEL + "word"]


def test_a_label_without_a_text_stands_alone():
    """Nothing is lost."""
    assert labelled("Spells", "") == ["Spells"]


def test_a_name_wider_than_the_terminal_is_cut_and_says_so():
    """Eighty signs fit, eighty-one don't."""
    assert fitted("x" * 80) == "x" * 80
    assert fitted("x" * 81) == "x" * 79 + "…"


def test_columns_line_up():
    """The first to the left, the others to the right, nothing after the last."""
    assert table(("a", "bb"), [("long", "1"), ("x", "22")]) == ["a     bb", "long   1", "x     22"]


def lines_of(weeks: int, places: tuple[str, ...]) -> list[str]:
    """The week and the plan of an invented workshop."""
    answer = to_json_dict(invented.plan_document(weeks, places))
    bench = [row for row in answer["weeks"] if row["place"] == places[0]]
    now = {"take": [row for row in answer["weeks"] if row in bench[2:3]], "finishing": bench[0]}
    return [*week_lines(answer, now, "dmy"), *plan_lines(answer, "dmy")]


@pytest.mark.parametrize("weeks", [1, 12, 52])
def test_no_line_is_wider_than_a_terminal_whatever_the_names(weeks: int):
    """From one week to a year, names as long as they come."""
    places = (LONG, f"{LONG} {LONG} {LONG}", *(f"Town {number}" for number in range(8)))
    assert max(map(len, lines_of(weeks, places))) <= WIDTH


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
