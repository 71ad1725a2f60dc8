"""The schema of ``workshop.db``: what was written stays; only what is current changes.

Every write is an entry. A row is never changed or deleted: a newer entry voids it and may put
another version under the same ``id``. ``entry`` wrote the version; ``origin`` first wrote what it
says (an earlier one where an undo brought it back).

Migrations are numbered by their place and never edited.
"""

import sqlite3

APPLICATION_ID = 0x52454544

# "+0 days" makes SQLite reckon the day: the 30th of February is none.
_DAY = "TEXT NOT NULL CHECK ({0} IS date({0}, '+0 days'))"
_PLACE = "TEXT NOT NULL CHECK (place <> '')"
_LENGTH = "REAL CHECK ({0} BETWEEN {1} AND {2})"
_STAGES = "'supplier', 'tube', 'split', 'gouged', 'tied', 'finished', 'discarded'"
_CLASS = f"""
    diameter_low_mm {_LENGTH.format("diameter_low_mm", 1, 50)},
    diameter_high_mm {_LENGTH.format("diameter_high_mm", 1, 50)},"""
_CLASS_WHOLE = """
    CHECK ((diameter_low_mm IS NULL) = (diameter_high_mm IS NULL)),
    CHECK (diameter_low_mm IS NULL OR diameter_low_mm <= diameter_high_mm)"""

ENTRIES = """
CREATE TABLE entries (
    id INTEGER PRIMARY KEY,
    at TEXT NOT NULL CHECK (datetime(at) IS NOT NULL),
    kind TEXT NOT NULL CHECK (kind IN ('add', 'import', 'undo')),
    tablename TEXT NOT NULL,
    source TEXT NOT NULL,
    undoes INTEGER UNIQUE REFERENCES entries,
    mark INTEGER NOT NULL,
    CHECK ((kind = 'undo') = (undoes IS NOT NULL)),
    CHECK (undoes < id)
) STRICT"""

TABLES = {
    "reeds": f"""
    date {_DAY.format("date")},
    place {_PLACE},
    lot TEXT,
    diameter_mm {_LENGTH.format("diameter_mm", 1, 50)},{_CLASS}
    gouge_mm {_LENGTH.format("gouge_mm", 0.05, 5)},
    opening_mm {_LENGTH.format("opening_mm", 0, 20)},
    verdict TEXT CHECK (verdict IN ('closed', 'good', 'open')),
    measured TEXT NOT NULL CHECK (measured IN ('soaked', 'dry')),
    room_rh_pct REAL CHECK (room_rh_pct BETWEEN 0 AND 100),
    note TEXT,
    CHECK ((diameter_mm IS NULL) <> (diameter_low_mm IS NULL)),
    CHECK (opening_mm IS NOT NULL OR verdict IS NOT NULL),{_CLASS_WHOLE}""",
    "readings": f"""
    time TEXT NOT NULL CHECK (time IS strftime('%Y-%m-%dT%H:%M:%SZ', time, '+0 days')),
    place {_PLACE},
    temperature_c REAL CHECK (temperature_c BETWEEN -90 AND 90),
    rh_pct REAL NOT NULL CHECK (rh_pct BETWEEN 0 AND 100)""",
    "checks": f"""
    date {_DAY.format("date")},
    gouger TEXT,
    centre_mm {_LENGTH.format("centre_mm", 0.05, 5)},
    left_mm {_LENGTH.format("left_mm", 0.05, 5)},
    right_mm {_LENGTH.format("right_mm", 0.05, 5)},
    event TEXT CHECK (event IN ('sharpened', 'set')),
    note TEXT,
    CHECK (centre_mm IS NOT NULL OR event IS NOT NULL)""",
    "cane": f"""
    date {_DAY.format("date")},
    lot TEXT,{_CLASS}
    from_stage TEXT NOT NULL CHECK (from_stage IN ({_STAGES})),
    to_stage TEXT NOT NULL CHECK (to_stage IN ({_STAGES})),
    pieces INTEGER NOT NULL CHECK (pieces > 0),
    note TEXT,
    CHECK (from_stage <> to_stage),{_CLASS_WHOLE}""",
    "orders": f"""
    week_start {_DAY.format("week_start")} CHECK (strftime('%w', week_start) = '1'),
    place {_PLACE},
    reeds INTEGER NOT NULL CHECK (reeds >= 0)""",
}


def begin(connection: sqlite3.Connection) -> None:
    """Make the entries and the five tables, each with the fences that keep what was written."""
    connection.execute(ENTRIES)
    _keep_whole(connection, "entries")
    for name, columns in TABLES.items():
        connection.execute(f"""CREATE TABLE {name} (
    version INTEGER PRIMARY KEY,
    id INTEGER NOT NULL CHECK (id > 0),
    entry INTEGER NOT NULL REFERENCES entries,
    origin INTEGER NOT NULL REFERENCES entries CHECK (origin <= entry),
    voided INTEGER REFERENCES entries CHECK (voided > entry),
    seal INTEGER NOT NULL,{columns}
) STRICT""")
        connection.execute(f"CREATE UNIQUE INDEX {name}_now ON {name} (id) WHERE voided IS NULL")
        connection.execute(f"CREATE INDEX {name}_id ON {name} (id)")
        connection.execute(f"CREATE INDEX {name}_entry ON {name} (entry)")
        connection.execute(
            f"CREATE INDEX {name}_voided ON {name} (voided) WHERE voided IS NOT NULL"
        )
        _keep_whole(connection, name)
        connection.execute(
            f"CREATE TRIGGER {name}_void_once BEFORE UPDATE OF voided ON {name} "
            "WHEN old.voided IS NOT NULL "
            "BEGIN SELECT RAISE(ABORT, 'a voided row stays voided'); END"
        )


def _keep_whole(connection: sqlite3.Connection, name: str) -> None:
    found = connection.execute(f"PRAGMA table_info({name})")
    columns = ", ".join(column[1] for column in found if column[1] != "voided")
    connection.execute(
        f"CREATE TRIGGER {name}_kept BEFORE DELETE ON {name} "
        "BEGIN SELECT RAISE(ABORT, 'the record deletes nothing'); END"
    )
    connection.execute(
        f"CREATE TRIGGER {name}_fixed BEFORE UPDATE OF {columns} ON {name} "
        "BEGIN SELECT RAISE(ABORT, 'the record changes nothing that was written'); END"
    )


MIGRATIONS = (begin,)
