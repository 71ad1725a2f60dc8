"""What the tests of the tables share: a reader of cells, and any valid row of any table."""

from datetime import UTC, date, datetime

import pytest
from hypothesis import strategies as st

from planner.history.cells import TEXT_LENGTH, Reader, text_in
from planner.history.tables import (
    EVENTS,
    MEASURED,
    STAGES,
    VERDICTS,
    CaneMove,
    Check,
    Order,
    Reading,
    Reed,
    TableLimits,
)

PLACES = {"Bench Town": "Europe/Berlin", "Far Bay": "America/New_York"}
TODAY = date(2026, 11, 25)

DAYS = st.dates(date(1990, 1, 1), TODAY)
MONDAYS = st.dates(date(1990, 1, 1), date(2030, 1, 1)).filter(lambda day: day.weekday() == 0)
TIMES = st.datetimes(datetime(1990, 1, 1), datetime(2026, 11, 24), timezones=st.just(UTC)).map(  # noqa: DTZ001
    lambda time: time.replace(microsecond=0)
)
# Any text, formulas and quotes among it, as it is kept: control signs out, spaces joined.
_TRICKY = st.sampled_from(
    [
        "=1+1",
        "'=1",
        "''@x",
        "-5",
        "+49",
        "@home",
        "10,4",
        "10.4",
        "No. 3.",
        "0012",
        "1e5",
        "a;b",
        'say "x"',
        "TRUE",
        "_x000D_",
        "2026-11-25",
        "&amp;<b>",
        "n/a",
        "-",
        "\uff1d1",
        "'quoted'",
        "nan",
        "Ünï\U0001f3b5",
    ]
)
TEXTS = (
    (st.text(max_size=30) | _TRICKY | st.builds(str.__add__, _TRICKY, st.text(max_size=5)))
    .map(text_in)
    .filter(lambda text: 0 < len(text) <= TEXT_LENGTH)
)
MAYBE_TEXT = st.none() | TEXTS


def numbers(low: float, high: float, decimals: int = 4) -> st.SearchStrategy[float]:
    """Numbers of so many decimals."""
    scale = 10**decimals
    whole = st.integers(round(low * scale), round(high * scale))
    return whole.map(lambda value: round(value / scale, decimals))


def maybe(strategy: st.SearchStrategy[float]) -> st.SearchStrategy[float | None]:
    """A value or none."""
    return st.none() | strategy


DIAMETERS = numbers(7.6, 13.8)
CLASSES = st.tuples(DIAMETERS, DIAMETERS).map(sorted)
GOUGES = numbers(0.35, 0.95)


@st.composite
def reeds(draw: st.DrawFn) -> Reed:
    """A judged reed."""
    low, high = draw(CLASSES) if (by_class := draw(st.booleans())) else (None, None)
    opening, verdict = draw(
        st.tuples(maybe(numbers(0, 3)), st.none() | st.sampled_from(VERDICTS)).filter(
            lambda judged: judged != (None, None)
        )
    )
    return Reed(
        draw(DAYS),
        draw(st.sampled_from(list(PLACES))),
        draw(MAYBE_TEXT),
        None if by_class else draw(DIAMETERS),
        low,
        high,
        draw(maybe(GOUGES)),
        opening,
        verdict,
        draw(st.sampled_from(MEASURED)),
        draw(maybe(numbers(0, 100, 2))),
        draw(MAYBE_TEXT),
    )


READINGS = st.builds(
    Reading,
    time=TIMES,
    place=st.sampled_from(list(PLACES)),
    rh_pct=numbers(0, 100, 2),
    temperature_c=maybe(numbers(-40, 60, 2)),
    id=st.none(),
)
CHECKS = st.builds(
    Check,
    date=DAYS,
    gouger=MAYBE_TEXT,
    centre_mm=maybe(GOUGES),
    left_mm=maybe(GOUGES),
    right_mm=maybe(GOUGES),
    event=st.none() | st.sampled_from(EVENTS),
    note=MAYBE_TEXT,
    id=st.none(),
).filter(lambda check: check.centre_mm is not None or check.event is not None)


@st.composite
def moves(draw: st.DrawFn) -> CaneMove:
    """A movement out of the endless supplier: no stage can go below nothing."""
    low, high = draw(st.just((None, None)) | CLASSES)
    stage = draw(st.sampled_from(STAGES[1:]))
    pieces = draw(st.integers(1, 10_000))
    lot, note = draw(MAYBE_TEXT), draw(MAYBE_TEXT)
    return CaneMove(draw(DAYS), "supplier", stage, pieces, lot, low, high, note)


ORDERS = st.builds(
    Order,
    week_start=MONDAYS,
    place=st.sampled_from(list(PLACES)),
    reeds=st.integers(0, 100_000),
    id=st.none(),
)
ROWS = {"reeds": reeds(), "readings": READINGS, "checks": CHECKS, "cane": moves(), "orders": ORDERS}
TABLES_OF_ROWS = st.sampled_from(list(ROWS)).flatmap(
    lambda table: st.tuples(st.just(table), st.lists(ROWS[table], max_size=6))
)


@pytest.fixture
def reader() -> Reader:
    """A reader of cells as of 25 November 2026, the bench in Berlin's zone."""
    return Reader(TableLimits(), PLACES, TODAY)


@pytest.fixture(scope="session")
def any_table() -> st.SearchStrategy:
    """Any table: its name and a few valid rows."""
    return TABLES_OF_ROWS
