"""The tables of ``weather.db``: everything in it can be fetched, imported or worked out again."""

import sqlite3

from planner.store.sqlite import Migration

APPLICATION_ID = 0x57454154

TABLES = (
    # One row a place, day, source and (for a forecast) day of issue. The checks are the last
    # fence behind the readers' own: no number that air can't have.
    """
    CREATE TABLE days (
        place TEXT NOT NULL,
        kind TEXT NOT NULL CHECK (kind IN ('observed', 'forecast', 'typical')),
        source TEXT NOT NULL,
        issued TEXT NOT NULL CHECK (kind = 'forecast' OR issued = ''),
        day TEXT NOT NULL CHECK (day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
        temperature_c REAL NOT NULL CHECK (temperature_c BETWEEN -95 AND 65),
        vapour_pressure_pa REAL NOT NULL CHECK (vapour_pressure_pa > 0
                                                AND vapour_pressure_pa < 8000),
        hours INTEGER NOT NULL CHECK (hours BETWEEN 1 AND 25),
        fetched_at TEXT NOT NULL,
        PRIMARY KEY (place, kind, source, issued, day)
    ) STRICT, WITHOUT ROWID
    """,
    """
    CREATE TABLE sources (
        name TEXT NOT NULL PRIMARY KEY,
        licence TEXT NOT NULL,
        attribution TEXT NOT NULL
    ) STRICT
    """,
    "CREATE TABLE revision (number INTEGER NOT NULL) STRICT",
    "INSERT INTO revision VALUES (0)",
    """
    CREATE TABLE kept (
        key TEXT NOT NULL PRIMARY KEY,
        fingerprint TEXT NOT NULL,
        text TEXT NOT NULL
    ) STRICT
    """,
    # What a service said about asking again: not before, and with which Last-Modified.
    """
    CREATE TABLE asked (
        key TEXT NOT NULL PRIMARY KEY,
        at TEXT NOT NULL,
        not_before TEXT NOT NULL,
        last_modified TEXT NOT NULL,
        text TEXT NOT NULL
    ) STRICT
    """,
    # Where a place was when its weather was fetched, so that a moved place is noticed.
    """
    CREATE TABLE whereabouts (
        place TEXT NOT NULL PRIMARY KEY,
        latitude REAL NOT NULL,
        longitude REAL NOT NULL
    ) STRICT
    """,
)


def _first_tables(connection: sqlite3.Connection) -> None:
    for statement in TABLES:
        connection.execute(statement)


def _heights(connection: sqlite3.Connection) -> None:
    """How high the values of a source stand; the place itself is a kind with no source."""
    connection.execute(
        """
        CREATE TABLE heights (
            place TEXT NOT NULL,
            kind TEXT NOT NULL CHECK (kind IN ('observed', 'forecast', 'typical', 'place')),
            source TEXT NOT NULL,
            metres REAL NOT NULL CHECK (metres BETWEEN -500 AND 9000),
            PRIMARY KEY (place, kind, source)
        ) STRICT, WITHOUT ROWID
        """
    )


MIGRATIONS: tuple[Migration, ...] = (_first_tables, _heights)
