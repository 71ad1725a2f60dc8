"""What a service says beside its answer: when to come again, and why it refuses."""

import json
from datetime import UTC, datetime

import pytest

from planner.weather.headers import LONGEST_RETRY_AFTER, LONGEST_WORDS, own_words, seconds_to_wait

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("header", "seconds"),
    [
        ("120", 120.0),
        (" 7 ", 7.0),
        ("999999999", LONGEST_RETRY_AFTER),
        ("Wed, 25 Nov 2026 12:05:00 GMT", 300.0),
        ("Wed, 25 Nov 2026 11:00:00 GMT", 0.0),
        ("Fri, 25 Nov 2033 12:00:00 GMT", LONGEST_RETRY_AFTER),
        ("soon", None),
        ("", None),
    ],
)
def test_how_long_to_wait(header: str, seconds: float | None):
    """RFC 9110, HTTP Semantics (2022), 10.2.3: seconds or a date; never longer than a week."""
    assert seconds_to_wait(header, NOW) == seconds


def test_the_reason_is_short_and_on_one_line():
    """Of a page its text, of an object its fields; long ones end between words."""
    assert own_words(b"<html><style>p {}</style><p>Too\nmany  requests.</p></html>") == (
        "Too many requests"
    )
    assert own_words(json.dumps({"reason": "No such place."}).encode()) == "No such place"
    long = own_words(("word " * 100).encode())
    assert len(long) <= LONGEST_WORDS + len(" (cut short)")
    assert long.endswith(" word (cut short)")
    assert own_words(b"") == "no word why"
