"""Invented effects of the opening model, and invented weeks ahead."""

from collections.abc import Callable, Sequence
from datetime import date

import numpy as np
import pytest

from planner.opening.draws import EffectDraws, Reference
from planner.plan.coming import Coming, YearMean
from planner.plan.limits import Limits
from planner.plan.recommend import PlaceAdvice, advise

TODAY = date(2026, 11, 25)  # a Wednesday
MONDAY = np.datetime64("2026-11-23", "D")
MEMBERS = 200


@pytest.fixture
def draws_of() -> Callable[..., EffectDraws]:
    """Return effects known well (``sure``), or as a maker without history has them."""

    def made(
        *,
        level: float = 0.8,
        diameter: float = -0.2,
        moisture: float = 0.03,
        sure: bool = True,
        count: int = MEMBERS,
    ) -> EffectDraws:
        generator = np.random.default_rng(7)

        def around(mean: float, sd: float) -> np.ndarray:
            return generator.normal(mean, sd, count)

        return EffectDraws(
            reference=Reference(10.5, 0.59, 8.5),
            level=around(level, 0.01 if sure else 0.25),
            diameter=around(diameter, 0.02 if sure else 0.15),
            gouge=around(2.0, 0.3 if sure else 3.0),
            moisture=around(moisture, 0.003 if sure else 0.025),
            spread=np.full(count, 0.08),
            wander=np.full(count, 0.001),
            wander_limit=0.05,
            low=np.full(count, 0.7),
            high=np.full(count, 0.9),
            last_day="2026-11-20",
        )

    return made


@pytest.fixture
def coming_of() -> Callable[..., Coming]:
    """Return weeks whose cane has the mean moistures given, with members about them."""

    def made(
        moisture: Sequence[float],
        *,
        place: str = "Bench",
        bench: Coming | None = None,
        year: YearMean | None = None,
        sd: float = 0.3,
    ) -> Coming:
        generator = np.random.default_rng(11)
        members = np.array(moisture) + generator.normal(0.0, sd, (MEMBERS, len(moisture)))
        return Coming(
            place=place,
            mondays=MONDAY + 7 * np.arange(len(moisture)),
            weather=["climate"] * len(moisture),
            room_rh=45.0 + 6.2 * (members - 8.5),
            moisture=members,
            bench_moisture=None if bench is None else bench.moisture,
            year=year,
        )

    return made


@pytest.fixture
def advised(
    draws_of: Callable[..., EffectDraws], coming_of: Callable[..., Coming]
) -> Callable[..., PlaceAdvice]:
    """Return the advice for weeks of given moistures."""

    def made(
        moisture: Sequence[float],
        *,
        draws: EffectDraws | None = None,
        limits: Limits | None = None,
        lead: int = 14,
        usual_only: bool = False,
        **weeks: object,
    ) -> PlaceAdvice:
        return advise(
            draws_of() if draws is None else draws,
            coming_of(moisture, **weeks),
            limits or Limits(),
            today=TODAY,
            sort_to_finish_days=lead,
            usual_only=usual_only,
        )

    return made
