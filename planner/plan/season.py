"""What going with the season is worth to this maker, and how sure that is."""

from datetime import date

import numpy as np

from planner.opening.draws import EffectDraws
from planner.opening.observations import Floats
from planner.opening.shares import paired, share_in_range, share_samples
from planner.plan.choice import peak
from planner.plan.grid import Grid
from planner.plan.recommend import PlaceAdvice, days_ahead
from planner.spread import LEVELS, Spread

NOTHING = 0.01  # shares that differ by less aren't told apart in a year's reeds
SURE = 0.9  # of the sign of what damp cane does


def worth_of_season(draws: EffectDraws, moisture: Floats, grid: Grid) -> Spread:
    """Return the share of good reeds that following the season adds over a year.

    What is followed is the diameter best for each week as things are known; it is held against
    the one diameter that is best for all of them together, both at the usual gouge. Each draw of
    the effects says what that would bring, so the gain may be a loss.

    Parameters
    ----------
    draws : effects of the opening model
    moisture : (members, weeks) of the cane over a year's round of weeks. [%]
    grid : the diameters that are tried
    """
    return _spread(gains_of_season(draws, moisture, grid)[0])


def gains_of_season(
    draws: EffectDraws, moisture: Floats, grid: Grid
) -> tuple[Floats, Floats, Floats]:
    """Return what following the season adds in each draw (draws,), and the diameters it is of.

    These are those of each week, (weeks,), and the one for all of them, (1,). [mm] Arguments as
    in :func:`worth_of_season`.
    """
    moisture = moisture[np.arange(len(draws)) % len(moisture)]
    still, gouge = np.zeros(moisture.shape[1]), np.array([grid.limits.usual_gouge])
    curve = share_in_range(draws, grid.diameters, gouge, moisture, still)[:, :, 0]
    by_week, _ = peak(curve, grid.diameters)
    for_all, _ = peak(curve.mean(axis=0)[None], grid.diameters)
    followed = share_samples(draws, by_week, gouge, moisture, still)
    constant = share_samples(draws, for_all, gouge, moisture, still)
    return (followed - constant).mean(axis=1), by_week, for_all


def worth_of_weeks(draws: EffectDraws, advice: PlaceAdvice, today: date) -> Spread:
    """Return the share of good reeds that the plan's cane adds to the usual one in its weeks."""
    coming, choices, limits = advice.coming, advice.choices, advice.grid.limits
    draws, ahead = paired(draws, len(coming.moisture)), days_ahead(draws, coming.mondays, today)
    usual = np.array([limits.usual_diameter]), np.array([limits.usual_gouge])
    planned = share_samples(draws, choices.best, choices.gouge, coming.moisture, ahead)
    kept = share_samples(draws, *usual, coming.moisture, ahead)
    return _spread((planned - kept).mean(axis=1))


def season_worth(draws: EffectDraws, bench: PlaceAdvice, today: date) -> str:
    """Return what going with the season is worth at the bench, in sentences.

    The rule for the year: *worth about* where nine draws in ten gain by it, *as well as* where
    fewer than one in ten gain a reed in 100 or more, else *no sign*.
    """
    weeks = _weeks_words(draws, bench, today)
    year = bench.coming.year
    if year is None or year.weeks is None:
        return weeks
    return f"{_year_words(draws, worth_of_season(draws, year.weeks, bench.grid))} {weeks}"


def _year_words(draws: EffectDraws, worth: Spread) -> str:
    if worth.p90 < NOTHING:
        return "Over a year one diameter does as well for you as following the season."
    if worth.p10 > 0.0:
        return (
            f"Over a year, following the season is worth about {_in_100(worth.p50)} good reeds in "
            f"100 against one diameter all along (8 in 10 {_between(worth)})."
        )
    opens = float((draws.moisture > 0).mean())
    doubt = "" if max(opens, 1 - opens) >= SURE else " (whether damp cane opens them isn't settled)"
    return (
        f"There is no sign yet that following the season is worth it for your reeds{doubt}: over a "
        f"year it could bring {_between(worth)} in 100 against one diameter all along."
    )


def _weeks_words(draws: EffectDraws, bench: PlaceAdvice, today: date) -> str:
    rows = bench.weeks
    gain = sum(row.in_band_share - row.in_band_share_usual for row in rows) / len(rows)
    if gain < NOTHING:
        return f"Over {_these(len(rows))} your usual cane does as well as any."
    return (
        f"Over {_these(len(rows))}, cane by the week should keep about {_in_100(gain)} more "
        "reeds in 100 in range than your usual cane all along "
        f"(8 in 10 {_between(worth_of_weeks(draws, bench, today))})."
    )


def _these(weeks: int) -> str:
    return "this week" if weeks == 1 else f"these {weeks} weeks"


def _spread(worth: Floats) -> Spread:
    return Spread(*np.percentile(worth, LEVELS).tolist())


def _in_100(share: float) -> int:
    return round(100 * share)


def _between(worth: Spread) -> str:
    """Return the limits, 8 in 10 within: ``between 1 and 11``, ``between 3 fewer and 8 more``."""
    low, high = _in_100(worth.p10), _in_100(worth.p90)
    if low >= 0:
        return f"between {low} and {high}"
    return f"between {-low} fewer and {abs(high)} {'more' if high >= 0 else 'fewer'}"
