"""What the store remembers for asking again: when, since when, which days.

Standard library only: the store reads it on the bench path.
"""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True)
class Remembered:
    """What is remembered of the last question of a key."""

    at: datetime
    not_before: datetime | None = None
    last_modified: str = ""
    text: str = ""


@dataclass(frozen=True)
class Held:
    """A stored day, and the day on which it was fetched."""

    day: date
    fetched: date
