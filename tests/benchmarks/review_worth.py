"""Does the interval of what a choice was worth hold the true worth as often as it says?

Workshops are invented from truths drawn as widely as the opening model's priors. Of some, three
years of records are learned from, and over the last winter half two choices of diameter are held
against one diameter all along. Of others, that winter is reviewed as a maker would, every week
planned again, and the plan is held against what was taken, one diameter all along and the calendar.
The true worth is reckoned from the truth that each was made from.
"""

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
from harness import Figure
from numpy.typing import NDArray
from scipy.special import ndtr

from planner.commands.ahead import MEMBERS
from planner.commands.learn import learn
from planner.commands.load import load_folder
from planner.commands.review import hindsight_of, known
from planner.commands.workshop import Workshop, opened
from planner.demo import TODAY, Invented, invent, write_sample
from planner.invented.reeds import expected_opening
from planner.invented.truth import drawn
from planner.plan.review_forecast import forecast
from planner.plan.review_rivals import Choice, Hindsight, compare, simple_choices
from planner.plan.review_season import Judged, judged, season

Values = NDArray[np.float64]

REVIEWED_FROM = date(2024, 8, 12)  # a year of reeds before the winter that is reviewed
FIRST, LAST = date(2025, 10, 1), date(2026, 3, 31)
SHIFTS = (-0.25, 0.25)  # mm, the two choices: a class rounder, a class flatter
USUAL, GOUGE = 10.5, 0.59  # mm, taken all along


@contextmanager
def workshop_of(invented: Invented) -> Iterator[Workshop]:
    """Load the tables of an invented workshop as a maker would."""
    with tempfile.TemporaryDirectory() as name:
        source, folder = Path(name) / "source", Path(name) / "workshop"
        write_sample(invented, source)
        settings = load_folder(source, folder, today=TODAY).settings
        with opened(settings) as workshop:
            yield workshop


def true_share(invented: Invented, reeds: Judged, diameter: Values, gouge: Values) -> float:
    """Return the true expected share in range of the reeds, made with other diameters."""
    truth, lots = invented.truth, lots_of(invented)
    low, high = truth.wanted
    shares = []
    for row, day, d, g in zip(reeds.row, reeds.day, diameter, gouge, strict=True):
        reed = invented.reeds[row]
        assert reed.day == day.item(), "the record is in another order than the truth"
        mean = expected_opening(truth, reed.day, float(d), float(g), reed.moisture)
        mean += lots[reed.row.lot]
        shares.append(ndtr((high - mean) / truth.spread) - ndtr((low - mean) / truth.spread))
    return float(np.mean(shares))


def lots_of(invented: Invented) -> dict[str, float]:
    """Return the lots' offsets: the median of what their reeds were off, some 40 of each."""
    off: dict[str, list[float]] = {}
    for reed in invented.reeds:
        mean = expected_opening(invented.truth, reed.day, reed.diameter, reed.gouge, reed.moisture)
        off.setdefault(reed.row.lot, []).append(reed.opening - mean)
    return {lot: float(np.median(values)) for lot, values in off.items()}


@dataclass(frozen=True)
class Compared:
    """One choice against one diameter all along: as stated, and as it truly was.

    ``held`` says whether the interval of 80 in 100 held the true worth, ``off`` how far its
    middle was from it, ``wide`` how wide it was; ``brier`` scores "the plan was the better one".
    """

    held: bool
    off: float
    wide: float
    brier: float


def compared(seed: int) -> list[Compared]:
    """Return both choices of one invented workshop."""
    invented = invent(seed, drawn(np.random.default_rng(seed)))
    with workshop_of(invented) as workshop:
        learned = learn(workshop, TODAY)
    history = judged(learned.reeds, invented.truth.wanted, GOUGE)
    keep = (history.day >= np.datetime64(FIRST)) & (history.day <= np.datetime64(LAST))
    reeds = history.where(keep)
    hindsight = hindsight_of(learned, learned.fit.draws(MEMBERS), reeds.row)
    gouge, usual = np.full(len(reeds), GOUGE), np.full(len(reeds), USUAL)
    usual_choice = Choice("usual", usual, gouge)
    return [
        held_against(invented, reeds, hindsight, Choice("plan", usual + shift, gouge), usual_choice)
        for shift in SHIFTS
    ]


def reviewed(seed: int) -> list[Compared]:
    """Return the plan of a winter, as reviewed, against what was taken, usual and calendar."""
    truth = drawn(np.random.default_rng([seed, 2]))
    bench = replace(truth, places=truth.places[:1])
    invented = invent(seed, bench, work_from=REVIEWED_FROM)
    with workshop_of(invented) as workshop:
        half = season(FIRST, LAST, TODAY)
        all_known = known(workshop, half, TODAY)
        history = judged(all_known.reeds, all_known.wanted, GOUGE)
        keep = (history.day >= np.datetime64(FIRST)) & (history.day <= np.datetime64(LAST))
        reeds = history.where(keep)
        expected = forecast(reeds, all_known.planned, np.zeros(len(reeds), np.bool_))
        hindsight = all_known.hindsight(reeds.row)
    plan = Choice("plan", expected.advised_diameter, expected.advised_gouge)
    rivals = simple_choices(
        reeds, all_known.limits, usual_diameter=all_known.usual_diameter, southern=False
    )
    return [held_against(invented, reeds, hindsight, plan, rival) for rival in rivals]


def held_against(
    invented: Invented, reeds: Judged, hindsight: Hindsight, plan: Choice, other: Choice
) -> Compared:
    """Return the worth as stated beside the true one."""
    rival = compare(hindsight, plan, other)
    assert rival is not None
    truly = true_share(invented, reeds, plan.diameter, plan.gouge) - true_share(
        invented, reeds, other.diameter, other.gouge
    )
    return Compared(
        held=rival.worth.p10 <= truly <= rival.worth.p90,
        off=rival.worth.p50 - truly,
        wide=rival.worth.p90 - rival.worth.p10,
        brier=(rival.probability - (truly > 0)) ** 2,
    )


def run(*, quick: bool = False) -> list[Figure]:
    """Compare in 8 and review 3 (quick), or compare in 60 and review 50 invented workshops."""
    choices = [compared(seed) for seed in range(1, (8 if quick else 60) + 1)]
    plans = [reviewed(seed) for seed in range(1, (3 if quick else 50) + 1)]
    return [*_figures("two choices", choices), *_figures("the plan reviewed", plans)]


def _figures(what: str, workshops: list[list[Compared]]) -> list[Figure]:
    every = [choice for workshop in workshops for choice in workshop]
    held = [100.0 * np.mean([choice.held for choice in workshop]) for workshop in workshops]
    error = float(np.std(held) / np.sqrt(len(held)))
    share = float(np.mean(held))
    return [
        Figure(
            f"{what}: true worth within its 80 % (± {error:.0f}), {len(workshops)} workshops",
            [share],
            "in 100",
            reach="80, within two standard errors",
            reached=abs(share - 80.0) <= 2.0 * error,
        ),
        Figure(f"{what}: stated less true worth", [100 * float(np.mean([c.off for c in every]))]),
        Figure(
            f"{what}: the same without sign", [100 * float(np.mean([abs(c.off) for c in every]))]
        ),
        Figure(f"{what}: width of the interval", [100 * float(np.mean([c.wide for c in every]))]),
        Figure(
            f"{what}: Brier score of 'the plan was better'",
            [float(np.mean([c.brier for c in every]))],
            rival="a coin",
            rival_values=[0.25],
        ),
    ]
