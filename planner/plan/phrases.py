"""The few turns of phrase that the plan's sentences are made of."""

from collections.abc import Callable, Sequence
from datetime import date
from math import floor

NBSP = "\u00a0"
DASH = "\u2013"
NAMED_AT_MOST = 4

SayDay = Callable[[date], str]


def class_mm(low: float, high: float) -> str:
    """Return a class: ``10.00–10.25 mm``; with a third decimal where it is sorted so finely."""
    decimals = 2 if round(low, 2) == round(low, 3) and round(high, 2) == round(high, 3) else 3
    return f"{low:.{decimals}f}{DASH}{high:.{decimals}f}{NBSP}mm"


def counted(count: int, noun: str) -> str:
    """Return a count with its noun: ``1 tube``, ``12 tubes``."""
    return f"{count:,}{NBSP}{noun}{'' if count == 1 else 's'}"


def reeds_said(expected: float) -> str:
    """Return reeds that are expected, to the nearest: ``29 reeds``, ``less than 1 reed``."""
    whole = floor(expected + 0.5)
    return counted(whole, "reed") if whole else f"less than {counted(1, 'reed')}"


def named(places: Sequence[str]) -> str:
    """Return the names of places, each once, many of them cut short."""
    names = list(dict.fromkeys(places))
    if len(names) > NAMED_AT_MOST:
        left = len(names) - NAMED_AT_MOST + 1
        names = [*names[: NAMED_AT_MOST - 1], f"{left} more"]
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"


def weeks_said(mondays: Sequence[date], say_day: SayDay) -> str:
    """Return weeks by their Mondays: ``week of 7 Dec``, ``weeks of 7 Dec to 28 Dec``."""
    first, last = min(mondays), max(mondays)
    if first == last:
        return f"week of {say_day(first)}"
    return f"weeks of {say_day(first)} to {say_day(last)}"
