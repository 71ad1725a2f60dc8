"""Why a week asks for what it asks for: one sentence in a maker's words."""

from dataclasses import dataclass

from planner.plan.limits import Limits

NBSP = "\u00a0"
NOTICEABLE_RH = 3.0  # %, about what a good hygrometer is off (common practice, no source)
NOTICEABLE_MM = 0.01  # of opening


@dataclass(frozen=True)
class Case:
    """What stands behind one week's choice.

    Attributes
    ----------
    room : humidity of the room. [%]
    year : mean humidity of that room over the year, None where it isn't known. [%]
    lean : how far the usual choice would come out too open, negative for too closed. [mm]
    by_air : what of it the room of that week does, against the room over the year. [mm]
    best, gouge : what was chosen. [mm]
    there : True for a place other than the bench
    """

    room: float
    year: float | None
    lean: float
    by_air: float
    best: float
    gouge: float
    there: bool = False


def reason(case: Case, limits: Limits) -> str:
    """Return the sentence for one week."""
    return f"{_room(case)}; {_cane(case, limits)}{_gouge(case, limits)}."


def usual_reason(case: Case) -> str:
    """Return the sentence for a week that was asked to keep to the usual choice."""
    return f"{_room(case)}; your usual cane and gouge{_comes_out(case.lean)}."


def _room(case: Case) -> str:
    room = f"Room{' there' if case.there else ''} about {case.room:.0f}{NBSP}%"
    if case.year is None:
        return room
    change = round(case.room) - round(case.year)
    if abs(change) < NOTICEABLE_RH:
        return f"{room}, as usual over the year"
    word = "drier" if change < 0 else "damper"
    return f"{room}, {word} than its mean of {case.year:.0f}{NBSP}% over the year"


def _cane(case: Case, limits: Limits) -> str:
    moved = case.best - limits.usual_diameter
    if abs(moved) <= limits.sorted_to / 2:
        return "your usual cane fits"
    rounder = moved < 0
    word = "rounder" if rounder else "flatter"
    if (case.lean < 0) != rounder or abs(case.lean) < NOTICEABLE_MM:
        return f"{word} cane gives more in range{_at_limit(case, limits)}"
    if case.by_air * case.lean > 0 and abs(case.by_air) >= abs(case.lean) / 2:
        does = "opens the reeds back up" if rounder else "closes the reeds again"
        return f"{word} cane {does}{_at_limit(case, limits)}"
    does = "opens it up" if rounder else "brings it down"
    return f"your usual cane{_comes_out(case.lean)}, {word} cane {does}{_at_limit(case, limits)}"


def _comes_out(lean: float) -> str:
    if abs(lean) < NOTICEABLE_MM:
        return " comes out in the middle of the range"
    return f" comes out about {abs(lean):.2f}{NBSP}mm too {'closed' if lean < 0 else 'open'}"


def _at_limit(case: Case, limits: Limits) -> str:
    if case.best <= limits.diameter_min + limits.sorted_to / 10:
        return ", as round as you sort"
    if case.best >= limits.diameter_max - limits.sorted_to / 10:
        return ", as flat as you sort"
    return ""


def _gouge(case: Case, limits: Limits) -> str:
    moved = case.gouge - limits.usual_gouge
    if abs(moved) < NOTICEABLE_MM / 2:
        return ""
    return f", with the gouge {'thicker' if moved > 0 else 'thinner'} at {case.gouge:.2f}{NBSP}mm"
