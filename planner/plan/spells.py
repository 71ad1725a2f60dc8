"""Dry and humid spells ahead: runs of weeks whose air asks for other cane than the maker's usual.

A spell is the weather's doing. Where the usual cane doesn't fit all the year, that is no spell:
what counts is how far the week's room moves the best diameter from where the year's mean has it.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats
from planner.plan.documents import Spell
from planner.plan.limits import Limits
from planner.plan.recommend import PlaceAdvice
from planner.spread import LEVELS, Spread

DRY, HUMID = "dry", "humid"
NBSP = "\u00a0"
JOINED_OVER = 1  # weeks: a spell goes on over a week that falls a little short of it
DAYS_OF_WEEK = 7


def sensitivity(draws: EffectDraws) -> float:
    """Change of the best diameter [mm] for each % of moisture.

    The diameter that keeps the expected squared distance from the wanted opening least moves by
    -E[b_d b_m] / E[b_d²] (least squares over the draws): less than by the ratio of the effects
    while they are uncertain, as the best diameter itself.
    """
    return float(-(draws.diameter * draws.moisture).mean() / (draws.diameter**2).mean())


def find_spells(
    advice: PlaceAdvice,
    draws: EffectDraws,
    say_day: Callable[[date], str] = date.isoformat,
) -> tuple[Spell, ...]:
    """Return the spells among the planned weeks of a place, the nearest first.

    Parameters
    ----------
    advice : of the place, week by week
    draws : effects of the opening model
    say_day : how a day is written
    """
    coming, limits = advice.coming, advice.grid.limits
    usual = draws.reference.moisture if coming.year is None else coming.year.moisture
    slope = sensitivity(draws)
    view = _View(advice, limits, slope * (coming.moisture - usual), humid_is_flat=slope > 0)
    found = (_worded(spell, view, say_day) for spell in view.spells())
    return tuple(sorted(found, key=lambda spell: spell.first_week))


@dataclass(frozen=True)
class _View:
    """What spells are found in.

    ``by_air`` (members, weeks) is how far each future's room moves the best diameter from where
    the year's mean has it. [mm]
    """

    advice: PlaceAdvice
    limits: Limits
    by_air: Floats
    humid_is_flat: bool

    @property
    def now(self) -> float:
        """The best diameter of the first week. [mm]"""
        return float(self.advice.choices.best[0])

    @property
    def half_a_step(self) -> float:
        """Half a sorting step: from the middle of a class to its limit. [mm]"""
        return self.limits.sorted_to / 2.0

    def spells(self) -> Iterator[Spell]:
        """Yield the spells of both kinds, without their words."""
        for side in (-1.0, 1.0):
            for first, last in runs(self._in_spell(side)):
                yield self._spell(side, first, last)

    def _in_spell(self, side: float) -> list[bool]:
        """Weeks that ask for rounder (side -1) or flatter (+1) cane because of their air."""
        best = self.advice.choices.best
        left_class = side * (best - self.limits.usual_diameter) > self.half_a_step
        left_today = side * (best - self.now) > self.limits.sorted_to
        by_air = side * np.median(self.by_air, axis=0) > self.half_a_step
        return list(by_air & (left_class | left_today))

    def _spell(self, side: float, first: int, last: int) -> Spell:
        coming = self.advice.coming
        weeks = slice(first, last + 1)
        mondays = coming.mondays.astype(object)
        best = float(self.advice.choices.best[weeks].mean())
        comes = side * self.by_air[:, weeks].mean(axis=1) > self.half_a_step
        room = np.percentile(coming.room_rh[:, weeks].mean(axis=1), LEVELS).tolist()
        return Spell(
            place=coming.place,
            kind=HUMID if (side > 0) == self.humid_is_flat else DRY,
            first_week=mondays[first],
            last_week=mondays[last],
            diameter_mm=best,
            shift_mm=best - self.limits.usual_diameter,
            probability=float(comes.mean()),
            room_rh_pct=Spread(*room),
            words="",
        )


def _worded(spell: Spell, view: _View, say_day: Callable[[date], str]) -> Spell:
    """The spell with its sentences."""
    limits = view.limits
    weeks = (spell.last_week - spell.first_week).days // DAYS_OF_WEEK + 1
    last_day = spell.last_week + timedelta(days=DAYS_OF_WEEK - 1)
    against_usual = abs(spell.shift_mm) > limits.sorted_to / 2
    shift = spell.shift_mm if against_usual else spell.diameter_mm - view.now
    return replace(
        spell,
        words=(
            f"{spell.kind.capitalize()} spell, {spell.place}: {say_day(spell.first_week)} to "
            f"{say_day(last_day)} ({weeks}{NBSP}week{'s' if weeks > 1 else ''}), room about "
            f"{spell.room_rh_pct.p50:.0f}{NBSP}%; cane about {abs(shift):.2f}{NBSP}mm "
            f"{'rounder' if shift < 0 else 'flatter'} than {'usual' if against_usual else 'now'}; "
            f"{odds(spell.probability)}. {_sorting(spell, view, say_day)}"
        ),
    )


def _sorting(spell: Spell, view: _View, say_day: Callable[[date], str]) -> str:
    """By when its cane is sorted: counted back from the weeks in which its reeds are judged."""
    monday = view.advice.weeks[0].week_start
    days = {row.week_start: row.sort_by for row in view.advice.weeks}
    first, last = days[spell.first_week], days[spell.last_week]
    if first >= monday + timedelta(days=DAYS_OF_WEEK):
        return f"Sort for it by {say_day(first)}."
    if first >= monday:
        return "Sort for it this week."
    if last >= monday:
        return "Its first reeds are under way; sort for the others from now on."
    return "All its reeds are under way."


def runs(marks: Sequence[bool], joined_over: int = JOINED_OVER) -> list[tuple[int, int]]:
    """Return first and last position of each run of true, runs over short gaps joined."""
    found: list[tuple[int, int]] = []
    for position, marked in enumerate(marks):
        if not marked:
            continue
        if found and position - found[-1][1] <= joined_over + 1:
            found[-1] = (found[-1][0], position)
        else:
            found.append((position, position))
    return found


def odds(probability: float) -> str:
    """Return a probability as a maker says it, the nearest of a few plain ones: ``2 in 3``."""
    plain = (
        (0.1, "1 in 10"),
        (0.2, "1 in 5"),
        (0.25, "1 in 4"),
        (1 / 3, "1 in 3"),
        (0.5, "1 in 2"),
        (2 / 3, "2 in 3"),
        (0.75, "3 in 4"),
        (0.8, "4 in 5"),
        (0.9, "9 in 10"),
        (0.97, "nearly sure"),
    )
    return min(plain, key=lambda choice: abs(choice[0] - probability))[1]
