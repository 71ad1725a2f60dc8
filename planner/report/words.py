"""How figures, days and doubt are written, on the page and in the terminal alike.

Only the standard library is loaded here. A number and its unit are held together by a no-break
space, so that they never part at the end of a line.
"""

import re
from datetime import date, datetime

NBSP = "\u00a0"
DASH = "\u2013"
MINUS = "\u2212"

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")

_ISO_DAY = re.compile(r"(?<![\w./-])\d{4}-\d\d-\d\d(?![\w/-]|\.\w)")

WEATHER = {
    "forecast": "forecast",
    "mixed": "forecast, then past years",
    "climate": "past years",
}


def number(value: float, decimals: int = 2) -> str:
    """Return a number with so many decimals, its minus a true one: ``10.40``, ``−0.05``."""
    text = f"{value:.{decimals}f}"
    if text.startswith("-"):
        text = text[1:] if float(text) == 0 else MINUS + text[1:]
    return text


def signed(value: float, decimals: int = 2) -> str:
    """Return a change with its sign: ``+0.25``, ``−0.10``, ``0.00``."""
    text = number(value, decimals)
    return text if float(text.replace(MINUS, "-")) <= 0 else f"+{text}"


def mm(value: float, decimals: int = 2) -> str:
    """Return a length in mm: ``10.40 mm``."""
    return f"{number(value, decimals)}{NBSP}mm"


def fine(value: float, decimals: int = 2) -> str:
    """Return a length with a decimal more than usual, but only where it says something."""
    more = round(value, decimals) != round(value, decimals + 1)
    return number(value, decimals + more)


def fine_mm(value: float) -> str:
    """Return a gouge: ``0.59 mm``, or ``0.585 mm`` where the third decimal says something."""
    return f"{fine(value)}{NBSP}mm"


def bare_span(low: float, high: float, decimals: int = 2) -> str:
    """Return a range without its unit: ``10.25–10.50``, one number where both read the same."""
    first, last = number(low, decimals), number(high, decimals)
    if first == last:
        return first
    return f"{first}{DASH}{last}" if low >= 0 else f"{first} to {last}"


def fine_span(low: float, high: float) -> str:
    """Return a range of gouges: with a third decimal where one of its ends says something by it."""
    decimals = max(len(fine(end).rpartition(".")[2]) for end in (low, high))
    return bare_span(low, high, decimals)


def span(low: float, high: float, decimals: int = 2, unit: str = "mm") -> str:
    """Return a range with its unit: ``10.25–10.50 mm``."""
    return f"{bare_span(low, high, decimals)}{NBSP}{unit}"


def percent(value: float, decimals: int = 0) -> str:
    """Return a percentage: ``41 %``."""
    return f"{number(value, decimals)}{NBSP}%"


def in_100(share: float) -> str:
    """Return a share (0 to 1) as a maker counts: ``82 in 100``; never nought or all of them."""
    count = round(100 * share)
    if count <= 0:
        return f"fewer than 1 in{NBSP}100"
    if count >= 100:
        return f"more than 99 in{NBSP}100"
    return f"{count} in{NBSP}100"


def temperature(celsius: float, *, fahrenheit: bool = False, decimals: int = 0) -> str:
    """Return a temperature: ``20 °C``, or ``20 °C (68 °F)`` where the workshop asks for it."""
    text = f"{number(celsius, decimals)}{NBSP}°C"
    if fahrenheit:
        text += f" ({number(celsius * 9 / 5 + 32, decimals)}{NBSP}°F)"
    return text


def day(when: date, order: str = "dmy") -> str:
    """Return a day that can't be misread: ``Mon 30 Nov 2026``.

    ``order`` is the workshop's: ``dmy``, ``mdy`` (``Mon Nov 30 2026``) or ``ymd``
    (``Mon 2026-11-30``). Months are words of our own table, whatever the computer's language.
    """
    if order == "ymd":
        return f"{WEEKDAYS[when.weekday()]}{NBSP}{when.isoformat()}"
    return f"{WEEKDAYS[when.weekday()]}{NBSP}{short_day(when, order)}{NBSP}{when.year}"


def short_day(when: date, order: str = "dmy") -> str:
    """Return a day without weekday and year, for rows that follow one another: ``30 Nov``."""
    month = MONTHS[when.month - 1]
    if order == "ymd":
        return f"{when.month:02d}-{when.day:02d}"
    return f"{month}{NBSP}{when.day}" if order == "mdy" else f"{when.day}{NBSP}{month}"


def dated(text: str, order: str = "dmy") -> str:
    """Return a sentence with its ISO dates written as :func:`day` does; names of files keep theirs.

    For notes of parts that don't know the workshop's *order*.
    """
    return _ISO_DAY.sub(lambda found: _said(found.group(), order), text)


def _said(iso: str, order: str) -> str:
    try:
        return day(date.fromisoformat(iso), order)
    except ValueError:  # a number that only looks like a day
        return iso


def week_of(monday: date, order: str = "dmy") -> str:
    """Return a week, named by its Monday: ``week of Mon 30 Nov 2026``."""
    return f"week of {day(monday, order)}"


def moment(when: datetime, order: str = "dmy") -> str:
    """Return a day and time: ``Mon 30 Nov 2026, 14:05``."""
    return f"{day(when.date(), order)}, {when:%H:%M}"


def days_from(today: date, when: date) -> str:
    """Return how far off a day is: ``today``, ``in 5 days``, ``3 days ago``."""
    days = (when - today).days
    near = {-1: "yesterday", 0: "today", 1: "tomorrow"}
    if days in near:
        return near[days]
    return f"in {counted(days, 'day')}" if days > 0 else f"{counted(-days, 'day')} ago"


def counted(count: int, noun: str, plural: str = "") -> str:
    """Return a count with its noun: ``1 piece``, ``40 pieces``, ``2,000 reeds``."""
    word = noun if count == 1 else (plural or f"{noun}s")
    return f"{count:,}{NBSP}{word}"


def listed(words: tuple[str, ...], last: str = "and") -> str:
    """Return words as a sentence lists them: ``a, b and c``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {last} {words[-1]}"


def weather_word(weather: str) -> str:
    """Return what a week's weather rests on, in words."""
    return WEATHER.get(weather, weather)


def clean(text: str) -> str:
    """Return the text without control characters; line ends and tabs become spaces."""
    spaced = text.translate({9: " ", 10: " ", 13: " "})
    return "".join(sign for sign in spaced if sign.isprintable() or sign == NBSP)
