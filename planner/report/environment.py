"""The templates: escaped by default, strict about what they are given, the same for the same."""

import re
from datetime import date
from functools import cache, partial
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from planner.report import words

# A word joiner after the dash of a range keeps it from breaking over two lines.
APOSTROPHE = re.compile(r"(?<=\w)'(?=\w|\s)")
RANGE = re.compile(f"(?<=[0-9]){words.DASH}(?=[0-9])")
JOINED = f"{words.DASH}\u2060"
UNIT = re.compile(r"(?<=[0-9]) (?=(?:mm|hPa)\b|%|°[CF])")


@cache
def environment() -> Environment:
    """Return the templates with the filters that write figures, days and doubt."""
    made = Environment(
        loader=PackageLoader("planner.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        finalize=_clean,
    )
    for name in (
        "mm",
        "number",
        "signed",
        "percent",
        "in_100",
        "counted",
        "temperature",
        "fine",
        "fine_mm",
    ):
        made.filters[name] = partial(_together, getattr(words, name))
    made.filters["span"] = _span
    made.filters["bare_span"] = _bare_span
    made.filters["fine_span"] = _fine_span
    made.filters["bare_count"] = "{:,}".format
    made.filters["plain_number"] = words.number
    made.filters["plain_fine"] = words.fine
    made.filters["plain_span"] = _plain_span
    made.filters["weather_word"] = words.weather_word
    made.filters["listed"] = words.listed
    return made


def _clean(value: Any) -> Any:
    """Take control characters out of what was typed; hold ranges and units together.

    Apostrophes become those of print. Markup is ours already.
    """
    if type(value) is not str:
        return value
    held = UNIT.sub(words.NBSP, APOSTROPHE.sub("\u2019", words.clean(value)))
    return RANGE.sub(JOINED, held) if words.DASH in held else held


def together(text: str) -> Markup:
    """Return the text as one that never breaks over two lines."""
    return Markup('<span class="n">{}</span>').format(text)


def _together(write: Any, *given: Any, **named: Any) -> Markup:
    return together(write(*given, **named))


def _span(range_: tuple[float, float], decimals: int = 2, unit: str = "mm") -> Markup:
    return together(words.span(*range_, decimals, unit))


def _plain_span(range_: tuple[float, float], decimals: int = 2) -> str:
    return words.bare_span(*range_, decimals)


def _fine_span(range_: tuple[float, float]) -> str:
    return words.fine_span(*range_)


def _bare_span(range_: tuple[float, float], decimals: int = 2) -> Markup:
    return together(words.bare_span(*range_, decimals))


def dated(order: str) -> dict[str, Any]:
    """Return the functions that write days in the workshop's order, for a template."""
    return {
        "day": lambda when: _time(when, words.day(when, order)),
        "short_day": lambda when: _time(when, words.short_day(when, order)),
        "row_day": lambda when: _row_day(when, order),
        "plain_day": lambda when: words.day(when, order),
        "plain_short_day": lambda when: words.short_day(when, order),
    }


def _time(when: date, written: str) -> Markup:
    return Markup('<time class="n" datetime="{}">{}</time>').format(
        when.isoformat(), escape(written)
    )


def _row_day(when: date, order: str) -> Markup:
    """A day whose weekday and year are left out where a row has no room for them."""
    written, short = words.day(when, order), words.short_day(when, order)
    before, _, after = written.rpartition(short)
    parts = [
        Markup('<span class="if-room">{}</span>').format(part) if part else ""
        for part in (before, after)
    ]
    return Markup("{}{}{}").format(parts[0], short, parts[1])
