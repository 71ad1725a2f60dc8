"""Whether the plan's intervals hold the truth as often as they say, on invented workshops.

Each workshop is made from another truth, drawn about general experience; its tables are loaded as a
maker's would be, planned, and the plan is held against the truth that the history was made from and
against the weather that came.
"""

import statistics
import tempfile
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import numpy as np
from harness import Figure
from numpy.typing import NDArray
from scipy.stats import norm

from planner.cane.moisture import moisture_over
from planner.commands.chain import plan_as_of
from planner.commands.learn import learn
from planner.commands.load import load_folder
from planner.commands.wishes import Wishes
from planner.commands.workshop import opened
from planner.demo import TODAY, Invented, invent, write_sample
from planner.invented.reeds import expected_opening
from planner.invented.truth import BENCH, drawn
from planner.plan.documents import PlanDocument, WeekAdvice
from planner.spread import Spread

STATED = 0.8  # between the 10th and the 90th percentile
WEEKS = 12


@dataclass(frozen=True)
class Kept:
    """What the plan of one workshop promised, and what was true.

    Attributes
    ----------
    effects : for diameter, gouge and moisture, whether the interval held the true effect
    room : share of the coming weeks whose true room humidity lay within the interval
    opening : chance of a true reed of the recommendation to lie within the stated interval
    said, came : mean share in the wanted range, as said and as true
    lost : share that the best diameter of whoever knows the truth would have added
    """

    effects: tuple[bool, ...]
    room: float
    opening: float
    said: float
    came: float
    lost: float


def examine(seed: int, work_from: date = date(2025, 3, 31)) -> Kept:
    """Invent a workshop of one place from a seed, plan it, and hold the plan against its truth."""
    generator = np.random.default_rng([seed, 1])
    truth = replace(drawn(generator), shifted=date(2025, 12, 1))
    truth = replace(truth, places=(replace(BENCH, room=truth.places[0].room),))
    invented = invent(seed, truth, work_from=work_from)
    return held_against(invented, planned(invented))


def planned(invented: Invented) -> PlanDocument:
    """Return the plan that a maker with the tables of an invented workshop gets."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_sample(invented, folder / "tables")
        loaded = load_folder(folder / "tables", folder / "workshop", today=TODAY)
        with opened(loaded.settings) as workshop:
            asked = Wishes(weeks=WEEKS).settled(loaded.settings)
            return plan_as_of(workshop, learn(workshop, TODAY), asked)


def held_against(invented: Invented, plan: PlanDocument) -> Kept:
    """Hold the plan of the bench against the truth."""
    bench = invented.truth.places[0].place.name
    weeks = [week for week in plan.weeks if week.place == bench]
    mondays = np.array([week.week_start for week in weeks], dtype="datetime64[D]")
    moisture = moisture_over(invented.rooms[bench], mondays, 7)[0]
    humidity = _weekly_humidity(invented, bench, mondays)
    true = [_true_spread(invented, week, m) for week, m in zip(weeks, moisture, strict=True)]
    came = [_share(invented, centre, sd, invented.truth.wanted) for centre, sd in true]
    best = [_best_share(invented, week, m) for week, m in zip(weeks, moisture, strict=True)]
    effects = {effect.name: effect for effect in plan.basis.effects}
    return Kept(
        effects=tuple(
            effects[name].low <= getattr(invented.truth, name) <= effects[name].high
            for name in ("diameter", "gouge", "moisture")
        ),
        room=statistics.mean(
            _inside(week.room_rh_pct, value) for week, value in zip(weeks, humidity, strict=True)
        ),
        opening=statistics.mean(
            _share(invented, centre, sd, (week.opening_mm.p10, week.opening_mm.p90))
            for week, (centre, sd) in zip(weeks, true, strict=True)
        ),
        said=statistics.mean(week.in_band_share for week in weeks),
        came=statistics.mean(came),
        lost=statistics.mean(best) - statistics.mean(came),
    )


def _weekly_humidity(
    invented: Invented, place: str, mondays: NDArray[np.datetime64]
) -> NDArray[np.float64]:
    room = invented.rooms[place]
    first = (mondays - room.days[0]).astype(int)
    return np.array([room.relative_humidity[0, i : i + 7].mean() for i in first])


def _inside(spread: Spread, value: float) -> bool:
    return bool(spread.p10 <= value <= spread.p90)


def _true_spread(invented: Invented, week: WeekAdvice, moisture: float) -> tuple[float, float]:
    """Mean and standard deviation of true openings of a new lot at the recommendation. [mm]"""
    truth = invented.truth
    centre = expected_opening(
        truth, week.week_start, week.diameter_mm.best, week.gouge_mm.target, moisture
    )
    return centre, float(np.hypot(truth.spread, truth.lot_spread))


def _share(invented: Invented, centre: float, sd: float, limits: tuple[float, float]) -> float:
    """Chance of a true reed to lie within limits; a spoilt one is as wide as it is."""
    spoilt = invented.truth.outliers
    low, high = limits
    chance = 0.0
    for share, wide in ((1.0 - spoilt, sd), (spoilt, float(np.hypot(sd, invented.truth.outlier)))):
        chance += share * float(norm.cdf(high, centre, wide) - norm.cdf(low, centre, wide))
    return chance


def _best_share(invented: Invented, week: WeekAdvice, moisture: float) -> float:
    """The share of whoever knows effects and weather, at the recommended gouge."""
    best = 0.0
    for diameter in np.arange(9.5, 11.51, 0.05):
        centre = expected_opening(
            invented.truth, week.week_start, float(diameter), week.gouge_mm.target, moisture
        )
        sd = float(np.hypot(invented.truth.spread, invented.truth.lot_spread))
        best = max(best, _share(invented, centre, sd, invented.truth.wanted))
    return best


def run(*, quick: bool = False) -> list[Figure]:
    """Examine 12 (quick) or 60 invented workshops."""
    kept = [examine(seed) for seed in range(12 if quick else 60)]
    said = [100 * (k.said - k.came) for k in kept]
    stated = f"{100 * STATED:.0f} in 100"
    return [
        Figure(
            "effects within their 80 % intervals",
            [100 * float(np.mean([k.effects for k in kept]))],
            "in 100",
            reach=stated,
        ),
        Figure(
            "coming weeks' room humidity within 80 %",
            [100 * float(np.mean([k.room for k in kept]))],
            "in 100",
            reach=stated,
        ),
        Figure(
            "reeds within the stated 80 % of openings",
            [100 * float(np.mean([k.opening for k in kept]))],
            "in 100",
            reach=stated,
        ),
        Figure(
            "share in range, said less true, mean",
            [float(np.mean(said))],
            "points",
            reach="within 2.5",
            reached=abs(float(np.mean(said))) <= 2.5,
        ),
        Figure(
            "share lost against knowing truth and weather",
            [100 * k.lost for k in kept],
            "points",
        ),
    ]
