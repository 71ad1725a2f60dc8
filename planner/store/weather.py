"""The weather store: air by the day, observed and as forecast, with its sources.

Opening it, its revision and the kept answers load sqlite3 only: the bench commands stand on that.
"""

import sqlite3
import zlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, Self

from planner.plan.documents import Source
from planner.store.database import Database, reading
from planner.store.sqlite import connect
from planner.store.weather_rows import (
    HEIGHT,
    HELD,
    ISSUED,
    ISSUES,
    LATEST,
    SEEN,
    STORED,
    UPSERT,
    days_of,
    note_height,
    rows_of,
)
from planner.store.weather_schema import APPLICATION_ID, MIGRATIONS
from planner.weather.asked import Held, Remembered
from planner.weather.credits import CREDITS, Credit, credit_of
from planner.weather.globe import distance_km
from planner.weather.places import plain

if TYPE_CHECKING:
    from planner.air.days import Days
    from planner.weather.footing import Move

MOVED_KM = 3.0
SEAL = 8  # signs of a checksum before a kept text: a flipped bit would be another diameter
GROWN = "UPDATE revision SET number = number + 1"


@dataclass(frozen=True)
class Forecast:
    """A forecast as it was issued; thin days included."""

    issued: date
    source: str
    days: "Days"


class Stored(NamedTuple):
    """One stored day, without its values; days and times as text, as they stand in the table."""

    kind: str
    source: str
    issued: str
    day: str
    hours: int
    fetched_at: str


