"""Lines of a terminal: labels, tables, and what gives way where it is narrow."""

import pytest

from planner.report.layout import (
    LABEL,
    NARROWEST,
    WIDTH,
    Columns,
    Name,
    Said,
    Sentence,
    fitted,
    flowing,
    labelled,
    laid,
    table,
)

LONG = "Oberwassermühlenbach an der Großen Quelle"
SHOWN = Columns(
    ("place", "take mm", "room %", "weather"),
    (("Aldermoor", "10.00–10.25", "22–34", "past years"),),
    spare=("weather", "room %"),
    names=("place",),
)


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


def test_beside_a_label_there_must_be_room():
    """Else the text stands below, and takes the width."""
    assert labelled("Take", "word " * 12, LABEL + 32)[0].startswith("Take        word")
    lines = labelled("Take", "word " * 12, LABEL + 31)
    assert lines[0] == "Take"
    assert all(line.startswith("  word") for line in lines[1:])
    assert labelled("", "word", NARROWEST) == ["  word"]


@pytest.mark.parametrize(
    ("width", "headings"),
    [
        (44, "place          take mm  room %     weather"),
        (35, "place          take mm  room %"),
        (25, "place          take mm"),
    ],
)
def test_a_narrow_table_goes_without_what_it_can_spare(width: int, headings: str):
    """The least needed first."""
    assert next(laid([SHOWN], width)) == headings


def test_a_name_is_cut_before_a_table_is_too_wide():
    """Only as far as it must be, and a column goes rather than the name."""
    rows = ((LONG, *SHOWN.rows[0][1:]),)
    shown = Columns(SHOWN.headings, rows, SHOWN.spare, SHOWN.names)
    assert list(laid([shown], 60))[1].startswith("Oberwassermühlenbach an de…  10.00")
    assert list(laid([shown], 30)) == [
        "place                  take mm",
        "Oberwassermühlen…  10.00–10.25",
    ]


def test_a_long_heading_of_names_is_cut_with_them():
    """The column is as wide as its widest line."""
    shown = Columns(
        ("what moved the missed reeds", "mm"),
        (("the lot", "+0.021"),),
        (),
        ("what moved the missed reeds",),
    )
    assert list(laid([shown], 30)) == [
        "what moved the missed…      mm",
        "the lot                 +0.021",
    ]


def test_what_can_be_neither_spared_nor_cut_stays():
    """A figure is never lost."""
    shown = Columns(("mm", "good"), (("10.00–10.25", "71/100"),))
    assert list(laid([shown], 12)) == ["mm             good", "10.00–10.25  71/100"]


@pytest.mark.parametrize("width", [NARROWEST, WIDTH])
def test_sentences_and_names_fit(width: int):
    """A sentence wraps, a name is cut, a plain line stays."""
    items = (Sentence("word " * 30, "  "), Name(f"{LONG} {LONG}"), Said("Take", "word " * 30))
    lines = list(laid(items, width))
    assert max(map(len, lines)) <= width
    assert lines[1].startswith("    word")
    assert sum(line.endswith("…") for line in lines) == 1
    assert list(laid(["x" * 90], width)) == ["x" * 90]


def test_lines_flow_and_keep_their_indent():
    """An empty one stays empty."""
    lines = ["  " + "word " * 10, "", "end"]
    assert list(flowing(lines, 20)) == [
        "  word word word",
        *["    word word word"] * 2,
        "    word",
        "",
        "end",
    ]
