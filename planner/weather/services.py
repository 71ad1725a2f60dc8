"""What a weather service is to the planner, and what it gives back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Protocol, runtime_checkable

from planner.air.days import Days
from planner.errors import WeatherError
from planner.weather.asked import Remembered
from planner.weather.credits import Credit
from planner.weather.http import Web
from planner.weather.places import Place

LOWEST, HIGHEST = -500.0, 9000.0  # m; beyond it is a slip in the answer


@dataclass(frozen=True)
class Reply:
    """What a service gave, as days of the place's time zone.

    ``notes`` tell what was mended; ``expires`` and ``last_modified`` are what the service said of
    asking again; ``height`` is where the values stand [m], None where the service doesn't say.
    """

    days: Days
    credit: Credit
    notes: tuple[str, ...] = ()
    expires: datetime | None = None
    last_modified: str = ""
    height: float | None = None


@dataclass(frozen=True)
class Unchanged:
    """The service says that its last answer still holds."""

    expires: datetime | None


class Memory(Protocol):
    """Where services keep what they must not ask again each time."""

    def recall(self, key: str) -> Remembered | None:
        """Return what is remembered under *key*."""

    def remember(self, key: str, what: Remembered) -> None:
        """Remember it, in place of what was there."""


class Ahead(Protocol):
    """A service that looks ahead."""

    @property
    def name(self) -> str:
        """Its name, as the store and the page show it."""

    @property
    def wants_contact(self) -> bool:
        """Whether it may only be asked with a contact of the caller."""

    def forecast(
        self, web: Web, place: Place, *, since: str, memory: Memory, now: datetime
    ) -> Reply | Unchanged:
        """Return the coming days; *since* is the ``last_modified`` of the answer already kept."""


class Past(Protocol):
    """A service that knows past days."""

    @property
    def name(self) -> str:
        """Its name, as the store and the page show it."""

    @property
    def days_behind(self) -> int:
        """How many days it runs behind; the newest ones needn't be asked for."""

    def history(self, web: Web, place: Place, first: date, last: date) -> Reply:
        """Return the days from *first* to *last*, as far as the service has them."""


@runtime_checkable
class Together(Protocol):
    """A service, ahead or past, that answers for several places in one question.

    What it says of each place is a reply or the refusal of that place alone.
    """

    @property
    def at_once(self) -> int:
        """How many places it takes in one question about the coming days."""

    def most(self, span: tuple[date, date]) -> int:
        """Return how many places it takes in one question about so many past days."""

    def forecasts(self, web: Web, places: Sequence[Place]) -> list[Reply | WeatherError]:
        """Return the coming days of each place, in their order."""

    def histories(
        self, web: Web, places: Sequence[Place], first: date, last: date
    ) -> list[Reply | WeatherError]:
        """Return the days from *first* to *last* of each place, in their order."""


def height_of(value: Any) -> float | None:
    """Return a height [m] from an answer, None where it is none that a place can have."""
    if isinstance(value, bool) or not isinstance(value, int | float):
        return None
    return float(value) if LOWEST <= value <= HIGHEST else None


def short(degrees: float, decimals: int = 2) -> str:
    """Return a coordinate rounded (two decimals are a kilometre), without trailing zeros."""
    text = f"{degrees:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
