"""The templates: escaped by default, strict about what they are given, the same for the same."""

from datetime import date
from functools import cache, partial
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from planner.report import words


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
    made.filters["bare_count"] = "{:,}".format
    made.filters["bare_number"] = words.number
    made.filters["weather_word"] = words.weather_word
    made.filters["listed"] = words.listed
    return made


def _clean(value: Any) -> Any:
    """Take control characters out of what a maker typed; markup is ours already."""
    return words.clean(value) if type(value) is str else value


def together(text: str) -> Markup:
    """Return the text as one that never breaks over two lines."""
    return Markup('<span class="n">{}</span>').format(text)


def _together(write: Any, *given: Any, **named: Any) -> Markup:
    return together(write(*given, **named))


def _span(range_: tuple[float, float], decimals: int = 2, unit: str = "mm") -> Markup:
    return together(words.span(*range_, decimals, unit))


def _bare_span(range_: tuple[float, float], decimals: int = 2) -> Markup:
    return together(words.bare_span(*range_, decimals))


def dated(order: str) -> dict[str, Any]:
    """Return the functions that write days in the workshop's order, for a template."""
    return {
        "day": lambda when: _time(when, words.day(when, order)),
        "short_day": lambda when: _time(when, words.short_day(when, order)),
        "plain_day": lambda when: words.day(when, order),
    }


def _time(when: date, written: str) -> Markup:
    return Markup('<time class="n" datetime="{}">{}</time>').format(
        when.isoformat(), escape(written)
    )
