"""What to do next, given the state of the folder."""

from pathlib import Path

from planner.errors import WorkshopError
from planner.settings import find_workshop

NO_WORKSHOP = """\
There is no workshop here yet.
  planner demo     look at an invented workshop, without a network
  planner start    make your own in a few questions
  planner --help   all commands"""

NO_RECORD = """\
The workshop in {folder} has no record yet.
  planner add reed             enter reeds, one line each
  planner import reeds FILE    take in a table you have kept
  planner week                 what to take this week, from general experience until then"""

AT_WORK = """\
The workshop in {folder} is ready.
  planner week      what to take this week
  planner plan      the page for the coming weeks
  planner prepare   what to sort, gouge and order ahead
  planner --help    all commands"""


def next_step(folder: Path | None) -> str:
    """Return a few lines on what to do next."""
    try:
        found = find_workshop(folder)
    except WorkshopError:
        return NO_WORKSHOP
    text = AT_WORK if (found / "workshop.db").is_file() else NO_RECORD
    return text.format(folder=found)
