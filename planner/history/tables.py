"""The tables of a maker's record: their rows, their columns and what may stand in them.

Rows are frozen; a value that isn't known is None. Lengths in mm, temperatures in °C, humidity in %.
"""

from dataclasses import dataclass
from datetime import date as Date
from datetime import datetime
from typing import TypeAlias

VERDICTS = ("closed", "good", "open")
MEASURED = ("soaked", "dry")
STAGES = ("supplier", "tube", "split", "gouged", "tied", "finished", "discarded")
EVENTS = ("sharpened", "set")
PLAUSIBLE = 0.2  # how far beyond the workshop's own diameters a tube is still believed


@dataclass(frozen=True)
class Reed:
    """A judged reed: a measured diameter or the class it was bought in, and how it came out."""

    date: Date
    place: str
    lot: str | None = None
    diameter_mm: float | None = None
    diameter_low_mm: float | None = None
    diameter_high_mm: float | None = None
    gouge_mm: float | None = None
    opening_mm: float | None = None
    verdict: str | None = None
    measured: str = "soaked"
    room_rh_pct: float | None = None
    note: str | None = None
    id: int | None = None


@dataclass(frozen=True)
class Reading:
    """A hygrometer's reading; ``time`` is UTC."""

    time: datetime
    place: str
    rh_pct: float
    temperature_c: float | None = None
    id: int | None = None


@dataclass(frozen=True)
class Check:
    """A check of the gouger, or what was done to it."""

    date: Date
    gouger: str | None = None
    centre_mm: float | None = None
    left_mm: float | None = None
    right_mm: float | None = None
    event: str | None = None
    note: str | None = None
    id: int | None = None


@dataclass(frozen=True)
class CaneMove:
    """Pieces that went from one stage to another; no diameters: cane not sorted yet."""

    date: Date
    from_stage: str
    to_stage: str
    pieces: int
    lot: str | None = None
    diameter_low_mm: float | None = None
    diameter_high_mm: float | None = None
    note: str | None = None
    id: int | None = None


@dataclass(frozen=True)
class Order:
    """Reeds wanted at a place by a week (its Monday)."""

    week_start: Date
    place: str
    reeds: int
    id: int | None = None


Row: TypeAlias = Reed | Reading | Check | CaneMove | Order


@dataclass(frozen=True)
class TableLimits:
    """What a plausible row may hold: wider than the workshop's own limits, to catch slips. [mm]"""

    diameter_min: float = 7.6
    diameter_max: float = 13.8
    gouge_min: float = 0.35
    gouge_max: float = 0.95
    opening_min: float = 0.0
    opening_max: float = 3.0

    @classmethod
    def about(
        cls, diameter: tuple[float, float], gouge: tuple[float, float], opening_high: float | None
    ) -> "TableLimits":
        """Return limits some way beyond a workshop's own diameters, gouges and opening. [mm]"""
        return cls(
            diameter_min=round(diameter[0] * (1 - PLAUSIBLE), 2),
            diameter_max=round(diameter[1] * (1 + PLAUSIBLE), 2),
            gouge_min=round(gouge[0] * 0.6, 2),
            gouge_max=round(gouge[1] * 1.5, 2),
            opening_max=3.0 if opening_high is None else round(max(3.0, 3 * opening_high), 2),
        )

    def of(self, quantity: str) -> tuple[float, float]:
        """Return the lowest and the highest value of a quantity."""
        return {
            "diameter": (self.diameter_min, self.diameter_max),
            "gouge": (self.gouge_min, self.gouge_max),
            "opening": (self.opening_min, self.opening_max),
            "temperature": (-40.0, 60.0),
            "humidity": (0.0, 100.0),
            "pieces": (1.0, 1_000_000.0),
            "reeds": (0.0, 100_000.0),
        }[quantity]


@dataclass(frozen=True)
class Column:
    """A column: what kind of value stands in it and within what limits.

    ``kind`` is date, monday, time, place, text, number, whole or choice; ``quantity`` names the
    limits of a number in :class:`TableLimits`.
    """

    name: str
    kind: str
    required: bool = False
    quantity: str = ""
    choices: tuple[str, ...] = ()
    default: str | None = None


@dataclass(frozen=True)
class Table:
    """A table: its columns in the order of the files, and the row they make."""

    name: str
    one: str
    row: type[Row]
    columns: tuple[Column, ...]

    def column(self, name: str) -> Column:
        """Return the column of that name; KeyError where there is none."""
        return {column.name: column for column in self.columns}[name]


def _mm(name: str, quantity: str) -> Column:
    return Column(name, "number", quantity=quantity)


_DATE = Column("date", "date", required=True)
_PLACE = Column("place", "place")
_LOT = Column("lot", "text")
_NOTE = Column("note", "text")
_CLASS = (_mm("diameter_low_mm", "diameter"), _mm("diameter_high_mm", "diameter"))

TABLES: dict[str, Table] = {
    "reeds": Table(
        "reeds",
        "reed",
        Reed,
        (
            _DATE,
            _PLACE,
            _LOT,
            _mm("diameter_mm", "diameter"),
            *_CLASS,
            _mm("gouge_mm", "gouge"),
            _mm("opening_mm", "opening"),
            Column("verdict", "choice", choices=VERDICTS),
            Column("measured", "choice", choices=MEASURED, default="soaked"),
            Column("room_rh_pct", "number", quantity="humidity"),
            _NOTE,
        ),
    ),
    "readings": Table(
        "readings",
        "reading",
        Reading,
        (
            Column("time", "time", required=True),
            _PLACE,
            Column("temperature_c", "number", quantity="temperature"),
            Column("rh_pct", "number", required=True, quantity="humidity"),
        ),
    ),
    "checks": Table(
        "checks",
        "check",
        Check,
        (
            _DATE,
            Column("gouger", "text"),
            _mm("centre_mm", "gouge"),
            _mm("left_mm", "gouge"),
            _mm("right_mm", "gouge"),
            Column("event", "choice", choices=EVENTS),
            _NOTE,
        ),
    ),
    "cane": Table(
        "cane",
        "cane",
        CaneMove,
        (
            _DATE,
            _LOT,
            *_CLASS,
            Column("from_stage", "choice", required=True, choices=STAGES),
            Column("to_stage", "choice", required=True, choices=STAGES),
            Column("pieces", "whole", required=True, quantity="pieces"),
            _NOTE,
        ),
    ),
    "orders": Table(
        "orders",
        "order",
        Order,
        (
            Column("week_start", "monday", required=True),
            _PLACE,
            Column("reeds", "whole", required=True, quantity="reeds"),
        ),
    ),
}


def table_of(row: Row) -> Table:
    """Return the table that a row belongs to."""
    return next(table for table in TABLES.values() if isinstance(row, table.row))
