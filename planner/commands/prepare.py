"""What to prepare: the spells ahead, what to sort, gouge and order by when.

Taken from the plan, kept or made anew; nothing heavy is imported here.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from planner.commands.plan import plan
from planner.commands.wishes import Wishes
from planner.settings import Settings

KEYS = (
    "schema_version",
    "today",
    "workshop",
    "spells",
    "prepare",
    "same_cane",
    "stock",
    "yields",
    "prepare_notes",
    "warnings",
    "sources",
)


@dataclass(frozen=True)
class Preparing:
    """What to prepare as a JSON object, and notes."""

    answer: dict[str, Any]
    notes: tuple[str, ...]


def prepare(
    settings: Settings, *, today: date, wishes: Wishes | None = None, fetch: bool = False
) -> Preparing:
    """Return what to prepare for the coming weeks.

    Raises
    ------
    PlannerError
        If the record can't be read or the bench has no weather.
    """
    told: list[str] = []
    planned = plan(settings, today=today, wishes=wishes, fetch=fetch, tell=told.append)
    return Preparing({key: planned.answer[key] for key in KEYS}, tuple(told))
