"""Whether verdicts go with the wanted range, or did in a part of the season alone."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from planner.history.tables import Reed
from planner.opening.observations import Floats
from planner.plan.phrases import DASH, NBSP
from planner.plan.review_season import Flags, Judged, Names, judged

LEAST_REEDS = 12  # with a verdict and an opening, on either side of a change
LEAST_GAIN = 6.0  # log likelihood that a change must win: odds of 400 to 1 against chance
SLIP = 0.1  # share of verdicts that any maker gives against his own range: a guess
EDGE = 0.02  # mm, how near the range either verdict is as right
YEAR = timedelta(days=365)
TOGETHER = 0.6  # share of verdicts under which they hardly go with the openings: twice chance


@dataclass(frozen=True)
class TargetChange:
    """The day about which verdicts began or ceased to agree with the range, and how many do."""

    day: date
    agree_before: float
    agree_after: float


def target_change(reeds: Judged, wanted: tuple[float, float]) -> TargetChange | None:
    """Return where the verdicts of a season change their mind about the wanted range, if they do.

    The best split of agreement and disagreement with the range in time, by the binomial
    likelihood.
    """
    both = np.isfinite(reeds.opening) & (reeds.verdict != "")
    opening, verdict, day = reeds.opening[both], reeds.verdict[both], reeds.day[both]
    if len(day) < 2 * LEAST_REEDS:
        return None
    agree = agreeing(opening, verdict, wanted)
    gains = (
        [
            (_likelihood(agree[:i]) + _likelihood(agree[i:]) - _likelihood(agree), i)
            for i in range(LEAST_REEDS, len(day) - LEAST_REEDS + 1)
            if day[i - 1] != day[i]
        ]
        if len(day) > 2 * LEAST_REEDS
        else []
    )
    gain, at = max(gains, default=(0.0, 0))
    before, after = (float(part.mean()) if len(part) else 1.0 for part in (agree[:at], agree[at:]))
    if gain < LEAST_GAIN or min(before, after) > 1 - 3 * SLIP:
        return None
    return TargetChange(day[at].astype("datetime64[D]").item(), before, after)


def contradicting(reeds: Sequence[Reed], wanted: tuple[float, float]) -> Iterator[str]:
    """Yield a warning where the verdicts of the last year hardly go with the openings beside them.

    The plan's shares go by the openings and the wanted range [mm]; *reeds* ascend by day.
    """
    since = reeds[-1].date - YEAR if reeds else date.min
    both = [
        reed
        for reed in reeds
        if reed.date > since and reed.verdict is not None and reed.opening_mm is not None
    ]
    seen = judged(both, wanted, 0.0)
    counts = np.isfinite(seen.opening)
    if counts.sum() < 2 * LEAST_REEDS:
        return
    share = float(agreeing(seen.opening[counts], seen.verdict[counts], wanted).mean())
    if share < TOGETHER:
        yield (
            f"Of the last year's {counts.sum():,}{NBSP}reeds with both an opening and a verdict, "
            f"only {round(100 * share)} in{NBSP}100 have the verdict that your wanted range of "
            f"{wanted[0]:.2f}{DASH}{wanted[1]:.2f}{NBSP}mm makes of the opening; the shares of "
            "this plan go by the range. Check the wanted range (workshop.toml), the unit in which "
            "the openings were read, and the verdicts on record."
        )


def agreeing(opening: Floats, verdict: Names, wanted: tuple[float, float]) -> Flags:
    """Return which verdicts (n,) are those that the wanted range makes of the openings (n,)."""
    low, high = wanted
    inside = (opening >= low - EDGE) & (opening <= high + EDGE)
    return np.where(verdict == "good", inside, _rightly_refused(opening, verdict, wanted))


def _rightly_refused(opening: Floats, verdict: Names, wanted: tuple[float, float]) -> Flags:
    closed = (verdict == "closed") & (opening <= wanted[0] + EDGE)
    too_open = (verdict == "open") & (opening >= wanted[1] - EDGE)
    return np.asarray(closed | too_open)


def _likelihood(agree: Flags) -> float:
    share = np.clip(agree.mean(), 1e-6, 1 - 1e-6)
    return float(len(agree) * (share * np.log(share) + (1 - share) * np.log(1 - share)))
