"""The picture of a room beside its readings."""

from dataclasses import replace

from planner.report.charts.room import room_picture
from tests.report import invented
from tests.report.page_walk import plain, walk


def described(shown) -> str:
    """What is said to be seen."""
    return plain(walk(room_picture(shown, "r")).all("desc")[0].text)


def test_the_readings_within_the_band_are_counted():
    """Of three days one lies outside; a reading of another day counts nowhere."""
    shown = invented.room(30)
    first = shown.days[0]
    readings = [(day, middle) for day, middle in zip(shown.days, shown.middle_pct, strict=True)]
    far = [(first, 99.0), *readings[1:3], (first.replace(year=2001), 50.0)]
    assert "2 of 3 days with readings lie within the band." in described(
        replace(shown, readings=far)
    )
    assert "There are no readings on these days." in described(replace(shown, readings=[]))


def test_without_days_there_is_no_picture():
    """Nor an empty frame."""
    shown = replace(invented.room(), days=[], low_pct=[], middle_pct=[], high_pct=[])
    assert room_picture(shown, "r") == ""
