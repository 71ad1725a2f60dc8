"""What in a history speaks against the model: said, not hidden.

Each reed is held against what all the others make one expect of it (its cavity), so that a reed
doesn't vouch for itself.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from planner.opening.observations import CLOSED, GOOD, OPEN, Floats, Observations
from planner.opening.propagation import Setting, State, limits_of
from planner.opening.rows import Rows
from planner.opening.sites import between
from planner.spread import TENTH

OUTSIDE_EXPECTED = 0.2
MIN_FOR_MISFIT = 30  # reeds; fewer show only chance
FAR = 4.0  # standard deviations, beyond which an opening is looked up
UNLIKELY = 3.0  # standard errors, for a share that is off
BENT = 4.0  # standard errors, for one of two bends that might be there
CONTRADICTED = 1e-3  # chance of a verdict beside its own opening
DAYS_NAMED = 3
WORDS = {CLOSED: "closed", GOOD: "good", OPEN: "open"}


def notes_on_misfit(known: Observations, setting: Setting, state: State) -> Iterator[str]:
    """Yield what in the history, of which *known* was fitted, the model can't account for."""
    rows, day = setting.rows, known.day[setting.rows.kept]
    expected = state.offset + state.cavity_mean
    spread = np.sqrt(state.cavity_variance + state.noise_variance)
    read, told = rows.measured, rows.judged_only
    away = (rows.opening - expected)[read] / spread[read]
    yield from _tails(away, day[read])
    yield from _bends(away, rows.x[read])
    yield from _verdicts(setting, state, expected[told], spread[told])
    yield from _contradictions(rows, state, day)


def _tails(away: Floats, day: NDArray[np.datetime64]) -> Iterator[str]:
    """Too many or too few openings outside the range that should hold 80 of 100, or far out."""
    if len(away) < MIN_FOR_MISFIT:
        return
    outside, chance = float((np.abs(away) > TENTH).mean()), OUTSIDE_EXPECTED
    if abs(outside - chance) > UNLIKELY * np.sqrt(chance * (1 - chance) / len(away)):
        yield (
            f"{round(100 * outside)} in 100 openings lie outside the range that should leave 20 "
            "outside: the model fits this history poorly, and its shares are less sure than they "
            "look."
        )
    far = np.abs(away) > FAR
    if far.any():
        yield (
            f"{_counted(far, 'opening lies', 'openings lie')} so far out that the model takes "
            f"{'it for a slip' if far.sum() == 1 else 'them for slips'} of the pen "
            f"({_days(day[far])}); look {'it' if far.sum() == 1 else 'them'} up."
        )


def _bends(away: Floats, x: Floats) -> Iterator[str]:
    """Openings that go with the square of diameter or moisture, which the model doesn't know."""
    near = np.abs(away) <= FAR
    if near.sum() < MIN_FOR_MISFIT:
        return
    x, away = x[near], away[near]
    straight = np.column_stack([np.ones(len(x)), x])
    for column, name, ends in (
        (0, "diameter", "your smallest and largest diameters"),
        (2, "moisture", "the driest and dampest weeks"),
    ):
        square = _without(straight, x[:, column] ** 2)
        size = float(square @ square)
        if size < 1e-9 * len(x) * float(np.var(x[:, column]) or 1.0) ** 2:
            continue  # two diameters can't tell a bend from a line
        rest = _without(straight, away)
        bend = float(square @ rest) / size
        left = rest - bend * square
        error = np.sqrt(float(left @ left) / max(len(x) - 6, 1) / size)
        if abs(bend) > BENT * error:
            yield (
                f"Openings don't go in a straight line with the {name}, as the model has it: for "
                f"{ends} the plan may be off."
            )


def _without(straight: Floats, values: Floats) -> Floats:
    """Return values less their least-squares fit."""
    fit = np.linalg.lstsq(straight, values, rcond=None)[0]
    return np.asarray(values - straight @ fit, dtype=float)


def _verdicts(setting: Setting, state: State, expected: Floats, spread: Floats) -> Iterator[str]:
    """Far more or fewer of a verdict than the model expects, among reeds not measured."""
    rows, hypers = setting.rows, state.hypers
    given = rows.verdict[rows.judged_only]
    if len(given) < MIN_FOR_MISFIT:
        return
    for verdict, word in WORDS.items():
        low, high = limits_of(np.full(len(given), verdict, np.int8), hypers.low, hypers.high)
        chance = np.exp(between(low, high, expected, spread**2, setting.priors.mistake).log)
        seen, likely = int((given == verdict).sum()), float(chance.sum())
        error = float(np.sqrt(np.sum(chance * (1.0 - chance))))
        if abs(seen - likely) > UNLIKELY * max(error, 1.0):
            yield (
                f"{seen} of {len(given)} reeds not measured were called {word}, where the model "
                f"expects about {round(likely)}: it fits your verdicts poorly."
            )


def _contradictions(rows: Rows, state: State, day: NDArray[np.datetime64]) -> Iterator[str]:
    """Verdicts that the opening read beside them makes all but impossible."""
    both, hypers = rows.both, state.hypers
    if not both.any():
        return
    low, high = limits_of(rows.verdict[both], hypers.low, hypers.high)
    variance = np.full(int(both.sum()), hypers.judgement**2 + rows.reading_variance)
    against = between(low, high, rows.opening[both], variance, 0.0).log < np.log(CONTRADICTED)
    if against.any():
        yield (
            f"{_counted(against, 'reed has a verdict', 'reeds have verdicts')} that the opening "
            f"beside {'it' if against.sum() == 1 else 'them'} contradicts "
            f"({_days(day[both][against])}); one of the two may be a slip of the pen."
        )


def _counted(which: NDArray[np.bool_], one: str, many: str) -> str:
    count = int(which.sum())
    return f"{count} {one if count == 1 else many}"


def _days(day: NDArray[np.datetime64]) -> str:
    """Return the days as on record, the first few of many."""
    days = np.unique(day)
    named = ", ".join(str(value) for value in days[:DAYS_NAMED])
    return named if len(days) <= DAYS_NAMED else f"{named} and {len(days) - DAYS_NAMED} days more"