class WeatherStore(Database):
    """``weather.db`` of a workshop; use as a context manager or close it."""

    cure = 'Put it elsewhere; "planner weather fetch" makes it anew.'

    def __init__(self, connection: sqlite3.Connection, path: Path) -> None:
        super().__init__(connection, path)
        self._footing: tuple[tuple[str, date, int], Mapping[str, Move]] | None = None

    @classmethod
    def open(cls, path: Path) -> Self:
        """Open the store at *path*, made where there is none.

        Raises
        ------
        RecordError
            If the file can't be used; see :mod:`planner.errors`.
        """
        return cls(connect(path, application_id=APPLICATION_ID, migrations=MIGRATIONS), path)

    def put(
        self,
        place_name: str,
        days: "Days",
        *,
        source: str,
        fetched_at: datetime,
        kind: str = "observed",
        issued: date | None = None,
        credit: Credit | None = None,
        height: float | None = None,
    ) -> int:
        """Store days; the same source's rows of the same days (and issue) are replaced.

        Days without a finite value are left out. *height* [m] is where the source's values stand,
        None for the place itself. Returns how many rows are new or changed.
        """
        if (kind == "forecast") != (issued is not None):
            raise ValueError(f"a forecast has a day of issue, other kinds none: {kind}, {issued}")
        key = (plain(place_name), kind, source, issued.isoformat() if issued else "")
        stamp = fetched_at.isoformat(timespec="seconds")
        rows = [(*key, *row, stamp) for row in rows_of(days)]
        credit = credit or credit_of(source)
        with self._writing() as connection:
            before = connection.total_changes
            connection.executemany(UPSERT, rows)
            changed = connection.total_changes - before
            connection.executemany(SEEN, [(stamp, *row[:5]) for row in rows])
            connection.execute(
                "INSERT OR REPLACE INTO sources VALUES (?, ?, ?)",
                (source, credit.licence, credit.attribution),
            )
            if note_height(connection, (plain(place_name), kind, source), height) or changed:
                connection.execute(GROWN)
        return changed

    @reading
    def observed(self, place_name: str, until: date, *, filled: bool = True) -> "Days":
        """Return the observed days before *until* that count, the best source's row a day.

        Only days with 18 hours or more count, and all sources are on one footing; see
        :mod:`planner.weather.footing`. Where *filled*, days that no source has observed yet are
        taken from the latest forecast issued for them before *until* (at most 21 days back: the
        archives run a few days late), and a typical year lies before the first day as long as
        fewer than three years were observed.
        """
        from planner.store.weather_air import observed_air

        moves = self.footing(place_name, until)
        return observed_air(self._ask, plain(place_name), until, moves, filled=filled)

    @reading
    def forecast(self, place_name: str, today: date) -> "tuple[Days, date, str] | None":
        """Return the latest forecast issued by *today*: whole days, day of issue and source.

        It is on the footing of the observed days. None where there is none, or where all its days
        have passed.
        """
        from planner.air.days import WHOLE_DAY_HOURS
        from planner.weather.footing import NOT_MOVED

        name, day = plain(place_name), today.isoformat()
        found = self._ask(LATEST, name, day, day, WHOLE_DAY_HOURS)
        if not found:
            return None
        issued, source = found[0]
        days = days_of(self._ask(ISSUED, name, source, issued, WHOLE_DAY_HOURS))
        move = self.footing(place_name, today).get(source, NOT_MOVED)
        return move.of(days), date.fromisoformat(issued), source

    @reading
    def footing(self, place_name: str, until: date) -> "Mapping[str, Move]":
        """Return by how much each source of a place is moved, from what was known on *until*."""
        from planner.store.weather_air import footing_of

        key = (plain(place_name), until, self.revision())
        if self._footing is None or self._footing[0] != key:
            self._footing = key, footing_of(self._ask, key[0], until)
        return self._footing[1]

    @reading
    def forecasts(
        self, place_name: str, first: date = date.min, last: date = date.max
    ) -> list[Forecast]:
        """Return every forecast issued from *first* to *last*, by day of issue and source.

        They are as they were issued, on no other footing than their own.
        """
        rows = self._ask(ISSUES, plain(place_name), first.isoformat(), last.isoformat())
        groups = groupby(rows, key=lambda row: (row[0], row[1]))
        return [
            Forecast(date.fromisoformat(issued), source, days_of([row[2:] for row in group]))
            for (issued, source), group in groups
        ]

    @reading
    def sources(self, place_names: Iterable[str], today: date) -> list[Source]:
        """Return the sources behind the weather of these places as of *today*.

        Each with the day of its last fetch, or *today* where that was later: what it brought of
        later days isn't used. One that has nothing else isn't named.
        """
        names = [plain(name) for name in place_names]
        marks = ", ".join("?" * len(names))
        until = today.isoformat()
        rows = self._ask(
            "SELECT name, licence, attribution, MAX(fetched_at) FROM sources "
            f"JOIN days ON source = name WHERE place IN ({marks}) AND CASE kind "
            "WHEN 'observed' THEN day <= ? WHEN 'forecast' THEN issued <= ? ELSE 1 END "
            "GROUP BY name ORDER BY name",
            *names,
            until,
            until,
        )
        return [
            Source(name, licence, attribution, min(today, datetime.fromisoformat(at).date()))
            for name, licence, attribution, at in rows
        ]

    @reading
    def revision(self) -> int:
        """Return a number that grows with every change of the weather."""
        return int(self._ask("SELECT number FROM revision")[0][0])

    def kept(self, key: str) -> tuple[str, str] | None:
        """Return the fingerprint and text kept under *key*, None where there is nothing sound."""
        for fingerprint, text in self._ask("SELECT fingerprint, text FROM kept WHERE key = ?", key):
            seal, answer = text[:SEAL], text[SEAL:]
            if seal == _seal(key, fingerprint, answer):
                return fingerprint, answer
        return None

    def keep(self, key: str, fingerprint: str, text: str) -> None:
        """Keep an answer that can be worked out again, in place of the last one of that key."""
        row = (key, fingerprint, _seal(key, fingerprint, text) + text)
        with self._writing() as connection:
            connection.execute("INSERT OR REPLACE INTO kept VALUES (?, ?, ?)", row)

    @reading
    def held(self, place_name: str, source: str) -> list[Held]:
        """Return the observed days of a source, with the day each was fetched; thin ones too."""
        rows = self._ask(HELD, plain(place_name), source)
        return [Held(date.fromisoformat(day), date.fromisoformat(at[:10])) for day, at in rows]

    @reading
    def settle(
        self, place_name: str, latitude: float, longitude: float, altitude: float | None = None
    ) -> bool:
        """Note where a place is, and how high [m] where that is known.

        If it was elsewhere when its weather was fetched, what was fetched is let go, as it is the
        weather of another place; files that the maker brought in stay. Returns whether it was.
        """
        name = plain(place_name)
        known = self._ask("SELECT latitude, longitude FROM whereabouts WHERE place = ?", name)
        here = (latitude, longitude)
        moved = any(distance_km(there, here) > MOVED_KM for there in known)
        heights = self._ask(HEIGHT, name, "place", "")
        if known and not moved and (altitude,) == (heights[0] if heights else (None,)):
            return False
        with self._writing() as connection:
            if note_height(connection, (name, "place", ""), altitude):
                connection.execute(GROWN)
            if moved:
                connection.execute("DELETE FROM heights WHERE place = ? AND source != ''", (name,))
                marks = ", ".join("?" * len(CREDITS))
                connection.execute(
                    f"DELETE FROM days WHERE place = ? AND source IN ({marks})", (name, *CREDITS)
                )
                connection.execute(GROWN)
            connection.execute("INSERT OR REPLACE INTO whereabouts VALUES (?, ?, ?)", (name, *here))
        return moved

    @reading
    def recall(self, key: str) -> Remembered | None:
        """Return what is remembered of the last question under *key*."""
        statement = "SELECT at, not_before, last_modified, text FROM asked WHERE key = ?"
        for at, not_before, last_modified, text in self._ask(statement, key):
            until = datetime.fromisoformat(not_before) if not_before else None
            return Remembered(datetime.fromisoformat(at), until, last_modified, text)
        return None

    def remember(self, key: str, what: Remembered) -> None:
        """Remember a question, in place of the last one of that key."""
        until = what.not_before.isoformat() if what.not_before else ""
        row = (key, what.at.isoformat(), until, what.last_modified, what.text)
        with self._writing() as connection:
            connection.execute("INSERT OR REPLACE INTO asked VALUES (?, ?, ?, ?, ?)", row)

    def stored(self, place_name: str) -> list[Stored]:
        """Return every row of a place without its values, by kind, source, issue and day."""
        return [Stored(*row) for row in self._ask(STORED, plain(place_name))]


def _seal(key: str, fingerprint: str, text: str) -> str:
    return f"{zlib.crc32(chr(31).join((key, fingerprint, text)).encode()):0{SEAL}x}"
