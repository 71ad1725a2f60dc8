"""How many reeds each place wants in each week: from orders, else from output and shares."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from math import floor

import numpy as np
from numpy.typing import NDArray

from planner.air.weeks import monday_of
from planner.history.cells import plain
from planner.history.tables import Order
from planner.plan.phrases import named

GOLDEN = 0.6180339887498949  # the most even spacing of phases: no place waits long for its turn
PERCENT = 100.0


@dataclass(frozen=True)
class Wanted:
    """Reeds wanted (places, weeks), whole ones, and what was odd about the figures."""

    places: tuple[str, ...]
    reeds: NDArray[np.int64]
    notes: tuple[str, ...] = ()


def wanted(
    places: Sequence[str],
    mondays: Sequence[date],
    *,
    reeds_per_week: float,
    shares: Mapping[str, float | None],
    orders: Iterable[Order] = (),
    made_this_week: int = 0,
) -> Wanted:
    """Return the reeds wanted at each place in each week.

    What is ordered for a place and a week is what it wants. The rest of the week's output goes to
    the places without an order by their shares; one without a share gets an even part of what the
    others leave.

    Parameters
    ----------
    places : names, the bench first
    mondays : of the weeks
    reeds_per_week : usual output
    shares : by place, None where not said; in any unit, they are taken in proportion; of the
        workshop's other places too, which can't be planned as they have no weather
    orders : rows of the record; those of past weeks don't count
    made_this_week : reeds finished already of what the first week wants
    """
    fractions, notes = settled_shares(places, shares)
    ordered, odd = _ordered(places, mondays, orders, tuple(shares))
    reeds = np.zeros((len(places), len(mondays)), dtype=np.int64)
    for week, monday in enumerate(mondays):
        fixed = {
            i: ordered[name, monday] for i, name in enumerate(places) if (name, monday) in ordered
        }
        free = [0.0 if i in fixed else fractions[i] for i in range(len(places))]
        left = max(0.0, reeds_per_week - sum(fixed.values()))
        reeds[:, week] = dealt(left, free, monday.toordinal() // 7)
        for i, count in fixed.items():
            reeds[i, week] = count
    reeds[:, 0] = _still_wanted(reeds[:, 0], made_this_week)
    return Wanted(tuple(places), reeds, (*notes, *odd))


def _still_wanted(reeds: NDArray[np.int64], made: int) -> NDArray[np.int64]:
    """What is still wanted after so many were made, the first place served first."""
    after = np.maximum(np.cumsum(reeds) - made, 0)
    return np.asarray(np.diff(after, prepend=0))


def settled_shares(
    places: Sequence[str], shares: Mapping[str, float | None]
) -> tuple[list[float], tuple[str, ...]]:
    """Return the fractions of the places, which add to one, and what was odd about the shares.

    *shares* may name more places than are planned: they count in what the maker wrote, and what
    would be theirs goes to the others.
    """
    everyone = list(dict.fromkeys((*places, *shares)))
    written, notes = _as_written(everyone, shares)
    missing = [name for name in everyone if name not in places and written[name] > 0]
    if missing:
        their = "its part" if len(missing) == 1 else "their part"
        notes.append(
            f"There is no weather of {named(missing)}, so {their} of the reeds goes to the other "
            "places."
        )
    planned = [written[name] for name in places]
    whole = sum(planned)
    even = [1.0 / len(places)] * len(places)
    return [share / whole for share in planned] if whole > 0 else even, tuple(notes)


def _as_written(
    everyone: Sequence[str], shares: Mapping[str, float | None]
) -> tuple[dict[str, float], list[str]]:
    """The share of each place, the unsaid ones filled in, and what is odd about their sum."""
    said = {name: share for name, share in shares.items() if share is not None}
    total = sum(said.values())
    unsaid = len(everyone) - len(said)
    scale = PERCENT if total > PERCENT / 10 else 1.0
    rest = max(0.0, scale - total) / unsaid if unsaid else 0.0
    written = {name: said.get(name, rest) for name in everyone}
    whole = sum(written.values())
    if whole <= 0:
        return written, ["All shares of the places are 0; the reeds are dealt out evenly."]
    if abs(whole - scale) <= 0.01 * scale:
        return written, []
    return written, [
        f"The shares of the places add to {whole:g}, not to 1; they are taken in proportion."
    ]


def dealt(reeds: float, fractions: Sequence[float], week: int) -> list[int]:
    """Deal reeds out to places in whole ones, so that over the weeks each gets its fraction.

    Systematic sampling (Cochran, *Sampling Techniques*, 3rd edition 1977, ch. 8): marks one apart,
    from a start that depends on the week alone, are counted along the places laid end to end. The
    same week is dealt out alike whenever the plan is made.
    """
    total = sum(fractions)
    if total <= 0:
        return [0] * len(fractions)
    start, counts, reached = week * GOLDEN % 1.0, [], 0.0
    for fraction in fractions:
        begun, reached = reached, reached + reeds * fraction / total
        counts.append(floor(reached + start + 1e-9) - floor(begun + start + 1e-9))
    return counts


def _ordered(
    places: Sequence[str],
    mondays: Sequence[date],
    orders: Iterable[Order],
    without_weather: Sequence[str],
) -> tuple[dict[tuple[str, date], int], list[str]]:
    """Reeds ordered by place and Monday, and the orders that can't be planned."""
    names = {plain(name): name for name in places}
    known = {plain(name) for name in without_weather}
    found: dict[tuple[str, date], int] = {}
    odd = []
    for order in orders:
        monday = monday_of(order.week_start)
        name = names.get(plain(order.place))
        if monday < mondays[0]:
            continue
        if name is None:
            odd.append(_left_out(order, known))
            continue
        found[name, monday] = found.get((name, monday), 0) + order.reeds
    return found, odd


def _left_out(order: Order, known: Collection[str]) -> str:
    ordered = f'{order.reeds} reeds are ordered for "{order.place}"'
    if plain(order.place) in known:
        return f"{ordered}, a place without weather; they are left out."
    return (
        f"{ordered}, which the workshop doesn't have; they are left out. Add it to workshop.toml "
        "as another [[place]]."
    )
