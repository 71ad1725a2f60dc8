"""What the verbs of the record say: rows, changes, the soundness of the record."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from planner.history.changes import Difference
from planner.history.soundness import Soundness
from planner.history.tables import Reed
from planner.report.record_words import SHOWN_AT_MOST, difference_lines, soundness_lines

REED = Reed(date(2026, 11, 2), "Bench", diameter_mm=10.4, verdict="good", id=7)
RECORD = Path("workshop.db")


def test_a_change_names_what_was_there_and_what_is_now():
    """An empty cell is nothing; numbers and words as they are kept."""
    changed = replace(REED, diameter_mm=10.25, opening_mm=0.82, verdict=None)
    found = Difference("reeds", added=(), changed=((REED, changed),), removed=(), same=1)
    lines = list(difference_lines(found, "new.csv", {}, dry_run=False))
    assert lines[0].startswith("Took reeds in new.csv: ")
    (line,) = [line for line in lines if "row 7" in line]
    for words in ("10.4 to 10.25", "nothing to 0.82", "verdict good to nothing"):
        assert words in line


def test_a_long_list_is_counted_at_its_end():
    """So many rows are shown, the rest is a number."""
    reeds = tuple(replace(REED, id=number) for number in range(SHOWN_AT_MOST + 3))
    found = Difference("reeds", added=reeds, changed=(), removed=(), same=0)
    lines = list(difference_lines(found, "new.csv", {}, dry_run=True))
    assert "  and 3 more." in lines
    assert lines[-1] == "Nothing was changed; leave out --dry-run to do it."


@pytest.mark.parametrize(
    ("copies", "newest", "said"),
    [
        (0, None, 'There is no copy yet; make one with "planner backup".'),
        (2, None, "None of the 2\u00a0copies is sound."),
        (2, Path("backups/a.db"), "2\u00a0copies; the newest sound one is backups/a.db."),
    ],
)
def test_the_copies_are_told(copies: int, newest: Path | None, said: str):
    """Whether there is one to go back to."""
    found = Soundness(RECORD, 3, (), ("Row 1 of reeds isn't right.",), copies, newest)
    lines = list(soundness_lines(found))
    assert lines[:2] == ["workshop.db is not sound:", "  Row 1 of reeds isn't right."]
    assert lines[-1] == said
