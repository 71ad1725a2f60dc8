"""What an import would change."""

from dataclasses import replace
from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from planner.history.changes import changed_columns, difference
from planner.history.tables import Order

MONDAY = date(2026, 11, 30)
ROWS = [Order(MONDAY, "Riga", reeds, identity) for identity, reeds in ((1, 5), (2, 5), (3, 7))]


def test_an_unchanged_export_changes_nothing():
    """All rows known by their id."""
    found = difference("orders", ROWS, ROWS, replacing=True)
    assert not found
    assert found.same == 3


def test_an_edited_export_changes_adds_and_keeps():
    """Row 3 changed, one new, row 2 deleted in the file but kept: --replace wasn't said."""
    edited = [ROWS[0], replace(ROWS[2], reeds=8), Order(MONDAY, "Riga", 9)]
    found = difference("orders", ROWS, edited, replacing=False)
    assert found.changed == ((ROWS[2], edited[1]),)
    assert found.added == (edited[2],)
    assert found.removed == ()
    assert found.same == 1
    assert changed_columns(*found.changed[0]) == [("reeds", 7, 8)]
    assert difference("orders", ROWS, edited, replacing=True).removed == (ROWS[1],)


def test_a_row_without_id_is_never_matched_with_one_named_in_the_file():
    """A copy of a named row is a second one."""
    copy = replace(ROWS[2], id=None)
    found = difference("orders", ROWS, [*ROWS, copy], replacing=False)
    assert found.added == (copy,)


@given(st.lists(st.integers(0, 3), max_size=8), st.lists(st.integers(0, 3), max_size=8))
def test_after_an_import_the_record_holds_each_row_as_often_as_the_file(
    kept: list[int], wanted: list[int]
):
    """Without ids, replacing: exactly the file; not replacing: the larger count of both."""
    current = [Order(MONDAY, "Riga", reeds, i + 1) for i, reeds in enumerate(kept)]
    file = [Order(MONDAY, "Riga", reeds) for reeds in wanted]
    merged = difference("orders", current, file, replacing=False)
    counts = {reeds: kept.count(reeds) for reeds in range(4)}
    for row in merged.added:
        counts[row.reeds] += 1
    assert counts == {reeds: max(kept.count(reeds), wanted.count(reeds)) for reeds in range(4)}
    replaced = difference("orders", current, file, replacing=True)
    assert len(current) + len(replaced.added) - len(replaced.removed) == len(file)
    assert replaced.same + len(replaced.added) == len(file)
