"""What to prepare: the spells ahead, what to sort, gouge and order by when.

Taken from the plan, kept or made anew; nothing heavy is imported here.
"""

from collections.abc import Callable
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


def prepare(
    settings: Settings,
    *,
    today: date,
    wishes: Wishes | None = None,
    fetch: bool = False,
    tell: Callable[[str], None] | None = None,
) -> dict[str, Any]:
    """Return what to prepare for the coming weeks, as a JSON object.

    What there is to say of the weather is handed to *tell* at once.

    Raises
    ------
    PlannerError
        If the record can't be read or the bench has no weather.
    """
    answer = plan(settings, today=today, wishes=wishes, fetch=fetch, tell=tell).answer
    return {key: answer[key] for key in KEYS}
