"""Lines typed at the bench: what each says."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.history.quick import EXAMPLES, BadLine, cells_of_line
from planner.history.tables import TABLES

PLACES = ("Bench Town", "Riga")


def says(table: str, line: str) -> dict[str, str]:
    """The cells of a line."""
    return cells_of_line(TABLES[table], line, PLACES)


@pytest.mark.parametrize(
    ("line", "cells"),
    [
        ("10.3 0.58 0.82", {"diameter_mm": "10.3", "gouge_mm": "0.58", "opening_mm": "0.82"}),
        ("10,3 0,58 good", {"diameter_mm": "10,3", "gouge_mm": "0,58", "verdict": "good"}),
        (
            "10-10.5 good",
            {"diameter_low_mm": "10", "diameter_high_mm": "10.5", "verdict": "good"},
        ),
        ("10.3 g", {"diameter_mm": "10.3", "verdict": "good"}),
        ("10.3 - 0.82", {"diameter_mm": "10.3", "gouge_mm": "-", "opening_mm": "0.82"}),
        (
            "10.3 .58 .82 dry open",
            {
                "diameter_mm": "10.3",
                "gouge_mm": ".58",
                "opening_mm": ".82",
                "measured": "dry",
                "verdict": "open",
            },
        ),
        (
            'lot="A 23" place=riga date=2026-11-02 rh=45 10.3 - .8 # new knife, #2',
            {
                "note": "new knife, #2",
                "lot": "A 23",
                "place": "riga",
                "date": "2026-11-02",
                "room_rh_pct": "45",
                "diameter_mm": "10.3",
                "gouge_mm": "-",
                "opening_mm": ".8",
            },
        ),
        ("Riga lot=B", {"place": "Riga", "lot": "B"}),
        ("lot=", {"lot": ""}),
        ("yesterday", {"date": "yesterday"}),
        ("gouge=0.58 10.3 0.82", {"gouge_mm": "0.58", "diameter_mm": "10.3", "opening_mm": "0.82"}),
    ],
)
def test_a_line_of_a_reed(line: str, cells: dict[str, str]):
    """By place, by meaning or by name."""
    if line.startswith('lot="A'):
        line = line.replace("rh=", "room_rh_pct=")
    assert says("reeds", line) == cells


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("10.3 0.8", "Is 0.8 the gouge or the opening?"),
        ("10.3 foo", '"foo" is not understood'),
        ("10.3 0.58 0.82 0.9", "4 numbers are too many"),
        ("colour=red", '"colour" is no column; the columns are date, place, lot'),
        ("lot=A lot=B", "lot is said twice"),
        ("10-10.5 0.58 0.82 0.9", "one number too many"),
        ("10.3 0.58 0.82 " + "9" * 400, "4 numbers are too many"),
    ],
)
def test_a_line_that_can_be_read_two_ways_or_none_is_refused(line: str, words: str):
    """The question is asked, nothing is guessed."""
    with pytest.raises(BadLine) as refused:
        says("reeds", line)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    ("table", "line", "cells"),
    [
        ("checks", "0.59", {"centre_mm": "0.59"}),
        (
            "checks",
            "0.59 0.58 0.57 sharpened",
            {"event": "sharpened", "centre_mm": "0.59", "left_mm": "0.58", "right_mm": "0.57"},
        ),
        ("checks", "set gouger=old", {"event": "set", "gouger": "old"}),
        (
            "cane",
            "supplier tube 10-10.5 40",
            {
                "from_stage": "supplier",
                "to_stage": "tube",
                "diameter_low_mm": "10",
                "diameter_high_mm": "10.5",
                "pieces": "40",
            },
        ),
        ("cane", "tied finished 5", {"from_stage": "tied", "to_stage": "finished", "pieces": "5"}),
        ("readings", "45", {"rh_pct": "45"}),
        ("readings", "21.5 45", {"temperature_c": "21.5", "rh_pct": "45"}),
        ("readings", "45% 21.5", {"rh_pct": "45%", "temperature_c": "21.5"}),
        ("readings", "08:15 45", {"time": "08:15", "rh_pct": "45"}),
        ("readings", "2026-11-02T08:15 45", {"time": "2026-11-02T08:15", "rh_pct": "45"}),
        ("orders", "2026-11-30 12", {"week_start": "2026-11-30", "reeds": "12"}),
        ("orders", "8 riga", {"reeds": "8", "place": "Riga"}),
    ],
)
def test_a_line_of_another_table(table: str, line: str, cells: dict[str, str]):
    """Each has its own order of numbers."""
    assert says(table, line) == cells


@pytest.mark.parametrize("table", ["readings", "orders"])
@pytest.mark.parametrize("line", ["#0", "45 # by the window"])
def test_a_note_where_none_is_kept_is_refused(table: str, line: str):
    """Rather than lost; an empty one is none."""
    with pytest.raises(BadLine, match=f"{table.capitalize()} keep no note"):
        says(table, line)
    assert says(table, "45 #") == says(table, "45")


@pytest.mark.parametrize("table", EXAMPLES)
def test_the_examples_shown_are_understood(table: str):
    """What the prompt shows works as it stands."""
    for line in EXAMPLES[table].replace(" then ", " or ").split(" or "):
        assert says(table, line.strip())


@given(table=st.sampled_from(list(TABLES)), line=st.text(max_size=60))
def test_any_line_gives_cells_or_a_sentence(table: str, line: str):
    """Whatever a cat types."""
    try:
        cells = says(table, line)
    except BadLine as refused:
        told = str(refused)
    else:
        told = ""
        assert set(cells) <= {column.name for column in TABLES[table].columns}
    assert told == "" or told.endswith((".", "verdict."))
